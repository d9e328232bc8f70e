//! One or two unknowns of a material without chains: everything else summed away.
//!
//! Given the unknowns, the channel saw one penetration, and it enters through one number:
//!
//! ```text
//! y = ln(-ln P) = y(unknowns; slope, shift; e),   e = a . u      u: every number of the misfits, standard normal
//! ```
//! with a the slope of y by u. What bends y along other directions than a is of second order in a misfit that hardly
//! changes over a channel, or in how far charge and fibres are off apart; its mean is added. So the sum over the misfits
//! is one over a single standard normal number ([`Misfits`]). What the channel says of y, with its own unknowns summed
//! away, is a table made once ([`ChannelTable`]). Slope and shift of the size scale are summed by a fixed rule, drags in
//! closed form. Without counts drags are all there is.
//!
//! **Where it ends.** More than two unknowns; more than one channel; a channel that was counted through more than one
//! thing, or clean air and a foil too; points of curves; a pressure drop over several materials. Those go to the chains.

use moteweir_sim::inference::{Model, ln_of_sum};

use super::channel_table::ChannelTable;
use super::discrepancy;
use super::forward::Forward;
use super::misfit_sum::{BENDS, Misfits};
use super::sight_nodes::{SightNode, sights};
use super::work::{Work, ln_exponent};

/// Slopes by differences over this many standard deviations of a number.
const DIFFERENCE: f64 = 0.5;
/// A misfit that moves y by less than this moves nothing.
const LEAST_DEVIATION: f64 = 1e-9;

/// The likelihood of the unknowns alone.
#[derive(Clone, Debug)]
pub(super) struct Marginal<'a> {
    forward: &'a Forward<'a>,
    latent: Vec<usize>,
    channel: Option<Channel>,
}

/// What the one channel counted.
#[derive(Clone, Debug)]
struct Channel {
    /// What it counted through.
    test: usize,
    table: ChannelTable,
    sights: Vec<SightNode>,
}

/// Room for what is worked out.
#[derive(Clone, Debug)]
pub(super) struct Room {
    work: Work,
    at: Vec<f64>,
}

/// Everything else at given unknowns.
pub(super) struct Given {
    /// The slope of y by each latent number.
    slopes: Vec<f64>,
    /// By node of slope and shift, with the node's weight in; none without counts.
    pub(super) sums: Vec<Misfits>,
    ln_resisted: f64,
    /// Mean and standard deviation of each drag's number.
    pub(super) drags: Vec<(usize, f64, f64)>,
}

impl<'a> Marginal<'a> {
    /// Of a model; `None` where the rule ends.
    pub(super) fn new(forward: &'a Forward<'a>) -> Option<Self> {
        let evidence = &forward.evidence;
        let fits = (1..=2).contains(&forward.unknowns.all.len())
            && evidence.points.is_empty()
            && evidence.resisted.iter().all(|r| r.sheets.len() == 1);
        if !fits {
            return None;
        }
        let channel = match forward.likelihoods.as_slice() {
            [] => None,
            [likelihood] => {
                let [test] = *likelihood.tests.as_slice() else { return None };
                let table = ChannelTable::new(likelihood, test)?;
                Some(Channel { test, table, sights: sights(forward) })
            }
            _ => return None,
        };
        Some(Self { forward, latent: forward.latent(), channel })
    }

    /// Which numbers of the model bend the penetration.
    pub(super) fn latent(&self) -> &[usize] {
        &self.latent
    }

    /// What the channel says of y; `None` without counts.
    pub(super) fn table(&self) -> Option<&ChannelTable> {
        self.channel.as_ref().map(|channel| &channel.table)
    }

    /// Numbers of slope and shift at a node, and half the distance to the next.
    pub(super) fn sight(&self, sight: usize) -> ([f64; 2], [f64; 2]) {
        let node = self.channel.as_ref().and_then(|channel| channel.sights.get(sight));
        node.map_or(([0.0; 2], [0.0; 2]), |node| (node.numbers, node.about))
    }

    /// Everything else at some unknowns; `None` where no such layer can be.
    pub(super) fn given(&self, unknowns: &[f64], room: &mut Room) -> Option<Given> {
        let Room { work, at } = room;
        at.fill(0.0);
        at[..unknowns.len()].copy_from_slice(unknowns);
        self.forward.bring_up(at, None, work);
        if work.possible.iter().any(|possible| !possible) {
            return None;
        }
        let (ln_resisted, drags) = self.resisted(work);
        let mut given = Given { slopes: vec![0.0; self.latent.len()], sums: Vec::new(), ln_resisted, drags };
        if let Some(channel) = &self.channel {
            let (slopes, bent) = self.slopes(channel, at, work);
            let deviation = slopes.iter().map(|a| a * a).sum::<f64>().sqrt().max(LEAST_DEVIATION);
            let bends = self.bends(channel, (&slopes, deviation, bent), at, work);
            let nodes = bends.into_iter().zip(&channel.sights);
            let sum = |(bend, node): ([f64; BENDS.len()], &SightNode)| {
                Misfits::new(bend, deviation, node.ln_weight, &channel.table)
            };
            given.sums.extend(nodes.map(sum));
            given.slopes = slopes;
        }
        Some(given)
    }

