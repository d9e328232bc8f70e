//! Aerosols that filters are tested with: mass medians and shares below 100 nm.

use moteweir_physics::aerosol::{Aerosol, Weighting, weighted_median};
use moteweir_tests::{Table, Tally};
use moteweir_units::Length;

#[test]
fn mass_medians_of_salt() {
    let mut tally = Tally::of("Hatch-Choate");
    for row in Table::read("salt_aerosols.csv").rows() {
        let gsd = row.number("gsd");
        let median = weighted_median(Length::from_nm(75.0), gsd, Weighting::Mass);
        tally.printed(format!("GSD {gsd}"), median.to_nm(), row.printed("mass_median_nm"));
    }
    tally.close_all();
}

#[test]
fn shares_of_test_aerosols_below_100_nm() {
    let mut tally = Tally::of("share below 100 nm");
    for row in Table::read("test_aerosol_shares.csv").rows() {
        let aerosol = Aerosol::lognormal(Length::from_nm(row.number("count_median_nm")), row.number("gsd"));
        for (weighting, column) in [(Weighting::Number, "by_count_pct"), (Weighting::Mass, "by_mass_pct")] {
            let share = 100.0 * aerosol.share_below(Length::from_nm(100.0), weighting);
            let printed = row.printed(column);
            tally.printed(format!("{} {column}", row.text("aerosol")), share, printed);
        }
    }
    tally.close_all();
}
