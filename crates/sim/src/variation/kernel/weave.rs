//! Fibres whose swept widths are read from a lattice, and one woven sheet of a draw: the air's two ways past them.

use std::sync::Arc;

use moteweir_physics::closure::Closure;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_physics::stack::ParticleKind;
use moteweir_physics::weave::{Fabric, Split, Weave, pore_capture};
use moteweir_units::{Length, Solidity, Velocity};
use multiversion::multiversion;

use super::super::elementary::{exp, ln};
use super::charge::{ChargeRoom, Swept};
use super::charged_fibre::Whereabouts;
use super::cloths::{Cloths, FibrePlace, Reader};
use super::sizes::padded;
use super::{Kernel, Scratch, Setting};

/// The physics' value of entry impaction, as a share of its high end; the tests beside this hold both to each other.
const ENTRY_VALUE: f64 = 0.5;
/// Penetrations below this are this: its logarithm is still a number.
const LEAST: f64 = 1e-300;

/// What a kernel takes from a lattice.
#[derive(Debug)]
pub(super) struct Woven {
    cloths: Arc<Cloths>,
    direction: FlowDirection,
    /// The place on the lattice of each size of the kernel.
    places: Vec<usize>,
    /// Settling velocity of each size \[m/s\].
    settling: Vec<f64>,
}

/// Room to read in.
#[derive(Clone, Debug, Default)]
pub(super) struct Reading {
    readers: Vec<Reader>,
    /// ln W of the sizes of the lattice.
    read: Vec<f32>,
    /// Swept widths E_m d_f \[m\], arrival and one over it, of the sizes of the kernel.
    widths: Vec<f64>,
    arrival: Vec<f64>,
    inverse_arrival: Vec<f64>,
}

/// Room for one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Room {
    pub(super) reading: Reading,
    /// Exponents of each charge state.
    yarns: Vec<f64>,
    hairs: Vec<f64>,
    /// Share of each size that gets past a bare pore.
    bare: Vec<f64>,
}

/// One kind of fibre in a cloth.
struct Kind<'a> {
    closure: Closure,
    electret: &'a Electret,
    at: FibrePlace,
    /// Length in an area \[1/m\].
    length: f64,
}

impl Woven {
    /// For the sizes of a kernel; `None` where the lattice does not hold one of them.
    pub(super) fn new(
        cloths: &Arc<Cloths>,
        setting: &Setting,
        kind: &ParticleKind,
        particles: &[Particle],
    ) -> Option<Self> {
        if !cloths.are_for(setting, kind.density) || !cloths.answers() {
            return None;
        }
        let settling = padded(particles, &|p| p.settling_velocity().to_m_per_s());
        let mut places: Vec<usize> =
            particles.iter().map(|p| cloths.place(p.diameter())).collect::<Option<_>>()?;
        places.resize(settling.len(), places.last().copied().unwrap_or(0));
        Some(Self { cloths: Arc::clone(cloths), direction: setting.direction, places, settling })
    }

    /// Reads what fibres sweep; `None` where the lattice has no answer.
    pub(super) fn read<'r>(
        &self,
        closure: Closure,
        at: &FibrePlace,
        reading: &'r mut Reading,
    ) -> Option<Swept<'r>> {
        let Reading { readers, read, widths, arrival, inverse_arrival } = reading;
        read.resize(self.cloths.sizes(), 0.0);
        let reader = Reader::of(readers, &self.cloths, closure);
        if !self.cloths.read(reader, at, read) {
            return None;
        }
        let velocity = at.velocity.to_m_per_s();
        let arrive = |settling: &f64| gravity::arrival(settling / velocity, self.direction);
        arrival.clear();
        arrival.extend(self.settling.iter().map(arrive));
        inverse_arrival.clear();
        inverse_arrival.extend(arrival.iter().map(|arrival| 1.0 / arrival));
        widths.clear();
        widths.extend(self.places.iter().map(|&place| f64::from(read[place])));
        sweep(arrival, widths);
        Some(Swept { widths, arrival, inverse_arrival })
    }
}

/// From ln W to E_m d_f.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn sweep(arrival: &[f64], widths: &mut [f64]) {
    for (width, arrival) in widths.iter_mut().zip(arrival) {
        *width = exp(*width) * arrival;
    }
}

