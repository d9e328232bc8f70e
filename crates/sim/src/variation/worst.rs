//! The most penetrating size of a draw, from penetrations at the sizes of a curve.

/// Where most gets through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Diameter \[m\].
    pub diameter_m: f64,
    /// Penetration there.
    pub penetration: f64,
}

/// The highest point of a curve, refined by a parabola in ln d and ln P through it and its neighbours.
///
/// `ln_sizes` rise. At an end of the curve, and where a neighbour's penetration is 0, the point itself. The parabola's
/// size is bounded by the neighbours.
pub(super) fn of_curve(ln_sizes: &[f64], penetrations: &[f64]) -> (usize, Worst) {
    let highest = penetrations
        .iter()
        .enumerate()
        .fold((0, f64::NEG_INFINITY), |best, (i, p)| if *p > best.1 { (i, *p) } else { best })
        .0;
    let here = Worst { diameter_m: libm::exp(ln_sizes[highest]), penetration: penetrations[highest] };
    if highest == 0 || highest + 1 == penetrations.len() {
        return (highest, here);
    }
    let near = highest - 1..highest + 2;
    (highest, vertex(&ln_sizes[near.clone()], &penetrations[near]).unwrap_or(here))
}

/// The vertex of the parabola through three points, the middle one the highest.
fn vertex(x: &[f64], p: &[f64]) -> Option<Worst> {
    if p[0] <= 0.0 || p[2] <= 0.0 {
        return None;
    }
    let y = [p[0], p[1], p[2]].map(libm::log);
    let (left, right) = (x[0] - x[1], x[2] - x[1]);
    let (down, up) = ((y[0] - y[1]) / left, (y[2] - y[1]) / right);
    let square = (up - down) / (right - left);
    let slope = down - square * left;
    if square >= 0.0 {
        return None;
    }
    let shift = (-0.5 * slope / square).clamp(left, right);
    let height = y[1] + shift * (slope + square * shift);
    Some(Worst { diameter_m: libm::exp(x[1] + shift), penetration: libm::exp(height).min(1.0) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_is_found_exactly() {
        let ln_sizes = [-3.0, -2.2, -1.9, -1.0];
        let of = |x: f64| (-0.7 - 0.4 * (x + 2.03) * (x + 2.03)).exp();
        let (_, worst) = of_curve(&ln_sizes, &ln_sizes.map(of));
        assert!((worst.diameter_m / (-2.03_f64).exp() - 1.0).abs() < 1e-12, "{worst:?}");
        assert!((worst.penetration / (-0.7_f64).exp() - 1.0).abs() < 1e-12, "{worst:?}");
    }

    #[test]
    fn ends_flat_tops_and_nothing_are_themselves() {
        let ln_sizes = [-3.0, -2.0, -1.0];
        for (p, at, height) in [
            ([0.5, 0.2, 0.1], 0, 0.5),
            ([0.1, 0.2, 0.3], 2, 0.3),
            ([0.0, 0.2, 0.0], 1, 0.2),
            ([0.0, 0.0, 0.0], 0, 0.0),
            ([1.0, 1.0, 1.0], 0, 1.0),
        ] {
            let (place, worst) = of_curve(&ln_sizes, &p);
            assert_eq!(place, at, "{p:?}");
            assert_eq!(worst.penetration.to_bits(), f64::to_bits(height), "{p:?}");
        }
    }
}
