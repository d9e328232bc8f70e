//! Air of ISO 15900 at one atmosphere, and beside two other sets in use.

use moteweir_physics::air::{Air, saturation_pressure};
use moteweir_tests::{Table, Tally};
use moteweir_units::{Pressure, Temperature};

fn air(celsius: f64, humidity: f64) -> Air {
    Air::new(Temperature::from_celsius(celsius), Pressure::from_pa(101_325.0), humidity)
}

#[test]
fn viscosity_mean_free_path_and_density() {
    let mut tally = Tally::of("air at one atmosphere");
    for row in Table::read("air.csv").rows() {
        let t = row.number("celsius");
        let air = air(t, 0.0);
        tally.printed(format!("viscosity {t}"), air.viscosity().to_pa_s(), row.printed("viscosity"));
        // The two commonest sets lie 0.27 % apart, and two laws of the mean free path 0.06 %.
        tally.relative(format!("set A {t}"), air.viscosity().to_pa_s(), row.number("viscosity_set_a"), 0.003);
        if let Some(path) = row.printed_if_any("mean_free_path") {
            tally.printed(format!("mean free path {t}"), air.mean_free_path().to_nm(), path);
            let willeke = row.number("mean_free_path_willeke");
            tally.relative(format!("Willeke {t}"), air.mean_free_path().to_nm(), willeke, 0.001);
        }
        if let Some(density) = row.printed_if_any("density") {
            tally.printed(format!("density {t}"), air.density().to_kg_per_m3(), density);
        }
    }
    tally.close_all();
}

#[test]
fn humid_air_at_23_degrees() {
    // Buck 1996, from memory: 2810 Pa; 1.1857 kg/m3 at 50 %, 0.52 % less than dry.
    let mut tally = Tally::of("humid air");
    let (dry, humid) = (air(23.0, 0.0), air(23.0, 0.5));
    tally.close("saturation", saturation_pressure(humid.temperature()).to_pa(), 2810.0, 0.5);
    tally.close("density", humid.density().to_kg_per_m3(), 1.1857, 0.00005);
    let lighter = 1.0 - humid.density().to_kg_per_m3() / dry.density().to_kg_per_m3();
    tally.close("lighter by", lighter, 0.0052, 0.00005);
    tally.close_all();
}
