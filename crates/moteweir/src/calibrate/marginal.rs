//! One or two unknowns of a material without chains: everything else summed away.
//!
//! Given the unknowns, each channel saw one penetration, and it enters through one number:
//!
//! ```text
//! y = ln(-ln P) = y(unknowns; slope, shift; e),   e = a . u      u: every number of the misfits, standard normal
//! ```
//! with a the slope of y by u. What bends y along other directions than a is of second order in a misfit that hardly
//! changes over a channel, or in how far charge and fibres are off apart; its mean is added. So the sum over the misfits is one over as many numbers as there are
//! penetrations, whose covariance is a a^T, and it is done by a rule that lays its nodes where the density is
//! ([`Adapted`]). What a channel says of its y, with its own unknowns summed away, is a table made once
//! ([`ChannelTable`]); levels of several channels are joined by that of the room, one number more. Slope and shift of the
//! size scale are summed by a fixed rule, drags in closed form.
//!
//! **Where it ends.** More than two unknowns; a channel that was counted through more than one thing; more than
//! [`MOST`] penetrations; a pressure drop over several materials. Those go to the chains.

use moteweir_sim::inference::{
    Adapted, Model, gauss_hermite, ln_of_sum, root_of_covariance, solve_lower, solve_upper,
};
use ndarray::{Array1, Array2};

use super::channel_table::ChannelTable;
use super::discrepancy;
use super::forward::Forward;
use super::sight_nodes::{SightNode, sights};
use super::work::{Work, ln_exponent};

/// Penetrations at the most, channels and points of curves. The sum over the misfits of two and more is there and takes
/// minutes, and its rule has not tails as long as one number's.
pub(super) const MOST: usize = 1;
/// Where y is worked out along each direction, in standard deviations of the misfit.
const BENDS: [f64; 7] = [-6.0, -4.0, -2.0, 0.0, 2.0, 4.0, 6.0];
/// Slopes by differences over this many standard deviations of a number.
const DIFFERENCE: f64 = 0.5;
/// Nodes of the rule of one number on either side, and their spacing: as far as 100 widths.
const REACH: i32 = 18;
const STEP: f64 = 0.3;
/// A misfit that moves y by less than this moves nothing.
const LEAST_DEVIATION: f64 = 1e-9;

/// A penetration that was seen.
#[derive(Clone, Debug)]
struct Seen {
    test: usize,
    by: By,
}

#[derive(Clone, Debug)]
enum By {
    Channel { channel: usize, table: ChannelTable },
    Point { point: usize },
}

/// The likelihood of the unknowns alone.
#[derive(Clone, Debug)]
pub(super) struct Marginal<'a> {
    forward: &'a Forward<'a>,
    latent: Vec<usize>,
    seen: Vec<Seen>,
    sights: Vec<SightNode>,
    /// Nodes along each number of the misfit's root and of the level.
    axis: Vec<(f64, f64)>,
}

/// Room for what is worked out.
#[derive(Clone, Debug)]
pub(super) struct Room {
    work: Work,
    at: Vec<f64>,
}

/// Everything else at given unknowns.
pub(super) struct Given {
    /// By penetration: the slope of y by each latent number, and its length.
    slopes: Array2<f64>,
    deviations: Vec<f64>,
    root: Array2<f64>,
    /// By node of slope and shift.
    pub(super) rules: Vec<Option<Adapted>>,
    /// By node of slope and shift and by penetration: y along its direction.
    bends: Vec<Vec<[f64; BENDS.len()]>>,
    ln_resisted: f64,
    /// Mean and standard deviation of each drag's number.
    pub(super) drags: Vec<(usize, f64, f64)>,
}

impl<'a> Marginal<'a> {
    /// Of a model; `None` where the rule ends.
    pub(super) fn new(forward: &'a Forward<'a>) -> Option<Self> {
        let evidence = &forward.evidence;
        let single = |tests: &Vec<usize>| (tests.len() == 1).then(|| tests[0]);
        let tests: Vec<usize> =
            forward.likelihoods.iter().map(|l| single(&l.tests)).collect::<Option<_>>()?;
        let count = tests.len() + evidence.points.len();
        let fits = (1..=2).contains(&forward.unknowns.all.len())
            && (1..=MOST).contains(&count)
            && evidence.resisted.iter().all(|r| r.sheets.len() == 1);
        if !fits {
            return None;
        }
        let alone = tests.len() == 1;
        let mut seen = Vec::with_capacity(count);
        for (channel, test) in tests.into_iter().enumerate() {
            let table = ChannelTable::new(&forward.likelihoods[channel], test, alone)?;
            seen.push(Seen { test, by: By::Channel { channel, table } });
        }
        let points = evidence.points.iter().enumerate();
        seen.extend(points.map(|(point, p)| Seen { test: p.test, by: By::Point { point } }));
        let fine = count <= 2;
        let dimension = count + usize::from(forward.likelihoods.len() > 1);
        let axis = gauss_hermite([9, 7, 5, 3, 3][dimension - 1]);
        Some(Self { forward, latent: forward.latent(), seen, sights: sights(forward, fine), axis })
    }

