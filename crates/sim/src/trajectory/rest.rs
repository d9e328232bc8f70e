//! Points of rest of a particle without inertia, where the borders between the caught and the passing begin.

use super::streamline::{Ring, gap};

/// Rings searched from contact to the edge of the cell.
const SEARCHED: usize = 256;

/// How far from a saddle its incoming branches are taken up, relative to its distance from the fibre's surface.
const ASIDE: f64 = 2e-3;

/// Points next to saddles from which, backwards in time, the paths that end in the saddles are followed.
///
/// Round a circle the velocity along it vanishes at two opposite places at most, so that the search is along the radius:
///
/// ```text
/// tan(theta) = M sin(b)/(M cos(b) - B),  A cos(theta) + M cos(theta - b) = g
/// ```
pub(super) fn beside_saddles(ring: &Ring) -> Vec<[f64; 2]> {
    let (first, last) = (ring.contact.max(1e-7), ring.room());
    let ratio = (last / first).ln() / SEARCHED as f64;
    let mut starts = Vec::new();
    let mut before = (first, balance(ring, first));
    for index in 1..=SEARCHED {
        let here = if index == SEARCHED { last } else { first * (ratio * index as f64).exp() };
        let now = (here, balance(ring, here));
        for (branch, sign) in [1.0, -1.0].into_iter().enumerate() {
            if (before.1[branch] > 0.0) != (now.1[branch] > 0.0) {
                let rest = halve(|x| balance(ring, x)[branch], before, now, branch);
                starts.extend(branches(ring, place(ring, rest, sign)).into_iter().flatten());
            }
        }
        before = now;
    }
    starts
}

/// The velocity across the circle at the two places of a circle where there is none along it.
fn balance(ring: &Ring, gap: f64) -> [f64; 2] {
    let rim = ring.carried.rim(gap);
    let [cosine, sine] = still(ring, gap);
    let [p, q] = rim.dipole;
    let outward = (rim.across + p) * cosine + q * sine;
    [outward - rim.inward, -outward - rim.inward]
}

/// The direction in which the velocity along the circle vanishes; it does so in the opposite one, too.
fn still(ring: &Ring, gap: f64) -> [f64; 2] {
    let rim = ring.carried.rim(gap);
    let [p, q] = rim.dipole;
    let (along, across) = (p - rim.along, q);
    let length = along.hypot(across);
    if length > 0.0 { [along / length, across / length] } else { [1.0, 0.0] }
}

fn place(ring: &Ring, gap: f64, sign: f64) -> [f64; 2] {
    still(ring, gap).map(|part| sign * (1.0 + gap) * part)
}

/// The gap at which a branch of the balance changes its sign.
fn halve(function: impl Fn(f64) -> f64, low: (f64, [f64; 2]), high: (f64, [f64; 2]), branch: usize) -> f64 {
    let (mut a, mut b) = (low.0, high.0);
    let rising = high.1[branch] > low.1[branch];
    for _ in 0..52 {
        let middle = 0.5 * (a + b);
        if (function(middle) > 0.0) == rising { b = middle } else { a = middle }
    }
    0.5 * (a + b)
}

/// Points on either side of a saddle in the direction from which paths come in; none where it is no saddle.
fn branches(ring: &Ring, rest: [f64; 2]) -> Option<[[f64; 2]; 2]> {
    let scale = gap(&rest).min(1.0);
    let step = 1e-2 * scale;
    let velocity = |dx: f64, dy: f64| ring.carried.velocity(rest[0] + dx, rest[1] + dy);
    let by = |plus: [f64; 2], minus: [f64; 2]| [0, 1].map(|i| (plus[i] - minus[i]) / (2.0 * step));
    let [a, c] = by(velocity(step, 0.0), velocity(-step, 0.0));
    let [b, d] = by(velocity(0.0, step), velocity(0.0, -step));
    let (half_trace, determinant) = (0.5 * (a + d), a * d - b * c);
    if determinant >= 0.0 {
        return None;
    }
    let falling = half_trace - (half_trace * half_trace - determinant).sqrt();
    // The eigenvector to the falling eigenvalue, from the row that determines it better.
    let (one, other) = ([b, falling - a], [falling - d, c]);
    let [x, y] = if one[0].hypot(one[1]) > other[0].hypot(other[1]) { one } else { other };
    let length = x.hypot(y);
    if length.is_nan() || length <= 0.0 {
        return None;
    }
    let (dx, dy) = (ASIDE * scale * x / length, ASIDE * scale * y / length);
    Some([[rest[0] + dx, rest[1] + dy], [rest[0] - dx, rest[1] - dy]])
}
