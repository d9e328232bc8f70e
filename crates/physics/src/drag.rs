//! Pressure drop of a web of fibres.

use std::f64::consts::PI;

use moteweir_units::{Length, Pressure, Solidity, Velocity};

use crate::air::Air;
use crate::cell::KuwabaraCell;
use crate::closure::Closure;
use crate::estimate::Estimate;
use crate::fibre::FibreDiameters;
use crate::range::{Notice, Range, Remarks};
use crate::refs;

/// Solidities for which the pad law was fitted.
pub const DAVIES_RANGE: Range = Range {
    relation: "Davies pressure drop",
    quantity: "solidity",
    low: 0.006,
    high: 0.3,
    source: refs::DAVIES_1953,
};

/// Fibre Reynolds numbers at which drag is still proportional to velocity.
pub const CREEPING_RANGE: Range = Range {
    relation: "pressure drop proportional to velocity",
    quantity: "fibre Reynolds number",
    low: 0.0,
    high: 1.0,
    source: refs::KUWABARA_1959,
};

/// Fibre Knudsen number above which the two slip laws part company.
const SLIP_LAWS_DIFFER_ABOVE: f64 = 0.1;
/// Fibre Knudsen numbers between which the fan's ratio comes into the band, smoothly.
const FAN_COMES_IN: [f64; 2] = [0.05, 0.15];

/// Dimensionless drag of a web, `dp d_f^2/(mu U0 t)`, of real pads \[-\].
///
/// ```text
/// f = 64 alpha^1.5 (1 + 56 alpha^3)
/// ```
/// Source: [`refs::DAVIES_1953`]. Valid for solidity 0.006 to 0.3. The 64 goes with the diameter; 16 would go with
/// the radius. Without slip.
/// Checked by `tests/published/drag.rs`.
pub fn davies(alpha: f64) -> f64 {
    64.0 * alpha.powf(1.5) * (1.0 + 56.0 * alpha.powi(3))
}

/// Dimensionless drag of a web of even, parallel fibres across the flow, `dp d_f^2/(mu U0 t)` \[-\].
///
/// ```text
/// f = 16 alpha/Ku
/// ```
/// Source: [`refs::KUWABARA_1959`]. An upper bound for real pads, 1.4 to 1.6 times [`davies`]. Without slip.
/// Checked by `tests/published/drag.rs`.
pub fn kuwabara(alpha: f64) -> f64 {
    16.0 * alpha / crate::cell::kuwabara_factor(alpha)
}

/// Drag with slip over drag without, of fibres in a fan \[-\].
///
/// ```text
/// k_f = -(1/2) ln alpha - 0.52 + 0.64 alpha + 1.43 (1 - alpha) Kn_f;   ratio = k_f(0)/k_f(Kn_f)
/// ```
/// Source: [`refs::KIRSCH_STECHKINA_1978`], from memory.
pub fn fan_slip_ratio(alpha: f64, fibre_knudsen: f64) -> f64 {
    let without = -0.5 * alpha.ln() - 0.52 + 0.64 * alpha;
    without / (without + 1.43 * (1.0 - alpha) * fibre_knudsen)
}

/// Pressure drop of a web \[Pa\], with the band between the slip laws and between the means of a fibre spread.
///
/// ```text
/// dp = f(alpha) mu U0 t/d_rms^2 <slip ratio>
/// ```
/// The closure chooses the law: [`davies`] with [`Closure::LeeLiu`], [`kuwabara`] with [`Closure::KuwabaraCell`] and [`Closure::Resolved`].
/// Slip is averaged over the fibres; the fan's ratio is the band's other end, in full from a fibre Knudsen number of
/// 0.15 on, not at all up to 0.05.
/// A spread of diameters takes the root mean square; the cube-root mean is the band's low end, 15 % lower at GSD 1.5,
/// 29 % at 1.8 ([`FibreDiameters::cube_root_mean`]).
pub fn pressure_drop(
    closure: Closure,
    air: &Air,
    solidity: Solidity,
    thickness: Length,
    fibres: &FibreDiameters,
    face_velocity: Velocity,
) -> Estimate {
    let alpha = solidity.fraction();
    let law = match closure {
        Closure::LeeLiu => davies(alpha),
        Closure::KuwabaraCell | Closure::Resolved => kuwabara(alpha),
    };
    let d = fibres.root_mean_square();
    let no_slip = law * air.viscosity().to_pa_s() * face_velocity.to_m_per_s() * thickness.to_m()
        / (d.to_m() * d.to_m());
    let (mut cell_ratio, mut fan_ratio) = (0.0, 0.0);
    for (diameter, share) in fibres.quadrature() {
        let kn = air.fibre_knudsen(diameter);
        let cell = KuwabaraCell::new(solidity, kn).drag_slip_ratio();
        cell_ratio += share * cell;
        fan_ratio += share * (cell + fan_weight(kn) * (fan_slip_ratio(alpha, kn) - cell));
    }
    let by_mean = (d / fibres.cube_root_mean()).powi(2);
    let value = no_slip * cell_ratio;
    Estimate::spanning(value, value, no_slip * fan_ratio.min(cell_ratio) * by_mean)
}