    /// The slopes of y by the latent numbers, at the middle node of the sight, and the sum of its second derivatives.
    fn slopes(&self, channel: &Channel, at: &mut [f64], work: &mut Work) -> (Vec<f64>, f64) {
        let middle = &channel.sights[channel.sights.len() / 2];
        let central = channel.y(middle, work);
        let (mut slopes, mut bent) = (vec![0.0; self.latent.len()], 0.0);
        for (slope, &number) in slopes.iter_mut().zip(&self.latent) {
            for sign in [1.0, -1.0] {
                at[number] = sign * DIFFERENCE;
                self.forward.bring_up(at, Some(&[number]), work);
                let y = channel.y(middle, work);
                *slope += sign * y / (2.0 * DIFFERENCE);
                bent += (y - central) / (DIFFERENCE * DIFFERENCE);
            }
            at[number] = 0.0;
            self.forward.bring_up(at, Some(&[number]), work);
        }
        (slopes, bent)
    }

    /// y along its direction at [`BENDS`], by node of the sight, with the mean of what it bends along others.
    fn bends(
        &self,
        channel: &Channel,
        (slopes, deviation, bent): (&[f64], f64, f64),
        at: &mut [f64],
        work: &mut Work,
    ) -> Vec<[f64; BENDS.len()]> {
        let mut bends = vec![[0.0; BENDS.len()]; channel.sights.len()];
        for (j, bend) in BENDS.iter().enumerate() {
            for (slope, &number) in slopes.iter().zip(&self.latent) {
                at[number] = bend * slope / deviation;
            }
            self.forward.bring_up(at, Some(&self.latent), work);
            for (of_sight, node) in bends.iter_mut().zip(&channel.sights) {
                of_sight[j] = channel.y(node, work);
            }
        }
        let along = &bends[channel.sights.len() / 2];
        let step = BENDS[4] - BENDS[3];
        let others = 0.5 * (bent - (along[4] + along[2] - 2.0 * along[3]) / (step * step));
        bends.iter_mut().flatten().for_each(|y| *y += others);
        bends
    }

    /// The pressure drops with each material's drag summed away, and what they say of its number.
    fn resisted(&self, work: &Work) -> (f64, Vec<(usize, f64, f64)>) {
        let (mut ln, mut drags) = (0.0, Vec::new());
        for (place, number) in self.forward.numbers.drag.iter().enumerate() {
            let Some(number) = number else { continue };
            let (mut precision, mut pull) = (1.0, 0.0);
            for (i, r) in self.forward.evidence.resisted.iter().enumerate() {
                if self.forward.place(r.sheets[0].0) != place {
                    continue;
                }
                let off = r.ln_dp - work.pressure_drops[i][0];
                ln -= 0.5 * (off / r.deviation).powi(2);
                precision += (discrepancy::DRAG / r.deviation).powi(2);
                pull += discrepancy::DRAG * off / r.deviation.powi(2);
            }
            ln += 0.5 * pull * pull / precision - 0.5 * precision.ln();
            drags.push((*number, pull / precision, precision.sqrt().recip()));
        }
        (ln, drags)
    }
}

impl Channel {
    /// y as it was worked out, at a node of slope and shift.
    fn y(&self, node: &SightNode, work: &Work) -> f64 {
        let penetrations = &work.penetrations[self.test];
        ln_exponent(node.weights.iter().zip(penetrations).map(|(w, p)| w * p).sum())
    }
}

impl Given {
    /// The logarithm of the likelihood of the unknowns.
    pub(super) fn ln_likelihood(&self) -> f64 {
        if self.sums.is_empty() {
            return self.ln_resisted;
        }
        self.ln_resisted + ln_of_sum(self.sums.iter().map(|sum| sum.ln_integral))
    }

    /// Latent numbers that have `v` along the slopes, from free ones: a normal draw given it.
    pub(super) fn latent(&self, v: f64, free: &[f64]) -> Vec<f64> {
        let square = self.slopes.iter().map(|a| a * a).sum::<f64>();
        let length = square.sqrt().max(LEAST_DEVIATION);
        let along = self.slopes.iter().zip(free).map(|(a, z)| a * z).sum::<f64>() / length;
        self.slopes.iter().zip(free).map(|(a, z)| z + (v - along) * a / length).collect()
    }
}

impl Model for Marginal<'_> {
    type Known = Room;

    fn dimension(&self) -> usize {
        self.forward.unknowns.all.len()
    }

    fn room(&self) -> Room {
        Room { work: self.forward.empty_work(), at: vec![0.0; self.forward.numbers.len] }
    }

    fn log_likelihood(&self, at: &[f64], _: Option<&[usize]>, room: &mut Room) -> f64 {
        self.given(at, room).map_or(f64::NEG_INFINITY, |given| given.ln_likelihood())
    }
}
