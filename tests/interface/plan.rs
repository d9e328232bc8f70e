//! `plan`: times that are enough, and no more than enough.

use serde_json::Value;

use crate::program::run;

fn json(arguments: &[&str]) -> Value {
    let text = run(["plan", "--json", "--open", "1000", "--seconds", "10"].iter().chain(arguments)).clean();
    serde_json::from_str(&text).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn the_plan_has_its_keys_and_powers() {
    let report = json(&["--efficiency", "97 %", "--other", "96 %", "--pump", "2.83 L/min"]);
    assert_eq!(report["format"], "moteweir.plan.1");
    for key in ["width", "difference", "claim"] {
        let goal = &report[key];
        assert!((0.8..0.9).contains(&number(&goal["power"])), "{key}: {goal}");
        assert!(number(&goal["through_seconds"]) > 0.0, "{key}: {goal}");
    }
    let holes = report["holes"].as_array().expect("holes");
    assert_eq!(holes.len(), 3);
    for hole in holes {
        // Flow over area is the velocity.
        let area = std::f64::consts::FRAC_PI_4 * number(&hole["diameter_m"]).powi(2);
        assert!(
            (2.83e-3 / 60.0 / area / number(&hole["face_velocity_m_per_s"]) - 1.0).abs() < 1e-9,
            "{hole}"
        );
    }
}

#[test]
fn more_time_knows_more() {
    let report = json(&["--efficiency", "97 %"]);
    let curve = report["curve"].as_array().expect("a curve");
    for pair in curve.windows(2) {
        assert!(number(&pair[1]["half_width"]) < number(&pair[0]["half_width"]), "{pair:?}");
    }
    // Counting noise goes with the root of the time.
    let (first, last) = (&curve[4], &curve[curve.len() - 1]);
    let expected = (number(&first["total_seconds"]) / number(&last["total_seconds"])).sqrt();
    let found = number(&last["half_width"]) / number(&first["half_width"]);
    assert!((found / expected - 1.0).abs() < 0.1, "{found} against {expected}");
}

#[test]
fn what_no_time_shows_is_said() {
    let said = |arguments: &[&str]| {
        let text = run(["plan", "--open", "1000", "--seconds", "10"].iter().chain(arguments)).clean();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let text = said(&["--efficiency", "94 %", "--dispersion", "5 %", "--within", "0.1 %"]);
    assert!(
        text.starts_with("No time is enough to know an efficiency of 94 % to plus or minus 0.10 %"),
        "{text}"
    );
    assert!(text.contains("What catches 94 % cannot be shown to catch at least 95 %"), "{text}");
}

#[test]
fn wrong_options_say_what_is_wrong() {
    for (arguments, says) in [
        (&["--open", "0", "--seconds", "10", "--efficiency", "97 %"][..], "error: nothing was counted open"),
        (
            &["--open", "9", "--seconds", "10", "--efficiency", "100 %"],
            "error: `--efficiency` = 100 % is outside",
        ),
        (&["--open", "9", "--seconds", "10", "--efficiency", "97 um"], "error: `--efficiency`: "),
    ] {
        let said = run(["plan"].iter().chain(arguments)).refused();
        assert!(said.starts_with(says), "{arguments:?}: {said}");
    }
}
