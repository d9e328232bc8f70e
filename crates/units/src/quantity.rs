//! Physical quantities as newtypes over SI `f64`, with only the operators that the physics needs.
//!
//! A quantity is built from, and read back in, a named unit: `Length::from_um(0.3).to_nm()`. The number inside
//! is always SI and private, so that no bare number changes its unit on the way.

use std::ops::{Add, Div, Mul, Sub};

use crate::conversion as c;

macro_rules! quantity {
    ($(#[$meta:meta])* $name:ident { $($(#[$umeta:meta])* $from:ident, $to:ident = $factor:expr;)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                $(#[$umeta])*
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }
                $(#[$umeta])*
                pub const fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )+

            /// The quantity from its SI value.
            pub const fn from_si(value: f64) -> Self {
                Self(value)
            }

            /// The SI value.
            pub const fn si(self) -> f64 {
                self.0
            }

            /// The smaller of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

quantity! {
    /// A length \[m\]: fibre and particle diameters, thickness.
    Length {
        /// Metres.
        from_m, to_m = 1.0;
        /// Centimetres.
        from_cm, to_cm = 1e-2;
        /// Millimetres.
        from_mm, to_mm = 1e-3;
        /// Micrometres.
        from_um, to_um = 1e-6;
        /// Nanometres.
        from_nm, to_nm = 1e-9;
    }
}
quantity! {
    /// An area \[m2\].
    Area {
        /// Square metres.
        from_m2, to_m2 = 1.0;
        /// Square centimetres.
        from_cm2, to_cm2 = 1e-4;
    }
}
quantity! {
    /// A mass \[kg\].
    Mass {
        /// Kilograms.
        from_kg, to_kg = 1.0;
        /// Grams.
        from_g, to_g = 1e-3;
    }
}
quantity! {
    /// A duration \[s\].
    Time {
        /// Seconds.
        from_s, to_s = 1.0;
    }
}
quantity! {
    /// An absolute temperature \[K\].
    Temperature {
        /// Kelvin.
        from_kelvin, to_kelvin = 1.0;
    }
}
quantity! {
    /// A pressure or a pressure difference \[Pa\].
    Pressure {
        /// Pascals.
        from_pa, to_pa = 1.0;
        /// Kilopascals.
        from_kpa, to_kpa = 1e3;
        /// Millimetres of water column.
        from_mm_h2o, to_mm_h2o = c::PASCALS_PER_MM_H2O;
        /// Millibars.
        from_mbar, to_mbar = 100.0;
    }
}
quantity! {
    /// A velocity \[m/s\]; a face velocity is flow over area.
    Velocity {
        /// Metres per second.
        from_m_per_s, to_m_per_s = 1.0;
        /// Centimetres per second.
        from_cm_per_s, to_cm_per_s = 1e-2;
        /// Millimetres per second.
        from_mm_per_s, to_mm_per_s = 1e-3;
        /// Cubic feet of air a minute through a square foot, the same as feet per minute.
        from_cfm_per_ft2, to_cfm_per_ft2 = c::METRES_PER_SECOND_PER_FOOT_PER_MINUTE;
    }
}
quantity! {
    /// A volume flow \[m3/s\].
    Flow {
        /// Cubic metres per second.
        from_m3_per_s, to_m3_per_s = 1.0;
        /// Litres per minute.
        from_l_per_min, to_l_per_min = c::CUBIC_METRES_PER_SECOND_PER_LITRE_PER_MINUTE;
    }
}
quantity! {
    /// A basis weight: mass over area of a sheet \[kg/m2\].
    BasisWeight {
        /// Kilograms per square metre.
        from_kg_per_m2, to_kg_per_m2 = 1.0;
        /// Grams per square metre.
        from_g_per_m2, to_g_per_m2 = 1e-3;
    }
}
quantity! {
    /// A mass density \[kg/m3\].
    Density {
        /// Kilograms per cubic metre.
        from_kg_per_m3, to_kg_per_m3 = 1.0;
        /// Grams per cubic centimetre.
        from_g_per_cm3, to_g_per_cm3 = 1e3;
    }
}
quantity! {
    /// A linear density: mass over length of a fibre or yarn \[kg/m\].
    LinearDensity {
        /// Kilograms per metre.
        from_kg_per_m, to_kg_per_m = 1.0;
        /// Tex: grams per kilometre.
        from_tex, to_tex = 1e-6;
        /// Decitex: grams per ten kilometres.
        from_dtex, to_dtex = 1e-7;
        /// Denier: grams per nine kilometres.
        from_denier, to_denier = 1e-6 / 9.0;
    }
}
quantity! {
    /// A count over length \[1/m\]: ends and picks of a weave.
    ThreadCount {
        /// Threads per metre.
        from_per_m, to_per_m = 1.0;
        /// Threads per centimetre.
        from_per_cm, to_per_cm = 100.0;
    }
}
quantity! {
    /// A dynamic viscosity \[Pa s\].
    Viscosity {
        /// Pascal seconds.
        from_pa_s, to_pa_s = 1.0;
    }
}
quantity! {
    /// A diffusivity \[m2/s\].
    Diffusivity {
        /// Square metres per second.
        from_m2_per_s, to_m2_per_s = 1.0;
    }
}
quantity! {
    /// The amplitude of a charge on a surface \[C/m2\].
    SurfaceCharge {
        /// Coulombs per square metre.
        from_c_per_m2, to_c_per_m2 = 1.0;
        /// Microcoulombs per square metre.
        from_uc_per_m2, to_uc_per_m2 = 1e-6;
    }
}
quantity! {
    /// A flow resistance: pressure drop over face velocity \[Pa s/m\].
    Resistance {
        /// Pascal seconds per metre.
        from_pa_s_per_m, to_pa_s_per_m = 1.0;
    }
}

impl LinearDensity {
    /// From the English cotton count Ne: hanks of 840 yards to the pound; a higher count is a finer yarn.
    pub const fn from_cotton_count(count: f64) -> Self {
        Self(c::TEX_TIMES_COTTON_COUNT * 1e-6 / count)
    }

    /// The English cotton count Ne.
    pub const fn to_cotton_count(self) -> f64 {
        c::TEX_TIMES_COTTON_COUNT * 1e-6 / self.0
    }
}

impl Temperature {
    /// From degrees Celsius.
    pub const fn from_celsius(value: f64) -> Self {
        Self(value + c::CELSIUS_ZERO_KELVIN)
    }

    /// Degrees Celsius.
    pub const fn to_celsius(self) -> f64 {
        self.0 - c::CELSIUS_ZERO_KELVIN
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

impl Div<Area> for Flow {
    type Output = Velocity;
    fn div(self, area: Area) -> Velocity {
        Velocity(self.0 / area.0)
    }
}

impl Mul<Area> for Velocity {
    type Output = Flow;
    fn mul(self, area: Area) -> Flow {
        Flow(self.0 * area.0)
    }
}

impl Div<Area> for Mass {
    type Output = BasisWeight;
    fn div(self, area: Area) -> BasisWeight {
        BasisWeight(self.0 / area.0)
    }
}

impl Div<Length> for BasisWeight {
    type Output = Density;
    fn div(self, thickness: Length) -> Density {
        Density(self.0 / thickness.0)
    }
}

impl Mul<Length> for Density {
    type Output = BasisWeight;
    fn mul(self, thickness: Length) -> BasisWeight {
        BasisWeight(self.0 * thickness.0)
    }
}

impl Div<Velocity> for Pressure {
    type Output = Resistance;
    fn div(self, velocity: Velocity) -> Resistance {
        Resistance(self.0 / velocity.0)
    }
}
