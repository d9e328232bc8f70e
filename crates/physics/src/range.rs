//! The range a relation was made for, and the record of where a run left it.
//!
//! A relation outside its range still answers. Whoever evaluates it notes the excursion in [`Remarks`]; each is
//! said once, with how often and how far. Nothing is clamped in silence.

use crate::refs::Reference;

/// The range of one quantity in which a relation is said to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The relation, as a reader would call it: `fitted diffusion`.
    pub relation: &'static str,
    /// The quantity that is limited: `Peclet number`.
    pub quantity: &'static str,
    /// Lowest value, minus infinity where there is none.
    pub low: f64,
    /// Highest value, infinity where there is none.
    pub high: f64,
    /// Who says so.
    pub source: Reference,
}

impl Range {
    /// Whether a value lies inside, ends included.
    pub fn contains(&self, value: f64) -> bool {
        value >= self.low && value <= self.high
    }
}

/// A statement about a result that is not a range: a bound that was met, a choice that mattered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Notice {
    /// A particle is wider than the gap between fibres: it is sieved, and single-fibre theory ends.
    Sieved,
    /// A single-fibre efficiency was held at all the air of the cell.
    WholeCellSwept,
    /// Interception with impaction was held at its geometric limit 1 + R.
    GeometricLimit,
    /// Upward flow cannot lift the particle to the layer.
    SettlesOut,
    /// The extra drag of very thin fibres is known only between two slip laws.
    SlipLawsDiffer,
    /// The tail of an uneven web decides.
    UnevenTail,
    /// Hairs across the pores of a weave are its main filter, and unknown.
    HairsAcrossPores,
    /// Dry solids may bounce off at the velocities in pores.
    ReboundInPores,
    /// The pores of a weave follow from an assumed flattening of its yarns.
    PoresAssumed,
    /// A measured flow is less than the yarns alone pass.
    PoresClosed,
    /// The pores of a knit are a class's guess.
    KnitGuessed,
}

impl Notice {
    /// Short machine-readable name.
    pub const fn kind(self) -> &'static str {
        match self {
            Self::Sieved => "sieved",
            Self::WholeCellSwept => "whole_cell_swept",
            Self::GeometricLimit => "geometric_limit",
            Self::SettlesOut => "settles_out",
            Self::SlipLawsDiffer => "slip_laws",
            Self::UnevenTail => "uneven_tail",
            Self::HairsAcrossPores => "hairs_across_pores",
            Self::ReboundInPores => "rebound_in_pores",
            Self::PoresAssumed => "pores_assumed",
            Self::PoresClosed => "pores_closed",
            Self::KnitGuessed => "knit_guessed",
        }
    }

    /// The sentence for a reader.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Sieved => {
                "particles wider than the gap between fibres are taken as sieved; single-fibre theory ends there"
            }
            Self::WholeCellSwept => {
                "capture was held at all the air that a fibre's cell carries; finer or more charged fibres gain nothing more here"
            }
            Self::GeometricLimit => "interception with impaction was held at its geometric limit 1 + R",
            Self::SettlesOut => "the upward flow is slower than the particles fall, so none reach the layer",
            Self::SlipLawsDiffer => {
                "fibres thinner than about 1 um: two laws for the slip of air on the fibre differ, and the pressure drop's band carries both"
            }
            Self::UnevenTail => {
                "below a penetration of 0.001 the thinnest spots decide, and the shape of their distribution is not known"
            }
            Self::HairsAcrossPores => {
                "most of what a weave or knit catches may hang on hairs across its pores, whose solidity nobody states; a measured penetration at one size above about 0.7 um settles it"
            }
            Self::ReboundInPores => {
                "at the velocities in the pores dry solid particles may bounce off; the band's high end lets them, the curve is for particles that stick"
            }
            Self::PoresAssumed => {
                "the pores follow from a usual flattening of the yarns, and with it pressure drop and penetration; state an air permeability, else the yarn's width and the thickness"
            }
            Self::PoresClosed => {
                "the measured flow is less than the yarns alone would pass; the pores were taken as closed and the yarns as tighter than stated"
            }
            Self::KnitGuessed => {
                "the pores of a knit follow from a relaxed plain stitch and are a rough guess; state an air permeability"
            }
        }
    }
}

