//! One woven sheet of a draw: the air's two ways, with the fibres read from a lattice.

use std::sync::Arc;

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::Setting;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::weave::{Fabric, Split, Weave, pore_capture};
use moteweir_units::{Solidity, Velocity};
use multiversion::multiversion;

use super::super::elementary::{exp, ln};
use super::channels::Channels;
use super::cloths::{Cloths, FibrePlace, Reader};

/// The physics' value of entry impaction, as a share of its high end; the tests beside this hold both to each other.
const ENTRY_VALUE: f64 = 0.5;
/// Penetrations below this are this: its logarithm is still a number.
const LEAST: f64 = 1e-300;

/// What woven sheets take from a lattice, for the channels of one kernel.
#[derive(Debug)]
pub(super) struct WovenChannels {
    cloths: Arc<Cloths>,
    /// Of each charge state of each size: the size, the channel of the lattice, that of the kernel.
    channels: Vec<Channel>,
}

#[derive(Clone, Copy, Debug)]
struct Channel {
    size: usize,
    of_cloths: usize,
    of_kernel: usize,
}

/// Room for one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Room {
    readers: Vec<Reader>,
    yarns: Vec<f32>,
    hairs: Vec<f32>,
    /// Share of each size that gets past a bare pore.
    bare: Vec<f64>,
    ways: Ways,
}

/// The two ways of each channel.
#[derive(Clone, Debug, Default)]
struct Ways {
    ln_yarns: Vec<f64>,
    ln_hairs: Vec<f64>,
    past_pores: Vec<f64>,
    through: Vec<f64>,
}

/// What scales the widths.
#[derive(Clone, Copy, Debug)]
struct Scales {
    yarn_length: f64,
    hair_length: f64,
    pore_share: f64,
}

impl WovenChannels {
    /// The channels of a kernel in lattices that hold all of them; `None` where one is not among them.
    pub(super) fn new(
        cloths: &Arc<Cloths>,
        setting: &Setting,
        particles: &[Particle],
        channels: &Channels,
    ) -> Option<Self> {
        if !cloths.are_for(setting) || !cloths.answers() {
            return None;
        }
        let mut found = Vec::new();
        for (size, (particle, states)) in particles.iter().zip(&channels.states).enumerate() {
            for (state, charges) in states.iter().enumerate() {
                let of_cloths = cloths.channel(particle.diameter(), state, *charges)?;
                found.push(Channel { size, of_cloths, of_kernel: channels.place(size, state) });
            }
        }
        Some(Self { cloths: Arc::clone(cloths), channels: found })
    }

    /// Adds ln P of a sheet, `times` over; `false`, and nothing added, where a lattice has no answer.
    pub(super) fn add(
        &self,
        weave: &Weave,
        surroundings: (&Setting, Velocity, &[Particle]),
        times: f64,
        sum: &mut [f64],
        room: &mut Room,
    ) -> bool {
        let (setting, face_velocity, particles) = surroundings;
        let fabric = &weave.fabric;
        let split = Split::new(fabric, weave.fibre_diameter, &setting.air, face_velocity);
        let Some(scales) = self.read(weave, setting, &split, room) else { return false };
        room.bare.clear();
        room.bare.extend(particles.iter().map(|p| past_bare_pore(p, fabric, &split, face_velocity)));
        room.ways.gather(&self.channels, &room.yarns, &room.hairs, &room.bare);
        let Ways { ln_yarns, ln_hairs, past_pores, through } = &mut room.ways;
        mix(ln_yarns, ln_hairs, past_pores, scales, through);
        for (channel, ln_through) in self.channels.iter().zip(through) {
            sum[channel.of_kernel] += times * *ln_through;
        }
        true
    }

