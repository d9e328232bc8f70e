//! Flow through an inhalation, as a sine, a table or steady, and means over it.

use std::f64::consts::{FRAC_PI_2, PI};

use moteweir_units::{Flow, Pressure, Time};

use super::error::BreathingError;
use super::gauss_legendre::gauss_legendre;
use super::work_level::WorkLevel;

/// Nodes over the rising half of a sine; the falling half is its mirror image.
const SINE_NODES: u32 = 24;
/// Nodes between two rows of a table.
const TABLE_NODES: u32 = 3;

/// A flow that stands for a part of an inhalation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Flow inward.
    pub flow: Flow,
    /// Share of the time of inhaling \[-\].
    pub of_time: f64,
    /// Share of the inhaled volume \[-\].
    pub of_volume: f64,
}

/// The flow through an inhalation.
#[derive(Clone, Debug, PartialEq)]
pub struct Inhalation {
    shape: Shape,
    moments: Vec<Moment>,
    minute_volume: Flow,
    peak: Flow,
}

/// How the flow goes with time.
#[derive(Clone, Debug, PartialEq)]
enum Shape {
    HalfSine,
    Steady,
    Rows(Vec<(Time, Flow)>),
}

/// Time of one inhalation where the pace is not known: 20 breaths a minute, half of each inward. Common practice, no source.
pub const USUAL_TIME_OF_INHALING: Time = Time::from_s(1.5);

/// What an inhalation through a resistance takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Pressure drop at the peak flow.
    pub peak: Pressure,
    /// Mean pressure drop over the time of inhaling.
    pub mean: Pressure,
    /// Work of inhaling over the volume inhaled \[J/L\], which is the volume-averaged pressure drop in kPa.
    pub work_j_per_l: f64,
}

impl Inhalation {
    /// Half a sine at a minute volume, as long as the exhalation.
    ///
    /// ```text
    /// Q = pi V sin(pi t/T)        V minute volume, T time of inhaling, half of the breath
    /// ```
    /// Peak pi V, mean 2 V. Source: derived; that breathing is taken as a sine is common practice. People at work had peaks
    /// of 3.1 to 3.2 minute volumes, close to pi, but of 5.9 while speaking (read, no source).
    /// Means over it by 24 Gauss-Legendre nodes in the root of the phase, t = T/2 s^2, in which half powers of the flow are
    /// smooth: the share of a hole rises as 1/sqrt(Q) towards low flow. Powers from -1/2 up are exact to 1e-8, whole and
    /// half ones to 1e-12.
    ///
    /// # Errors
    /// Where the minute volume is not above zero and finite.
    pub fn sine(minute_volume: Flow) -> Result<Self, BreathingError> {
        positive("minute volume", minute_volume)?;
        Ok(Self::half_sine(minute_volume))
    }

    /// The sine of a level of work.
    pub fn at(level: WorkLevel) -> Self {
        Self::half_sine(level.minute_volume())
    }

    fn half_sine(minute_volume: Flow) -> Self {
        let peak = minute_volume * PI;
        let moments = gauss_legendre(SINE_NODES)
            .into_iter()
            .map(|(x, weight)| {
                let sine = (FRAC_PI_2 * x * x).sin();
                let of_time = 2.0 * x * weight;
                Moment { flow: peak * sine, of_time, of_volume: FRAC_PI_2 * of_time * sine }
            })
            .collect();
        Self { shape: Shape::HalfSine, moments, minute_volume, peak }
    }

    /// A steady flow, as of a test bench.
    ///
    /// # Errors
    /// Where the flow is not above zero and finite.
    pub fn steady(flow: Flow) -> Result<Self, BreathingError> {
        positive("flow", flow)?;
        Ok(Self {
            shape: Shape::Steady,
            moments: vec![Moment { flow, of_time: 1.0, of_volume: 1.0 }],
            minute_volume: flow,
            peak: flow,
        })
    }

