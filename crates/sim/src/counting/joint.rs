//! One model for all readings of a channel.

use super::clock::Clock;
use super::draws::{Draws, Rates};
use super::error::CountingError;
use super::exact::{Bounds, Counted, ratio_interval};
use super::group::{Group, Member};
use super::nuisance::{Priors, Rung, ladder};
use super::readings::{Assumptions, Reading, State, check, check_level};

/// Draws of a fit, enough for a level of 0.95; narrower tails are given more. With four readings, whose tails are the
/// longest, the ends then lie within 1 % of those of ever more draws.
const FEWEST_DRAWS: usize = 8191;
const MOST_DRAWS: usize = 32_749;
/// Draws wanted in each tail.
const IN_A_TAIL: f64 = 200.0;
/// Draws with more than the background that an upper bound needs.
const FEWEST_ABOVE: usize = 400;

/// How an interval was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// The exact conditional interval of a ratio of two Poisson counts.
    Exact,
    /// The joint model of all readings.
    Joint,
}

impl Method {
    /// Its name for tables and files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Exact => "exact conditional",
            Self::Joint => "joint model",
        }
    }
}

/// A penetration with its interval, and what the interval covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Penetration as a fraction. Without counts above the background the low end is 0; the high end may be above 1.
    pub bounds: Bounds,
    /// How it was found.
    pub method: Method,
    /// Nothing came through: the interval has one side only, `high`, and that at half of 1 - level.
    pub nothing_counted: bool,
    /// No state was read twice, so that nothing tells how readings vary: counting noise alone is covered.
    pub covers_counting_only: bool,
    /// How many draws of equal weight the interval rests on; none where it is exact.
    pub effective_draws: Option<f64>,
}

/// All readings of one channel under the model that the module describes.
#[derive(Clone, Debug)]
pub struct Fit {
    groups: Vec<Group>,
    zero: Option<usize>,
    blocked: Option<usize>,
    /// The group of each specimen.
    specimens: Vec<Option<usize>>,
    ladder: Vec<Rung>,
    draws: Option<Draws>,
    has_dispersion: bool,
    has_drift: bool,
}

/// Where the open readings stand among the groups.
const OPEN: usize = 0;

impl Fit {
    /// Fits the readings of one channel with a number of specimens.
    ///
    /// # Errors
    /// Where a reading or an assumption is outside its range, or nothing was counted with the room open.
    pub fn new(
        readings: &[Reading],
        specimens: usize,
        assumptions: Assumptions,
    ) -> Result<Self, CountingError> {
        check(readings, specimens)?;
        assumptions.check()?;
        let clock = Clock::of(readings);
        let mut groups = vec![group(readings, State::Open, &clock).unwrap_or_else(|| Group::new(Vec::new()))];
        let mut add = |state| {
            let found = group(readings, state, &clock)?;
            groups.push(found);
            Some(groups.len() - 1)
        };
        let (zero, blocked) = (add(State::Zero), add(State::Blocked));
        let specimens = (0..specimens).map(|specimen| add(State::Sample(specimen))).collect();
        share_the_room(&mut groups, zero);
        let has_dispersion = assumptions.dispersion_scale > 0.0 && repeats(&groups, zero, blocked);
        let has_drift = assumptions.drift_scale > 0.0 && clock.runs;
        let priors = Priors {
            dispersion_scale: has_dispersion.then_some(assumptions.dispersion_scale),
            drift_scale: has_drift.then_some(assumptions.drift_scale),
        };
        let ladder = ladder(&groups, priors);
        let exact = !has_dispersion && !has_drift && zero.is_none() && blocked.is_none();
        let draws = (!exact).then(|| Draws::new(&groups, &ladder, FEWEST_DRAWS));
        Ok(Self { groups, zero, blocked, specimens, ladder, draws, has_dispersion, has_drift })
    }

