//! The design of points, in replicates, and the run over it.

use std::ops::ControlFlow;

use thiserror::Error;

use super::sums::{OutputIndices, Sums, pooled};
use crate::random::{Purpose, Sobol, fold_batches};

const DESIGN: Purpose = Purpose::named("sensitivity design");
/// Points that one task works on.
const POINTS_A_TASK: u64 = 32;

/// What is asked, and how hard.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Inputs of the model.
    pub inputs: usize,
    /// Numbers that the model answers with.
    pub outputs: usize,
    /// Inputs that are asked about together, by their numbers from 0; an input may be in several groups or in none.
    pub groups: Vec<Vec<usize>>,
    /// Points of a replicate; powers of two are best. Each costs as many evaluations as there are groups, and two.
    pub points: u32,
    /// Independent scramblings, two or more; 16 give standard errors within 20 %.
    pub replicates: u32,
    /// Seed.
    pub seed: u64,
}

/// A design that cannot be run.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum DesignError {
    /// A group has an input that is not there.
    #[error("group {group} asks for input {input}, but there are only {inputs}, counted from 0")]
    NoSuchInput {
        /// Number of the group.
        group: usize,
        /// Number of the input.
        input: usize,
        /// How many there are.
        inputs: usize,
    },
    /// No points, or fewer than two replicates.
    #[error("a design needs 1 point and 2 replicates at least, but has {points} and {replicates}")]
    TooSmall {
        /// Points of a replicate.
        points: u32,
        /// Replicates.
        replicates: u32,
    },
}

/// What a run over a design found.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// In the order of the outputs.
    pub outputs: Vec<OutputIndices>,
    /// Replicates that were run: fewer than asked for if the watcher ended the run. Below two, all standard errors are
    /// meaningless and `outputs` is empty.
    pub replicates: u32,
    /// Evaluations of the model.
    pub evaluations: u64,
}

/// First-order and total indices of groups of inputs.
///
/// ```text
/// S  = 1/(n V) sum f(B) [f(AB) - f(A)]          ST = 1/(2 n V) sum [f(A) - f(AB)]^2
/// ```
/// A and B are two independent points, AB is A with the inputs of the group from B; f(B) is taken from the mean, which
/// changes no expectation and lowers the scatter. A and B together are one point of a scrambled Sobol sequence; the
/// standard errors are jackknife estimates over independently scrambled replicates, which is what a quasi-random design
/// allows.
///
/// Source: Saltelli, Annoni, Azzini, Campolongo, Ratto and Tarantola (2010), Comput. Phys. Commun. 181, 259, table 2,
/// (b) and (f); the second is by Jansen (1999), Comput. Phys. Commun. 117, 35 (both from memory; checked below on
/// functions with known indices).
///
/// `model` is given a point of the open unit cube, to be turned into inputs by their inverse distributions, and room for
/// its outputs. `watch` is told how many replicates are done and of how many, and may end the run.
///
/// # Errors
/// A design with a group of inputs that are not there, without points, or with fewer than two replicates.
pub fn sensitivity(
    design: &Design,
    model: impl Fn(&[f64], &mut [f64]) + Sync,
    mut watch: impl FnMut(u32, u32) -> ControlFlow<()>,
) -> Result<Sensitivity, DesignError> {
    design.check()?;
    let mut origin = vec![0.0; design.outputs];
    model(&vec![0.5; design.inputs], &mut origin);
    for value in &mut origin {
        *value = if value.is_finite() { *value } else { 0.0 };
    }
    let mut replicates: Vec<Vec<Sums>> = Vec::new();
    for number in 0..design.replicates {
        replicates.push(design.replicate(number, &origin, &model));
        if watch(number + 1, design.replicates).is_break() {
            break;
        }
    }
    let done = u32::try_from(replicates.len()).unwrap_or(u32::MAX);
    let output = |number: usize| {
        let sums: Vec<Sums> = replicates.iter().map(|outputs| outputs[number].clone()).collect();
        pooled(&sums, origin[number])
    };
    Ok(Sensitivity {
        outputs: if done < 2 { Vec::new() } else { (0..design.outputs).map(output).collect() },
        replicates: done,
        evaluations: 1 + u64::from(done) * u64::from(design.points) * (design.groups.len() as u64 + 2),
    })
}

impl Design {
    fn check(&self) -> Result<(), DesignError> {
        let Self { points, replicates, inputs, .. } = *self;
        if points == 0 || replicates < 2 {
            return Err(DesignError::TooSmall { points, replicates });
        }
        for (group, members) in self.groups.iter().enumerate() {
            if let Some(input) = members.iter().copied().find(|input| *input >= inputs) {
                return Err(DesignError::NoSuchInput { group, input, inputs });
            }
        }
        Ok(())
    }