    /// A table of flow against time, over whole breaths, with straight lines between its rows.
    ///
    /// Inward flow is positive; what is below zero is exhaled and counts for the minute volume only, which is the inhaled
    /// volume over the whole time of the table. Means of polynomials of the flow to degree 4 are exact.
    ///
    /// # Errors
    /// Where the table has fewer than two rows, times do not rise, a number is not finite, or nothing is inhaled.
    pub fn from_table(rows: &[(Time, Flow)]) -> Result<Self, BreathingError> {
        check_table(rows)?;
        let nodes = gauss_legendre(TABLE_NODES);
        // Flow and time [m3/s, s] of each node.
        let mut parts: Vec<(f64, f64)> = Vec::new();
        for pair in rows.windows(2) {
            let ((from, start), (to, end)) = (pair[0], pair[1]);
            let Some((low, high, time)) =
                inward(start.to_m3_per_s(), end.to_m3_per_s(), to.to_s() - from.to_s())
            else {
                continue;
            };
            parts.extend(nodes.iter().map(|(x, weight)| (low + x * (high - low), weight * time)));
        }
        let time: f64 = parts.iter().map(|(_, time)| time).sum();
        let volume: f64 = parts.iter().map(|(flow, time)| flow * time).sum();
        if volume <= 0.0 {
            return Err(BreathingError::NothingInhaled);
        }
        let moments = parts.into_iter().map(|(flow, dt)| Moment {
            flow: Flow::from_m3_per_s(flow),
            of_time: dt / time,
            of_volume: flow * dt / volume,
        });
        let whole = rows[rows.len() - 1].0.to_s() - rows[0].0.to_s();
        Ok(Self {
            shape: Shape::Rows(rows.to_vec()),
            moments: moments.collect(),
            minute_volume: Flow::from_m3_per_s(volume / whole),
            peak: rows.iter().fold(Flow::from_m3_per_s(0.0), |peak, (_, flow)| peak.max(*flow)),
        })
    }

    /// The flows that stand for the inhalation, with their weights.
    pub fn moments(&self) -> &[Moment] {
        &self.moments
    }

    /// The flow through the breath at evenly spaced times from its start, at least two; what is exhaled counts as 0.
    ///
    /// A sine or a steady flow has no pace of its own and is drawn over [`USUAL_TIME_OF_INHALING`]; flows, pressures and
    /// their means do not depend on it. A table keeps its times.
    pub fn course(&self, points: usize) -> Vec<(Time, Flow)> {
        let last = points.max(2) - 1;
        let length = match &self.shape {
            Shape::Rows(rows) => rows[rows.len() - 1].0.to_s() - rows[0].0.to_s(),
            Shape::HalfSine | Shape::Steady => USUAL_TIME_OF_INHALING.to_s(),
        };
        let at = |share: f64| match &self.shape {
            Shape::HalfSine => self.peak * (PI * share).sin().max(0.0),
            Shape::Steady => self.peak,
            Shape::Rows(rows) => between_rows(rows, rows[0].0.to_s() + share * length),
        };
        (0..=last)
            .map(|point| point as f64 / last as f64)
            .map(|share| (Time::from_s(share * length), at(share)))
            .collect()
    }

    /// Whether the flow was given against time.
    pub const fn has_pace(&self) -> bool {
        matches!(self.shape, Shape::Rows(_))
    }

    /// Volume inhaled over the time of the whole breath.
    pub const fn minute_volume(&self) -> Flow {
        self.minute_volume
    }

    /// The highest flow.
    pub const fn peak_flow(&self) -> Flow {
        self.peak
    }

    /// The mean flow over the time of inhaling.
    pub fn mean_flow(&self) -> Flow {
        Flow::from_m3_per_s(self.time_mean(Flow::to_m3_per_s))
    }

    /// The mean over the inhaled volume of a function of the flow: of what comes in with the air.
    pub fn volume_mean(&self, function: impl Fn(Flow) -> f64) -> f64 {
        self.moments.iter().map(|moment| moment.of_volume * function(moment.flow)).sum()
    }

    /// The mean over the time of inhaling of a function of the flow.
    pub fn time_mean(&self, function: impl Fn(Flow) -> f64) -> f64 {
        self.moments.iter().map(|moment| moment.of_time * function(moment.flow)).sum()
    }

