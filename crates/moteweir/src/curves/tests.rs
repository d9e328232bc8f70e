//! Files of curves: what they come out as, and every fault of them word for word.

use super::{Curve, MOST_POINTS};
use crate::problem::{Problems, Severity};

const HEADING: &str = "diameter_um,face_velocity_cm_per_s,penetration,standard_uncertainty\n";

fn read(text: &str) -> Curve {
    Curve::read(text).unwrap_or_else(|Problems(problems)| {
        let said: Vec<String> = problems.iter().map(crate::Problem::message).collect();
        unreachable!("{said:#?} in\n{text}")
    })
}

/// Every problem as `line:column severity: message [label] (help)`.
fn said(text: &str) -> Vec<String> {
    let problems = match Curve::read(text) {
        Ok(curve) => curve.warnings,
        Err(problems) => problems.0,
    };
    let one = |problem: &crate::Problem| {
        let (line, column) = problem.line_column(text);
        let severity = if problem.severity == Severity::Error { "error" } else { "warning" };
        let help = problem.help().map(|help| format!(" ({help})")).unwrap_or_default();
        format!("{line}:{column} {severity}: {} [{}]{help}", problem.message(), problem.label())
    };
    problems.iter().map(one).collect()
}

#[track_caller]
fn assert_said(text: &str, expected: &[&str]) {
    assert_eq!(said(text), expected, "for\n{text}");
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got / expected - 1.0).abs() < 1e-12, "got {got}, expected {expected}");
}

#[test]
fn penetrations_and_efficiencies_are_the_same_curve() {
    let curve = read(&format!("# a note\n{HEADING}0.3,5.3,0.25,0.01\n\n0.1, 5.3 ,\"0.5\",\n"));
    assert_eq!(curve.penetrations.len(), 2);
    let [one, two] = [curve.penetrations[0], curve.penetrations[1]];
    close(one.diameter.to_um(), 0.3);
    close(one.face_velocity.to_cm_per_s(), 5.3);
    close(one.uncertainty_of_ln_p().expect("stated"), 0.04);
    assert_eq!((one.line, two.line, two.standard_uncertainty), (3, 5, None));
    let caught = read("face_velocity_cm_per_s,efficiency,diameter_um\n5.3,0.75,0.3\n5.3,0,1\n");
    close(caught.penetrations[0].penetration, 0.25);
    close(caught.penetrations[1].penetration, 1.0);
}

#[test]
fn the_same_curve_in_other_dress() {
    let plain = read("diameter_um,face_velocity_cm_per_s,penetration\n0.3,5.3,0.25\n1,10,0.125\n");
    for text in [
        "\u{feff}diameter_um,face_velocity_cm_per_s,penetration\r\n0.3,5.3,0.25\r\n1,10,0.125\r\n",
        "Diameter_um;Face_Velocity_cm_per_s;Penetration\n0,3;5,3;0,25\n1;10;0,125",
        "diameter_um\tface_velocity_cm_per_s\tpenetration\r0.3\t5.3\t0.25\r1\t10\t0.125\r",
        "penetration,diameter_um,face_velocity_cm_per_s\n0.25,0.3,5.3\n1.25e-1,1,10,,\n",
    ] {
        assert_eq!(read(text).penetrations, plain.penetrations, "{text}");
    }
}

#[test]
fn counts_give_a_penetration_with_its_uncertainty() {
    let curve = read(
        "from_um,to_um,face_velocity_cm_per_s,upstream_counts,downstream_counts,upstream_seconds,\
         downstream_seconds,correlation_ratio,correlation_ratio_uncertainty\n0.2,0.8,10,1000,400,30,60,0.8,0.04\n",
    );
    let point = curve.penetrations[0];
    // 400 in 60 s over 1000 in 30 s is 0.2; the empty rig lets 0.8 through. 1/1000 + 1/400 + 0.05^2 = 0.006.
    close(point.penetration, 0.25);
    close(point.uncertainty_of_ln_p().expect("counted"), 0.006_f64.sqrt());
    close(point.diameter.to_um(), 0.4);
    let counts = point.counts.expect("counted");
    assert_eq!((counts.upstream, counts.downstream), (1000, 400));
    // A few more downstream than upstream is chance: 103 of 100.
    let open = read("diameter_um,face_velocity_cm_per_s,upstream_counts,downstream_counts\n1,5,100,103\n");
    close(open.penetrations[0].penetration, 1.03);
}

