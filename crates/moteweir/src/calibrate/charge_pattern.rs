//! How much depends on the way in which charge sits on the fibres, which nobody sees.
//!
//! The physics gives every fibre the surface charge sigma cos(phi), a line dipole. The same field at the surface may as well
//! come from more lobes round the fibre, sigma cos(k phi), or from fibres that are charged all round, one as often
//! positive as the other negative. Outside, lobes fall off as
//!
//! ```text
//! E ~ r^-(k+1),   Coulomb drift N r^-(k+1),   polarising drift N_s0 (k + 1)/2 r^-(2k+3)
//! ```
//! (the second from the gradient of E^2), so that for one field at the surface more lobes draw stronger from near and weaker
//! from afar. Paths of points in Kuwabara's cell at solidity 0.05 give ln of what is caught, over what the dipole catches:
//!
//! | N of the dipole | polarised: k = 0 | k = 2 | k = 3 | charged: k = 0 | k = 2 | k = 3 |
//! |---|---|---|---|---|---|---|
//! | 0.01 | -0.42 | 0.13 | 0.16 | 0.68 | -0.48 | -0.88 |
//! | 0.1 | -0.14 | -0.07 | -0.18 | 0.74 | -0.47 | -0.88 |
//! | 1 | 0.21 | -0.26 | -0.49 | 0.96 | -0.56 | -1.00 |
//!
//! Fibres charged all round lie to the one side and more lobes to the other, by about as much; and charged particles go
//! the other way than polarised ones, so that the slope of ln K over ln d hangs on the pattern, whatever sigma is. The
//! half-width taken is that of the fibres charged all round, solved for each size with its charges and its finite
//! diameter. Derived here; no measurement enters. The columns of two and three lobes were computed once, by a program that
//! is not kept: they only illustrate, nothing is computed with them. Those of k = 0 are held by the tests below.

use moteweir_physics::air::Air;
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electret_law::{ChargeNumbers, ElectretLaw};
use moteweir_physics::single_fibre::electrostatic::{coulomb_parameter, polarisation_parameter};
use moteweir_physics::stack::ParticleKind;
use moteweir_physics::web::Web;
use moteweir_sim::convection::Drift;
use moteweir_sim::trajectory::inertialess_efficiency;
use moteweir_units::{Length, Velocity};

/// How exactly paths are followed.
const TOLERANCE: f64 = 1e-5;
/// Rarer charges make no difference.
const RARE: f64 = 0.01;

/// |ln(K_0/K_1)| of what charge adds to the exponent, 0 for fibres charged all round, 1 for line dipoles \[-\].
///
/// `None` where there is no charge, or the particle has no room in the cell.
pub(super) fn half_width(
    web: &Web,
    air: &Air,
    size: Length,
    velocity: Velocity,
    kind: &ParticleKind,
) -> Option<f64> {
    let fibre = web.fibres.median();
    let cell = KuwabaraCell::new(web.solidity, 0.0);
    let law = ElectretLaw::at(web.solidity);
    let particle = Particle::new(air, size, kind.density);
    let interception = size / fibre;
    let polarisation = polarisation_parameter(air, &particle, &web.electret, fibre, velocity);
    if polarisation <= 0.0 {
        return None;
    }
    let still = cell.stream_at_gap(interception);
    let (mut dipole, mut round) = (0.0, 0.0);
    for (charges, share) in condensed_charge_states(kind.charge, air, size) {
        if share < RARE {
            continue;
        }
        let coulomb = coulomb_parameter(air, &particle, charges, &web.electret, velocity);
        dipole += share * (law.joint(ChargeNumbers { coulomb, polarisation }, interception) - still);
        round += share * (all_round(cell, interception, coulomb, 0.5 * polarisation)? - still);
    }
    (dipole > 0.0 && round > 0.0).then(|| (round / dipole).ln().abs())
}

/// Single-fibre efficiency of fibres charged all round, half of them of either sign.
fn all_round(cell: KuwabaraCell, interception: f64, coulomb: f64, polarisation: f64) -> Option<f64> {
    let of = |line_charge: f64| {
        let drift = Drift { line_charge, line_polarisation: polarisation, ..Drift::NONE };
        inertialess_efficiency(cell, interception, drift, TOLERANCE).ok()
    };
    if coulomb == 0.0 {
        return of(0.0);
    }
    Some(0.5 * (of(coulomb)? + of(-coulomb)?))
}

#[cfg(test)]
mod tests {
    use moteweir_sim::trajectory::electret_efficiency;
    use moteweir_units::Solidity;

    use super::*;

    fn cell() -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(0.05).expect("inside 0..1"), 0.0)
    }

    /// The columns k = 0 of the table above, by paths.
    #[test]
    fn fibres_charged_all_round_beside_dipoles_are_as_the_table_says() {
        for (n, polarised, charged) in [(0.01, -0.42, 0.68), (0.1, -0.14, 0.74), (1.0, 0.21, 0.96)] {
            let dipole = |drift| electret_efficiency(cell(), 0.0, drift, 1e-7).expect("a point has room");
            let of_polarised = all_round(cell(), 0.0, 0.0, 0.5 * n).expect("a point has room")
                / dipole(Drift { dipole_polarisation: n, ..Drift::NONE });
            let of_charged = all_round(cell(), 0.0, n, 0.0).expect("a point has room")
                / dipole(Drift { dipole_charge: n, ..Drift::NONE });
            assert!((of_polarised.ln() - polarised).abs() < 0.01, "{n}: {}", of_polarised.ln());
            assert!((of_charged.ln() - charged).abs() < 0.01, "{n}: {}", of_charged.ln());
        }
    }

    /// Those that repel catch nothing, those that attract pi N.
    #[test]
    fn half_of_the_fibres_attract_a_charge() {
        let got = all_round(cell(), 0.0, 0.1, 0.0).expect("a point has room");
        assert!((got / (0.05 * std::f64::consts::PI) - 1.0).abs() < 1e-4, "{got}");
    }
}
