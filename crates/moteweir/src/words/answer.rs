//! The question answered in five sentences: how many layers, how sure, what it costs in breath, what limits it, what to
//! measure next.

use moteweir_units::show;

use super::prediction::{caught_range, pressure};
use super::review::Decisions;
use crate::report::{
    Band, BestLayers, HowMany, HowManyStep, OpenShare, SensitivityReport, TargetReport, WearReport,
    WornLayers,
};

/// A target that holds in fewer draws than this is out of reach.
const OUT_OF_REACH: f64 = 0.05;
/// What is inhaled is not known where its upper end is more than this many times its lower.
const WIDE: f64 = 3.0;
/// A quantity that makes less than this is hardly worth a measurement.
const MATTERS: f64 = 0.25;
/// What is not known decides where it makes more than this share of the variance.
const DECIDES: f64 = 0.5;

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
            format!("one more would take more than {}", asked.resistance_limit.as_deref().unwrap_or_default())
        } else if pushes_air_aside {
            "one more would push more past the edge than it stops".to_owned()
        } else {
            "the most that was tried, and each was worth its breath".to_owned()
        };
        format!("Sew {}: {why}{}.", self.sewn(), self.on_the_face())
    }

    /// Where another number of layers would leave less inhaled: that it would, and by how much.
    fn on_the_face(&self) -> String {
        let (Some(best), Some(worn)) = (self.best, self.worn) else { return String::new() };
        let here = percent(worn.total_inward_leakage.central);
        if best.layers == self.layers() || percent(best.total_inward_leakage) == here {
            return String::new();
        }
        format!(
            "; with this leak {} layer{} would leave {} inhaled, against {here}",
            best.layers,
            if best.layers == 1 { "" } else { "s" },
            percent(best.total_inward_leakage)
        )
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
            format!(
                "; on the face the pressure peaks at {} at {}",
                pressure(worn.peak_pressure_pa),
                worn.breathing
            )
        });
        format!(
            "At the mean flow of inhaling that costs {} at rest, {} at light work and {} at heavy work ({} to {} there){}{}.",
            pressure(s.pressure_at_rest_pa.q50),
            pressure(s.pressure_at_light_work_pa.q50),
            pressure(heavy.q50),
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
        let open = self.open();
        let Some(most) = open.iter().find(|o| o.is_unknown).or(open.first()) else {
            return "Nothing that was left open matters much: sew one and test it on a bench.".to_owned();
        };
        let how = most.how.map_or_else(String::new, |how| format!(": {how}"));
        let share = format!("{} of what is open{}", percent(most.share), self.basis());
        if most.share < MATTERS {
            return format!(
                "Next, little that can be measured is left: {} makes {share}{how}; the rest is many things and what differs from piece to piece.",
                most.what
            );
        }
        format!("Next, find out more about {}, which makes {share}{how}.", most.what)
    }

    /// What a share of what is open is: of the variance of what the filter lets through, or a rank correlation with what
    /// is inhaled.
    fn basis(&self) -> &'static str {
        match self.worn {
            Some(worn) if !worn.open.is_empty() => {
                " about what is inhaled (squared rank correlation over the draws)"
            }
            _ => "",
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
        self.worn.map_or(self.particles().1.q50, |w| w.without_leak_penetration)
    }

    fn inhaled_ends(&self) -> (f64, f64) {
        match self.worn {
            Some(w) => (w.total_inward_leakage.q025, w.total_inward_leakage.q975),
            None => (self.particles().1.q025, self.particles().1.q975),
        }
    }

    /// The share of what is open that what is not known makes, and its largest one or two parts in words.
    fn unknowns(&self) -> (f64, String) {
        let parts: Vec<Open> = self.open().into_iter().filter(|o| o.is_unknown).collect();
        let share = parts.iter().map(|p| p.share).sum();
        let told = if parts.first().is_some_and(|p| p.share > DECIDES) { 1 } else { 2 };
        let names: Vec<String> = parts.into_iter().take(told).map(|p| p.what).collect();
        (share, names.join(" and "))
    }

    /// What leaves open how much is inhaled, leak and materials alike; where nothing is worn, or too few draws were made,
    /// how much the filter lets through. The largest part first.
    fn open(&self) -> Vec<Open> {
        let of_breath = self.worn.map_or(&[][..], |worn| &worn.open[..]);
        if !of_breath.is_empty() {
            let of = |open: &OpenShare| Open {
                what: format!("the {}", open.quantity),
                how: open.measure,
                share: open.rank_correlation_squared,
                is_unknown: open.kind != "varies",
            };
            return of_breath.iter().map(of).collect();
        }
        let of = |s: &SensitivityReport| Open {
            what: format!("the {}", s.quantity),
            how: s.measure,
            share: s.first,
            is_unknown: s.kind == "unknown",
        };
        self.asked.sensitivity.iter().map(of).collect()
    }
}

