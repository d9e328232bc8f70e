//! The question answered in five sentences: how many layers, how sure, what it costs in breath, what limits it, what to
//! measure next.

use moteweir_units::show;

use super::prediction::{caught_range, pressure};
use super::review::Decisions;
use crate::report::{
    Band, BestLayers, HowMany, HowManyStep, SensitivityReport, TargetReport, WearReport, WornLayers,
};

/// A target that holds in fewer draws than this is out of reach.
const OUT_OF_REACH: f64 = 0.05;
/// What is inhaled is not known where its upper end is more than this many times its lower.
const WIDE: f64 = 3.0;
/// A quantity that makes less than this is hardly worth a measurement.
const MATTERS: f64 = 0.25;
/// What is not known decides where it makes more than this share of the variance.
const DECIDES: f64 = 0.5;

/// What a leak is called.
const GAP: &str = "the gap at the edge";

/// The five sentences; `None` where the scenario asks for no number of layers.
pub(super) fn answer(decisions: Decisions<'_>) -> Option<[String; 5]> {
    let asked = decisions.varied?.how_many.as_ref()?;
    let choice = Choice::of(asked, decisions.worn)?;
    Some([choice.how_many(), choice.how_sure(), choice.breath(), choice.limit(), choice.next()])
}

/// The number of layers that the numbers speak for, and what they say there.
struct Choice<'a> {
    asked: &'a HowMany,
    report: Option<&'a WearReport>,
    step: &'a HowManyStep,
    /// On the face, the way of breathing with which most is inhaled.
    worn: Option<&'a WornLayers>,
    best: Option<&'a BestLayers>,
}

/// What keeps more from being stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Limit {
    Medium,
    Leak,
    Ignorance,
}

impl<'a> Choice<'a> {
    fn of(asked: &'a HowMany, report: Option<&'a WearReport>) -> Option<Self> {
        let protects_most =
            report.and_then(|r| r.best.iter().filter(|b| b.stack == asked.material).min_by_key(|b| b.layers));
        let layers = protects_most.map_or(asked.advised, |b| asked.advised.min(b.layers));
        let step = asked.steps.iter().find(|s| s.layers == layers)?;
        let worn = report.and_then(|r| {
            let here = |w: &&WornLayers| w.stack == asked.material && w.layers == layers;
            let inhaled = |w: &WornLayers| w.total_inward_leakage.central;
            r.layers.iter().filter(here).max_by(|a, b| inhaled(a).total_cmp(&inhaled(b)))
        });
        let best = report
            .zip(worn)
            .and_then(|(r, w)| r.best.iter().find(|b| b.stack == w.stack && b.breathing == w.breathing));
        Some(Self { asked, report, step, worn, best })
    }

    fn layers(&self) -> u32 {
        self.step.layers
    }

    /// `2 layers of "felt" between "sheeting"`.
    fn sewn(&self) -> String {
        let n = self.layers();
        let of = format!("{n} layer{} of \"{}\"", if n == 1 { "" } else { "s" }, self.asked.material);
        if self.asked.between.is_empty() {
            return of;
        }
        let names: Vec<String> = self.asked.between.iter().map(|name| format!("\"{name}\"")).collect();
        format!("{of} between {}", names.join(" and "))
    }

    fn how_many(&self) -> String {
        let asked = self.asked;
        if asked.most_breathable == Some(0) {
            let limit = asked.resistance_limit.as_deref().unwrap_or_default();
            return format!(
                "Not even one layer of \"{}\" stays under {limit}: take more area or another material.",
                asked.material
            );
        }
        let n = self.layers();
        let tried = asked.steps.len();
        let pushes_air_aside = self.best.is_some_and(|b| b.layers == n && (b.layers as usize) < tried);
        let why = if n == asked.last_worthwhile && !is_last(n, tried) && asked.most_breathable != Some(n) {
            format!(
                "one more would stop less than another {} of the worst size",
                show::percent(asked.gain_at_least, 2)
            )
        } else if asked.most_breathable == Some(n) && !is_last(n, tried) {
            format!("one more would pass {}", asked.resistance_limit.as_deref().unwrap_or_default())
        } else if pushes_air_aside {
            "one more would push more past the edge than it stops".to_owned()
        } else {
            "the most that was tried, and each was worth its breath".to_owned()
        };
        format!("Sew {}: {why}.", self.sewn())
    }

