//! Whether chains agree, and how many independent draws they are worth.

use crate::random::normal_quantile;

/// What chains say of one number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diagnosis {
    /// Split R-hat, rank-normalised, the larger of that of the values and that of their distances from the median.
    pub rhat: f64,
    /// Effective number of draws for the bulk of the distribution.
    pub ess: f64,
}

/// Diagnoses the draws of one number: a row a chain, all of one length, four draws or more each.
///
/// Source: [`moteweir_physics::refs::VEHTARI_2021`]. Chains that never move give NaN and 0.
pub fn diagnose(chains: &[&[f64]]) -> Diagnosis {
    let halves = split(chains);
    let pooled: Vec<f64> = halves.iter().flat_map(|half| half.iter().copied()).collect();
    let median = median(&pooled);
    let folded: Vec<Vec<f64>> =
        halves.iter().map(|half| half.iter().map(|x| (x - median).abs()).collect()).collect();
    let bulk = rank_normalised(&halves);
    let rhat = r_hat(&bulk).max(r_hat(&rank_normalised(&folded)));
    Diagnosis { rhat, ess: effective(&bulk) }
}

fn split(chains: &[&[f64]]) -> Vec<Vec<f64>> {
    chains
        .iter()
        .flat_map(|chain| {
            let half = chain.len() / 2;
            [chain[..half].to_vec(), chain[chain.len() - half..].to_vec()]
        })
        .collect()
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    if n == 0 { f64::NAN } else { 0.5 * (sorted[(n - 1) / 2] + sorted[n / 2]) }
}

/// Each value by the normal quantile of its rank among all; like values share their mean rank.
fn rank_normalised(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut order: Vec<(usize, usize)> =
        chains.iter().enumerate().flat_map(|(c, chain)| (0..chain.len()).map(move |i| (c, i))).collect();
    order.sort_by(|a, b| chains[a.0][a.1].total_cmp(&chains[b.0][b.1]));
    let mut normal: Vec<Vec<f64>> = chains.iter().map(|chain| vec![0.0; chain.len()]).collect();
    let (count, mut first) = (order.len(), 0);
    while first < count {
        let value = chains[order[first].0][order[first].1];
        let like =
            order[first..].iter().take_while(|(c, i)| chains[*c][*i].total_cmp(&value).is_eq()).count();
        let rank = first as f64 + 0.5 * (like as f64 + 1.0);
        let z = normal_quantile((rank - 0.375) / (count as f64 + 0.25));
        for &(c, i) in &order[first..first + like] {
            normal[c][i] = z;
        }
        first += like;
    }
    normal
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Within-chain variance and the overestimate of the whole variance.
fn variances(chains: &[Vec<f64>]) -> (f64, f64) {
    let n = chains[0].len() as f64;
    let means: Vec<f64> = chains.iter().map(|chain| mean(chain)).collect();
    let square = |chain: &Vec<f64>, m: &f64| chain.iter().map(|x| (x - m).powi(2)).sum::<f64>() / (n - 1.0);
    let within = mean(&chains.iter().zip(&means).map(|(chain, m)| square(chain, m)).collect::<Vec<_>>());
    let grand = mean(&means);
    let between = means.iter().map(|m| (m - grand).powi(2)).sum::<f64>() / (means.len() as f64 - 1.0);
    (within, within * (n - 1.0) / n + between)
}

fn r_hat(chains: &[Vec<f64>]) -> f64 {
    let (within, whole) = variances(chains);
    (whole / within).sqrt()
}

/// Effective draws by Geyer's initial monotone sequence over the chains together.
fn effective(chains: &[Vec<f64>]) -> f64 {
    let (within, whole) = variances(chains);
    if within <= 0.0 || !within.is_finite() {
        return 0.0;
    }
    let n = chains[0].len();
    let means: Vec<f64> = chains.iter().map(|chain| mean(chain)).collect();
    let correlation = |lag: usize| {
        let covariance = |chain: &Vec<f64>, m: &f64| {
            chain.iter().zip(&chain[lag..]).map(|(a, b)| (a - m) * (b - m)).sum::<f64>() / n as f64
        };
        let together = mean(&chains.iter().zip(&means).map(|(c, m)| covariance(c, m)).collect::<Vec<_>>());
        1.0 - (within * (n as f64 - 1.0) / n as f64 - together) / whole
    };
    let (mut time, mut last) = (-1.0, f64::INFINITY);
    for pair in 0..n / 2 {
        let sum = correlation(2 * pair) + correlation(2 * pair + 1);
        if sum < 0.0 || sum.is_nan() {
            break;
        }
        last = sum.min(last);
        time += 2.0 * last;
    }
    let draws = (chains.len() * n) as f64;
    // No more than draws times their logarithm to base 10, as the source bounds antithetic chains.
    draws / time.max(1.0 / draws.log10())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::{Purpose, Stream};

    fn autoregressive(chains: u64, length: usize, memory: f64, shift: impl Fn(u64) -> f64) -> Vec<Vec<f64>> {
        (0..chains)
            .map(|chain| {
                let mut stream = Stream::new(11, Purpose::named("autoregressive"), chain);
                let mut x = stream.normal();
                (0..length)
                    .map(|_| {
                        x = memory * x + (1.0 - memory * memory).sqrt() * stream.normal();
                        x + shift(chain)
                    })
                    .collect()
            })
            .collect()
    }

    fn of(chains: &[Vec<f64>]) -> Diagnosis {
        diagnose(&chains.iter().map(Vec::as_slice).collect::<Vec<_>>())
    }

    /// An autoregressive chain with memory r is worth n (1 - r)/(1 + r) draws.
    #[test]
    fn effective_draws_of_chains_with_a_memory() {
        for memory in [0.0, 0.5, 0.9] {
            let found = of(&autoregressive(4, 20_000, memory, |_| 0.0));
            let exact = 80_000.0 * (1.0 - memory) / (1.0 + memory);
            assert!((found.ess / exact - 1.0).abs() < 0.12, "{memory}: {found:?}, exact {exact}");
            assert!(found.rhat < 1.005, "{memory}: {found:?}");
        }
    }

    #[test]
    fn chains_apart_and_chains_of_another_width_are_seen() {
        let apart = of(&autoregressive(4, 1000, 0.5, |chain| if chain == 3 { 1.5 } else { 0.0 }));
        assert!(apart.rhat > 1.1, "{apart:?}");
        let mut narrow = autoregressive(4, 1000, 0.5, |_| 0.0);
        narrow[2].iter_mut().for_each(|x| *x *= 0.2);
        assert!(of(&narrow).rhat > 1.05, "{:?}", of(&narrow));
        let mut stuck = autoregressive(4, 1000, 0.5, |_| 0.0);
        stuck[1].fill(0.3);
        assert!(of(&stuck).rhat > 1.1, "{:?}", of(&stuck));
    }

    #[test]
    fn chains_that_never_move_are_worth_nothing() {
        let found = of(&[vec![1.0; 100], vec![1.0; 100]]);
        assert!(found.rhat.is_nan() && found.ess == 0.0, "{found:?}");
    }

    #[test]
    fn a_drift_within_the_chains_is_seen_by_their_halves() {
        let mut drifting = autoregressive(2, 1000, 0.0, |_| 0.0);
        for chain in &mut drifting {
            chain.iter_mut().enumerate().for_each(|(i, x)| *x += i as f64 / 500.0);
        }
        assert!(of(&drifting).rhat > 1.1, "{:?}", of(&drifting));
    }
}
