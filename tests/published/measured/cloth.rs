//! Woven and knitted household cloth whose pores are fitted to its pressure drop: is its efficiency predicted?
//!
//! It is not. Below 0.5 um the model's pores catch next to nothing and its yarns pass little air, whatever hairs are
//! assumed; measured cloth catches three to seventeen times as much.

use moteweir_physics::aerosol::{Aerosol, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::drag::FlowReading;
use moteweir_physics::estimate::Estimate;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, PreparedStack, Stack};
use moteweir_physics::weave::{Weave, WeaveClass, WeaveConstruction};
use moteweir_tests::{Row, Table, Tally};
use moteweir_units::{Density, Length, LinearDensity, Pressure, SurfaceCharge, ThreadCount, Velocity};

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::SALT;

const ZHAO: &str = "Zhao et al. 2020 (from memory)";
const FACE_VELOCITY: f64 = 0.0533;
/// The default solidity of hairs, a guess, and the most that is usual.
const USUAL_HAIRS: f64 = 0.003;
const MANY_HAIRS: f64 = 0.01;
const UNKNOWN: &str = "not settled: more air through the yarns than the model sends there, or charge; hairs hardly matter at these sizes";

/// A cloth of cotton or the like by what is assumed of it, its pores fitted to a reading.
struct Assumed {
    class: WeaveClass,
    counts: [f64; 2],
    tex: f64,
    fibre_um: f64,
    fibre_density: f64,
    pascal: f64,
    reading_velocity: f64,
}

impl Assumed {
    fn of_row(row: &Row) -> Self {
        Self {
            class: if row.text("class") == "knit" { WeaveClass::Knit } else { WeaveClass::Woven },
            counts: [row.number("warp"), row.number("weft")],
            tex: row.number("yarn_tex"),
            fibre_um: row.number("fibre_um"),
            fibre_density: row.number("fibre_density"),
            pascal: row.number("pressure_pa"),
            reading_velocity: FACE_VELOCITY,
        }
    }

    fn cloth(&self, hairs: f64) -> Weave {
        let construction = WeaveConstruction {
            class: self.class,
            warp: ThreadCount::from_per_cm(self.counts[0]),
            weft: ThreadCount::from_per_cm(self.counts[1]),
            yarn_linear_density: LinearDensity::from_tex(self.tex),
            fibre_diameter: Length::from_um(self.fibre_um),
            fibre_density: Density::from_g_per_cm3(self.fibre_density),
            thickness: None,
            yarn_width: None,
            hairs,
            electret: Electret {
                surface_charge: SurfaceCharge::from_c_per_m2(0.0),
                fibre_permittivity: 3.0,
                particle_permittivity: 5.9,
            },
        };
        let reading = FlowReading {
            pressure_drop: Pressure::from_pa(self.pascal),
            face_velocity: Velocity::from_m_per_s(self.reading_velocity),
        };
        let weave = Weave::from_construction(&construction).expect("the assumed counts make a cloth");
        weave.fitted_to_reading(reading, &Air::reference()).expect("the reading is in reach")
    }

    fn stack(&self, hairs: f64, layers: u32, velocity: f64) -> PreparedStack {
        let setting =
            Setting { closure: Closure::LeeLiu, air: Air::reference(), direction: FlowDirection::Horizontal };
        Stack::new([(Layer::Weave(self.cloth(hairs)), layers)])
            .prepare(&setting, Velocity::from_m_per_s(velocity))
    }
}

fn salt_particles() -> ParticleKind {
    ParticleKind { density: Density::from_kg_per_m3(SALT), charge: ParticleCharge::Equilibrium }
}

