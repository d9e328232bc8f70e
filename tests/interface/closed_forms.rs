//! Closed forms through the whole program: what draws of stacks come to where the answer is known.

use std::f64::consts::PI;
use std::fs;

use serde_json::Value;

use crate::examples::desk;
use crate::program::run_in;

fn report(command: &str, scenario: &str, draws: &str) -> Value {
    let folder = desk();
    fs::write(folder.path().join("known.toml"), scenario).expect("the folder takes a file");
    let text =
        run_in(folder.path(), [command, "known.toml", "--draws", draws, "--seed", "5", "--json"]).clean();
    serde_json::from_str(&text).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// One and four layers of a felt whose weight differs from piece to piece and nothing else, at a fibre known from a test.
fn felts(varies: &str) -> String {
    format!(
        r#"[particles]
points = 11
[[material]]
name = "felt"
class = "needled felt"
basis_weight = "200 g/m2"
thickness = "2 mm"
fibre_diameter = {{ median = "10 um", gsd = 1.1 }}
unevenness = 0
[material.varies]
basis_weight = {varies}
fibre_diameter = {{ lot = "0 %", sheet = "0 %" }}
[[stack]]
name = "one"
layers = ["felt"]
[[stack]]
name = "four"
layers = [{{ of = "felt", times = 4 }}]
[[target]]
efficiency_at_least = "20 %"
"#
    )
}

/// Log-distance between the far quantiles of a pressure drop: proportional to its relative spread.
fn spread(stack: &Value) -> f64 {
    let drops = &stack["pressure_drop_pa"];
    (number(&drops["q975"]) / number(&drops["q025"])).ln()
}

#[test]
fn what_differs_from_lot_to_lot_adds_up_and_what_differs_from_sheet_to_sheet_averages_out() {
    let lots = report("vary", &felts(r#"{ lot = "6 %", sheet = "0 %" }"#), "4000");
    let ratio = spread(&lots["stacks"][1]) / spread(&lots["stacks"][0]);
    // The same lot in every layer: the same draws, and the same quantiles to the resolution of the sketch, 1 in 2048.
    assert!((ratio - 1.0).abs() < 0.005, "lots: {ratio}");
    let sheets = report("vary", &felts(r#"{ lot = "0 %", sheet = "6 %" }"#), "4000");
    let ratio = spread(&sheets["stacks"][1]) / spread(&sheets["stacks"][0]);
    // Variance of four is four times that of one, their mean four times: half the relative spread. Far quantiles of 4000
    // draws are known to 3 % of the distance, two of them to 4 %; five of those.
    assert!((ratio - 0.5).abs() < 0.1, "sheets: {ratio}");
}

#[test]
fn layers_that_do_not_vary_are_those_of_the_prediction() {
    let same = felts(r#"{ lot = "0 %", sheet = "0 %" }"#);
    let varied = report("vary", &same, "10");
    let folder = desk();
    fs::write(folder.path().join("known.toml"), &same).expect("the folder takes a file");
    let text = run_in(folder.path(), ["predict", "known.toml", "--json"]).clean();
    let predicted: Value = serde_json::from_str(&text).expect("JSON");
    for stack in 0..2 {
        let drops = &varied["stacks"][stack]["pressure_drop_pa"];
        assert_eq!(drops["q025"], drops["q975"], "nothing differs");
        let of_prediction = number(&predicted["stacks"][stack]["curves"][0]["pressure_drop_pa"]);
        let velocity = |report: &Value| number(&report["face_velocity_m_per_s"]);
        let prediction = &predicted["stacks"][stack]["curves"][0];
        // A felt's pressure drop is linear in the velocity.
        let expected = of_prediction * velocity(&varied["stacks"][stack]) / velocity(prediction);
        assert!((number(&drops["q50"]) / expected - 1.0).abs() < 1e-3, "{drops} against {expected}");
    }
}

/// Without a leak the inhaled share behind one thin layer is a mean over the inhaled volume of a half sine.
#[test]
fn the_mean_pressures_of_a_sine_are_those_of_the_sine() {
    let worn = "[face]\nbreathing = { minute_volume = \"40 L/min\" }\n";
    let report = report("wear", &format!("{}{worn}", felts(r#"{ lot = "0 %", sheet = "0 %" }"#)), "2");
    let layer = &report["layers"][0];
    let peak = number(&layer["peak_pressure_pa"]);
    // A felt resists linearly: over time the mean is 2/pi of the peak, the work pi/4 of the peak in kPa.
    let mean = number(&layer["mean_pressure_pa"]);
    assert!((mean / peak / (2.0 / PI) - 1.0).abs() < 1e-4, "mean {mean} of {peak} Pa");
    let work = number(&layer["work_j_per_l"]);
    assert!((work / (peak * 1e-3 * PI / 4.0) - 1.0).abs() < 1e-4, "work {work} J/L at {peak} Pa");
    let flow = number(&layer["peak_flow_m3_per_s"]);
    assert!((flow * 6e4 / (40.0 * PI) - 1.0).abs() < 1e-12, "{flow}");
}

/// A fit factor of 50 at a steady flow, beside one layer: a fiftieth of that flow goes past the edge.
#[test]
fn a_fit_factor_is_the_leak_at_the_flow_of_its_test() {
    let worn =
        "[face]\nfit_factor = { value = 50, flow = \"30 L/min\" }\nbreathing = { steady = \"30 L/min\" }\n";
    let report = report("wear", &format!("{}{worn}", felts(r#"{ lot = "0 %", sheet = "0 %" }"#)), "2");
    let share = number(&report["layers"][0]["leak_share_of_flow"]);
    assert!((share / 0.02 - 1.0).abs() < 1e-3, "{share}");
    let (inhaled, filter) = (
        number(&report["layers"][0]["total_inward_leakage"]["central"]),
        number(&report["layers"][0]["filter_penetration"]),
    );
    assert!((inhaled - (share + (1.0 - share) * filter)).abs() < 1e-9, "{inhaled}, filter {filter}");
}