    /// The sums of each output over one replicate.
    fn replicate(
        &self,
        number: u32,
        origin: &[f64],
        model: &(impl Fn(&[f64], &mut [f64]) + Sync),
    ) -> Vec<Sums> {
        let sobol = Sobol::new(2 * self.inputs, self.seed, DESIGN, number.into());
        let empty = vec![Sums::of_groups(self.groups.len()); self.outputs];
        let mut total = empty.clone();
        let task = |points: std::ops::Range<u64>| {
            let mut sums = empty.clone();
            let mut bench = Bench::new(self);
            for point in u32::try_from(points.start).unwrap_or(0)..u32::try_from(points.end).unwrap_or(0) {
                bench.evaluate(self, &sobol, point, model);
                for (output, (sums, origin)) in sums.iter_mut().zip(origin).enumerate() {
                    let mut values = bench.values.iter().skip(output).step_by(self.outputs).copied();
                    if let (Some(a), Some(b)) = (values.next(), values.next()) {
                        sums.push(*origin, a, b, values);
                    }
                }
            }
            sums
        };
        let _ = fold_batches(0..self.points.into(), POINTS_A_TASK, task, |sums| {
            total.iter_mut().zip(&sums).for_each(|(total, sums)| total.add(sums));
            ControlFlow::Continue(())
        });
        total
    }
}

/// Room for the evaluations of one point.
struct Bench {
    point: Vec<f64>,
    inputs: Vec<f64>,
    /// Outputs at A, at B, and at the mixture of each group.
    values: Vec<f64>,
}

impl Bench {
    fn new(design: &Design) -> Self {
        Self {
            point: vec![0.0; 2 * design.inputs],
            inputs: vec![0.0; design.inputs],
            values: vec![0.0; design.outputs * (design.groups.len() + 2)],
        }
    }

