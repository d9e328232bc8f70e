//! A sheet of which weight and pressure drop are known: fibres of the effective diameter, of an assumed solidity.

use moteweir_physics::aerosol::{Aerosol, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::drag::{FlowReading, effective_fibre_diameter};
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, PreparedStack, Stack};
use moteweir_physics::web::Web;
use moteweir_tests::{solidity, web};
use moteweir_units::{Density, Length, Pressure, SurfaceCharge, Velocity};

/// Density of polypropylene [kg/m3].
pub(super) const POLYPROPYLENE: f64 = 910.0;
/// Density of cellulose [kg/m3].
pub(super) const CELLULOSE: f64 = 1520.0;
/// Density of salt [kg/m3].
pub(super) const SALT: f64 = 2165.0;

/// What is known and what is assumed of a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    /// Basis weight [g/m2].
    pub gsm: f64,
    /// Density of the fibres [kg/m3].
    pub density: f64,
    /// Solidity, assumed.
    pub solidity: f64,
    /// Pressure drop [Pa].
    pub pascal: f64,
    /// At this face velocity [m/s].
    pub velocity: f64,
}

/// What a sheet is taken to be, and what its fibres catch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Model {
    /// The set of single-fibre expressions.
    pub closure: Closure,
    /// Coefficient of variation of the local basis weight.
    pub unevenness: f64,
    /// What capture and drag of an ideal cell are divided by.
    pub inhomogeneity: f64,
}

impl Model {
    /// The fitted set, whose filters had their own unevenness.
    pub(super) const FITTED: Self = Self { closure: Closure::LeeLiu, unevenness: 0.0, inhomogeneity: 1.0 };
    /// The solved cell: a perfectly even web.
    pub(super) const EVEN_CELL: Self = Self { closure: Closure::Resolved, ..Self::FITTED };
    /// The solved cell in a web of usual unevenness.
    pub(super) const UNEVEN_CELL: Self = Self { unevenness: 0.3, ..Self::EVEN_CELL };
    /// The solved cell over a factor as usual for nonwovens: 1.2 to 1.7, from memory.
    pub(super) const INHOMOGENEOUS_CELL: Self = Self { inhomogeneity: 1.45, ..Self::EVEN_CELL };

    /// The web that has the weight and, by Davies' law, the pressure drop: the effective fibre diameter, whatever the
    /// closure. An uneven web lets air through its thin spots, so its fibres are finer for the same pressure drop.
    pub(super) fn fitted(self, known: Known) -> Web {
        let thickness = Length::from_m(known.gsm * 1e-3 / (known.density * known.solidity));
        let reading = FlowReading {
            pressure_drop: Pressure::from_pa(known.pascal / (1.0 - self.unevenness * self.unevenness)),
            face_velocity: Velocity::from_m_per_s(known.velocity),
        };
        let (air, alpha) = (Air::reference(), solidity(known.solidity));
        let fibres = effective_fibre_diameter(Closure::LeeLiu, &air, alpha, thickness, 1.0, reading)
            .expect("the reading asks for fibres within reach");
        self.web(known.solidity, thickness, fibres.median())
    }

    /// A web of stated fibres.
    pub(super) fn web(self, fraction: f64, thickness: Length, fibre_diameter: Length) -> Web {
        Web {
            unevenness: self.unevenness,
            inhomogeneity: self.inhomogeneity,
            ..web(fraction, thickness, fibre_diameter)
        }
    }

    /// A sheet in neutralised salt.
    pub(super) fn salt(self, sheet: &Web, velocity: f64) -> Bench {
        self.bench(sheet, velocity, SALT, ParticleCharge::Equilibrium)
    }

    /// A sheet in any particles.
    pub(super) fn bench(self, sheet: &Web, velocity: f64, density: f64, charge: ParticleCharge) -> Bench {
        let closure = self.closure;
        let setting = Setting { closure, air: Air::reference(), direction: FlowDirection::Horizontal };
        let stack = Stack::new([(Layer::Web(sheet.clone()), 1)]);
        let kind = ParticleKind { density: Density::from_kg_per_m3(density), charge };
        Bench { stack: stack.prepare(&setting, Velocity::from_m_per_s(velocity)), kind }
    }
}

/// The same web with charge on its fibres.
pub(super) fn charged(sheet: &Web, uc_per_m2: f64) -> Web {
    let mut charged = sheet.clone();
    charged.electret.surface_charge = SurfaceCharge::from_uc_per_m2(uc_per_m2);
    charged
}

/// The charge at which a rising exponent reaches a measured one [uC/m2].
pub(super) fn charge_for(wanted: f64, exponent: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.01_f64, 1e4_f64);
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if exponent(middle) < wanted { low = middle } else { high = middle }
    }
    low
}

/// A sheet at one face velocity with particles of a density and charge.
pub(super) struct Bench {
    stack: PreparedStack,
    kind: ParticleKind,
}

impl Bench {
    /// -ln P of one size.
    pub(super) fn exponent(&self, nm: f64) -> f64 {
        -self.penetration(Length::from_nm(nm)).ln()
    }

    /// P of one size.
    pub(super) fn penetration(&self, diameter: Length) -> f64 {
        self.stack.penetration(diameter, &self.kind).value
    }

    /// -ln P of an average.
    pub(super) fn average(&self, aerosol: &Aerosol, weighting: Weighting) -> f64 {
        let mean = aerosol.average(weighting, &Air::reference(), self.kind.density, |d| self.penetration(d));
        -mean.ln()
    }

    /// -ln P in certification salt (75 nm, 1.86), weighted by mass as a photometer does.
    pub(super) fn certification_salt(&self) -> f64 {
        self.average(&Aerosol::lognormal(Length::from_nm(75.0), 1.86), Weighting::Mass)
    }

    /// The most penetrating size from 10 nm to 3 um [nm] and P there.
    pub(super) fn worst(&self) -> (f64, f64) {
        let worst = self.stack.worst_size(Length::from_nm(10.0), Length::from_um(3.0), &self.kind);
        (worst.diameter.to_nm(), worst.penetration)
    }
}