    /// Penetration of a specimen with its two-sided interval at a level.
    ///
    /// # Errors
    /// Where the specimen has no reading, or the level is outside its range.
    pub fn penetration(&self, specimen: usize, level: f64) -> Result<Found, CountingError> {
        check_level(level)?;
        let index = self.group_of(specimen)?;
        let nothing_counted = self.groups[index].counts <= 0.0;
        let covers_counting_only = !self.has_dispersion;
        let Some(draws) = &self.draws else {
            let bounds = ratio_interval(self.pooled(index), self.pooled(OPEN), level);
            return Ok(Found {
                bounds,
                method: Method::Exact,
                nothing_counted,
                covers_counting_only,
                effective_draws: None,
            });
        };
        let more = Self::draws_wanted(level).map(|count| Draws::new(&self.groups, &self.ladder, count));
        let draws = more.as_ref().unwrap_or(draws);
        let estimate = self.estimate(index, OPEN);
        let (low, high) = self.ends(draws, index, (1.0 - level) / 2.0);
        let bounds = Bounds { low: low.min(estimate), estimate, high: high.max(estimate) };
        let effective_draws = Some(draws.effective());
        Ok(Found { bounds, method: Method::Joint, nothing_counted, covers_counting_only, effective_draws })
    }

    /// Ratio of the penetration of `a` to that of `b` with its two-sided interval at a level. The open readings are
    /// shared and say nothing beyond drift, dispersion and what is subtracted. Where nothing came through `b` the high end
    /// is infinite.
    ///
    /// # Errors
    /// As [`Fit::penetration`].
    pub fn ratio(&self, a: usize, b: usize, level: f64) -> Result<Bounds, CountingError> {
        check_level(level)?;
        let more = self.draws.is_some().then(|| Self::draws_wanted(level)).flatten();
        let more = more.map(|count| Draws::new(&self.groups, &self.ladder, count));
        self.ratio_from(more.as_ref().or(self.draws.as_ref()), a, b, level)
    }

    /// As [`Fit::ratio`], from given draws.
    pub(crate) fn ratio_from(
        &self,
        draws: Option<&Draws>,
        a: usize,
        b: usize,
        level: f64,
    ) -> Result<Bounds, CountingError> {
        let (a, b) = (self.group_of(a)?, self.group_of(b)?);
        let Some(draws) = draws else {
            return Ok(ratio_interval(self.pooled(a), self.pooled(b), level));
        };
        let tail = (1.0 - level) / 2.0;
        let estimate = self.estimate(a, OPEN) / self.estimate(b, OPEN);
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for subtracted in self.subtracted_both_ways(draws) {
            low = low.min(1.0 / Self::upper_ratio(draws, (b, a), subtracted, 1.0 - tail));
            high = high.max(Self::upper_ratio(draws, (a, b), subtracted, 1.0 - tail));
        }
        let (low, high) =
            if estimate.is_nan() { (low, high) } else { (low.min(estimate), high.max(estimate)) };
        Ok(Bounds { low, estimate, high })
    }

    /// Quantile of the ratio of the net rate of `a`, from above, to that of `b`, from below. Draws with no more than the
    /// background through `a` tell nothing of how it compares; where nearly all are so, nothing is taken off it.
    fn upper_ratio(draws: &Draws, (a, b): (usize, usize), subtracted: Option<&[f64]>, share: f64) -> f64 {
        let (of_a, of_b) = (&draws.rates[a].high, &draws.rates[b].low);
        let off = |draw: usize| subtracted.map_or(0.0, |rates| rates[draw]);
        let kept = (0..draws.weight.len()).filter(|&draw| of_a[draw] > off(draw)).count();
        let above = |draw: usize| {
            let net = of_b[draw] - off(draw);
            if kept < FEWEST_ABOVE {
                quotient(of_a[draw], net)
            } else if of_a[draw] > off(draw) {
                quotient(of_a[draw] - off(draw), net)
            } else {
                f64::NAN
            }
        };
        draws.quantile(above, share)
    }

    /// Coefficient of variation between readings, beyond counting noise; none where no state was read twice.
    pub fn dispersion(&self, level: f64) -> Option<Bounds> {
        let draws = self.draws.as_ref().filter(|_| self.has_dispersion)?;
        Some(three_quantiles(draws, level, |draw| draws.dispersion[draw]))
    }

    /// Logarithm of the room's rate at the last reading over that at the first; none where the room was read open at one
    /// time only.
    pub fn drift(&self, level: f64) -> Option<Bounds> {
        let draws = self.draws.as_ref().filter(|_| self.has_drift)?;
        Some(three_quantiles(draws, level, |draw| draws.drift[draw]))
    }

