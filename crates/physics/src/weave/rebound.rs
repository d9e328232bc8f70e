//! Whether a particle that touches a hair at a pore's velocity stays there.

use crate::closure::Groups;

/// The least share of touches that stick \[-\], by three forms in print; 1 for liquids and for gentle touches.
///
/// ```text
/// Ptak, Jaroszczyk    190/[(Stk Re_p)^0.68 + 190],              Re_p = Re_f R
/// Hiller, Loffler     1.368 Stk^-1.09 Re_f^-0.37, at most 1
/// Kasper et al.       b^-0.31/(b^-0.31 + 0.0365 Stk^2.46),      b = Stk/Re_f
/// ```
/// Sources: [`crate::refs::PTAK_JAROSZCZYK_1990`], [`crate::refs::HILLER_LOFFLER_1980`],
/// [`crate::refs::KASPER_2009`], all from memory. They differ from 0.05 to 0.97 at pore velocities: the smallest is
/// the low end for dry solids, and 1 the value.
pub fn least_adhesion(groups: &Groups) -> f64 {
    let (stokes, reynolds, ratio) =
        (groups.stokes.ln(), groups.fibre_reynolds.ln(), groups.interception.ln());
    let ptak = 190.0 / ((0.68 * (stokes + reynolds + ratio)).exp() + 190.0);
    let hiller = (1.368_f64.ln() - 1.09 * stokes - 0.37 * reynolds).min(0.0).exp();
    let b = (-0.31 * (stokes - reynolds)).exp();
    let kasper = b / (b + 0.0365 * (2.46 * stokes).exp());
    ptak.min(hiller).min(kasper)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn groups(stokes: f64, reynolds: f64, interception: f64) -> Groups {
        Groups {
            peclet: 1e6,
            stokes,
            interception,
            settling: 0.0,
            fibre_knudsen: 0.01,
            fibre_reynolds: reynolds,
        }
    }

    #[test]
    fn gentle_touches_stick_and_hard_ones_are_uncertain() {
        assert!(least_adhesion(&groups(0.05, 1.0, 0.02)) > 0.999);
        // 3 um at 10 m/s on a hair of 14 um: by hand Hiller and Loffler 1.368 x 20^-1.09 x 9^-0.37 = 0.0232.
        let hard = least_adhesion(&groups(20.0, 9.0, 0.2));
        assert!(hard < 0.024 && hard > 0.0, "{hard}");
    }

    #[test]
    fn adhesion_falls_with_the_stokes_number_down_to_nothing() {
        let mut before = 1.0;
        let mut stk = 1e-9;
        while stk < 1e6 {
            let now = least_adhesion(&groups(stk, 5.0, 0.1));
            assert!(now <= before + 1e-12 && now >= 0.0, "Stk {stk}: {now} after {before}");
            before = now;
            stk *= 1.2;
        }
    }
}
