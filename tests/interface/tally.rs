//! `tally`: one pair of counts, and what is never said of it.

use serde_json::Value;

use crate::program::run;

/// The sentences as one line, whatever the width of the screen.
fn said(arguments: &[&str]) -> String {
    let text = run(["tally"].iter().chain(arguments)).clean();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn json(arguments: &[&str]) -> Value {
    let text = run(["tally", "--json"].iter().chain(arguments)).clean();
    serde_json::from_str(&text).expect("JSON")
}

const NINE: [&str; 6] = ["--open", "1104", "--through", "9", "--seconds", "10"];

#[test]
fn nine_of_1104() {
    let text = said(&NINE);
    for part in [
        "99.2 % of the particles counted are caught, 98.4 to 99.6 % (two-sided 95 % interval): 9 came through in 10 s",
        "more through the sample would make the interval half as wide.",
        "A claim of at least 95 % is shown by the counting: it is at least 98.5 % (one-sided 95 %).",
        "no certificate",
    ] {
        assert!(text.contains(part), "\"{part}\" is missing in\n{text}");
    }
    let report = json(&NINE);
    assert_eq!(report["format"], "moteweir.tally.1");
    let number = |key: &str| report[key].as_f64().expect("a number");
    assert!((number("penetration") - 9.0 / 1104.0).abs() < 1e-12);
    // Clopper and Pearson for 9 of 1113, as odds: scipy 1.17.1, stats.beta.ppf.
    assert!((number("penetration_low") - 0.003_721).abs() < 2e-5, "{report}");
    assert!((number("penetration_high") - 0.015_47).abs() < 2e-4, "{report}");
}

#[test]
fn nothing_through_is_a_limit_and_never_everything() {
    let text = said(&["--open", "980", "--through", "0", "--seconds", "10", "--through-seconds", "1"]);
    assert!(
        text.starts_with("At least 96.2 % of the particles counted are caught (two-sided 95 %)"),
        "{text}"
    );
    assert!(text.contains("would halve what may get through, if again nothing comes"), "{text}");
    let few = said(&["--open", "2", "--through", "0", "--seconds", "10"]);
    assert!(few.contains("cannot tell what is caught"), "{few}");
    for text in [text, few, said(&["--open", "1000000000", "--through", "0", "--seconds", "1000"])] {
        assert!(!text.contains("100 %"), "{text}");
    }
}

#[test]
fn claims_are_shown_refuted_or_open() {
    let claim = |through: &str, claim: &str| {
        json(&["--open", "1000", "--through", through, "--seconds", "10", "--claim", claim])["claim"].clone()
    };
    assert_eq!(claim("20", "95 %")["verdict"], "shown");
    assert_eq!(claim("90", "95 %")["verdict"], "refuted");
    let open = claim("45", "95 %");
    assert_eq!(open["verdict"], "open");
    assert!(open["more"]["sample_seconds"].as_f64().expect("a time") > 10.0, "{open}");
    let text = said(&["--open", "1000", "--through", "52", "--seconds", "10"]);
    assert!(text.contains("If no more is caught than was counted, no time shows it."), "{text}");
}

#[test]
fn halving_is_what_it_says() {
    let before = json(&["--open", "10000", "--through", "400", "--seconds", "100"]);
    let more = &before["halving"];
    let (open, through) =
        (more["open_seconds"].as_f64().expect("s"), more["sample_seconds"].as_f64().expect("s"));
    // As many particles a second as before.
    let counts = |rate: f64, seconds: f64| format!("{:.0}", rate * seconds);
    let after = run([
        "tally",
        "--json",
        "--open",
        &counts(100.0, 100.0 + open),
        "--seconds",
        &format!("{}", 100.0 + open),
        "--through",
        &counts(4.0, 100.0 + through),
        "--through-seconds",
        &format!("{}", 100.0 + through),
    ])
    .clean();
    let after: Value = serde_json::from_str(&after).expect("JSON");
    let width = |report: &Value| {
        report["penetration_high"].as_f64().expect("a share")
            - report["penetration"].as_f64().expect("a share")
    };
    let ratio = width(&after) / width(&before);
    assert!((ratio - 0.5).abs() < 0.02, "{ratio}, {open} s and {through} s more");
}

#[test]
fn hole_and_pump_give_the_velocity_and_the_hole_of_use() {
    let report = json(&[&NINE[..], &["--hole", "20 mm", "--pump", "2.83 L/min"]].concat());
    let velocity = &report["velocity"];
    assert!((velocity["face_velocity_m_per_s"].as_f64().expect("m/s") - 0.150_1).abs() < 1e-4, "{velocity}");
    assert_eq!(velocity["nearest_use"], "mask at heavy work");
    assert!((velocity["hole_for_use_m"].as_f64().expect("m") - 0.023_25).abs() < 1e-4, "{velocity}");
}

#[test]
fn a_class_says_something_of_the_worst_size() {
    let tissue =
        ["--size", "1 um", "--hole", "20 mm", "--pump", "2.83 L/min", "--class", "creped tissue", "--mass"];
    let swatch = ["27 g/m2", "--thickness", "0.2 mm", "--layers", "3"];
    let counts = ["--open", "1104", "--through", "400", "--seconds", "10"];
    let report = json(&[&counts[..], &tissue, &swatch].concat());
    let worst = &report["worst"];
    let of = |key: &str, q: &str| worst[key][q].as_f64().expect("a number");
    let width = |key: &str| of(key, "q975") - of(key, "q025");
    assert!(width("penetration") < 0.7 * width("penetration_before"), "{worst}");
    assert!((1e-7..6e-7).contains(&of("mpps_m", "q50")), "{worst}");
    let impossible = ["--open", "1000000", "--through", "1", "--seconds", "10"];
    let text = said(&[&impossible[..], &tissue, &swatch].concat());
    assert!(text.contains("Nothing of the class \"creped tissue\""), "{text}");
}

#[test]
fn more_than_the_room_is_no_filter() {
    let text = said(&["--open", "100", "--through", "300", "--seconds", "10"]);
    let lead = "Nothing of the particles counted is seen to be caught: 300 came through in 10 s";
    assert!(text.starts_with(lead), "{text}");
    assert!(text.contains("fog droplets"), "{text}");
}

#[test]
fn wrong_options_say_what_is_wrong() {
    for (arguments, says) in [
        (&["--open", "0", "--through", "3", "--seconds", "10"][..], "error: nothing was counted open"),
        (
            &["--open", "9", "--through", "3", "--seconds", "0"],
            "error: `--seconds` = 0 is outside what is possible",
        ),
        (
            &["--open", "9", "--through", "3", "--seconds", "1", "--hole", "20", "--pump", "2 L/min"],
            "error: `--hole`: a length needs a unit, such as `18 um`",
        ),
        (
            &["--open", "9", "--through", "3", "--seconds", "1", "--claim", "195 %"],
            "error: `--claim` = 195 % is outside what is possible: 0 to 99.9999 %",
        ),
        (
            &["--open", "9", "--through", "3", "--seconds", "1", "--class", "creped tissue", "--mass", "3 g"],
            "error: `--mass` = 3 g is that of a swatch",
        ),
        (
            &["--open", "9", "--through", "3", "--seconds", "1", "--class", "creped tissue"],
            "error: a class says something of the worst size only with",
        ),
        (&["--open", "9", "--through", "-3", "--seconds", "1"], "error: "),
    ] {
        let said = run(["tally"].iter().chain(arguments)).refused();
        assert!(said.starts_with(says), "{arguments:?}: {said}");
    }
}

/// Too dense for the counter: by what is stated of it, or else by what is usual.
#[test]
fn coincidence_is_said_once_and_only_where_it_matters() {
    let dense = ["--open", "90000", "--through", "900", "--seconds", "10"];
    let with = |more: &[&str]| said(&[&dense[..], more].concat());
    let usual = with(&[]);
    assert!(
        usual.contains(
            "Coincidence: in the open count 190 particles came in a cubic centimetre, were it the usual pump of 2.83 L/min."
        ),
        "{usual}"
    );
    assert_eq!(usual.matches("Coincidence").count(), 1, "{usual}");
    let stated = with(&["--dead-time", "0.01 ms"]);
    assert!(
        stated.contains("Coincidence: in the open count about 9 % of the particles came while"),
        "{stated}"
    );
    assert!(!stated.contains("usual pump"), "{stated}");
    let made_for = with(&["--hole", "20 mm", "--pump", "28.3 L/min", "--maximum-concentration", "70 /cm3"]);
    // 9000 a second in 471.7 cm3 a second are 19 in a cubic centimetre, 0.27 of the most: a loss of 2.7 %.
    assert!(made_for.contains("about 3 % of the particles came while"), "{made_for}");
    assert!(!said(&NINE).contains("Coincidence"));
    let refused =
        run(["tally"].iter().chain(&dense).chain(&["--maximum-concentration", "70 /cm3"])).refused();
    assert!(refused.contains("--pump"), "{refused}");
}