    /// Which numbers of the model bend the penetrations.
    pub(super) fn latent(&self) -> &[usize] {
        &self.latent
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
        let (slopes, bent) = self.slopes(at, work);
        let deviations: Vec<f64> =
            slopes.rows().into_iter().map(|a| a.dot(&a).sqrt().max(LEAST_DEVIATION)).collect();
        let root = root_of_covariance(&slopes.dot(&slopes.t()).view())?;
        let bends = self.bends((&slopes, &deviations, &bent), at, work);
        let (ln_resisted, drags) = self.resisted(work);
        let mut given = Given { slopes, deviations, root, rules: Vec::new(), bends, ln_resisted, drags };
        let mut start = self.start();
        for (sight, node) in self.sights.iter().enumerate() {
            let ln_f = |v: &[f64]| self.ln_density(&given, sight, v);
            let mut widths = vec![1.0; start.len()];
            widths[self.seen.len()..].fill(0.3);
            let rule = Adapted::of(ln_f, &start, &widths, &self.axis).map(|rule| {
                let mut rule = if start.len() == 1 { long_tailed(rule, ln_f) } else { rule };
                rule.ln_integral += node.ln_weight;
                rule
            });
            if let Some(rule) = &rule {
                start.clone_from(&rule.centre);
            }
            given.rules.push(rule);
        }
        Some(given)
    }

    /// Numbers of the misfit's root, and the room's level where several channels see it.
    fn start(&self) -> Vec<f64> {
        let mut start = vec![0.0; self.seen.len()];
        let levels: Vec<f64> = self
            .seen
            .iter()
            .filter_map(|s| match &s.by {
                By::Channel { channel, table } => {
                    Some(table.level() - self.sights[self.sights.len() / 2].ln_seen[*channel])
                }
                By::Point { .. } => None,
            })
            .collect();
        if levels.len() > 1 {
            start.push(levels.iter().sum::<f64>() / levels.len() as f64);
        }
        start
    }

    /// The logarithm of the density of the numbers of the misfit's root, and the room's level, at a node of the sight.
    pub(super) fn ln_density(&self, given: &Given, sight: usize, v: &[f64]) -> f64 {
        let count = self.seen.len();
        let prior = -0.5 * v[..count].iter().map(|z| z * z).sum::<f64>();
        let each = (0..count).map(|p| {
            let y = given.y(sight, p, v);
            match &self.seen[p].by {
                By::Channel { table, .. } => table.at(y, self.level(sight, p, v)),
                By::Point { point } => {
                    let point = &self.forward.evidence.points[*point];
                    -0.5 * ((point.ln_p + libm::exp(y)) / point.deviation).powi(2)
                }
            }
        });
        prior + each.sum::<f64>()
    }

    /// The level that the power law of a room gives the channel of a penetration.
    pub(super) fn level(&self, sight: usize, p: usize, v: &[f64]) -> f64 {
        let By::Channel { channel, .. } = &self.seen[p].by else { return 0.0 };
        v.get(self.seen.len()).map_or(0.0, |level| level + self.sights[sight].ln_seen[*channel])
    }

    /// The tables of the channels, by the penetration that each saw.
    pub(super) fn tables(&self) -> impl Iterator<Item = (usize, usize, &ChannelTable)> {
        self.seen.iter().enumerate().filter_map(|(p, s)| match &s.by {
            By::Channel { channel, table } => Some((p, *channel, table)),
            By::Point { .. } => None,
        })
    }

    /// Numbers of slope and shift at a node, and half the distance to the next.
    pub(super) fn sight(&self, sight: usize) -> ([f64; 2], [f64; 2]) {
        (self.sights[sight].numbers, self.sights[sight].about)
    }

    /// y of every penetration as it was worked out, by node of slope and shift.
    fn ys(&self, p: usize, work: &Work) -> Vec<f64> {
        let Seen { test, by } = &self.seen[p];
        let penetrations = &work.penetrations[*test];
        let of = |node: &SightNode| match by {
            By::Channel { channel, .. } => {
                node.weights[*channel].iter().zip(penetrations).map(|(w, p)| w * p).sum()
            }
            By::Point { point } => penetrations[self.forward.size_of_point(*point)],
        };
        self.sights.iter().map(|node| ln_exponent(of(node))).collect()
    }