    fn how_sure(&self) -> String {
        let (particles, band) = self.particles();
        let stops = caught_range(band.q025, band.q975);
        let inhaled = self.worn.zip(self.report).map(|(worn, report)| {
            let t = &worn.total_inward_leakage;
            let of = if report.particles.starts_with(particles.as_str()) {
                String::new()
            } else {
                format!(" of {}", report.particles)
            };
            let range = share_range(t.q025, t.q975);
            format!(", and on the face {range}{of} is inhaled, at {}", worn.breathing)
        });
        let holds = self.target().map(|target| {
            format!("; the target \"{}\" holds in {} of draws", target.text, percent(target.probability))
        });
        format!(
            "Nineteen times out of twenty the filter then stops {stops} of {particles}{}{}.",
            inhaled.unwrap_or_default(),
            holds.unwrap_or_default()
        )
    }

    fn breath(&self) -> String {
        let s = self.step;
        let heavy = &s.pressure_at_heavy_work_pa;
        let stays = self.asked.resistance_limit.as_ref().map(|limit| {
            match (self.asked.most_breathable, s.under_limit_probability) {
                (Some(0), _) => format!(", more than {limit}"),
                (_, Some(sure)) => format!(", and stays under {limit} in {} of draws", percent(sure)),
                _ => String::new(),
            }
        });
        let hardest = self.worn.map(|worn| {
            format!("; on the face the hardest breath takes {}", pressure(worn.peak_pressure_pa))
        });
        format!(
            "In breath that costs {} at rest, {} at light work and {} at heavy work ({} to {}){}{}.",
            pressure(s.pressure_at_rest_pa.central),
            pressure(s.pressure_at_light_work_pa.central),
            pressure(heavy.central),
            show::number(heavy.q025, 2),
            pressure(heavy.q975),
            stays.unwrap_or_default(),
            hardest.unwrap_or_default(),
        )
    }

    fn limit(&self) -> String {
        let particles = self.particles().0;
        match self.limited_by() {
            Limit::Medium => self.limited_by_medium(&particles),
            Limit::Leak => self.limited_by_leak(),
            Limit::Ignorance => {
                let (low, high) = self.inhaled_ends();
                let of = if self.worn.is_some() { "inhaled" } else { "let through" };
                format!(
                    "What limits it is what nobody has measured: anything between {} and {} may be {of}, depending on {}.",
                    percent(low),
                    percent(high),
                    self.unknowns().1
                )
            }
        }
    }

    fn limited_by_medium(&self, particles: &str) -> String {
        let target = self.target().filter(|t| t.probability < OUT_OF_REACH);
        if let Some(target) = target {
            return format!(
                "What limits it is the medium: sealed all round, it would still let {} of {particles} through, too much for \"{}\".",
                percent(self.sealed()),
                target.text
            );
        }
        match self.worn {
            Some(worn) => format!(
                "What limits it is the medium: of the {} inhaled, only {} comes past the edge.",
                percent(worn.total_inward_leakage.central),
                percent(worn.leak_share_of_flow)
            ),
            None => format!(
                "What limits it is the medium, which lets {} of {particles} through; no leak is stated, and every mask leaks.",
                percent(self.sealed())
            ),
        }
    }

    fn limited_by_leak(&self) -> String {
        let Some(worn) = self.worn else { return String::new() };
        let t = worn.total_inward_leakage.central;
        let halving = self.best.filter(|b| b.layers == self.layers()).and_then(|b| {
            let how = b.halving?;
            Some(format!("; {how} would make it {}", percent(b.with_half_the_leak)))
        });
        format!(
            "What limits it is the leak: of the {} inhaled {} comes past the edge, and sealed all round it would be {}{}.",
            percent(t),
            percent(worn.leak_share_of_flow),
            percent(worn.without_leak_penetration),
            halving.unwrap_or_default()
        )
    }

    fn next(&self) -> String {
        match self.open() {
            Some(open) => {
                let how = open.how.map_or_else(String::new, |how| format!(": {how}"));
                let share = percent(open.share);
                if open.share < MATTERS {
                    return format!(
                        "Next, little that can be measured is left: {} makes {share} of what is open{how}; the rest is many things and what differs from piece to piece.",
                        open.what
                    );
                }
                format!("Next, find out more about {}, which makes {share} of what is open{how}.", open.what)
            }
            None => "Nothing that was left open matters much: sew one and test it on a bench.".to_owned(),
        }
    }

