//! The knots of a misfit: where a material was measured, and what was read there.

use moteweir_sim::inference::Point;

use super::evidence::{CurvePoint, Through};
use super::forward::Forward;

/// Knots of a misfit closer than this in ln d, at one velocity, are one.
const NEAR: f64 = 0.12;
/// A channel in which fewer were counted through a material, all readings together, says little of its penetration.
const TELLING_COUNTS: f64 = 30.0;
/// Velocities of views differ by more than this in their logarithms.
const SAME_VELOCITY: f64 = 1e-6;

/// What a knot of a misfit stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Knot {
    Channel { view: usize, channel: usize },
    Size { view: usize, size: usize },
}

impl Forward<'_> {
    pub(super) fn knots(&self, place: usize) -> Vec<Knot> {
        let material = self.unknowns.materials[place];
        let mut knots: Vec<Knot> = Vec::new();
        let mut add = |knot: Knot| {
            let [x, u] = self.point(knot);
            let near = |known: &Knot| {
                let [y, v] = self.point(*known);
                (u - v).abs() < SAME_VELOCITY && (x - y).abs() < NEAR
            };
            if !knots.iter().any(near) {
                knots.push(knot);
            }
        };
        for (number, test) in self.evidence.tests.iter().enumerate() {
            if !test.sheets.iter().any(|(m, _)| *m == material) {
                continue;
            }
            for (channel, counted) in self.evidence.channels.iter().enumerate() {
                if counted.readings.iter().any(|r| r.through == Through::Test(number)) {
                    add(Knot::Channel { view: test.velocity, channel });
                }
            }
            for (i, _) in self.evidence.points.iter().enumerate().filter(|(_, p)| p.test == number) {
                add(Knot::Size { view: test.velocity, size: self.size_of_point(i) });
            }
        }
        knots.sort_by_key(|knot| !self.tells(place, *knot));
        knots
    }

    /// Whether the readings say much of a material at a knot: enough was counted through it, or a curve was measured.
    pub(super) fn tells(&self, place: usize, knot: Knot) -> bool {
        let Knot::Channel { view, channel } = knot else { return true };
        let material = self.unknowns.materials[place];
        let tests = &self.evidence.tests;
        let through = |through: Through| match through {
            Through::Test(test) => {
                tests[test].velocity == view && tests[test].sheets.iter().any(|(m, _)| *m == material)
            }
            _ => false,
        };
        let counted = self.evidence.channels[channel].readings.iter().filter(|r| through(r.through));
        counted.map(|r| r.counts).sum::<f64>() >= TELLING_COUNTS
    }

    pub(super) fn point(&self, knot: Knot) -> Point {
        match knot {
            Knot::Channel { view, channel } => [self.sight.centre(channel), self.views[view].ln_velocity],
            Knot::Size { view, size } => {
                [self.views[view].sizes[size].to_m().ln(), self.views[view].ln_velocity]
            }
        }
    }

    /// The place of a curve's point among the sizes of its view.
    pub(super) fn size_of_point(&self, point: usize) -> usize {
        let of = |p: &CurvePoint| self.evidence.tests[p.test].velocity;
        let view = of(&self.evidence.points[point]);
        let before = self.evidence.points[..point].iter().filter(|p| of(p) == view).count();
        self.sight.ln_sizes.len() + before
    }

    /// ln of a sheet's exponent about as it was read at a knot: by what was read of the material alone and as it came; half
    /// caught where that says nothing.
    pub(super) fn read_at(&self, place: usize, knot: Knot) -> f64 {
        let material = self.unknowns.materials[place];
        let (mut sum, mut count) = (0.0, 0.0);
        for (number, test) in self.evidence.tests.iter().enumerate() {
            let [(only, times)] = test.sheets[..] else { continue };
            let ln_p = match knot {
                Knot::Channel { view, channel } if view == test.velocity => self.crude_ln_p(channel, number),
                Knot::Size { view, size } if view == test.velocity => {
                    let mut points = self.evidence.points.iter().enumerate();
                    let found = points.find(|(i, p)| p.test == number && self.size_of_point(*i) == size);
                    found.map(|(_, p)| p.ln_p)
                }
                _ => None,
            };
            if only == material && !test.discharged && ln_p.is_some_and(|ln_p| ln_p < 0.0) {
                sum += (-ln_p.unwrap_or(-1.0) / times).ln();
                count += 1.0;
            }
        }
        if count > 0.0 { sum / count } else { std::f64::consts::LN_2.ln() }
    }

    /// ln of all that was counted through a test over all that was counted in the open room, each by its exposure.
    fn crude_ln_p(&self, channel: usize, test: usize) -> Option<f64> {
        let rate = |through: Through| {
            let readings = self.evidence.channels[channel].readings.iter().filter(|r| r.through == through);
            let (counts, exposure) = readings.fold((0.5, 0.0), |s, r| (s.0 + r.counts, s.1 + r.exposure));
            (exposure > 0.0).then_some(counts / exposure)
        };
        Some((rate(Through::Test(test))? / rate(Through::Open)?).ln())
    }
}
