//! Uneven webs: gamma-distributed local basis weight at common pressure drop.

use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::web::{Web, uneven_penetration};
use moteweir_tests::{Table, Tally, still_air, web};
use moteweir_units::{Length, Velocity};

#[test]
fn penetration_and_drag_of_uneven_webs() {
    let mut tally = Tally::of("uneven webs");
    let prepare = |sheet: &Web| {
        sheet.prepare(Closure::LeeLiu, &still_air(), Velocity::from_cm_per_s(10.0), FlowDirection::Horizontal)
    };
    let even = web(0.05, Length::from_mm(1.0), Length::from_um(10.0));
    for row in Table::read("uneven.csv").rows() {
        let (p, c) = (row.number("even_penetration"), row.number("variation"));
        let input = format!("P {p}, c {c}");
        tally.printed(&input, uneven_penetration(-p.ln(), c), row.printed("penetration"));
        let sheet = Web { unevenness: c, ..even.clone() };
        let ratio = prepare(&sheet).pressure_drop().value / prepare(&even).pressure_drop().value;
        tally.printed(format!("drag, {input}"), ratio, row.printed("drag_ratio"));
    }
    tally.close_all();
}
