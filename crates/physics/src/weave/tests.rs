use super::*;
use crate::particle::Particle;
use moteweir_units::{
    BasisWeight, Density, LinearDensity, Pressure, Solidity, SurfaceCharge, Temperature, ThreadCount,
    Viscosity,
};

/// Air of the worked example: 1.81e-5 Pa s, mean free path 66 nm.
pub(super) fn worked_air() -> Air {
    Air::with_properties(
        Temperature::from_kelvin(293.15),
        Pressure::from_pa(101_325.0),
        Viscosity::from_pa_s(1.81e-5),
        Density::from_kg_per_m3(1.204),
        Length::from_nm(66.0),
    )
}

/// 400 straight pores/cm2 of 60 um, 300 um thick, yarns of solidity 0.5.
pub(super) fn worked_fabric() -> Fabric {
    let pores = Pores { diameter: Length::from_um(60.0), per_area: 4e6, shape: PoreShape::Straight };
    Fabric {
        pores: Some(pores),
        thickness: Length::from_um(300.0),
        yarn_solidity: Solidity::new(0.5).expect("inside 0..1"),
        yarn_bulk: Length::from_um(300.0) * (1.0 - pores.open_area()),
        yarn_drag_factor: 1.0,
    }
}