/// -ln P of a cloth in certification salt, weighted by mass, with its band.
fn exponent(row: &Row, hairs: f64) -> Estimate {
    let (stack, kind) = (Assumed::of_row(row).stack(hairs, 1, FACE_VELOCITY), salt_particles());
    let salt = Aerosol::lognormal(Length::from_nm(75.0), 1.86);
    let mean = |of: fn(Estimate) -> f64| {
        let through = |d: Length| of(stack.penetration(d, &kind));
        salt.average(Weighting::Mass, &Air::reference(), kind.density, through)
    };
    Estimate { low: mean(|p| p.low), value: mean(|p| p.value), high: mean(|p| p.high) }
        .map_falling(|p| -p.ln())
}

/// -ln P at 300 nm of the median cotton mask, taken as two layers of sheeting that share weight and pressure drop.
fn cotton_mask() -> Finding {
    let table = Table::read("measured/morais_2021_classes.csv");
    let row = table.row("class", "cotton");
    let counts = [30.0, 28.0];
    let assumed = Assumed {
        class: WeaveClass::Woven,
        counts,
        tex: row.number("basis_weight_g_per_m2") / 2.0 / (1.05 * 100.0 * (counts[0] + counts[1])) * 1e3,
        fibre_um: 14.0,
        fibre_density: 1.52,
        pascal: row.number("pressure_pa") / 2.0,
        reading_velocity: 0.272,
    };
    let through = assumed.stack(USUAL_HAIRS, 2, 0.10).penetration(Length::from_nm(300.0), &salt_particles());
    let measured = exponent_of_percent(row.number("efficiency_300nm_pct"));
    let what = "cotton at 300 nm: pores from pressure drop, two layers and counts assumed";
    Finding::explained("Morais et al. 2021", what, measured, -through.value.ln())
        .missed(-0.80..=-0.60, UNKNOWN)
}

pub(super) fn findings() -> Vec<Finding> {
    let of = |row: &Row| {
        let what =
            format!("{}: pores from {} Pa, counts assumed", row.text("material"), row.text("pressure_pa"));
        let measured = exponent_of_percent(row.number("efficiency_pct"));
        let found = Finding::explained(ZHAO, what, measured, exponent(row, USUAL_HAIRS).value);
        match row.text("material") {
            "pillow cover" => found.missed(-0.69..=-0.63, UNKNOWN),
            "T-shirt" => found.missed(-0.89..=-0.85, UNKNOWN),
            "sweater" => found.missed(-0.955..=-0.925, UNKNOWN),
            _ => found.missed(
                0.62..=0.72,
                "at the counts assumed half of the air goes through the yarns, which is too much",
            ),
        }
    };
    let mut found: Vec<Finding> = Table::read("measured/cloth_2020.csv").rows().iter().map(of).collect();
    found.push(cotton_mask());
    found
}

#[test]
fn a_pressure_drop_does_not_tell_what_cloth_catches() {
    hold(&findings());
}

#[test]
fn the_bands_do_not_hold_it_either_and_hairs_do_not_settle_it() {
    let mut tally = Tally::of("cloth in salt, -ln P");
    for row in Table::read("measured/cloth_2020.csv").rows() {
        let (usual, hairy) = (exponent(row, USUAL_HAIRS), exponent(row, MANY_HAIRS));
        let measured = exponent_of_percent(row.number("efficiency_pct"));
        let outside = measured < usual.low || measured > usual.high;
        tally.holds(row.text("material"), "the band of open and tight cloth leaves it outside", outside);
        // Three times the hairs: at these sizes they catch little.
        tally.within(row.text("material"), hairy.value / usual.value, 1.0..=1.3);
    }
    let table = Table::read("measured/cloth_2020.csv");
    let trousers = Assumed::of_row(table.row("material", "exercise trousers")).cloth(USUAL_HAIRS);
    let velocity = Velocity::from_m_per_s(FACE_VELOCITY);
    let ready = trousers.prepare(Closure::LeeLiu, &Air::reference(), velocity, FlowDirection::Horizontal);
    let share = ready.split().pore_share_of_flow;
    tally.within("exercise trousers, share of the air in the pores", share, 0.40..=0.49);
    tally.close_all();
}