    /// Adds `length` times the width of a web's fibres of one diameter to the exponents; `false`, and nothing added,
    /// where the lattice has no answer.
    pub(super) fn add_fibres(
        &self,
        (closure, electret): (Closure, &Electret),
        at: &FibrePlace,
        length: f64,
        (exponents, room): (&mut [f64], &mut Room),
    ) -> bool {
        room.yarns.resize(self.cloths.channels(), 0.0);
        let reader = Reader::of(&mut room.readers, &self.cloths, closure, electret);
        if !self.cloths.read(reader, at, &mut room.yarns) {
            return false;
        }
        for channel in &self.channels {
            exponents[channel.of_kernel] += length * exp(f64::from(room.yarns[channel.of_cloths]));
        }
        true
    }

    /// Reads both kinds of fibre; widths of hairs are nothing where there are none.
    fn read(&self, weave: &Weave, setting: &Setting, split: &Split, room: &mut Room) -> Option<Scales> {
        let fabric = &weave.fabric;
        let at = |solidity: Solidity, velocity: Velocity| FibrePlace {
            solidity,
            diameter: weave.fibre_diameter,
            velocity,
        };
        let channels = self.cloths.channels();
        room.yarns.resize(channels, 0.0);
        room.hairs.resize(channels, 0.0);
        let yarns = at(fabric.yarn_solidity, split.yarn_velocity);
        let cloths = &self.cloths;
        let reader = Reader::of(&mut room.readers, cloths, Closure::KuwabaraCell, &weave.electret);
        if !cloths.read(reader, &yarns, &mut room.yarns) {
            return None;
        }
        let mut hair_length = 0.0;
        let has_pores = fabric.pores.is_some() && split.pore_share_of_flow > 0.0;
        if let Some(solidity) = Solidity::new(weave.hairs).filter(|_| has_pores && weave.hairs > 0.0) {
            let hairs = at(solidity, split.pore_velocity);
            let reader = Reader::of(&mut room.readers, cloths, setting.closure, &weave.electret);
            if !cloths.read(reader, &hairs, &mut room.hairs) {
                return None;
            }
            hair_length = hairs.length_over_area(fabric.thickness);
        }
        let pore_share = if has_pores { split.pore_share_of_flow } else { 0.0 };
        Some(Scales { yarn_length: yarns.length_over_area(fabric.yarn_path()), hair_length, pore_share })
    }
}

impl Ways {
    fn gather(&mut self, channels: &[Channel], yarns: &[f32], hairs: &[f32], bare: &[f64]) {
        let of = |place: &Channel, rows: &[f32]| f64::from(rows[place.of_cloths]);
        self.ln_yarns.clear();
        self.ln_yarns.extend(channels.iter().map(|place| of(place, yarns)));
        self.ln_hairs.clear();
        self.ln_hairs.extend(channels.iter().map(|place| of(place, hairs)));
        self.past_pores.clear();
        self.past_pores.extend(channels.iter().map(|place| bare[place.size]));
        self.through.resize(channels.len(), 0.0);
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

/// ln of what gets through both ways together:
///
/// ```text
/// P = s u exp(-L_h W_h) + (1 - s) exp(-L_y W_y)
/// ```
/// s the pores' share of the flow, u what gets past a bare pore.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn mix(ln_yarns: &[f64], ln_hairs: &[f64], past_pores: &[f64], scales: Scales, through: &mut [f64]) {
    let n = through.len();
    let (ln_yarns, ln_hairs, past_pores) = (&ln_yarns[..n], &ln_hairs[..n], &past_pores[..n]);
    let Scales { yarn_length, hair_length, pore_share } = scales;
    for x in 0..n {
        let yarns = exp(-yarn_length * exp(ln_yarns[x]));
        let pores = past_pores[x] * exp(-hair_length * exp(ln_hairs[x]));
        let p = pore_share * pores + (1.0 - pore_share) * yarns;
        through[x] = ln(if p > LEAST { p } else { LEAST });
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
    use moteweir_units::{Density, Length, SurfaceCharge};

    use super::super::{CLOTHS_LARGEST_MISS, Kernel};
    use super::*;
    use crate::random::{Purpose, Stream};

    use std::f64::consts::PI;

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
                                miss <= CLOTHS_LARGEST_MISS,
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
