//! The summary of a design review, in Markdown.

use moteweir_units::show;

use super::answer::answer;
use super::assumed::assumed_table;
use super::calibrate::calibration_sentences;
use super::effort::RESPIRATOR_LIMIT_PA;
use super::measured::{measured_chapter, measured_sentence};
use super::prediction::{
    UNTITLED, caught, caught_range, comparison, hazards, heading, is_breath, lead, pressure, size, velocity,
};
use super::table::{Align, Table};
use super::vary::{breath_table, layers_sentence, layers_table as question_table, sentences};
use super::wear::wear_sentences;
use super::{CAUTION, WIDTH, wrapped};
use crate::report::{CalibrationReport, LayerSweep, Review, VariationReport, WearReport};

/// A layer more is worth its breath while it takes at least this share of what still gets through at the worst size.
const WORTH_ANOTHER_LAYER: f64 = 0.05;

/// What each of the five sentences is about.
const ANSWERS: [&str; 5] = ["How many", "How sure", "In breath", "The limit", "Next"];

/// Stands between what was measured and what was not.
const BEFORE_THE_BENCH: &str =
    "What follows is from the scenario alone, without the bench: it holds for what the bench did not see.";

/// What a review adds to its predictions where the scenario has the inputs: a calibration to a bench, draws of whole
/// stacks, a leaking face.
#[derive(Clone, Copy, Debug, Default)]
pub struct Decisions<'a> {
    /// The model after what was measured.
    pub calibrated: Option<&'a CalibrationReport>,
    /// Draws of whole stacks.
    pub varied: Option<&'a VariationReport>,
    /// A filter on a leaking face.
    pub worn: Option<&'a WearReport>,
}

impl Decisions<'_> {
    /// What the bench says, a sentence or two each; it leads, for nothing else here was measured.
    fn bench(&self) -> Vec<String> {
        let Some(report) = self.calibrated else { return Vec::new() };
        let mut sentences = calibration_sentences(report);
        if self.varied.is_some() || self.worn.is_some() {
            sentences.push(BEFORE_THE_BENCH.to_owned());
        }
        sentences
    }

    /// How many layers, how sure, what limits it, what to measure next: a sentence or two each.
    fn sentences(&self) -> Vec<String> {
        let mut parts = Vec::new();
        if let Some(worn) = self.worn {
            parts.extend(wear_sentences(worn));
        }
        if let Some(varied) = self.varied {
            parts.extend(varied.how_many.as_ref().map(layers_sentence));
            parts.extend(varied.stacks.iter().map(sentences));
        }
        parts
    }
}

/// The summary: what each stack does, what more layers buy, cautions.
pub fn review(review: &Review, decisions: Decisions<'_>, figures: &[(String, String)]) -> String {
    let p = &review.prediction;
    let title = if p.title == UNTITLED { "Review" } else { &p.title };
    let mut parts = vec![format!("# {title}")];
    parts.extend(decisions.bench());
    parts.extend(answer(decisions).map(|five| {
        let lines = ANSWERS.iter().zip(&five).map(|(what, text)| format!("- **{what}.** {text}"));
        lines.collect::<Vec<_>>().join("\n")
    }));
    parts.extend(comparison(p));
    parts.extend(p.stacks.iter().map(lead));
    let decided = decisions.sentences();
    if !decided.is_empty() {
        parts.push("## How many, and how sure".to_owned());
        parts.extend(decided);
    }
    if let Some(asked) = decisions.varied.and_then(|varied| varied.how_many.as_ref()) {
        parts.extend([question_table(asked).markdown(), breath_table(asked).markdown()]);
    }
    parts.extend(measured_chapter(&p.measured));
    parts.push("## What another layer buys".to_owned());
    parts.extend(review.layers.iter().map(|sweep| advice(sweep, breathes(review))));
    parts.push(layers_table(&review.layers).markdown());
    if !figures.is_empty() {
        parts.push("## Figures".to_owned());
        parts.extend(figures.iter().map(|(file, caption)| format!("![{caption}]({file})\n\n{caption}")));
    }
    if !p.assumed.is_empty() {
        parts.push("## Not given, and taken as".to_owned());
        parts.push(assumed_table(&p.assumed).markdown());
    }
    parts.push("## Careful".to_owned());
    let mut careful: Vec<String> = p.warnings.iter().map(|w| format!("- {}", w.text)).collect();
    careful.extend(hazards(p).iter().map(|line| format!("- {line}")));
    if let Some(calibrated) = decisions.calibrated {
        let said = |text: &String| !p.warnings.iter().any(|w| w.text == *text);
        let bench = calibrated.cannot_tell.iter().chain(calibrated.warnings.iter().map(|w| &w.text));
        careful.extend(bench.filter(|text| said(text)).map(|text| format!("- Bench: {text}")));
    }
    careful.push(format!("- {CAUTION}"));
    parts.push(careful.join("\n"));
    parts.push("## Sources".to_owned());
    parts.push(p.sources.iter().map(|s| format!("- {s}")).collect::<Vec<_>>().join("\n"));
    let mut text = parts.join("\n\n");
    text.push('\n');
    text
}