    /// Counts per exposure in clean air; none without a reading of it.
    pub fn background(&self, level: f64) -> Option<Bounds> {
        let (draws, zero) = (self.draws.as_ref()?, self.zero?);
        let (rates, tail) = (&draws.rates[zero], (1.0 - level) / 2.0);
        Some(Bounds {
            low: draws.quantile(|draw| rates.low[draw], tail),
            estimate: self.most_likely(zero),
            high: draws.quantile(|draw| rates.high[draw], 1.0 - tail),
        })
    }

    /// Share of the room's particles that passes the holder with a foil in it; none without such a reading.
    pub fn leak(&self, level: f64) -> Option<Bounds> {
        let (draws, blocked) = (self.draws.as_ref()?, self.blocked?);
        let tail = (1.0 - level) / 2.0;
        let zero = self.zero.map(|zero| &draws.rates[zero]);
        let (leak, open) = (&draws.rates[blocked], &draws.rates[OPEN]);
        let below = |draw: usize| {
            let clean = zero.map_or(0.0, |rates| rates.high[draw]);
            quotient(leak.low[draw] - clean, open.high[draw] - clean)
        };
        let above = |draw: usize| {
            let clean = zero.map_or(0.0, |rates| rates.low[draw]);
            quotient(leak.high[draw] - clean, open.low[draw] - clean)
        };
        let clean = self.zero.map_or(0.0, |zero| self.most_likely(zero));
        let estimate = quotient(self.most_likely(blocked) - clean, self.most_likely(OPEN) - clean);
        let (low, high) = (draws.quantile(below, tail), draws.quantile(above, 1.0 - tail));
        Some(Bounds { low: low.min(estimate), estimate, high: high.max(estimate) })
    }

    /// Draws for intervals of a level, if more than the fit has.
    fn draws_wanted(level: f64) -> Option<usize> {
        let wanted = (IN_A_TAIL / ((1.0 - level) / 2.0)).min(MOST_DRAWS as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the most")]
        (wanted > FEWEST_DRAWS as f64).then_some(wanted as usize)
    }

    /// Draws for many intervals of a level; none where the intervals are exact.
    pub(crate) fn draws_at(&self, level: f64) -> Option<Draws> {
        let draws = self.draws.as_ref()?;
        Some(
            Self::draws_wanted(level)
                .map_or_else(|| draws.clone(), |count| Draws::new(&self.groups, &self.ladder, count)),
        )
    }

    /// Draws, even where the intervals of a single specimen are exact.
    pub(crate) fn draws_in_any_case(&self, level: f64) -> Draws {
        self.draws_at(level).unwrap_or_else(|| {
            let count = Self::draws_wanted(level).unwrap_or(FEWEST_DRAWS);
            Draws::new(&self.groups, &self.ladder, count)
        })
    }

    /// Point estimate of the penetration of a specimen.
    pub(crate) fn estimate_of(&self, specimen: usize) -> Result<f64, CountingError> {
        Ok(self.estimate(self.group_of(specimen)?, OPEN))
    }

    /// Draws of the penetration of a specimen, from its high or its low rates, with the high or low rates of the room and
    /// of what is subtracted.
    pub(crate) fn net_draws(
        &self,
        draws: &Draws,
        specimen: usize,
        high: bool,
        room_high: bool,
    ) -> Result<Vec<f64>, CountingError> {
        let of =
            |rates: &'_ Rates, high: bool, draw: usize| if high { rates.high[draw] } else { rates.low[draw] };
        let (rates, open) = (&draws.rates[self.group_of(specimen)?], &draws.rates[OPEN]);
        let subtracted = self.blocked.or(self.zero).map(|group| &draws.rates[group]);
        let net = |draw: usize| {
            let off = subtracted.map_or(0.0, |rates| of(rates, !room_high, draw));
            quotient(of(rates, high, draw) - off, of(open, room_high, draw) - off)
        };
        Ok((0..draws.weight.len()).map(net).collect())
    }

    /// The group of a specimen.
    pub(crate) fn group_of(&self, specimen: usize) -> Result<usize, CountingError> {
        let unknown = CountingError::UnknownSpecimen { specimen, specimens: self.specimens.len() };
        let group = self.specimens.get(specimen).ok_or(unknown)?;
        group.ok_or(CountingError::NoSample { specimen })
    }

    /// All readings of a group as one.
    pub(crate) fn pooled(&self, group: usize) -> Counted {
        let members = &self.groups[group];
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sum of whole counts")]
        let counts = members.counts as u64;
        Counted { counts, exposure: members.exposure }
    }

    /// Most likely rate of a group at the reference time, over the dispersions.
    fn most_likely(&self, group: usize) -> f64 {
        if self.groups[group].counts <= 0.0 {
            return 0.0;
        }
        let units = self.ladder.iter().map(|rung| rung.weight * rung.groups[group].at(0.0).0);
        libm::exp(units.sum()) * self.groups[group].counts
    }

    /// Point estimate of the penetration of a group.
    fn estimate(&self, group: usize, open: usize) -> f64 {
        let subtracted = self.blocked.or(self.zero).map_or(0.0, |group| self.most_likely(group));
        quotient(self.most_likely(group) - subtracted, self.most_likely(open) - subtracted)
    }

    /// What is subtracted from the rates of samples and of the open room: what passes the foil, or else what the counter
    /// counts by itself. Of both draws.
    fn subtracted_both_ways<'a>(&self, draws: &'a Draws) -> [Option<&'a [f64]>; 2] {
        match self.blocked.or(self.zero) {
            Some(group) => [Some(&draws.rates[group].low), Some(&draws.rates[group].high)],
            None => [None, None],
        }
    }