    /// Coordinates of A are the even ones of the point, those of B the odd ones, so that an input more moves none.
    fn evaluate(
        &mut self,
        design: &Design,
        sobol: &Sobol,
        number: u32,
        model: &(impl Fn(&[f64], &mut [f64]) + Sync),
    ) {
        sobol.point(number, &mut self.point);
        let Self { point, inputs, values } = self;
        if design.outputs == 0 {
            return;
        }
        for (which, values) in values.chunks_exact_mut(design.outputs).enumerate() {
            let from_b = usize::from(which == 1);
            inputs.iter_mut().enumerate().for_each(|(i, input)| *input = point[2 * i + from_b]);
            let group = which.checked_sub(2).map_or(&[] as &[usize], |group| &design.groups[group]);
            for i in group {
                inputs[*i] = point[2 * i + 1];
            }
            model(inputs, values);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::GroupIndices;
    use super::*;
    use crate::quantile::Estimate;
    use crate::random::normal_quantile;

    fn design(inputs: usize, outputs: usize, groups: &[&[usize]]) -> Design {
        let groups = groups.iter().map(|group| group.to_vec()).collect();
        Design { inputs, outputs, groups, points: 512, replicates: 32, seed: 9 }
    }

    fn ishigami(u: &[f64], out: &mut [f64]) {
        let x = |i: usize| PI * (2.0 * u[i] - 1.0);
        out[0] = x(0).sin() + 7.0 * x(1).sin().powi(2) + 0.1 * x(2).powi(4) * x(0).sin();
    }

    /// Variances of the function's parts for a = 7, b = 0.1: of input 1, of input 2, of 1 and 3 together.
    fn ishigami_parts() -> [f64; 3] {
        let (a, b) = (7.0, 0.1);
        [
            0.5 * (1.0 + b * PI.powi(4) / 5.0_f64).powi(2),
            a * a / 8.0,
            b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0),
        ]
    }

    fn run(design: &Design, model: impl Fn(&[f64], &mut [f64]) + Sync) -> Sensitivity {
        sensitivity(design, model, |_, _| ControlFlow::Continue(())).unwrap()
    }

    /// Within 6.1 standard errors with 31 degrees of freedom: a chance of 1e-6; and the error is small enough to say
    /// something.
    fn agrees(what: &str, got: Estimate, exact: f64) {
        let Estimate { value, standard_error, .. } = got;
        assert!(standard_error < 0.02, "{what}: {got:?}");
        assert!((value - exact).abs() < 6.1 * standard_error + 1e-12, "{what}: {got:?}, exact {exact}");
    }

    fn all_agree(groups: &[GroupIndices], exact: &[[f64; 2]]) {
        assert_eq!(groups.len(), exact.len());
        for (number, (got, [first, total])) in groups.iter().zip(exact).enumerate() {
            agrees(&format!("first-order index of group {number}"), got.first, *first);
            agrees(&format!("total index of group {number}"), got.total, *total);
        }
    }

    #[test]
    fn the_ishigami_function_has_its_exact_indices() {
        let found = run(&design(3, 1, &[&[0], &[1], &[2], &[0, 2]]), ishigami);
        let [one, two, both] = ishigami_parts();
        let all = one + two + both;
        let exact = [[one, one + both], [two, two], [0.0, both], [one + both, one + both]];
        let output = &found.outputs[0];
        assert!((output.mean - 3.5).abs() < 0.02 && (output.variance / all - 1.0).abs() < 0.02, "{output:?}");
        all_agree(&output.groups, &exact.map(|parts| parts.map(|part| part / all)));
        assert_eq!(found.evaluations, 1 + 32 * 512 * 6);
    }

    #[test]
    fn an_additive_function_has_no_interactions() {
        let weights = [3.0, 2.0, 1.0, 0.0];
        let sum: f64 = weights.iter().map(|w| w * w).sum();
        let model = |u: &[f64], out: &mut [f64]| {
            out[0] = 1e6 + u.iter().zip(weights).map(|(u, w)| w * normal_quantile(*u)).sum::<f64>();
        };
        let found = run(&design(4, 1, &[&[0], &[1], &[2], &[3], &[1, 2], &[]]), model);
        let shares = [9.0, 4.0, 1.0, 0.0, 5.0, 0.0].map(|part| [part / sum; 2]);
        all_agree(&found.outputs[0].groups, &shares);
    }

    #[test]
    fn standard_errors_are_the_scatter_between_seeds() {
        // 60 seeds: the scatter itself is known within 9 %, the pooled error much better; four such errors.
        let indices: Vec<Estimate> = (0..60)
            .map(|seed| {
                let design = Design { points: 64, replicates: 16, seed, ..design(3, 1, &[&[0]]) };
                run(&design, ishigami).outputs[0].groups[0].first
            })
            .collect();
        let mean = indices.iter().map(|e| e.value).sum::<f64>() / 60.0;
        let scatter = (indices.iter().map(|e| (e.value - mean).powi(2)).sum::<f64>() / 59.0).sqrt();
        let stated = (indices.iter().map(|e| e.standard_error.powi(2)).sum::<f64>() / 60.0).sqrt();
        assert!((stated / scatter - 1.0).abs() < 0.36, "stated {stated}, scatter {scatter}");
    }

    #[test]
    fn more_inputs_than_the_sequence_has_dimensions_are_fine() {
        let model = |u: &[f64], out: &mut [f64]| out[0] = u.iter().sum();
        let found = run(&design(80, 1, &[&[0], &[79]]), model);
        all_agree(&found.outputs[0].groups, &[[1.0 / 80.0; 2]; 2]);
    }

    #[test]
    fn an_output_that_does_not_vary_has_no_indices_and_what_is_not_finite_is_left_out() {
        let model = |u: &[f64], out: &mut [f64]| {
            out[0] = 0.1 + 0.2;
            out[1] = if u[0] < 0.25 { f64::NAN } else { u[1] };
            out[2] = f64::NAN;
        };
        let found = run(&design(2, 3, &[&[0], &[1]]), model);
        let [same, partly, never] = &found.outputs[..] else { panic!("three outputs") };
        assert!(same.groups.is_empty() && (same.mean - 0.3).abs() < 1e-15 && same.left_out == 0);
        assert!(never.groups.is_empty() && never.mean.is_nan() && never.left_out == 32 * 512);
        // Left out where A or B has its first input below a quarter: 7/16 of the points.
        let share = partly.left_out as f64 / (32.0 * 512.0);
        assert!((share - 7.0 / 16.0).abs() < 0.01, "{share}");
        all_agree(&partly.groups, &[[0.0, 0.0], [1.0, 1.0]]);
    }

    #[test]
    fn the_same_bits_on_one_two_and_seven_threads() {
        let design = design(3, 1, &[&[0], &[1], &[2]]);
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| run(&design, ishigami))
        };
        let [one, two, seven] = [1, 2, 7].map(on);
        assert_eq!(one, two);
        assert_eq!(one, seven);
    }

    #[test]
    fn a_watcher_ends_the_run_and_two_replicates_are_an_answer() {
        let until = |last: u32| {
            let design = design(3, 1, &[&[0]]);
            let watch =
                |done, _| if done == last { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
            sensitivity(&design, ishigami, watch).unwrap()
        };
        assert_eq!((until(1).replicates, until(1).outputs.len()), (1, 0));
        assert_eq!((until(2).replicates, until(2).outputs.len()), (2, 1));
    }

    #[test]
    fn a_design_that_cannot_be_is_refused() {
        let refused = |design: &Design| {
            sensitivity(design, ishigami, |_, _| ControlFlow::Continue(())).unwrap_err().to_string()
        };
        assert_eq!(
            refused(&design(3, 1, &[&[0], &[1, 3]])),
            "group 1 asks for input 3, but there are only 3, counted from 0"
        );
        assert_eq!(
            refused(&Design { replicates: 1, ..design(3, 1, &[]) }),
            "a design needs 1 point and 2 replicates at least, but has 512 and 1"
        );
    }
}
