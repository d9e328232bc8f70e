//! Whatever the text, there is a case or a list of problems, each inside the text; never a panic.

use proptest::prelude::*;

use super::super::{Case, Structure};
use crate::Shelf;
use crate::scenario::starter;

fn survives(text: &str) {
    let problems = match Case::read(text, Shelf::built_in()) {
        Ok(case) => case.warnings,
        Err(problems) => problems.0,
    };
    for problem in &problems {
        assert!(problem.span.start <= problem.span.end, "{problem:?}");
        assert!(problem.span.end <= text.len(), "{problem:?} ends beyond {} bytes", text.len());
        assert!(text.get(problem.span.clone()).is_some(), "{problem:?} cuts a character");
        let (line, column) = problem.line_column(text);
        assert!(line >= 1 && column >= 1, "{problem:?} is at {line}:{column}");
        assert!(!problem.message().is_empty() && !problem.label().is_empty(), "{problem:?} says nothing");
        assert!(problem.message().len() < 1000, "{} bytes of message", problem.message().len());
    }
}

/// A text with one stretch of it replaced.
fn spoilt(text: &str, start: usize, length: usize, by: &str) -> String {
    let floor = |mut at: usize| {
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(start.min(text.len()));
    let end = floor((start + length).min(text.len())).max(start);
    format!("{}{by}{}", &text[..start], &text[end..])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_survived(text in any::<String>()) {
        survives(&text);
    }

    #[test]
    fn a_spoilt_scenario_is_survived(
        start in 0_usize..4000,
        length in 0_usize..60,
        by in "[\\PC\n\"'{}\\[\\]=.,#]{0,12}",
    ) {
        survives(&spoilt(starter(), start, length, &by));
    }

    #[test]
    fn a_spoilt_scenario_of_uncertain_things_is_survived(
        start in 0_usize..3000,
        length in 0_usize..60,
        by in "[\\PC\n\"'{}\\[\\]=.,#]{0,12}",
    ) {
        survives(&spoilt(include_str!("../../../../../scenarios/unsure-felt.toml"), start, length, &by));
    }

    #[test]
    fn draws_of_any_class_agree_or_are_none(
        class in prop::sample::select(Shelf::built_in().classes().iter().collect::<Vec<_>>()),
        shares in prop::collection::vec(1e-9_f64..1.0, 12),
    ) {
        let text = format!("[[material]]\nclass = \"{}\"\n[[stack]]\nlayers = \"{0}\"\n", class.name);
        let Ok(case) = Case::read(&text, Shelf::built_in()) else { return Ok(()) };
        let material = &case.materials[0];
        let unknowns = material.unknowns();
        let draw: Vec<_> =
            unknowns.iter().zip(&shares).map(|(unknown, &p)| (unknown.input, unknown.quantile(p))).collect();
        let Some(drawn) = material.with_inputs(&draw) else { return Ok(()) };
        prop_assert!(drawn.unknowns().len() + draw.len() >= unknowns.len());
        for (one, value) in &draw {
            prop_assert!(value.is_finite() && *value >= 0.0, "{one:?} {value}");
        }
        if let Structure::Web(web) = &drawn.structure {
            let solid = web.thickness.value.si() * web.solidity.value.fraction() * web.fibre_density.value.si();
            prop_assert!((solid / web.basis_weight.value.si() - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn any_value_under_any_key_is_survived(
        key in prop::sample::select(vec![
            "swatch", "basis_weight", "thickness", "solidity", "fibre_diameter", "fibre_linear_density", "polymer",
            "fibre_density", "air_permeability", "pressure_drop", "surface_charge", "unevenness", "inhomogeneity", "warp", "class",
            "varies",
            "varies.basis_weight", "varies.surface_charge", "hairs", "yarn_width", "yarn_linear_density",
        ]),
        value in prop::sample::select(vec![
            "1", "-1", "0", "nan", "inf", "1e400", "99999999999999999999999", "0xff", "true", "1979-05-27", "[]", "{}",
            "\"\"", "\"-3 um\"", "\"1e308 kg\"", "\"1e-300 um\"", "\"0 g/m2\"", "\"\u{1f9f5}\"", "[[[1]]]", "{ sheets = 0 }",
            "{ median = \"1 um\", gsd = 0 }", "{ mass = \"1 g\", width = \"1 mm\", length = \"1 mm\", sheets = 1000 }",
            "\"0.01 mm/s at 100 kPa\"", "\"1 um\"",
            "{ between = [\"1 um\", \"2 mm\"] }", "{ between = [0, 0.5] }", "{ between = [] }", "{ between = [[1], {}] }",
            "{ about = \"1 mm\", give_or_take = \"1e-300 mm\" }", "{ about = 0.1, give_or_take = 1e300 }",
            "{ about = \"100 g/m2\", give_or_take = \"nan g/m2\" }", "{ about = {}, give_or_take = {}, scale = 1 }",
            "{ median = { between = [\"1 um\", \"2 um\"] }, gsd = 5 }", "{ value = { about = \"1 mm\" }, sheets = 3 }",
            "{ lot = \"99 %\" }", "{ basis_weight = { sheet = -1 } }", "{ mass = { between = [\"1 mg\", \"9 kg\"] } }",
            "\"\"\"\n18 um\"\"\"", "\"1\\u0038 um\"", "\"1.8,0 g\"",
        ]),
        class in prop::sample::select(vec!["needled felt", "sheeting low count", "fleece", "foam", "nothing"]),
    ) {
        survives(&format!("[[material]]\nclass = \"{class}\"\n{key} = {value}\n[[stack]]\nlayers = [\"{class}\"]\n"));
    }
}

#[test]
fn extremes_are_survived() {
    survives("");
    survives("\u{feff}format = 1\r\n[air]\r\ntemperature = \"22\"\r\n");
    survives(&"[".repeat(100_000));
    survives(&format!("a = {}{}", "[".repeat(10_000), "]".repeat(10_000)));
    survives(&format!("a = {}", "{ a = ".repeat(10_000)));
    survives(&"x = 1\n".repeat(10_000));
    survives(&format!("title = \"{}\"", "\u{1f3d6}".repeat(100_000)));
    survives(&format!("{} = 1", "k".repeat(1_000_000)));
    survives(&"[[material]]\nname = \"a\"\n".repeat(500));
}