/// A quantity that leaves much open.
struct Open {
    what: String,
    how: Option<&'static str>,
    share: f64,
    /// Whether it is a number that could be known, not what differs from piece to piece.
    is_unknown: bool,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{InwardLeakage, VARIATION_FORMAT, VariationReport, WEAR_FORMAT};

    /// Up to three layers that let 40, 20 and 10 % through, give or take a factor.
    fn asked(factor: f64, target: f64, alone: f64) -> HowMany {
        let band = |central: f64, factor: f64| Band {
            central,
            q025: central / factor,
            q50: central,
            q975: central * factor,
        };
        let step = |layers: u32| {
            let through = 0.8 * 0.5_f64.powf(f64::from(layers));
            let drop = band(30.0 * f64::from(layers), 1.1);
            HowManyStep {
                layers,
                mpps_penetration: band(through, factor),
                penetration_300_nm: band(through, factor),
                penetration_1_um: band(through, factor),
                aerosol_penetration: None,
                pressure_drop_pa: drop,
                pressure_at_rest_pa: drop,
                pressure_at_light_work_pa: drop,
                pressure_at_heavy_work_pa: drop,
                under_limit_probability: Some(0.9),
                targets: vec![TargetReport {
                    text: "at least 80 %".to_owned(),
                    about: "efficiency",
                    probability: target,
                    standard_error: 0.01,
                }],
            }
        };
        HowMany {
            material: "felt".to_owned(),
            between: vec!["sheeting".to_owned()],
            draws: 400,
            aerosol: None,
            resistance_limit: Some("100 Pa at 85 L/min".to_owned()),
            gain_at_least: 0.05,
            most_breathable: Some(3),
            most_breathable_probability: Some(0.9),
            last_worthwhile: 2,
            advised: 2,
            steps: (1..=3).map(step).collect(),
            sensitivity: vec![SensitivityReport {
                target: "at least 80 %".to_owned(),
                quantity: "fibre diameter of felt".to_owned(),
                kind: "unknown",
                measure: Some("measure air permeability or pressure drop"),
                first: alone,
                total: alone,
                total_standard_error: 0.01,
            }],
        }
    }

    /// Two layers on a face: so much of what is inhaled comes past the edge.
    fn worn(leak: f64, factor: f64) -> WearReport {
        let central = leak + 0.2 * (1.0 - leak);
        WearReport {
            format: WEAR_FORMAT,
            title: String::new(),
            seed: 1,
            draws: 400,
            ending: "counted",
            particles: "0.3 um (mobility)".to_owned(),
            leak: "a slit".to_owned(),
            pressure_limit: None,
            layers: vec![WornLayers {
                stack: "felt".to_owned(),
                breathing: "light work".to_owned(),
                layers: 2,
                total_inward_leakage: InwardLeakage {
                    q025: central / factor,
                    q50: central,
                    q975: (central * factor).min(1.0),
                    central,
                },
                filter_penetration: 0.2,
                leak_share_of_flow: leak,
                peak_flow_m3_per_s: 1e-3,
                peak_pressure_pa: 80.0,
                mean_pressure_pa: 50.0,
                work_j_per_l: 0.05,
                without_leak_penetration: 0.2,
                without_leak_peak_pressure_pa: 90.0,
                open: Vec::new(),
                diameter_m: Vec::new(),
                total_inward_leakage_by_size: Vec::new(),
                breath: crate::report::BreathCourse::default(),
            }],
            best: Vec::new(),
            warnings: Vec::new(),
            assumed: Vec::new(),
        }
    }

