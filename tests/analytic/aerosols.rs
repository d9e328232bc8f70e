//! Aerosols: Hatch and Choate against sums over the nodes, and shares that add up.

use moteweir_physics::aerosol::{
    Aerosol, DiameterKind, Mode, Shape, Weighting, count_median, weighted_median,
};
use moteweir_physics::air::Air;
use moteweir_tests::Tally;
use moteweir_units::{Density, Length};

const ALL: [Weighting; 3] = [Weighting::Number, Weighting::Area, Weighting::Mass];

fn salt_density() -> Density {
    Density::from_kg_per_m3(2165.0)
}

#[test]
fn nodes_have_the_weighted_medians_of_hatch_and_choate() {
    let air = Air::reference();
    let mut tally = Tally::of("Hatch-Choate against nodes");
    for gsd in [1.2, 1.6, 1.86, 2.5] {
        let aerosol = Aerosol::lognormal(Length::from_nm(75.0), gsd);
        for weighting in ALL {
            let median = weighted_median(Length::from_nm(75.0), gsd, weighting);
            // The mean of ln d under a weighting is ln of the weighted median.
            let mean = aerosol.average(weighting, &air, salt_density(), |d| (d / median).ln());
            tally.close(format!("{} GSD {gsd}", weighting.name()), mean, 0.0, 1e-6);
            let spread = aerosol.average(weighting, &air, salt_density(), |d| (d / median).ln().powi(2));
            tally.relative(format!("spread, GSD {gsd}"), spread.sqrt(), gsd.ln(), 1e-4);
            let back = count_median(median, gsd, weighting);
            tally.relative(format!("back, GSD {gsd}"), back.to_nm(), 75.0, 1e-13);
            let half = aerosol.share_below(median, weighting);
            tally.close(format!("half below, GSD {gsd}"), half, 0.5, 1e-12);
        }
    }
    tally.close_all();
}

#[test]
fn averages_of_powers_are_moments() {
    let air = Air::reference();
    let mut tally = Tally::of("moments");
    for gsd in [1.3, 1.86, 2.2] {
        let aerosol = Aerosol::lognormal(Length::from_um(1.0), gsd);
        let s2 = f64::ln(gsd).powi(2);
        for weighting in ALL {
            for power in [-1.0, 0.5, 1.0, 2.0] {
                let got = aerosol.average(weighting, &air, salt_density(), |d| d.to_um().powf(power));
                let expected = (power * weighting.power() * s2 + 0.5 * power * power * s2).exp();
                let input = format!("{} GSD {gsd}, power {power}", weighting.name());
                tally.relative(input, got, expected, 2e-4);
            }
        }
    }
    tally.close_all();
}

#[test]
fn two_modes_share_as_their_shares_say() {
    let mode = |nm: f64, gsd: f64, share: f64| Mode { median: Length::from_nm(nm), gsd, share };
    let both = Aerosol {
        shape: Shape::Modes(vec![mode(20.0, 1.3, 3.0), mode(2000.0, 1.3, 1.0)]),
        diameter: DiameterKind::Mobility,
    };
    let mut tally = Tally::of("two modes far apart");
    tally.close("by number", both.share_below(Length::from_nm(300.0), Weighting::Number), 0.75, 1e-9);
    let by_mass = both.share_below(Length::from_nm(300.0), Weighting::Mass);
    tally.within("by mass", by_mass, 2.9e-6..=3.1e-6);
    tally.close_all();
}

#[test]
fn every_shape_has_nodes_that_sum_to_one_in_rising_weight_of_large_sizes() {
    let air = Air::reference();
    let um = Length::from_um;
    let shapes = [
        Shape::Modes(vec![Mode { median: um(0.3), gsd: 2.0, share: 7.0 }]),
        Shape::Bins { edges: vec![um(0.3), um(0.5), um(1.0), um(5.0)], numbers: vec![100.0, 30.0, 2.0] },
        Shape::PowerLaw { exponent: 3.0, from: um(0.2), to: um(5.0) },
    ];
    let mut tally = Tally::of("nodes");
    for shape in shapes {
        for diameter in [DiameterKind::Mobility, DiameterKind::Aerodynamic, DiameterKind::Optical] {
            let aerosol = Aerosol { shape: shape.clone(), diameter };
            let mut before = 0.0;
            for weighting in ALL {
                let nodes = aerosol.nodes(weighting, &air, salt_density());
                let sum: f64 = nodes.iter().map(|(_, w)| w).sum();
                let input = format!("{} {}", diameter.name(), weighting.name());
                tally.close(&input, sum, 1.0, 1e-12);
                let mean: f64 = nodes.iter().map(|(d, w)| w * d.to_um()).sum();
                tally.holds(&input, "a higher power weights larger sizes", mean > before);
                before = mean;
            }
        }
    }
    tally.close_all();
}