    /// The slopes of y by the latent numbers, at the middle node of the sight, and the sums of its second derivatives.
    fn slopes(&self, at: &mut [f64], work: &mut Work) -> (Array2<f64>, Vec<f64>) {
        let middle = self.sights.len() / 2;
        let count = self.seen.len();
        let ys = |work: &Work| -> Vec<f64> { (0..count).map(|p| self.ys(p, work)[middle]).collect() };
        let central = ys(work);
        let (mut slopes, mut bent) = (Array2::zeros((count, self.latent.len())), vec![0.0; count]);
        for (k, &number) in self.latent.iter().enumerate() {
            for sign in [1.0, -1.0] {
                at[number] = sign * DIFFERENCE;
                self.forward.bring_up(at, Some(&[number]), work);
                for (p, y) in ys(work).into_iter().enumerate() {
                    slopes[[p, k]] += sign * y / (2.0 * DIFFERENCE);
                    bent[p] += (y - central[p]) / (DIFFERENCE * DIFFERENCE);
                }
            }
            at[number] = 0.0;
            self.forward.bring_up(at, Some(&[number]), work);
        }
        (slopes, bent)
    }

    /// y of each penetration along its direction, by node of the sight, with the mean of what it bends along others.
    fn bends(
        &self,
        (slopes, deviations, bent): (&Array2<f64>, &[f64], &[f64]),
        at: &mut [f64],
        work: &mut Work,
    ) -> Vec<Vec<[f64; BENDS.len()]>> {
        let mut bends = vec![vec![[0.0; BENDS.len()]; self.seen.len()]; self.sights.len()];
        for p in 0..self.seen.len() {
            for (j, bend) in BENDS.iter().enumerate() {
                for (k, &number) in self.latent.iter().enumerate() {
                    at[number] = bend * slopes[[p, k]] / deviations[p];
                }
                self.forward.bring_up(at, Some(&self.latent), work);
                for (of_sight, y) in bends.iter_mut().zip(self.ys(p, work)) {
                    of_sight[p][j] = y;
                }
            }
        }
        let middle = self.sights.len() / 2;
        for p in 0..self.seen.len() {
            let along = &bends[middle][p];
            let step = BENDS[4] - BENDS[3];
            let others = 0.5 * (bent[p] - (along[4] + along[2] - 2.0 * along[3]) / (step * step));
            for of_sight in &mut bends {
                for y in &mut of_sight[p] {
                    *y += others;
                }
            }
        }
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

impl Given {
    /// The logarithm of the likelihood of the unknowns.
    pub(super) fn ln_likelihood(&self) -> f64 {
        let each = self.rules.iter().map(|rule| rule.as_ref().map_or(f64::NEG_INFINITY, |r| r.ln_integral));
        self.ln_resisted + ln_of_sum(each)
    }

    /// y of a penetration at numbers of the root.
    pub(super) fn y(&self, sight: usize, p: usize, v: &[f64]) -> f64 {
        let e: f64 = (0..=p).map(|k| self.root[[p, k]] * v[k]).sum();
        interpolated(&self.bends[sight][p], e / self.deviations[p])
    }

    /// Latent numbers of which the penetrations have the root's numbers `v`, from free ones: a normal draw given them.
    pub(super) fn latent(&self, v: &[f64], free: &[f64]) -> Vec<f64> {
        let free = Array1::from(free.to_vec());
        let count = self.deviations.len();
        let wanted = self.root.dot(&Array1::from(v[..count].to_vec()));
        let missing = wanted - self.slopes.dot(&free);
        let half = solve_lower(&self.root.view(), &missing.view());
        let taken = self.slopes.t().dot(&solve_upper(&self.root.view(), &half.view()));
        (free + taken).to_vec()
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

/// A rule for one number that reaches as far as its prior: readings of unknown dispersion have long tails, which decide
/// where they disagree with what else is known. Nodes at centre + width sinh(t), even in t.
fn long_tailed(rule: Adapted, ln_f: impl Fn(&[f64]) -> f64) -> Adapted {
    let width = rule.root[[0, 0]];
    let nodes: Vec<(Vec<f64>, f64)> = (-REACH..=REACH)
        .map(|i| {
            let t = STEP * f64::from(i);
            let v = vec![rule.centre[0] + width * t.sinh()];
            let ln = ln_f(&v) + (STEP * width * t.cosh()).ln();
            (v, ln)
        })
        .collect();
    let ln_integral = ln_of_sum(nodes.iter().map(|(_, ln)| *ln));
    Adapted { ln_integral, nodes, ..rule }
}

/// Through the values at [`BENDS`], straight on beyond.
fn interpolated(values: &[f64; BENDS.len()], t: f64) -> f64 {
    let n = BENDS.len();
    if t <= BENDS[0] {
        return values[0] + (t - BENDS[0]) * (values[1] - values[0]) / (BENDS[1] - BENDS[0]);
    }
    if t >= BENDS[n - 1] {
        let slope = (values[n - 1] - values[n - 2]) / (BENDS[n - 1] - BENDS[n - 2]);
        return values[n - 1] + (t - BENDS[n - 1]) * slope;
    }
    (0..n)
        .map(|i| {
            let others = (0..n).filter(|j| *j != i);
            values[i] * others.map(|j| (t - BENDS[j]) / (BENDS[i] - BENDS[j])).product::<f64>()
        })
        .sum()
}
