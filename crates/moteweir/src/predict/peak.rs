//! The top of a curve that is known at a list of sizes.

use moteweir_units::Length;

/// Size \[m\] and height of the highest point of a curve of penetrations over evenly spaced sizes, by a parabola
/// through it and its neighbours in the logarithms of both; the point itself at an end.
pub(crate) fn peak(sizes: &[Length], penetration: &[f64]) -> (f64, f64) {
    let top = (0..sizes.len()).max_by(|&a, &b| penetration[a].total_cmp(&penetration[b])).unwrap_or(0);
    if top == 0 || top + 1 == sizes.len() {
        return (sizes[top].to_m(), penetration[top]);
    }
    let y = [top - 1, top, top + 1].map(|i| penetration[i].ln());
    let step = (sizes[top + 1] / sizes[top]).ln();
    let curvature = y[0] - 2.0 * y[1] + y[2];
    if curvature >= 0.0 || !curvature.is_finite() {
        return (sizes[top].to_m(), penetration[top]);
    }
    let shift = 0.5 * (y[0] - y[2]) / curvature;
    let height = y[1] - 0.25 * (y[0] - y[2]) * shift;
    (sizes[top].to_m() * (shift * step).exp(), height.exp().min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_finds_the_top_of_a_lognormal_curve_exactly() {
        let size = |i: i32| Length::from_um(0.01 * 10.0_f64.powf(f64::from(i) * 3.0 / 40.0));
        let sizes: Vec<Length> = (0..41).map(size).collect();
        let curve: Vec<f64> = sizes.iter().map(|d| (-0.3 - (d.to_um() / 0.237).ln().powi(2)).exp()).collect();
        let (at, top) = peak(&sizes, &curve);
        assert!((at * 1e6 / 0.237 - 1.0).abs() < 1e-9 && (top - (-0.3_f64).exp()).abs() < 1e-12);
    }

    #[test]
    fn an_end_is_no_parabola() {
        let sizes = [Length::from_um(0.1), Length::from_um(0.2), Length::from_um(0.4)];
        assert!((peak(&sizes, &[0.9, 0.5, 0.1]).0 * 1e6 - 0.1).abs() < 1e-12);
        assert!(peak(&sizes, &[0.0, 0.0, 0.0]).1.abs() < 1e-300);
    }
}
