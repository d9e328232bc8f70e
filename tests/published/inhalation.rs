//! Sampling conventions and deposition in the airways.

use moteweir_physics::inhalation::{deposition, sampling_fractions};
use moteweir_tests::{Table, Tally};
use moteweir_units::Length;

#[test]
fn sampling_conventions() {
    let mut tally = Tally::of("sampling conventions");
    for row in Table::read("sampling.csv").rows() {
        let d = row.number("diameter_um");
        let got = sampling_fractions(Length::from_um(d));
        for (column, got) in
            [("inhalable", got.inhalable), ("thoracic", got.thoracic), ("respirable", got.respirable)]
        {
            tally.printed(format!("{column} {d} um"), got, row.printed(column));
        }
    }
    tally.close_all();
}

#[test]
fn deposition_by_region() {
    let mut tally = Tally::of("deposition");
    for row in Table::read("deposition.csv").rows() {
        let d = row.number("diameter_um");
        let got = deposition(Length::from_um(d));
        for (column, got) in [
            ("inhalable", got.inhalable),
            ("head", got.head),
            ("tracheobronchial", got.tracheobronchial),
            ("alveolar", got.alveolar),
            ("total", got.total),
        ] {
            tally.printed(format!("{column} {d} um"), got, row.printed(column));
        }
    }
    tally.close_all();
}