/// How much of the fan's slip ratio the band holds: 0 to 1, without a step.
fn fan_weight(fibre_knudsen: f64) -> f64 {
    let [from, to] = FAN_COMES_IN;
    let s = ((fibre_knudsen - from) / (to - from)).clamp(0.0, 1.0);
    s * s * (3.0 - 2.0 * s)
}

/// Notes where a web leaves the ranges of the drag laws.
pub fn check(
    closure: Closure,
    air: &Air,
    solidity: Solidity,
    fibres: &FibreDiameters,
    face_velocity: Velocity,
    remarks: &mut Remarks,
) {
    if closure == Closure::LeeLiu {
        remarks.check(DAVIES_RANGE, solidity.fraction());
    }
    let d = fibres.root_mean_square();
    let reynolds =
        air.density().to_kg_per_m3() * face_velocity.to_m_per_s() * d.to_m() / air.viscosity().to_pa_s();
    remarks.check(CREEPING_RANGE, reynolds);
    if air.fibre_knudsen(d) > SLIP_LAWS_DIFFER_ABOVE {
        remarks.say(Notice::SlipLawsDiffer);
    }
}

/// A pressure drop that was measured at a face velocity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowReading {
    /// Pressure drop across the sheet.
    pub pressure_drop: Pressure,
    /// Face velocity at which it was read; for an air permeability, the permeability itself.
    pub face_velocity: Velocity,
}

/// Fibre diameters of which a web would have the pressure drop that was measured: the effective fibre diameter.
///
/// Inverts [`pressure_drop`], slip included, for the median of a spread of a given GSD. `None` where the reading
/// asks for fibres outside 1 nm to 10 mm.
///
/// ```text
/// without slip: d = [64 mu U0 t alpha^1.5 (1 + 56 alpha^3)/dp]^(1/2)
/// ```
/// Source: [`refs::DAVIES_1953`] inverted. The effective diameter exceeds the mean of a micrograph: the drag of a
/// spread goes with the root mean square, and real webs are uneven.
pub fn effective_fibre_diameter(
    closure: Closure,
    air: &Air,
    solidity: Solidity,
    thickness: Length,
    gsd: f64,
    reading: FlowReading,
) -> Option<FibreDiameters> {
    let target = reading.pressure_drop.to_pa().ln();
    let excess = |log_d: f64| {
        let fibres = FibreDiameters::lognormal(Length::from_m(log_d.exp()), gsd);
        pressure_drop(closure, air, solidity, thickness, &fibres, reading.face_velocity).value.ln() - target
    };
    let (mut low, mut high) = (1e-9_f64.ln(), 1e-2_f64.ln());
    if !(excess(low) > 0.0 && excess(high) < 0.0) {
        return None;
    }
    // The drag falls with the diameter throughout, so halving cannot lose the root: 60 halvings of 16 reach 1e-17.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    Some(FibreDiameters::lognormal(Length::from_m((0.5 * (low + high)).exp()), gsd))
}

