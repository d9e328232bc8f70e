//! Adaptive Metropolis proposals: normal steps of the shape that the chain has seen ([`moteweir_physics::refs::HAARIO_2001`]).

use ndarray::Array2;

use super::cholesky::cholesky;
use crate::random::Stream;

/// Share of the steps that are small and round whatever was learnt: the chain cannot lock itself in.
const ROUND: f64 = 0.05;
/// Size of those, of the prior's standard deviation, over the root of the dimension.
const ROUND_SIZE: f64 = 0.1;

/// A proposal for a block of numbers.
#[derive(Clone, Debug)]
pub(super) struct Proposal {
    dimension: usize,
    root: Array2<f64>,
    log_scale: f64,
    steps: f64,
    seen: Moments,
}

/// Running mean and covariance.
#[derive(Clone, Debug)]
struct Moments {
    count: f64,
    mean: Vec<f64>,
    square: Array2<f64>,
}

impl Moments {
    fn new(dimension: usize) -> Self {
        Self { count: 0.0, mean: vec![0.0; dimension], square: Array2::zeros((dimension, dimension)) }
    }

    fn add(&mut self, x: impl Iterator<Item = f64>) {
        self.count += 1.0;
        let before: Vec<f64> = x.zip(&self.mean).map(|(x, m)| x - m).collect();
        for (m, d) in self.mean.iter_mut().zip(&before) {
            *m += d / self.count;
        }
        let keep = (self.count - 1.0) / self.count;
        for i in 0..before.len() {
            for j in 0..=i {
                self.square[[i, j]] += keep * before[i] * before[j];
            }
        }
    }
}

impl Proposal {
    pub(super) fn new(dimension: usize) -> Self {
        Self {
            dimension,
            root: Array2::eye(dimension),
            log_scale: (0.5 / (dimension as f64).sqrt()).ln(),
            steps: 0.0,
            seen: Moments::new(dimension),
        }
    }

    /// Moves the numbers of a block by a random step.
    pub(super) fn step(&self, block: &[usize], at: &mut [f64], stream: &mut Stream) {
        let round = stream.uniform() < ROUND;
        let normals: Vec<f64> = block.iter().map(|_| stream.normal()).collect();
        if round {
            let size = ROUND_SIZE / (self.dimension as f64).sqrt();
            block.iter().zip(&normals).for_each(|(&number, z)| at[number] += size * z);
            return;
        }
        let scale = libm::exp(self.log_scale);
        for (i, &number) in block.iter().enumerate() {
            let along: f64 = (0..=i).map(|k| self.root[[i, k]] * normals[k]).sum();
            at[number] += scale * along;
        }
    }

    /// Learns from a step: its chance of being accepted, and where the chain is now.
    ///
    /// The scale goes towards the acceptance that is best for normal distributions, 0.44 of one number to 0.234 of many
    /// (Roberts and Rosenthal 2001, Statistical Science 16, 351, from memory), in steps that die out.
    pub(super) fn learn(&mut self, chance: f64, block: &[usize], at: &[f64]) {
        self.steps += 1.0;
        let wanted = 0.234 + 0.206 / self.dimension as f64;
        self.log_scale += 2.0 * (chance - wanted) / self.steps.powf(0.6).max(1.0);
        self.seen.add(block.iter().map(|&number| at[number]));
    }

    /// Takes the shape that was seen since the last time, and begins to look anew.
    pub(super) fn reshape(&mut self) {
        let n = self.seen.count;
        if n > 10.0 * self.dimension as f64 {
            // Shrunk towards a small round shape, as much as ten draws would say.
            let mut covariance = &self.seen.square / (n + 10.0);
            covariance.diag_mut().mapv_inplace(|v| v + 1e-3 * 10.0 / (n + 10.0));
            if let Some(root) = cholesky(&covariance.view()) {
                self.root = root;
                self.log_scale = (2.38 / (self.dimension as f64).sqrt()).ln();
                self.steps = 20.0;
            }
        }
        self.seen = Moments::new(self.dimension);
    }
}