/// Nothing downstream is no penetration of 0 but a limit: of 1000 upstream at even times at most 0.0036957 (mpmath).
#[test]
fn nothing_downstream_is_a_limit() {
    let heading = "from_um,to_um,face_velocity_cm_per_s,upstream_counts,downstream_counts\n";
    let curve = read(&format!("{heading}0.2,0.8,10,1000,0\n0.8,1,10,1000,5\n"));
    let [none, some] = [curve.penetrations[0], curve.penetrations[1]];
    assert!((none.penetration / 0.0036957 - 1.0).abs() < 1e-4, "{}", none.penetration);
    assert!(none.is_limit && none.standard_uncertainty.is_none() && !some.is_limit);
    let (from, to) = none.channel.expect("a channel");
    close(from.to_um(), 0.2);
    close(to.to_um(), 0.8);
    assert_said(
        &format!("{heading}0.2,0.8,10,0,0\n0.2,0.8,20,10,-1\n"),
        &[
            "2:12 error: `upstream_counts` = 0 is outside what is possible [possible: 1 to 1e15]",
            "3:15 error: `downstream_counts` = -1 is outside what is possible [possible: 0 to 1e15]",
        ],
    );
}

#[test]
fn pressure_drops_and_air_permeabilities() {
    let curve = read("face_velocity_cm_per_s,pressure_drop_pa,standard_uncertainty\n5,20,1\n10,41,\n");
    close(curve.flows[0].relative_uncertainty.expect("stated"), 0.05);
    close(curve.flows[1].pressure_drop.to_pa(), 41.0);
    assert_eq!(curve.flows[1].relative_uncertainty, None);
    // The uncertainty of a permeability is in its own unit.
    let permeability = read("air_permeability_mm_per_s,pressure_drop_pa,standard_uncertainty\n350,200,7\n");
    close(permeability.flows[0].face_velocity.to_cm_per_s(), 35.0);
    close(permeability.flows[0].relative_uncertainty.expect("stated"), 0.02);
}

#[test]
fn all_that_is_wrong_at_once_each_in_its_place() {
    assert_said(
        &format!(
            "{HEADING}x,5.3,0.5,0.1\n0.3,5.3,3.2,-1\n0.3,0,0,\n,5.3,0.5,\n0.4,5.3,0.5,0\n0,5,5,3,0,2\n\"0.3,5.3,0.5\n"
        ),
        &[
            "2:1 error: `diameter_um`: `x` is no number [expected a number]",
            "3:9 error: `penetration` = 3.2 is outside what is possible [possible: above 0, to 1] \
             (write 0.032: fractions run from 0 to 1, and 3.2 % is that)",
            "3:13 error: `standard_uncertainty` = -1 is outside what is possible \
             [possible: above 0; leave it empty where it is not known]",
            "4:5 error: `face_velocity_cm_per_s` = 0 is outside what is possible [possible: above 0, to 2000]",
            "4:7 error: `penetration` = 0 is outside what is possible [possible: above 0, to 1]",
            "5:1 error: `diameter_um` is empty [nothing in it]",
            "6:13 error: `standard_uncertainty` = 0 is outside what is possible \
             [possible: above 0; leave it empty where it is not known]",
            "7:9 error: the row has 6 fields, but the heading names 4 columns [too many fields] \
             (a decimal comma splits a number in two: write 0.3, or put semicolons between the fields)",
            "8:1 error: a quote is not closed on its line [the row that begins here] \
             (close the quote, or leave quotes out)",
        ],
    );
}

#[test]
fn a_heading_that_says_too_much_or_too_little() {
    assert_said(
        "diameter_um,penetration,efficiency,penetration\n0.3,0.5,0.5,0.5\n",
        &[
            "1:1 error: the heading lacks the column `face_velocity_cm_per_s` [no `face_velocity_cm_per_s`]",
            "1:25 error: `penetration` and `efficiency` both state what gets through \
             [what gets through a second time] (keep `penetration` or `efficiency`)",
            "1:36 error: the column `penetration` comes twice [the second] (keep one of them)",
        ],
    );
    assert_said(
        "diameter_um,face_velocity_cm_per_s,penetrtion\n",
        &[
            "1:1 error: the heading names nothing that was measured [sizes and velocities at most] \
             (add `penetration`, `efficiency`, `upstream_counts` and `downstream_counts`, or `pressure_drop_pa`)",
            "1:36 error: unknown column `penetrtion` [not a column] (did you mean `penetration`?)",
        ],
    );
    assert_said(
        "diameter_um,face_velocity_cm_per_s,penetration,operator\n0.3,5,0.5,me\n",
        &["1:48 warning: unknown column `operator` [not used]"],
    );
    assert_said(
        "diameter_um,face_velocity_cm_per_s,penetration,pressure_drop_pa\n0.3,5,0.5,3\n",
        &["1:48 error: penetrations and pressure drops stand in one file [of another kind] \
           (put them into two files, each with its own [[measured]])"],
    );
    assert_said(
        "pressure_drop_pa\n3\n",
        &["1:1 error: the heading lacks the column `face_velocity_cm_per_s` [no `face_velocity_cm_per_s`]"],
    );
    let names = "(name the columns in the first row, such as diameter_um,face_velocity_cm_per_s,penetration)";
    assert_said(
        "0.3,5,0.5\n",
        &[&format!(
            "1:1 error: the first row is no heading: none of its fields is the name of a column [no heading] {names}"
        )],
    );
    for (text, place) in [("", "1:1"), ("# nothing\n\n", "1:1"), (HEADING, "1:1")] {
        assert_said(
            text,
            &[&format!("{place} error: there are no measurements in it [nothing after this] {names}")],
        );
    }
}