impl Kernel {
    /// Adds ln P of a sheet, `times` over; `false`, and nothing added, where a lattice has no answer.
    pub(super) fn read_weave(
        &self,
        woven: &Woven,
        weave: &Weave,
        times: f64,
        sum: &mut [f64],
        scratch: &mut Scratch,
    ) -> bool {
        let Scratch { woven: Room { reading, yarns, hairs, bare }, charge, .. } = scratch;
        let (setting, fabric) = (&self.setting, &weave.fabric);
        let split = Split::new(fabric, weave.fibre_diameter, &setting.air, self.face_velocity);
        let kind = |closure: Closure, solidity: Solidity, velocity: Velocity, thickness: Length| {
            let at = FibrePlace { solidity, diameter: weave.fibre_diameter, velocity };
            Kind { closure, electret: &weave.electret, at, length: at.length_over_area(thickness) }
        };
        let (solidity, path) = (fabric.yarn_solidity, fabric.yarn_path());
        let in_yarns = kind(Closure::KuwabaraCell, solidity, split.yarn_velocity, path);
        if !self.way(woven, &in_yarns, yarns, (reading, charge)) {
            return false;
        }
        let has_pores = fabric.pores.is_some() && split.pore_share_of_flow > 0.0;
        hairs.clear();
        hairs.resize(self.channels.len, 0.0);
        if let Some(solidity) = Solidity::new(weave.hairs).filter(|_| has_pores && weave.hairs > 0.0) {
            let across_pores = kind(setting.closure, solidity, split.pore_velocity, fabric.thickness);
            if !self.way(woven, &across_pores, hairs, (reading, charge)) {
                return false;
            }
        }
        *bare = padded(&self.sizes.particles, &|p| past_bare_pore(p, fabric, &split, self.face_velocity));
        let pore_share = if has_pores { split.pore_share_of_flow } else { 0.0 };
        for slot in &self.channels.slots {
            let of_slot = slot.offset..slot.offset + slot.shares.len();
            let ways = [&yarns[of_slot.clone()], &hairs[of_slot.clone()], &bare[slot.start..]];
            mix(ways, pore_share, times, &mut sum[of_slot]);
        }
        true
    }

    /// Exponents of one kind of fibre; `false` where the lattice has no answer.
    fn way(
        &self,
        woven: &Woven,
        kind: &Kind<'_>,
        exponents: &mut Vec<f64>,
        (reading, charge): (&mut Reading, &mut ChargeRoom),
    ) -> bool {
        let Kind { closure, electret, at, length } = *kind;
        exponents.clear();
        exponents.resize(self.channels.len, 0.0);
        let Some(swept) = woven.read(closure, &at, reading) else { return false };
        let convention = closure.convention(at.solidity);
        let whereabouts = Whereabouts {
            solidity: at.solidity,
            diameter: at.diameter.to_m(),
            velocity: at.velocity.to_m_per_s(),
            convention,
            mean_free_path: self.surroundings.mean_free_path,
        };
        self.add_swept(electret, &whereabouts, &swept, length / convention, (exponents, charge));
        true
    }
}

/// Share of a size that gets past diffusion to a pore's sides, its rim and its mouth; 1 where there are no pores.
fn past_bare_pore(particle: &Particle, fabric: &Fabric, split: &Split, face_velocity: Velocity) -> f64 {
    let Some(pores) = fabric.pores.filter(|_| split.pore_share_of_flow > 0.0) else { return 1.0 };
    let diameter = pores.diameter.to_m();
    let x = pore_capture::tube_parameter(
        particle.diffusivity().to_m2_per_s(),
        fabric.thickness.to_m(),
        diameter,
        split.pore_velocity.to_m_per_s(),
    );
    let rim = pore_capture::rim_interception(particle.diameter().to_m(), diameter);
    let entry = ENTRY_VALUE
        * pore_capture::entry_impaction(
            particle.relaxation_time().to_s(),
            face_velocity.to_m_per_s(),
            diameter,
            pores.open_area() / split.pore_share_of_flow,
        );
    pore_capture::through_tube(x) * (1.0 - rim) * (1.0 - entry)
}