    /// Ends of the interval of a penetration.
    fn ends(&self, draws: &Draws, group: usize, tail: f64) -> (f64, f64) {
        let (rates, open) = (&draws.rates[group], &draws.rates[OPEN]);
        let [little, much] = self.subtracted_both_ways(draws);
        let at = |subtracted: Option<&[f64]>, draw: usize| subtracted.map_or(0.0, |rates| rates[draw]);
        let below = |draw: usize| {
            let off = at(much, draw);
            quotient(rates.low[draw] - off, open.high[draw] - off)
        };
        let above = |draw: usize| {
            let off = at(little, draw);
            if rates.high[draw] > off {
                quotient(rates.high[draw] - off, open.low[draw] - off)
            } else {
                f64::NAN
            }
        };
        let kept = (0..draws.weight.len()).filter(|&draw| rates.high[draw] > at(little, draw)).count();
        let high = if kept >= FEWEST_ABOVE {
            draws.quantile(above, 1.0 - tail)
        } else {
            // Far fewer counts than the background alone would give: nothing is subtracted from the upper bound.
            draws.quantile(|draw| quotient(rates.high[draw], open.low[draw]), 1.0 - tail)
        };
        (draws.quantile(below, tail), high)
    }
}

/// The readings of a state, if there are any.
fn group(readings: &[Reading], state: State, clock: &Clock) -> Option<Group> {
    let members: Vec<Member> = readings
        .iter()
        .filter(|reading| reading.state == state)
        .map(|reading| Member {
            counts: reading.counts as f64,
            exposure: reading.exposure,
            position: if state == State::Zero { 0.0 } else { clock.position(reading.time) },
        })
        .collect();
    (!members.is_empty()).then(|| Group::new(members))
}

/// Sets how much of each rate comes from the room and drifts with it.
fn share_the_room(groups: &mut [Group], zero: Option<usize>) {
    let Some(zero) = zero else { return };
    let background = groups[zero].plain_rate();
    for (number, group) in groups.iter_mut().enumerate() {
        let of_background = if group.counts > 0.0 { background / group.plain_rate() } else { 1.0 };
        group.room_share = if number == zero { 0.0 } else { (1.0 - of_background).max(0.0) };
    }
}

/// Whether a state with the room before the counter was read twice.
fn repeats(groups: &[Group], zero: Option<usize>, blocked: Option<usize>) -> bool {
    let of_room =
        groups.iter().enumerate().filter(|(number, _)| Some(*number) != zero && Some(*number) != blocked);
    of_room.map(|(_, group)| group).any(|group| group.members.len() > 1 && group.counts > 0.0)
}

fn three_quantiles(draws: &Draws, level: f64, value: impl Fn(usize) -> f64) -> Bounds {
    let tail = (1.0 - level) / 2.0;
    Bounds {
        low: draws.quantile(&value, tail),
        estimate: draws.quantile(&value, 0.5),
        high: draws.quantile(&value, 1.0 - tail),
    }
}

/// A quotient of two net rates: 0 without particles, infinite without a room.
fn quotient(above: f64, below: f64) -> f64 {
    if above <= 0.0 {
        0.0
    } else if below <= 0.0 {
        f64::INFINITY
    } else {
        above / below
    }
}