    /// Pressures and work of an inhalation through a pressure drop that depends on the flow.
    ///
    /// ```text
    /// W/V = integral of dp dV/V,        1 kPa = 1 J/L
    /// ```
    /// Source: [`crate::refs::ISO_16900_12`], seen in part. Leaves out: the work of exhaling, and of filling the space in the mask.
    pub fn effort(&self, pressure_drop: impl Fn(Flow) -> Pressure) -> Effort {
        Effort {
            peak: pressure_drop(self.peak),
            mean: Pressure::from_pa(self.time_mean(|flow| pressure_drop(flow).to_pa())),
            work_j_per_l: self.volume_mean(|flow| pressure_drop(flow).to_kpa()),
        }
    }
}

/// Inward flow at a time \[s\] within a table.
fn between_rows(rows: &[(Time, Flow)], time: f64) -> Flow {
    let end = rows.partition_point(|(at, _)| at.to_s() < time).clamp(1, rows.len() - 1);
    let ((from, start), (to, stop)) = (rows[end - 1], rows[end]);
    let share = ((time - from.to_s()) / (to.to_s() - from.to_s())).clamp(0.0, 1.0);
    let flow = start.to_m3_per_s() + share * (stop.to_m3_per_s() - start.to_m3_per_s());
    Flow::from_m3_per_s(flow.max(0.0))
}

fn positive(quantity: &'static str, flow: Flow) -> Result<(), BreathingError> {
    let q = flow.to_m3_per_s();
    if q > 0.0 && q.is_finite() { Ok(()) } else { Err(BreathingError::NotPositive { quantity, flow }) }
}

fn check_table(rows: &[(Time, Flow)]) -> Result<(), BreathingError> {
    if rows.len() < 2 {
        return Err(BreathingError::TooShort { rows: rows.len() });
    }
    let finite = |(time, flow): &(Time, Flow)| time.to_s().is_finite() && flow.to_m3_per_s().is_finite();
    if let Some(index) = rows.iter().position(|row| !finite(row)) {
        return Err(BreathingError::NotFinite { row: index + 1 });
    }
    match rows.windows(2).position(|pair| pair[1].0 <= pair[0].0) {
        Some(index) => Err(BreathingError::TimesDoNotRise {
            row: index + 2,
            time: rows[index + 1].0,
            before: rows[index].0,
        }),
        None => Ok(()),
    }
}

/// The part of a straight line of flow that is above zero: its flows at both ends, and its time.
fn inward(start: f64, end: f64, time: f64) -> Option<(f64, f64, f64)> {
    let (low, high) = (start.max(0.0), end.max(0.0));
    let share = if start < 0.0 || end < 0.0 { (high - low).abs() / (end - start).abs() } else { 1.0 };
    (low + high > 0.0).then_some((low, high, time * share))
}

#[cfg(test)]
mod tests {
    use moteweir_units::Area;

    use super::*;
    use crate::air::Air;
    use crate::leak::{LeakLaw, split};

    fn sine() -> Inhalation {
        Inhalation::sine(Flow::from_l_per_min(40.0)).unwrap()
    }

    fn close(what: &str, got: f64, exact: f64, tolerance: f64) {
        assert!((got / exact - 1.0).abs() < tolerance, "{what}: {got}, exact {exact}, tolerance {tolerance}");
    }

    #[test]
    fn peak_and_mean_of_a_sine() {
        assert!((sine().peak_flow().to_l_per_min() - 125.7).abs() < 0.05);
        let thirty = Inhalation::sine(Flow::from_l_per_min(30.0)).unwrap();
        assert!((thirty.peak_flow().to_l_per_min() - 94.2).abs() < 0.05);
        close("mean", sine().mean_flow().to_l_per_min(), 80.0, 1e-13);
        close("time", sine().time_mean(|_| 1.0), 1.0, 1e-13);
        close("volume", sine().volume_mean(|_| 1.0), 1.0, 1e-13);
        assert_eq!(Inhalation::at(WorkLevel::Moderate).minute_volume(), Flow::from_l_per_min(35.0));
    }

