//! Charge together with diffusion, and with inertia: the points that `electret_law::joined` is measured by, as CSV.
//!
//! `cargo run --release -p moteweir-sim --example charge_composing -- <out>`; the points compiled into a test are
//! `crates/physics/src/single_fibre/electret_law/composed.csv`.
#![expect(clippy::print_stdout, reason = "it reports to whoever measures anew")]

use std::error::Error;
use std::f64::consts::PI;
use std::fmt::Write as _;

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::electret_law::{Parts, joined};
use moteweir_physics::single_fibre::impaction::Release;
use moteweir_sim::convection::{Diffuser, Drift, EdgeCondition, Resolution, diffusive_efficiency};
use moteweir_sim::trajectory::{
    Particle, Precision, driven_efficiency, electret_efficiency, limiting_efficiency,
};
use moteweir_units::Solidity;
use rayon::prelude::*;

/// Bearings of the dipole over which the mean is taken.
const BEARINGS: u32 = 6;

/// Good to about 1e-3.
const GRID: Resolution = Resolution { rings: 32, sectors: 24 };

#[derive(Clone, Copy)]
struct Point {
    solidity: f64,
    interception: f64,
    coulomb: f64,
    polarisation: f64,
    /// Infinite: no diffusion.
    peclet: f64,
    /// 0: no inertia.
    stokes: f64,
}

impl Point {
    fn cell(&self) -> Result<KuwabaraCell, Box<dyn Error + Send + Sync>> {
        Ok(KuwabaraCell::new(Solidity::new(self.solidity).ok_or("no solidity")?, 0.0))
    }

    fn drifts(&self) -> Vec<Drift> {
        let bearings = if self.coulomb > 0.0 { BEARINGS } else { 1 };
        (0..bearings)
            .map(|bearing| Drift {
                dipole_charge: self.coulomb,
                dipole_bearing: (f64::from(bearing) + 0.5) * PI / f64::from(bearings),
                dipole_polarisation: self.polarisation,
                ..Drift::NONE
            })
            .collect()
    }

    /// What is caught under a drift, by diffusion or by inertia.
    fn under(&self, drift: Drift) -> Result<f64, Box<dyn Error + Send + Sync>> {
        let cell = self.cell()?;
        if self.peclet.is_finite() {
            let diffuser = Diffuser::new(cell, self.interception, self.peclet, drift)?;
            return Ok(diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, GRID).efficiency);
        }
        let particle = Particle::new(self.stokes, self.interception, &cell)?;
        if drift.is_none() {
            return Ok(limiting_efficiency(cell, particle, Release::Uniform, Precision::QUICK, None)?);
        }
        Ok(driven_efficiency(cell, particle, Release::Uniform, drift, 1e-7)?)
    }

    fn row(&self) -> Result<[f64; 4], Box<dyn Error + Send + Sync>> {
        let mechanical = self.under(Drift::NONE)?;
        let drifts = self.drifts();
        let mut together = 0.0;
        for drift in &drifts {
            together += self.under(*drift)? / drifts.len() as f64;
        }
        let joint = electret_efficiency(self.cell()?, self.interception, drifts[0], 1e-8)?;
        Ok([mechanical, joint, self.cell()?.stream_at_gap(self.interception), together])
    }
}

fn points() -> Vec<Point> {
    let mut points = Vec::new();
    let charges = [[1.0, 0.0], [0.0, 1.0], [0.5, 0.5]];
    for solidity in [0.02, 0.05, 0.15] {
        for [coulomb, polarisation] in charges {
            for number in [1e-3, 1e-2, 1e-1, 1.0, 10.0] {
                let (coulomb, polarisation) = (number * coulomb, number * polarisation);
                for interception in [0.02, 0.1] {
                    for peclet in [1e2, 1e3, 1e4, 1e5] {
                        let stokes = 0.0;
                        points.push(Point { solidity, interception, coulomb, polarisation, peclet, stokes });
                    }
                }
                for interception in [0.05, 0.2, 0.5] {
                    for stokes in [0.02, 0.05, 0.15, 0.5, 1.5] {
                        let peclet = f64::INFINITY;
                        points.push(Point { solidity, interception, coulomb, polarisation, peclet, stokes });
                    }
                }
            }
        }
    }
    points
}

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let path = std::env::args_os().nth(1).ok_or("say where to write the points")?;
    let points = points();
    let rows = points.par_iter().with_max_len(1).map(Point::row).collect::<Result<Vec<_>, _>>()?;
    let mut text = String::from(
        "# solved points of charge with diffusion (peclet) or with inertia (stokes), cargo run --release -p moteweir-sim \
         --example charge_composing\nsolidity,interception,coulomb,polarisation,peclet,stokes,mechanical,joint,still,together\n",
    );
    let (mut worst, mut sum_worst) = (0.0_f64, 0.0_f64);
    for (p, [mechanical, joint, still, together]) in points.iter().zip(rows) {
        writeln!(
            text,
            "{},{},{},{},{},{},{mechanical:.6e},{joint:.6e},{still:.6e},{together:.6e}",
            p.solidity, p.interception, p.coulomb, p.polarisation, p.peclet, p.stokes
        )?;
        let parts = Parts { mechanical, joint, interception: still, stokes: p.stokes };
        worst = worst.max((joined(&p.cell()?, parts) / together - 1.0).abs());
        sum_worst = sum_worst.max(((mechanical + joint - still) / together - 1.0).abs());
    }
    std::fs::write(&path, text)?;
    println!("{} points; largest miss of the rule {worst:.3}, of the plain sum {sum_worst:.3}", points.len());
    Ok(())
}
