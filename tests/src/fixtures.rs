//! Air, webs and an integral that many checks ask for.

use moteweir_physics::air::Air;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::web::Web;
use moteweir_units::{Density, Length, Pressure, Solidity, SurfaceCharge, Temperature, Viscosity};

/// Air of the worked examples: 20 degrees Celsius, 1.81e-5 Pa s, 1.2041 kg/m3, and a stated mean free path.
pub fn air_with_mean_free_path(nm: f64) -> Air {
    Air::with_properties(
        Temperature::from_kelvin(293.15),
        Pressure::from_pa(101_325.0),
        Viscosity::from_pa_s(1.81e-5),
        Density::from_kg_per_m3(1.2041),
        Length::from_nm(nm),
    )
}

/// Air of the worked examples in which nothing slips.
pub fn still_air() -> Air {
    air_with_mean_free_path(1e-9)
}

/// A solidity that the test itself chose.
///
/// # Panics
/// Unless it lies strictly between 0 and 1.
pub fn solidity(fraction: f64) -> Solidity {
    Solidity::new(fraction).expect("the test names a fraction between 0 and 1")
}

/// A web without charge or unevenness, of fibres all alike.
pub fn web(fraction: f64, thickness: Length, fibre_diameter: Length) -> Web {
    Web {
        solidity: solidity(fraction),
        thickness,
        fibres: FibreDiameters::uniform(fibre_diameter),
        electret: Electret {
            surface_charge: SurfaceCharge::from_c_per_m2(0.0),
            fibre_permittivity: 2.2,
            particle_permittivity: 5.0,
        },
        unevenness: 0.0,
        inhomogeneity: 1.0,
        drag_factor: None,
    }
}

/// Integral of a smooth function by the tanh-sinh rule; integrable singularities at the ends do no harm.
pub fn quadrature(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let step = 1.0 / 64.0;
    let mut sum = 0.0;
    for i in -256..=256 {
        let t = step * f64::from(i);
        let s = 0.5 * std::f64::consts::PI * t.sinh();
        let x = middle + half * s.tanh();
        let weight = 0.5 * std::f64::consts::PI * t.cosh() / s.cosh().powi(2);
        if weight > 0.0 && x > from && x < to {
            sum += weight * f(x);
        }
    }
    sum * step * half
}