    #[track_caller]
    fn limit(asked: &HowMany, worn: Option<&WearReport>) -> Limit {
        Choice::of(asked, worn).expect("two layers were tried").limited_by()
    }

    #[test]
    fn what_limits_it_follows_from_the_numbers() {
        // Even sealed the target is out of reach, whatever leaks.
        assert_eq!(limit(&asked(1.1, 0.0, 0.9), Some(&worn(0.3, 1.1))), Limit::Medium);
        // In reach, known well: the larger of the two ways in.
        assert_eq!(limit(&asked(1.1, 0.9, 0.9), Some(&worn(0.3, 1.1))), Limit::Leak);
        assert_eq!(limit(&asked(1.1, 0.9, 0.9), Some(&worn(0.02, 1.1))), Limit::Medium);
        // In reach, a factor of 4 open, and one unknown makes most of it; or many things do.
        assert_eq!(limit(&asked(2.0, 0.6, 0.9), Some(&worn(0.3, 2.0))), Limit::Ignorance);
        assert_eq!(limit(&asked(2.0, 0.6, 0.1), Some(&worn(0.3, 2.0))), Limit::Leak);
        assert_eq!(limit(&asked(2.0, 0.6, 0.9), None), Limit::Ignorance);
    }

    #[test]
    fn five_sentences_say_what_to_sew_and_why() {
        let varied = VariationReport {
            format: VARIATION_FORMAT,
            title: String::new(),
            seed: 1,
            stacks: Vec::new(),
            how_many: Some(asked(1.1, 0.9, 0.9)),
            warnings: Vec::new(),
            assumed: Vec::new(),
        };
        let worn = worn(0.3, 1.1);
        let decisions = Decisions { calibrated: None, varied: Some(&varied), worn: Some(&worn) };
        let [how_many, how_sure, breath, limit, next] = answer(decisions).expect("it is asked");
        assert_eq!(
            how_many,
            "Sew 2 layers of \"felt\" between \"sheeting\": one more would stop less than another 5.0 % of the worst size."
        );
        assert!(how_sure.contains("stops 78 to 82 %"), "{how_sure}");
        assert!(breath.ends_with("; on the face the pressure peaks at 80 Pa at light work."), "{breath}");
        assert!(breath.contains("60 Pa at rest") && breath.contains("in 90 % of draws"), "{breath}");
        assert_eq!(
            limit,
            "What limits it is the leak: of the 44 % inhaled 30 % comes past the edge, and sealed all round it would be 20 %."
        );
        assert!(
            next.starts_with("Next, find out more about the fibre diameter of felt, which makes 90 %"),
            "{next}"
        );
        assert!(answer(Decisions::default()).is_none());
    }

    #[test]
    fn a_leak_that_leaves_most_open_is_what_to_measure() {
        let open = |quantity: &str, kind: &'static str, share: f64| OpenShare {
            quantity: quantity.to_owned(),
            kind,
            measure: Some("measure the gap or a fit factor"),
            rank_correlation_squared: share,
        };
        let mut report = worn(0.3, 2.0);
        report.layers[0].open = vec![
            open("gap of the leak", "leak", 0.8),
            open("basis weight of felt", "varies", 0.1),
            open("fibre diameter of felt", "unknown", 0.05),
        ];
        let asked = asked(2.0, 0.6, 0.9);
        let choice = Choice::of(&asked, Some(&report)).expect("two layers were tried");
        assert_eq!(choice.limited_by(), Limit::Ignorance);
        assert!(choice.limit().ends_with("depending on the gap of the leak."), "{}", choice.limit());
        assert_eq!(
            choice.next(),
            "Next, find out more about the gap of the leak, which makes 80 % of what is open about what is inhaled (squared rank correlation over the draws): measure the gap or a fit factor."
        );
        // Pieces that differ cannot be measured away.
        report.layers[0].open[0].kind = "varies";
        let choice = Choice::of(&asked, Some(&report)).expect("two layers were tried");
        assert_eq!(choice.limited_by(), Limit::Leak);
        assert!(
            choice.next().starts_with("Next, little that can be measured is left: the fibre"),
            "{}",
            choice.next()
        );
    }
}