    /// Over the volume of a sine the mean of (Q/peak)^n is the integral of sin^(n+1) over a quarter turn,
    /// sqrt(pi)/2 G(1 + n/2)/G(3/2 + n/2), over time that of sin^n by pi/2.
    #[test]
    fn means_of_powers_are_those_of_the_gamma_function() {
        let integral = |power: f64| {
            0.5 * PI.sqrt() * libm::tgamma(0.5 * (power + 1.0)) / libm::tgamma(0.5 * power + 1.0)
        };
        let peak = sine().peak_flow();
        for (power, tolerance) in [
            (-0.5, 1e-12),
            (0.5, 1e-12),
            (1.0, 1e-12),
            (1.5, 1e-12),
            (2.0, 1e-12),
            (3.0, 1e-12),
            (-0.25, 1e-8),
            (0.7, 1e-8),
        ] {
            let of = |flow: Flow| (flow / peak).powf(power);
            close(
                &format!("volume, power {power}"),
                sine().volume_mean(of),
                integral(power + 1.0),
                tolerance,
            );
        }
        for power in [1.0, 2.0, 3.0] {
            let got = sine().time_mean(|flow| (flow / peak).powf(power));
            close(&format!("time, power {power}"), got, integral(power) / FRAC_PI_2, 1e-12);
        }
    }

    #[test]
    fn work_through_a_linear_resistance_is_a_quarter_pi_of_the_peak() {
        let effort = sine().effort(|flow| Pressure::from_pa(1.2 * flow.to_l_per_min()));
        let peak = 1.2 * 40.0 * PI;
        close("peak", effort.peak.to_pa(), peak, 1e-13);
        close("mean", effort.mean.to_pa(), peak * 2.0 / PI, 1e-13);
        close("work", effort.work_j_per_l, peak / 1000.0 * PI / 4.0, 1e-13);
    }

    /// The means that matter: a hole's share of the flow, and the pressure, against a midpoint rule of 20 000 steps.
    #[test]
    fn means_over_a_divided_flow_agree_with_a_fine_sum() {
        let air = Air::reference();
        let filter = |flow: Flow| Pressure::from_pa(100.0 * flow.to_l_per_min() / 85.0);
        for area in [1e-7, 5e-6, 1e-4] {
            let hole = LeakLaw::hole(Area::from_m2(area)).unwrap();
            let at = |flow| split(flow, filter, &hole, &air).unwrap();
            let (mut share, mut work) = (0.0, 0.0);
            for step in 0..20_000 {
                let height = (FRAC_PI_2 * (f64::from(step) + 0.5) / 20_000.0).sin();
                let divided = at(sine().peak_flow() * height);
                let weight = height * FRAC_PI_2 / 20_000.0;
                share += weight * divided.share();
                work += weight * divided.pressure_drop.to_kpa();
            }
            close("share", sine().volume_mean(|flow| at(flow).share()), share, 1e-6);
            close("work", sine().effort(|flow| at(flow).pressure_drop).work_j_per_l, work, 1e-6);
        }
    }

    #[test]
    fn a_steady_flow_is_one_moment() {
        let steady = Inhalation::steady(Flow::from_l_per_min(85.0)).unwrap();
        let effort = steady.effort(|flow| Pressure::from_pa(2.0 * flow.to_l_per_min()));
        close("peak", effort.peak.to_pa(), 170.0, 1e-14);
        close("mean", effort.mean.to_pa(), 170.0, 1e-14);
        close("work", effort.work_j_per_l, 0.170, 1e-14);
    }

    fn table(rows: &[(f64, f64)]) -> Result<Inhalation, BreathingError> {
        let rows: Vec<_> = rows.iter().map(|(t, q)| (Time::from_s(*t), Flow::from_l_per_min(*q))).collect();
        Inhalation::from_table(&rows)
    }

