//! The grid: rings that thin out towards the surface of contact, and sectors.

use std::f64::consts::PI;

use super::carrier::Diffuser;

/// Rings and sectors of a half cell, the upper one, where the flow and the drifts are symmetric about its axis; of the
/// whole cell where they are not.
///
/// Both are images of an even grid under a smooth map, so that what is of second order there is so here.
/// Radii are held as distances from contact, which keep their digits however thin the rings are.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    /// The radius of contact, in fibre radii.
    pub(super) contact: f64,
    /// Distances of the rings' bounds from contact, from 0 to the cell's edge.
    pub(super) bounds: Vec<f64>,
    /// Distances of the rings' middles from contact.
    pub(super) middles: Vec<f64>,
    /// Angles between sectors, from 0 (behind the fibre) to pi (in front of it), or on to 2 pi.
    pub(super) angles: Vec<f64>,
    /// The sectors' middles.
    pub(super) bearings: Vec<f64>,
    /// Whether the sectors go all round, so that the last borders on the first.
    pub(super) all_round: bool,
}

impl Grid {
    /// A grid that resolves the layer in which the particle diffuses to the fibre.
    ///
    /// ```text
    /// y = l sinh(k x), 0 <= x <= 1: even within the layer's thickness l, in equal ratios beyond
    /// ```
    /// Sectors are even; with a `wake` they are so within that angle behind the fibre and grow from there on. `sectors` is
    /// how many there are in a half cell; a whole cell has twice as many, all even.
    pub(super) fn new(diffuser: &Diffuser, rings: usize, sectors: usize, wake: Option<f64>) -> Self {
        let room = diffuser.cell().largest_interception() - diffuser.interception();
        let layer = diffuser.layer_thickness();
        let stretch = (room / layer).asinh();
        let gap = |half_steps: usize| {
            if half_steps == 2 * rings {
                return room;
            }
            layer * (stretch * half_steps as f64 / (2 * rings) as f64).sinh()
        };
        let all_round = !diffuser.is_symmetric();
        let (sectors, round) = if all_round { (2 * sectors, 2.0 * PI) } else { (sectors, PI) };
        let angle = |half_steps: usize| {
            let share = half_steps as f64 / (2 * sectors) as f64;
            match wake {
                Some(wake) if half_steps < 2 * sectors && !all_round => {
                    wake * (share * (PI / wake).asinh()).sinh()
                }
                _ => round * share,
            }
        };
        Self {
            contact: diffuser.contact_radius(),
            bounds: (0..=rings).map(|i| gap(2 * i)).collect(),
            middles: (0..rings).map(|i| gap(2 * i + 1)).collect(),
            angles: (0..=sectors).map(|j| angle(2 * j)).collect(),
            bearings: (0..sectors).map(|j| angle(2 * j + 1)).collect(),
            all_round,
        }
    }

    pub(super) fn rings(&self) -> usize {
        self.middles.len()
    }

    pub(super) fn sectors(&self) -> usize {
        self.bearings.len()
    }

    /// How many faces between sectors a ring has.
    pub(super) fn sides(&self) -> usize {
        self.sectors() - usize::from(!self.all_round)
    }

    /// The number of a volume: sectors run fastest.
    pub(super) fn number(&self, ring: usize, sector: usize) -> usize {
        ring * self.sectors() + sector
    }

    /// ln(r_2/r_1) of two distances from contact.
    pub(super) fn logarithm(&self, inner: f64, outer: f64) -> f64 {
        ((outer - inner) / (self.contact + inner)).ln_1p()
    }
}