/// One remark on a run, ready to be shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    /// Short machine-readable name: `out_of_range` or that of a [`Notice`].
    pub kind: &'static str,
    /// A sentence with how often and how far.
    pub text: String,
}

#[derive(Clone, Debug, PartialEq)]
struct Excursion {
    range: Range,
    looked_at: u64,
    outside: u64,
    lowest: f64,
    highest: f64,
}

/// Collects remarks over a run; each is said once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Remarks {
    excursions: Vec<Excursion>,
    notices: std::collections::BTreeMap<Notice, u64>,
}

impl Remarks {
    /// Looks at a value, and notes it if it lies outside the range.
    pub fn check(&mut self, range: Range, value: f64) {
        let known = self
            .excursions
            .iter()
            .position(|e| e.range.relation == range.relation && e.range.quantity == range.quantity);
        let index = known.unwrap_or_else(|| {
            self.excursions.push(Excursion {
                range,
                looked_at: 0,
                outside: 0,
                lowest: f64::INFINITY,
                highest: f64::NEG_INFINITY,
            });
            self.excursions.len() - 1
        });
        let entry = &mut self.excursions[index];
        entry.looked_at += 1;
        if !range.contains(value) {
            entry.outside += 1;
            entry.lowest = entry.lowest.min(value);
            entry.highest = entry.highest.max(value);
        }
    }

    /// Notes a notice once more.
    pub fn say(&mut self, notice: Notice) {
        *self.notices.entry(notice).or_insert(0) += 1;
    }

    /// The remarks as sentences, ranges first, in the order in which they were first met.
    pub fn warnings(&self) -> Vec<Warning> {
        let ranges = self
            .excursions
            .iter()
            .filter(|e| e.outside > 0)
            .map(|e| Warning { kind: "out_of_range", text: e.sentence() });
        let notices = self.notices.keys().map(|n| Warning { kind: n.kind(), text: n.text().to_owned() });
        ranges.chain(notices).collect()
    }
}

impl Excursion {
    fn sentence(&self) -> String {
        let Range { relation, quantity, low, high, source } = self.range;
        let made_for = match (low.is_finite(), high.is_finite()) {
            (true, true) => format!("made for {} to {}", short(low), short(high)),
            (true, false) => format!("made for {} and above", short(low)),
            _ => format!("made for {} and below", short(high)),
        };
        let below = (self.lowest < low).then(|| format!("down to {}", short(self.lowest)));
        let above = (self.highest > high).then(|| format!("up to {}", short(self.highest)));
        let far: Vec<String> = [below, above].into_iter().flatten().collect();
        format!(
            "{relation}: {quantity} outside its range in {} of {} evaluations, {} ({made_for}; {})",
            self.outside,
            self.looked_at,
            far.join(" and "),
            source.short
        )
    }
}

/// Two significant digits, as far as a range needs them.
fn short(value: f64) -> String {
    let magnitude = value.abs();
    let decimals = match magnitude {
        m if m == 0.0 || m >= 10.0 => 0,
        m if m >= 1.0 => 1,
        m if m >= 0.1 => 2,
        m if m >= 0.01 => 3,
        _ => 4,
    };
    if magnitude != 0.0 && !(1e-3..1e5).contains(&magnitude) {
        return format!("{value:.1e}");
    }
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refs;

    const PECLET: Range = Range {
        relation: "fitted diffusion",
        quantity: "Peclet number",
        low: 100.0,
        high: f64::INFINITY,
        source: refs::LEE_LIU_1982,
    };

    #[test]
    fn an_excursion_is_said_once_with_how_often_and_how_far() {
        let mut remarks = Remarks::default();
        for value in [1e4, 50.0, 3.1234, 100.0] {
            remarks.check(PECLET, value);
        }
        let warnings = remarks.warnings();
        assert_eq!(warnings.len(), 1);
        assert_eq!(
            warnings[0].text,
            "fitted diffusion: Peclet number outside its range in 2 of 4 evaluations, down to 3.1 (made for 100 and above; Lee and Liu 1982)"
        );
    }

    #[test]
    fn nothing_is_said_inside_the_range() {
        let mut remarks = Remarks::default();
        remarks.check(PECLET, 100.0);
        assert!(remarks.warnings().is_empty());
    }
}