/// The summary's first part for a terminal: what each stack does and what more layers buy.
pub fn review_screen(review: &Review, decisions: Decisions<'_>) -> String {
    let plain = |text: String| wrapped(&text.replace("**", ""), "", WIDTH);
    let mut parts = heading(&review.prediction);
    let answer = answer(decisions);
    let has_answer = answer.is_some();
    if let Some(five) = answer {
        let lines = five.iter().map(|text| wrapped(&format!("- {text}"), "", WIDTH)).collect::<Vec<_>>();
        let below_title = usize::from(review.prediction.title != UNTITLED).min(parts.len());
        parts.insert(below_title, lines.join("\n"));
    }
    let below_title = usize::from(review.prediction.title != UNTITLED).min(parts.len());
    for sentence in decisions.bench().into_iter().rev() {
        parts.insert(below_title, plain(sentence));
    }
    parts.extend(review.prediction.stacks.iter().map(|stack| plain(lead(stack))));
    parts.extend(review.prediction.measured.iter().map(measured_sentence).map(plain));
    if !has_answer {
        parts.extend(decisions.sentences().into_iter().map(plain));
    }
    parts.extend(review.layers.iter().map(|sweep| plain(advice(sweep, breathes(review)))));
    parts.push(wrapped(CAUTION, "", WIDTH));
    parts.join("\n\n")
}

/// One sentence on how many layers of a material make sense.
fn advice(sweep: &LayerSweep, breath: bool) -> String {
    let most = if breath {
        sweep.steps.iter().take_while(|s| s.pressure_drop_pa <= RESPIRATOR_LIMIT_PA).last()
    } else {
        sweep.steps.last()
    };
    let (Some(one), Some(most)) = (sweep.steps.first(), most) else {
        let first = sweep.steps.first().map_or(f64::NAN, |s| s.pressure_drop_pa);
        return format!(
            "**{}**: one layer alone costs {} at {}, more than the {RESPIRATOR_LIMIT_PA} Pa that a respirator may have at 85 L/min.",
            sweep.material,
            pressure(first),
            velocity(sweep.face_velocity_m_per_s)
        );
    };
    let all = u32::try_from(sweep.steps.len()).is_ok_and(|n| most.layers == n);
    let limit = match (breath, all) {
        (false, _) => String::new(),
        (true, true) => {
            format!(", still under the {RESPIRATOR_LIMIT_PA} Pa that a respirator may have at 85 L/min")
        }
        (true, false) => format!(
            "; a layer more would pass the {RESPIRATOR_LIMIT_PA} Pa that a respirator may have at 85 L/min"
        ),
    };
    let slow = 1.0 - one.mpps_penetration < WORTH_ANOTHER_LAYER;
    let each = if slow { "; each layer takes so little that another material is the better buy" } else { "" };
    format!(
        "**{}** at {}: one layer catches {} at its worst size ({}), {} layer{} {} ({}) for {}{limit}{each}.",
        sweep.material,
        velocity(sweep.face_velocity_m_per_s),
        caught(one.mpps_penetration),
        size(one.mpps_m),
        most.layers,
        plural(most.layers),
        caught(most.mpps_penetration),
        caught_range(most.mpps_penetration_low, most.mpps_penetration_high),
        pressure(most.pressure_drop_pa),
    )
}

/// Whether the review is about something that people breathe through.
fn breathes(review: &Review) -> bool {
    review.prediction.stacks.iter().all(|s| is_breath(&s.breathing))
}

fn plural(count: u32) -> &'static str {
    if count == 1 { "" } else { "s" }
}

fn layers_table(sweeps: &[LayerSweep]) -> Table {
    let mut table = Table::new(&[
        ("material", Align::Left),
        ("layers", Align::Right),
        ("worst size", Align::Right),
        ("caught there", Align::Right),
        ("range", Align::Left),
        ("at 0.3 um", Align::Right),
        ("at 1 um", Align::Right),
        ("pressure drop", Align::Right),
        ("resistance", Align::Right),
        ("quality there", Align::Right),
    ]);
    for sweep in sweeps {
        for step in &sweep.steps {
            table.row([
                sweep.material.clone(),
                step.layers.to_string(),
                size(step.mpps_m),
                caught(step.mpps_penetration),
                caught_range(step.mpps_penetration_low, step.mpps_penetration_high),
                caught(step.penetration_300_nm),
                caught(step.penetration_1_um),
                pressure(step.pressure_drop_pa),
                format!("{} Pa s/m", show::number(step.resistance_pa_s_per_m, 2)),
                format!("{} /kPa", show::number(step.mpps_quality_factor_per_pa * 1e3, 2)),
            ]);
        }
    }
    table
}