    /// What keeps more from being stopped: the medium where not even a perfect seal reaches the target; else what is not
    /// known, where it leaves the answer wide open and one quantity decides; else whatever lets more in.
    fn limited_by(&self) -> Limit {
        if self.target().is_some_and(|t| t.probability < OUT_OF_REACH) {
            return Limit::Medium;
        }
        let (low, high) = self.inhaled_ends();
        if high > WIDE * low && self.unknowns().0 > DECIDES {
            return Limit::Ignorance;
        }
        match self.worn {
            Some(w) if w.leak_share_of_flow > 0.5 * w.total_inward_leakage.central => Limit::Leak,
            _ => Limit::Medium,
        }
    }

    /// The first target about an efficiency that names no stack.
    fn target(&self) -> Option<&'a TargetReport> {
        self.step.targets.iter().find(|t| t.about == "efficiency")
    }

    /// What the filter is judged by, and what gets through of it: the aerosol of interest, else the worst size.
    fn particles(&self) -> (String, &'a Band) {
        match (&self.asked.aerosol, &self.step.aerosol_penetration) {
            (Some(name), Some(band)) => (name.clone(), band),
            _ => ("the size that gets through most".to_owned(), &self.step.mpps_penetration),
        }
    }

    /// What would be inhaled with a perfect seal.
    fn sealed(&self) -> f64 {
        self.worn.map_or(self.particles().1.central, |w| w.without_leak_penetration)
    }

    fn inhaled_ends(&self) -> (f64, f64) {
        match self.worn {
            Some(w) => (w.total_inward_leakage.q025, w.total_inward_leakage.q975),
            None => (self.particles().1.q025, self.particles().1.q975),
        }
    }

    /// The share of the variance that what is not known makes by itself, and its largest one or two parts in words.
    fn unknowns(&self) -> (f64, String) {
        let by_leak = self.share_of_leak().unwrap_or(0.0);
        let unknown = self.asked.sensitivity.iter().filter(|s| s.kind == "unknown");
        let mut parts: Vec<(f64, String)> =
            unknown.map(|s| ((1.0 - by_leak) * s.first, format!("the {}", s.quantity))).collect();
        if by_leak > 0.0 {
            parts.push((by_leak, GAP.to_owned()));
        }
        parts.sort_by(|a, b| b.0.total_cmp(&a.0));
        let share = parts.iter().map(|p| p.0).sum();
        let told = if parts.first().is_some_and(|p| p.0 > DECIDES) { 1 } else { 2 };
        let names: Vec<String> = parts.into_iter().take(told).map(|p| p.1).collect();
        (share, names.join(" and "))
    }

    /// What leaves most open: the leak, where it spreads what is inhaled more than the filter does, else the quantity
    /// that makes most of the filter's variance.
    fn open(&self) -> Option<Open> {
        let top =
            self.asked.sensitivity.iter().find(|s| s.kind == "unknown").or(self.asked.sensitivity.first());
        let of_filter = |top: &SensitivityReport, share: f64| Open {
            what: format!("the {}", top.quantity),
            how: top.measure,
            share: share * top.first,
        };
        let Some(by_leak) = self.share_of_leak() else { return top.map(|t| of_filter(t, 1.0)) };
        let filter = top.map(|t| of_filter(t, 1.0 - by_leak));
        if filter.as_ref().is_none_or(|f| f.share < by_leak) {
            return Some(Open { what: GAP.to_owned(), how: self.asked.leak_measure, share: by_leak });
        }
        filter
    }

    /// The share of the variance of what is inhaled that is not the filter's: its band against that of the whole.
    fn share_of_leak(&self) -> Option<f64> {
        let worn = self.worn?;
        self.asked.leak_measure?;
        let (low, high) = self.inhaled_ends();
        let band = self.particles().1;
        let of_filter = (band.q975 - band.q025) * (1.0 - worn.leak_share_of_flow) / (high - low);
        (high > low).then(|| (1.0 - of_filter * of_filter).clamp(0.0, 1.0))
    }
}

/// A quantity that leaves much open.
struct Open {
    what: String,
    how: Option<&'static str>,
    share: f64,
}

fn is_last(layers: u32, tried: usize) -> bool {
    layers as usize == tried
}

fn percent(share: f64) -> String {
    show::percent(share.clamp(0.0, 1.0), 2)
}

fn share_range(low: f64, high: f64) -> String {
    let (low, high) = (percent(low), percent(high));
    if low == high { low } else { format!("{} to {high}", low.trim_end_matches(" %")) }
}