/// Permeability of a bundle of parallel fibres to flow across them \[m2\].
///
/// ```text
/// K = 16/(9 pi sqrt 6) (sqrt(V_max/V) - 1)^(5/2) a^2,   V_max = pi/(2 sqrt 3)   (hexagonal)
/// ```
/// Source: [`refs::GEBART_1992`], from memory. Valid for solidity 0.35 to about 0.85; within 9 % of Kuwabara's cell
/// from 0.4 to 0.6.
pub fn bundle_permeability(solidity: f64, fibre_diameter: Length) -> f64 {
    let most = PI / (2.0 * 3.0_f64.sqrt());
    let a = 0.5 * fibre_diameter.to_m();
    16.0 / (9.0 * PI * 6.0_f64.sqrt()) * ((most / solidity).sqrt() - 1.0).powf(2.5) * a * a
}

#[cfg(test)]
mod tests {
    use super::*;
    use moteweir_units::{Density, Temperature, Viscosity};

    #[test]
    fn effective_diameter_of_the_worked_example() {
        // t 0.5 mm, solidity 0.08, 85 L/min on 100 cm2, 98.07 Pa, mu 1.81e-5, no slip: 4.413 um (Davies inverted).
        let air = Air::with_properties(
            Temperature::from_kelvin(293.15),
            Pressure::from_pa(101_325.0),
            Viscosity::from_pa_s(1.81e-5),
            Density::from_kg_per_m3(1.2),
            Length::from_m(1e-15),
        );
        let reading = FlowReading {
            pressure_drop: Pressure::from_pa(98.07),
            face_velocity: Velocity::from_m_per_s(0.14167),
        };
        let alpha = Solidity::new(0.08).expect("inside 0..1");
        let t = Length::from_mm(0.5);
        let d = |closure| {
            effective_fibre_diameter(closure, &air, alpha, t, 1.0, reading)
                .expect("in reach")
                .median()
                .to_um()
        };
        assert!((d(Closure::LeeLiu) - 4.413).abs() < 1e-3, "{}", d(Closure::LeeLiu));
        assert!((d(Closure::KuwabaraCell) - 5.320).abs() < 1e-3, "{}", d(Closure::KuwabaraCell));
    }

    fn of(um: f64, gsd: f64) -> Estimate {
        let alpha = Solidity::new(0.05).expect("inside 0..1");
        let fibres = FibreDiameters::lognormal(Length::from_um(um), gsd);
        let u = Velocity::from_cm_per_s(5.3);
        pressure_drop(Closure::LeeLiu, &Air::reference(), alpha, Length::from_um(300.0), &fibres, u)
    }

    #[test]
    fn a_spread_of_fibres_may_drag_as_its_cube_root_mean() {
        // 15 % lower at GSD 1.5, 29 % at 1.8, of fibres thick enough to have no slip to speak of.
        for (gsd, lower) in [(1.0, 0.0), (1.5, 0.15), (1.8, 0.29)] {
            let dp = of(200.0, gsd);
            assert!((1.0 - dp.low / dp.value - lower).abs() < 0.005, "GSD {gsd}: {dp:?}");
        }
    }

    #[test]
    fn the_band_of_slip_has_no_step() {
        let mut before = of(0.5, 1.0);
        let mut um = 0.5;
        while um < 5.0 {
            um *= 1.001;
            let now = of(um, 1.0);
            let change = (now.low / now.value) / (before.low / before.value);
            assert!((change - 1.0).abs() < 1e-3, "{um} um: {before:?}, {now:?}");
            before = now;
        }
    }

    #[test]
    fn the_effective_diameter_gives_its_reading_back_with_slip_and_spread() {
        let air = Air::reference();
        let alpha = Solidity::new(0.06).expect("inside 0..1");
        let t = Length::from_um(300.0);
        let u = Velocity::from_cm_per_s(5.3);
        let fibres = FibreDiameters::lognormal(Length::from_um(0.8), 1.7);
        let dp = pressure_drop(Closure::LeeLiu, &air, alpha, t, &fibres, u);
        let reading = FlowReading { pressure_drop: Pressure::from_pa(dp.value), face_velocity: u };
        let back = effective_fibre_diameter(Closure::LeeLiu, &air, alpha, t, 1.7, reading).expect("in reach");
        assert!((back.median().to_um() / 0.8 - 1.0).abs() < 1e-9);
    }
}