    #[test]
    fn a_table_of_a_whole_breath_counts_what_goes_in() {
        // Up to 60 L/min in 1 s and down through 0 to -60 at 3 s, back to 0 at 4 s: 1 L in, in 4 s.
        let breath = table(&[(0.0, 0.0), (1.0, 60.0), (3.0, -60.0), (4.0, 0.0)]).unwrap();
        close("minute volume", breath.minute_volume().to_l_per_min(), 15.0, 1e-13);
        close("mean", breath.mean_flow().to_l_per_min(), 30.0, 1e-13);
        close("peak", breath.peak_flow().to_l_per_min(), 60.0, 1e-14);
        // A triangle: volume mean of Q is 2/3, of Q^2 1/2 of the peak's.
        close("Q", breath.volume_mean(Flow::to_l_per_min), 40.0, 1e-13);
        close("Q2", breath.volume_mean(|flow| flow.to_l_per_min().powi(2)), 1800.0, 1e-13);
    }

    #[test]
    fn the_course_of_a_breath_has_its_peak_and_its_volume() {
        let rows = sine().course(1001);
        assert_eq!((rows.len(), rows[1000].0), (1001, USUAL_TIME_OF_INHALING));
        assert_eq!(rows[500].1, sine().peak_flow());
        // Of a sine the mean over the time of inhaling is 2/pi of the peak.
        let mean = rows.iter().map(|(_, flow)| flow.to_m3_per_s()).sum::<f64>() / 1000.0;
        close("mean", mean, sine().mean_flow().to_m3_per_s(), 1e-5);
        // Up in 1 s and down through 0 at 2 s: what is exhaled counts as nothing.
        let breath = table(&[(5.0, 0.0), (6.0, 60.0), (8.0, -60.0), (9.0, 0.0)]).unwrap();
        let flows: Vec<f64> = breath.course(9).iter().map(|(_, flow)| flow.to_l_per_min()).collect();
        for (got, exact) in flows.iter().zip([0.0, 30.0, 60.0, 30.0, 0.0, 0.0, 0.0, 0.0, 0.0]) {
            assert!((got - exact).abs() < 1e-9, "{flows:?}");
        }
        let steady = Inhalation::steady(Flow::from_l_per_min(85.0)).unwrap();
        assert!(steady.course(1).iter().all(|(_, flow)| *flow == Flow::from_l_per_min(85.0)));
    }

    #[test]
    fn a_fine_table_of_a_sine_is_the_sine() {
        let rows: Vec<(f64, f64)> =
            (0..=400).map(|i| f64::from(i) / 100.0).map(|t| (t, 40.0 * PI * (FRAC_PI_2 * t).sin())).collect();
        let drop = |flow: Flow| Pressure::from_pa(flow.to_l_per_min() + 0.01 * flow.to_l_per_min().powi(2));
        let (tabled, exact) = (table(&rows).unwrap(), sine());
        // Chords of a sine of 400 rows a breath lie (2 pi/400)^2/12 = 2e-5 of it inside.
        close("minute volume", tabled.minute_volume().to_l_per_min(), 40.0, 4e-5);
        close("work", tabled.effort(drop).work_j_per_l, exact.effort(drop).work_j_per_l, 8e-5);
    }

    #[test]
    fn tables_that_cannot_be_are_refused() {
        let refused = |rows: &[(f64, f64)]| table(rows).unwrap_err().to_string();
        assert_eq!(refused(&[(0.0, 1.0)]), "a table of flow against time needs two rows at least, but has 1");
        assert_eq!(
            refused(&[(0.0, 1.0), (1.0, 2.0), (1.0, 3.0)]),
            "row 3 of a table of flow against time is at 1.0000 s, but the row before is at 1.0000 s: times have to rise"
        );
        assert_eq!(
            refused(&[(0.0, 1.0), (1.0, f64::NAN)]),
            "row 2 of a table of flow against time is no pair of finite numbers"
        );
        assert_eq!(
            refused(&[(0.0, -1.0), (1.0, 0.0)]),
            "no flow in the table is above zero, so that nothing is inhaled; inward flow counts as positive"
        );
        assert_eq!(
            Inhalation::sine(Flow::from_l_per_min(0.0)).unwrap_err().to_string(),
            "the minute volume is 0.000 L/min, but has to be above zero and finite"
        );
    }
}
