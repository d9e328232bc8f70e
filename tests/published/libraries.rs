//! Air, particles, charges and integrals against general-purpose libraries; their numbers stand in `data/libraries`.

use moteweir_physics::aerosol::{Aerosol, Weighting};
use moteweir_physics::air::{Air, saturation_pressure};
use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::diffusion::THIN_LAYER_CONSTANT;
use moteweir_physics::slip::slip_correction;
use moteweir_tests::{Table, Tally};
use moteweir_units::{Density, Length, Pressure, Temperature};

fn kelvin(value: f64) -> Temperature {
    Temperature::from_kelvin(value)
}

#[test]
fn dry_air() {
    let mut viscosity = Tally::of("viscosity of dry air");
    let mut density = Tally::of("density of dry air");
    for row in Table::read("libraries/coolprop_dry_air.csv").rows() {
        let (t, p) = (row.number("temperature_k"), row.number("pressure_pa"));
        let air = Air::new(kelvin(t), Pressure::from_pa(p), 0.0);
        let input = format!("{t} K, {p} Pa");
        viscosity.relative(&input, air.viscosity().to_pa_s(), row.number("viscosity_pa_s"), 0.003);
        density.relative(&input, air.density().to_kg_per_m3(), row.number("density_kg_per_m3"), 0.0008);
    }
    viscosity.close_with_largest(0.003);
    density.close_with_largest(0.0008);
}

#[test]
fn humid_air() {
    let mut density = Tally::of("density of humid air");
    let mut viscosity = Tally::of("viscosity of humid air, taken as dry");
    for row in Table::read("libraries/coolprop_humid_air.csv").rows() {
        let (t, humidity) = (row.number("temperature_k"), row.number("relative_humidity"));
        let air = Air::new(kelvin(t), Pressure::from_pa(101_325.0), humidity);
        let input = format!("{t} K, humidity {humidity}");
        density.relative(&input, air.density().to_kg_per_m3(), row.number("density_kg_per_m3"), 0.0006);
        viscosity.relative(&input, air.viscosity().to_pa_s(), row.number("viscosity_pa_s"), 0.020);
    }
    density.close_with_largest(0.0006);
    viscosity.close_with_largest(0.020);
}

#[test]
fn saturated_vapour() {
    let mut tally = Tally::of("saturation pressure");
    for row in Table::read("libraries/coolprop_water_vapour.csv").rows() {
        let t = row.number("temperature_k");
        let got = saturation_pressure(kelvin(t)).to_pa();
        tally.relative(format!("{t} K"), got, row.number("saturation_pressure_pa"), 0.0005);
    }
    tally.close_with_largest(0.0005);
}

#[test]
fn mean_free_path_slip_and_diffusivity() {
    let mut tally = Tally::of("particles in ISO 15900 air");
    for row in Table::read("libraries/aerosolpy_particle.csv").rows() {
        let (t, hpa) = (row.number("temperature_k"), row.number("pressure_hpa"));
        let air = Air::new(kelvin(t), Pressure::from_pa(100.0 * hpa), 0.0);
        let d = Length::from_nm(row.number("diameter_nm"));
        let particle = Particle::new(&air, d, Density::from_kg_per_m3(1000.0));
        let input = |what: &str| format!("{what}, {}", row.place());
        // Its reference pressure is 1013.3 hPa, ours 1013.25 hPa: 5e-5 in the mean free path.
        let path = air.mean_free_path().to_nm();
        tally.relative(input("mean free path"), path, row.number("mean_free_path_nm"), 6e-5);
        tally.relative(input("viscosity"), air.viscosity().to_pa_s(), row.number("viscosity_pa_s"), 1e-7);
        tally.relative(input("slip"), slip_correction(&air, d), row.number("slip"), 6e-5);
        let diffusivity = particle.diffusivity().to_m2_per_s();
        tally.relative(input("diffusivity"), diffusivity, row.number("diffusivity_m2_per_s"), 6e-5);
    }
    tally.close_with_largest(6e-5);
}

#[test]
fn charge_shares() {
    let mut tally = Tally::of("charge shares, absolute");
    let air = Air::new(kelvin(293.15), Pressure::from_pa(101_325.0), 0.0);
    for row in Table::read("libraries/aerosolpy_charge.csv").rows() {
        let nm = row.number("diameter_nm");
        let states = charge_states(ParticleCharge::Equilibrium, &air, Length::from_nm(nm));
        let charges = row.number("charges");
        let found = states.iter().find(|(n, _)| (f64::from(*n) - charges).abs() < 0.5).map_or(0.0, |s| s.1);
        // Above 100 nm the Boltzmann law stands here, below a blend: up to 0.018 of all particles in another state.
        tally.close(format!("{nm} nm, {charges} charges"), found, row.number("share"), 0.02);
    }
    tally.close_all();
}

#[test]
fn shares_of_a_lognormal() {
    let mut tally = Tally::of("lognormal shares");
    for row in Table::read("libraries/scipy_normal.csv").rows() {
        let aerosol = Aerosol::lognormal(Length::from_um(1.0), row.number("gsd"));
        let d = Length::from_um(row.number("diameter"));
        for (weighting, column) in
            [(Weighting::Number, "share_by_number"), (Weighting::Mass, "share_by_mass")]
        {
            let got = aerosol.share_below(d, weighting);
            tally.relative(format!("{column}, {}", row.place()), got, row.number(column), 1e-11);
        }
    }
    tally.close_all();
}

#[test]
fn moments_of_a_spread_of_fibres() {
    let mut tally = Tally::of("moments by the quadrature over fibre diameters");
    for row in Table::read("libraries/scipy_lognormal_moments.csv").rows() {
        let (gsd, power) = (row.number("gsd"), row.number("power"));
        let fibres = FibreDiameters::lognormal(Length::from_m(1.0), gsd);
        let got: f64 = fibres.quadrature().iter().map(|(d, w)| w * d.to_m().powf(power)).sum();
        tally.relative(format!("GSD {gsd}, power {power}"), got, row.number("moment"), 1e-4);
    }
    tally.close_all();
}

#[test]
fn the_thin_layer_constant() {
    let table = Table::read("libraries/mpmath_thin_layer.csv");
    let integral = moteweir_tests::quadrature(0.0, std::f64::consts::PI, |t| t.sin().max(0.0).sqrt());
    let mut tally = Tally::of("thin layer");
    tally.relative("integral", integral, table.row("quantity", "integral").number("value"), 1e-10);
    let constant = table.row("quantity", "constant").number("value");
    tally.close("constant as compiled", THIN_LAYER_CONSTANT, constant, 5e-5);
    let derived = 3.0 * 9.0_f64.powf(-1.0 / 3.0) / libm::tgamma(4.0 / 3.0) * integral.powf(2.0 / 3.0);
    tally.relative("constant by quadrature", derived, constant, 1e-10);
    tally.close_all();
}