/// Adds ln of what gets through both ways together:
///
/// ```text
/// P = s u exp(-K_h) + (1 - s) exp(-K_y)
/// ```
/// s the pores' share of the flow, u what gets past a bare pore.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn mix(ways: [&[f64]; 3], pore_share: f64, times: f64, sum: &mut [f64]) {
    let n = sum.len();
    let [yarns, hairs, past_pores] = ways.map(|way| &way[..n]);
    for x in 0..n {
        let pores = past_pores[x] * exp(-hairs[x]);
        let p = pore_share * pores + (1.0 - pore_share) * exp(-yarns[x]);
        sum[x] += times * ln(if p > LEAST { p } else { LEAST });
    }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::air::Air;
    use moteweir_physics::charging::ParticleCharge;
    use moteweir_physics::layer::Layer;
    use moteweir_physics::single_fibre::gravity::FlowDirection;
    use moteweir_physics::stack::ParticleKind;
    use moteweir_physics::weave::{PoreShape, Pores, PoresFrom, WeaveClass};
    use moteweir_units::{Density, SurfaceCharge};

    use super::super::Kernel;
    use super::*;
    use crate::random::{Purpose, Stream};

    use std::f64::consts::PI;

    /// Random cloths miss by less than is derived.
    const SEEN: f64 = 4e-3;
    const CLOTH: Purpose = Purpose::named("random cloth");

    fn between(stream: &mut Stream, low: f64, high: f64) -> f64 {
        low * (high / low).powf(stream.uniform())
    }

    /// Cloths over the whole of what is woven: tight to gauze, without hairs to hairy.
    fn random_cloth(stream: &mut Stream) -> Weave {
        let diameter = Length::from_um(between(stream, 5.0, 300.0));
        let open = between(stream, 1e-3, 0.5);
        let height = Length::from_um(between(stream, 60.0, 400.0));
        let throat = stream.uniform() < 0.5;
        let fabric = Fabric {
            pores: (stream.uniform() < 0.9).then(|| Pores {
                diameter,
                per_area: open * 4.0 / (PI * diameter.to_m() * diameter.to_m()),
                shape: if throat { PoreShape::Throat { yarn_radius: height } } else { PoreShape::Straight },
            }),
            thickness: height * 2.0,
            yarn_solidity: Solidity::new(0.25 + 0.5 * stream.uniform()).expect("a fraction"),
            yarn_bulk: height * (0.5 + stream.uniform()),
            yarn_drag_factor: 1.0,
        };
        Weave {
            class: WeaveClass::Woven,
            fabric,
            ends: [fabric; 2],
            fibre_diameter: Length::from_um(between(stream, 6.0, 30.0)),
            hairs: if stream.uniform() < 0.8 { between(stream, 3e-4, 0.05) } else { 0.0 },
            electret: Electret {
                surface_charge: SurfaceCharge::from_c_per_m2(0.0),
                fibre_permittivity: 4.0,
                particle_permittivity: 3.0,
            },
            pores_from: PoresFrom::Construction,
        }
    }

    fn sizes() -> Vec<Length> {
        (0..41).map(|i| Length::from_um(0.01 * 1000_f64.powf(f64::from(i) / 40.0))).collect()
    }

    /// Whole penetrations against the physics, over closures, directions, charges and velocities.
    #[test]
    fn cloths_are_those_of_the_physics() {
        let (mut worst, mut misses) = (0.0_f64, Vec::<f64>::new());
        for closure in Closure::ALL {
            for direction in [FlowDirection::Horizontal, FlowDirection::Down, FlowDirection::Up] {
                let setting = Setting { closure, air: Air::reference(), direction };
                let charge = ParticleCharge::Equilibrium;
                let kind = ParticleKind { density: Density::from_kg_per_m3(1200.0), charge };
                let cloths = Arc::new(Cloths::new(&setting, &sizes(), &kind));
                for (number, speed) in [0.01, 0.1, 0.5].into_iter().enumerate() {
                    let velocity = Velocity::from_m_per_s(speed);
                    let kernel = Kernel::with_cloths(&setting, velocity, &sizes(), &kind, &cloths);
                    let (mut scratch, mut got) = (kernel.scratch(), vec![0.0; sizes().len()]);
                    for index in 0..25 {
                        let cloth = random_cloth(&mut Stream::new(5, CLOTH.item(number as u64), index));
                        let (mut sum, mut by_physics) = (kernel.empty(), kernel.empty());
                        kernel.add_layer(&Layer::Weave(cloth.clone()), 1.0, &mut sum, &mut scratch);
                        kernel.penetrations(&sum, &mut scratch, &mut got);
                        let mut expected = got.clone();
                        kernel.add_weave_by_physics(&cloth, 1.0, &mut by_physics);
                        kernel.penetrations(&by_physics, &mut scratch, &mut expected);
                        for ((size, got), expected) in sizes().iter().zip(&got).zip(&expected) {
                            let miss = (got - expected).abs();
                            misses.push(miss);
                            worst = worst.max(miss);
                            assert!(
                                miss <= SEEN,
                                "{setting:?} {speed} m/s {cloth:?} {size:?}: {got} for {expected}"
                            );
                        }
                    }
                }
            }
        }
        misses.sort_by(f64::total_cmp);
        let at =
            |share: f64| misses.iter().enumerate().find(|(i, _)| *i as f64 >= share * misses.len() as f64);
        let (half, most) = (at(0.5).expect("some").1, at(0.99).expect("some").1);
        assert!(*half < 1e-7 && *most < 1e-3, "half {half:e}, 99 in 100 {most:e}, all {worst:e}");
    }
}