#[test]
fn rows_that_contradict_one_another_or_themselves() {
    assert_said(
        &format!("{HEADING}0.3,5,0.5,\n0.1,5,0.4,\n0.3,5.0,0.6,\n"),
        &["4:1 error: the same size and velocity a second time [the first is in line 2] \
           (average repeats before, with the uncertainty of the mean)"],
    );
    assert_said(
        "face_velocity_cm_per_s,pressure_drop_pa\n5,1\n5,2\n",
        &["3:1 error: the same velocity a second time [the first is in line 2] \
           (average repeats before, with the uncertainty of the mean)"],
    );
    let counts = "from_um,to_um,face_velocity_cm_per_s,upstream_counts,downstream_counts,upstream_seconds,downstream_seconds\n";
    assert_said(
        &format!("{counts}1,0.5,5,10,5,,\n0.5,1,5,1000,2000,,\n0.5,1,6,10.5,0,,\n0.5,1,7,10,5,30,\n"),
        &[
            "2:1 error: the channel is upside down: `from_um` = 1 is not below `to_um` = 0.5 \
             [not below the upper edge] (the smaller size is `from_um`)",
            "3:14 error: 2000 downstream of 1000 upstream is a penetration of 2.000, above 1 by more than chance \
             [more than came in] (check which side is which, the times counted and the `correlation_ratio` \
             (downstream over upstream of the empty rig))",
            "4:9 error: `upstream_counts` = 10.5 is not whole [expected a whole number] \
             (particles come whole: give what was counted, no rate and no mean)",
            "5:1 error: `downstream_seconds` is empty [nothing in it]",
        ],
    );
}

#[test]
fn a_flood_of_faults_and_a_flood_of_rows_are_bounded() {
    let text = format!("{HEADING}{}", "x,5,0.5,\n".repeat(100));
    let problems = said(&text);
    assert_eq!(problems.len(), 21);
    assert_eq!(problems[20], "22:1 error: 80 more problems from here on [the next of them]");
    let rows: Vec<String> =
        (0..MOST_POINTS + 5).map(|n| format!("{},5,0.5,\n", 0.01 + 0.001 * n as f64)).collect();
    let rows = rows.concat();
    assert_said(
        &format!("{HEADING}{rows}"),
        &[&format!(
            "{}:1 error: there are more than {MOST_POINTS} measurements in it [one too many] (average them into fewer)",
            MOST_POINTS + 2
        )],
    );
    for hostile in
        ["\"", "\u{feff}", "penetration", ";;;;", "penetration\n\"", "a\u{0}b,penetration\n\u{1f9f5},1\n"]
    {
        assert!(Curve::read(hostile).is_err(), "{hostile}");
    }
}

/// Reading ends, and every problem points at characters of the text.
fn survives(text: &str) {
    let problems = match Curve::read(text) {
        Ok(curve) => {
            for point in &curve.penetrations {
                let (p, d) = (point.penetration, point.diameter.to_um());
                assert!(p > 0.0 && p.is_finite() && d > 0.0 && d.is_finite(), "{point:?} of\n{text}");
            }
            curve.warnings
        }
        Err(Problems(problems)) => problems,
    };
    for problem in problems {
        assert!(text.get(problem.span.clone()).is_some(), "{problem:?} in\n{text}");
        assert!(!problem.message().is_empty() && !problem.label().is_empty());
    }
}

proptest::proptest! {
    #[test]
    fn any_text_is_survived(text in "\\PC{0,200}") {
        survives(&text);
    }

    #[test]
    fn any_fields_under_any_heading_are_survived(
        heading in proptest::sample::subsequence(super::CurveColumn::ALL.to_vec(), 1..8),
        fields in proptest::collection::vec(proptest::sample::select(vec![
            "0.3", "0,3", "1", "100", "-1", "0", "1e-300", "1e300", "nan", "inf", "", "x", "\"", "\"a;b\"", "\u{1f9f5}", "5 %",
            "0.999999999999", "1e999", "  2  ", "#", "\u{feff}",
        ]), 0..60),
        delimiter in proptest::sample::select(vec![",", ";", "\t"]),
        end in proptest::sample::select(vec!["\n", "\r\n", "\r"]),
    ) {
        let names: Vec<&str> = heading.iter().map(|column| column.name()).collect();
        let rows: Vec<String> = fields.chunks(names.len()).map(|row| row.join(delimiter)).collect();
        survives(&format!("{}{end}{}", names.join(delimiter), rows.join(end)));
    }
}
