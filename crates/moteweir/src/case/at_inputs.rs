//! A material at other values of its uncertain inputs: the independent ones are set, what follows from them follows.

use moteweir_physics::web::solidity;
use moteweir_units::{BasisWeight, Density, Length, LinearDensity, Solidity, SurfaceCharge, ThreadCount};

use super::input::{Input, Uncertain, given, uncertain_among};
use super::known::{Derivation, Known, Origin};
use super::material::{FibreFacts, FlowReading, Material, Structure, Weave, Web};
use super::web::POSSIBLE_SOLIDITY;
use crate::doubt::Doubt;

/// The numbers of one sheet of a web, which agree: weight is thickness times solidity times fibre density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Mass over area.
    pub basis_weight: BasisWeight,
    /// Thickness.
    pub thickness: Length,
    /// Share of the volume that is fibre.
    pub solidity: Solidity,
    /// Density of the solid fibre.
    pub fibre_density: Density,
    /// Median fibre diameter; `None` where it follows from a measured flow.
    pub fibre_diameter: Option<Length>,
    /// Geometric standard deviation of the fibre diameters.
    pub fibre_gsd: f64,
    /// Charge on the fibres.
    pub surface_charge: SurfaceCharge,
    /// Coefficient of variation of the local basis weight.
    pub unevenness: f64,
    /// What an ideal cell's capture and drag are divided by.
    pub inhomogeneity: f64,
}

impl Material {
    /// What is not known of the material: its independent inputs only, in the order of [`Input`]. What follows from
    /// them (a solidity from weight and thickness) is not among them.
    pub fn unknowns(&self) -> Vec<Uncertain> {
        match &self.structure {
            Structure::Web(web) => web.unknowns(),
            Structure::Weave(weave) => weave.unknowns(),
        }
    }

    /// The material with some inputs at other values \[SI\]; `None` where no such layer can be (denser than fibres pack)
    /// or the values contradict one another.
    ///
    /// Inputs that are not named keep their central values, apart from what geometry forces. Of weight, thickness and
    /// solidity of a web two make the third:
    ///
    /// - weight and thickness given: the solidity follows; so it does from one of them where both were stated;
    /// - the weight alone: a heavier sheet is denser where the thickness was measured, else thicker;
    /// - a solidity or thickness alone: the weight stays if it was stated or the class's own, else it follows.
    ///
    /// A fibre diameter from a linear density follows it and the fibre density.
    ///
    /// Of a weave, a heavier cloth of the same counts has heavier yarns, and more threads in a cloth whose yarn was not
    /// stated are finer ones: a class's yarn is that at its typical counts. A thickness or yarn width that was not
    /// measured is that of the central yarn, and goes with the root of its linear density, so that yarns stay as
    /// solid as they were.
    #[must_use]
    pub fn with_inputs(&self, inputs: &[(Input, f64)]) -> Option<Self> {
        let structure = match &self.structure {
            Structure::Web(web) => Structure::Web(web.with_inputs(inputs)?),
            Structure::Weave(weave) => Structure::Weave(weave.with_inputs(inputs)?),
        };
        Some(Self { structure, ..self.clone() })
    }
}

impl Web {
    fn unknowns(&self) -> Vec<Uncertain> {
        let (diameter, gsd) = match &self.fibre {
            FibreFacts::Diameter { median, gsd } => (Some((median.value.si(), median.doubt)), gsd),
            FibreFacts::FromReading { gsd, .. } => (None, gsd),
        };
        let linear = self.fibre_linear_density.as_ref().map(|known| (known.value.si(), known.doubt));
        let all = [
            Some((Input::BasisWeight, self.basis_weight.value.si(), self.basis_weight.doubt)),
            Some((Input::Thickness, self.thickness.value.si(), self.thickness.doubt)),
            Some((Input::Solidity, self.solidity.value.fraction(), self.solidity.doubt)),
            Some((Input::FibreDensity, self.fibre_density.value.si(), self.fibre_density.doubt)),
            diameter.map(|(value, doubt)| (Input::FibreDiameter, value, doubt)),
            linear.map(|(value, doubt)| (Input::FibreLinearDensity, value, doubt)),
            Some((Input::FibreGsd, gsd.value, gsd.doubt)),
            Some((Input::SurfaceCharge, self.surface_charge.value.si(), self.surface_charge.doubt)),
            Some((Input::Unevenness, self.unevenness.value, self.unevenness.doubt)),
            Some((Input::Inhomogeneity, self.inhomogeneity.value, self.inhomogeneity.doubt)),
            self.reading.as_ref().map(measured),
        ];
        uncertain_among(all.into_iter().flatten())
    }

    /// The numbers of a sheet at some inputs \[SI\]: see [`Material::with_inputs`]. Cheap enough for a draw.
    pub fn sheet(&self, inputs: &[(Input, f64)]) -> Option<Sheet> {
        let of = |input, central: f64| given(inputs, input).unwrap_or(central);
        let density = Density::from_si(of(Input::FibreDensity, self.fibre_density.value.si()));
        let (weight, thickness, fraction) = self.build(inputs, density)?;
        let (diameter, gsd) = match &self.fibre {
            FibreFacts::Diameter { median, gsd } => (Some(median.value), gsd.value),
            FibreFacts::FromReading { gsd, .. } => (None, gsd.value),
        };
        let diameter = diameter.map(|diameter| {
            let follows = self.fibre_linear_density.as_ref().map_or(1.0, |linear| {
                let heavier = of(Input::FibreLinearDensity, linear.value.si()) / linear.value.si();
                (heavier * (self.fibre_density.value / density)).sqrt()
            });
            Length::from_si(of(Input::FibreDiameter, diameter.si() * follows))
        });
        Some(Sheet {
            basis_weight: weight,
            thickness,
            solidity: fraction,
            fibre_density: density,
            fibre_diameter: diameter,
            fibre_gsd: of(Input::FibreGsd, gsd),
            surface_charge: SurfaceCharge::from_si(of(Input::SurfaceCharge, self.surface_charge.value.si())),
            unevenness: of(Input::Unevenness, self.unevenness.value),
            inhomogeneity: of(Input::Inhomogeneity, self.inhomogeneity.value),
        })
    }

    /// Weight, thickness and solidity that agree at a fibre density.
    fn build(&self, inputs: &[(Input, f64)], density: Density) -> Option<(BasisWeight, Length, Solidity)> {
        let named = |input| given(inputs, input);
        let (weight, thickness, fraction) =
            (named(Input::BasisWeight), named(Input::Thickness), named(Input::Solidity));
        let (central_weight, central_thickness) = (self.basis_weight.value.si(), self.thickness.value.si());
        let central_fraction = self.solidity.value.fraction();
        let from_weight_and_thickness = |weight: f64, thickness: f64| {
            let (weight, thickness) = (BasisWeight::from_si(weight), Length::from_si(thickness));
            Some((weight, thickness, solidity(weight, density, thickness)?))
        };
        let from_weight_and_solidity = |weight: f64, fraction: f64| {
            let thickness = Length::from_si(weight / (fraction * density.si()));
            Some((BasisWeight::from_si(weight), thickness, Solidity::new(fraction)?))
        };
        let from_thickness_and_solidity = |thickness: f64, fraction: f64| {
            let weight = BasisWeight::from_si(thickness * fraction * density.si());
            Some((weight, Length::from_si(thickness), Solidity::new(fraction)?))
        };
        let follows = self.follows();
        let build = match (weight, thickness, fraction) {
            (Some(_), Some(_), Some(_)) => None,
            (Some(weight), Some(thickness), None) => from_weight_and_thickness(weight, thickness),
            (Some(weight), None, Some(fraction)) => from_weight_and_solidity(weight, fraction),
            (None, Some(thickness), Some(fraction)) => from_thickness_and_solidity(thickness, fraction),
            (Some(weight), None, None) if self.thickness.is_measured() => {
                from_weight_and_thickness(weight, central_thickness)
            }
            (Some(weight), None, None) => from_weight_and_solidity(weight, central_fraction),
            (None, Some(thickness), None) if follows == Input::BasisWeight => {
                from_thickness_and_solidity(thickness, central_fraction)
            }
            (None, Some(thickness), None) => from_weight_and_thickness(central_weight, thickness),
            (None, None, Some(fraction)) if follows == Input::BasisWeight => {
                from_thickness_and_solidity(central_thickness, fraction)
            }
            (None, None, Some(fraction)) => from_weight_and_solidity(central_weight, fraction),
            (None, None, None) => match follows {
                Input::BasisWeight => from_thickness_and_solidity(central_thickness, central_fraction),
                Input::Thickness => from_weight_and_solidity(central_weight, central_fraction),
                _ => from_weight_and_thickness(central_weight, central_thickness),
            },
        };
        build.filter(|(_, _, fraction)| POSSIBLE_SOLIDITY.contains(&fraction.fraction()))
    }

    /// Which of weight, thickness and solidity follows from the other two.
    const fn follows(&self) -> Input {
        match (&self.basis_weight.origin, &self.thickness.origin) {
            (Origin::Derived(Derivation::ThicknessAndSolidity), _) => Input::BasisWeight,
            (_, Origin::Derived(Derivation::WeightAndSolidity)) => Input::Thickness,
            _ => Input::Solidity,
        }
    }

    fn with_inputs(&self, inputs: &[(Input, f64)]) -> Option<Self> {
        let sheet = self.sheet(inputs)?;
        let gsd = |gsd: &Known<f64>| gsd.moved_to(sheet.fibre_gsd);
        let fibre = match (&self.fibre, sheet.fibre_diameter) {
            (FibreFacts::Diameter { median, gsd: spread }, Some(diameter)) => {
                FibreFacts::Diameter { median: median.moved_to(diameter), gsd: gsd(spread) }
            }
            (FibreFacts::FromReading { reading, gsd: spread }, _) => {
                FibreFacts::FromReading { reading: reading.with_inputs(inputs), gsd: gsd(spread) }
            }
            (fibre @ FibreFacts::Diameter { .. }, None) => fibre.clone(),
        };
        Some(Self {
            basis_weight: self.basis_weight.moved_to(sheet.basis_weight),
            thickness: self.thickness.moved_to(sheet.thickness),
            solidity: self.solidity.moved_to(sheet.solidity),
            fibre_density: self.fibre_density.moved_to(sheet.fibre_density),
            fibre,
            fibre_linear_density: moved(
                self.fibre_linear_density.as_ref(),
                inputs,
                Input::FibreLinearDensity,
                LinearDensity::from_si,
            ),
            unevenness: self.unevenness.moved_to(sheet.unevenness),
            inhomogeneity: self.inhomogeneity.moved_to(sheet.inhomogeneity),
            surface_charge: self.surface_charge.moved_to(sheet.surface_charge),
            reading: self.reading.map(|reading| reading.with_inputs(inputs)),
            ..self.clone()
        })
    }
}

impl Weave {
    fn unknowns(&self) -> Vec<Uncertain> {
        let length = |input, known: &Option<Known<Length>>| {
            known.as_ref().map(|known| (input, known.value.si(), known.doubt))
        };
        let linear = self.fibre_linear_density.as_ref();
        let all = [
            Some((Input::BasisWeight, self.basis_weight.value.si(), self.basis_weight.doubt)),
            length(Input::Thickness, &self.thickness),
            Some((Input::FibreDensity, self.fibre_density.value.si(), self.fibre_density.doubt)),
            Some((Input::FibreDiameter, self.fibre_diameter.value.si(), self.fibre_diameter.doubt)),
            linear.map(|known| (Input::FibreLinearDensity, known.value.si(), known.doubt)),
            Some((Input::Warp, self.warp.value.si(), self.warp.doubt)),
            Some((Input::Weft, self.weft.value.si(), self.weft.doubt)),
            Some((
                Input::YarnLinearDensity,
                self.yarn_linear_density.value.si(),
                self.yarn_linear_density.doubt,
            )),
            length(Input::YarnWidth, &self.yarn_width),
            Some((Input::Hairs, self.hairs.value, self.hairs.doubt)),
            self.reading.as_ref().map(measured),
        ];
        uncertain_among(all.into_iter().flatten())
    }

    /// Weight and yarn linear density over their central values.
    fn heavier(&self, inputs: &[(Input, f64)], warp: ThreadCount, weft: ThreadCount) -> Option<(f64, f64)> {
        let class = self.binding.weave_class();
        let run = class.yarn_length_per_area(warp, weft)
            / class.yarn_length_per_area(self.warp.value, self.weft.value);
        let ratio = |input, central: f64| given(inputs, input).map(|value| value / central);
        let weight = ratio(Input::BasisWeight, self.basis_weight.value.si());
        let yarn = ratio(Input::YarnLinearDensity, self.yarn_linear_density.value.si());
        let (follows, of_class) = match self.yarn_linear_density.origin {
            Origin::Derived(_) => (true, false),
            Origin::Class { .. } => (true, true),
            Origin::Given | Origin::Default => (false, false),
        };
        match (weight, yarn) {
            (Some(_), Some(_)) => None,
            (Some(weight), None) => Some((weight, weight / run)),
            (None, Some(yarn)) if of_class => Some((yarn, yarn / run)),
            (None, Some(yarn)) => Some((yarn * run, yarn)),
            (None, None) if follows => Some((1.0, run.recip())),
            (None, None) => Some((run, 1.0)),
        }
    }

    fn with_inputs(&self, inputs: &[(Input, f64)]) -> Option<Self> {
        let of = |input, central: f64| given(inputs, input).unwrap_or(central);
        let warp = ThreadCount::from_si(of(Input::Warp, self.warp.value.si()));
        let weft = ThreadCount::from_si(of(Input::Weft, self.weft.value.si()));
        let (heavier, yarn) = self.heavier(inputs, warp, weft)?;
        let density = Density::from_si(of(Input::FibreDensity, self.fibre_density.value.si()));
        let linear = self.fibre_linear_density.as_ref().map_or(1.0, |linear| {
            let heavier = of(Input::FibreLinearDensity, linear.value.si()) / linear.value.si();
            (heavier * (self.fibre_density.value / density)).sqrt()
        });
        let section = |known: &Option<Known<Length>>, input| {
            known.as_ref().map(|known| {
                let with_the_yarn = if known.is_measured() { 1.0 } else { yarn.sqrt() };
                known.moved_to(Length::from_si(of(input, known.value.si()) * with_the_yarn))
            })
        };
        let diameter = Length::from_si(of(Input::FibreDiameter, self.fibre_diameter.value.si() * linear));
        Some(Self {
            warp: self.warp.moved_to(warp),
            weft: self.weft.moved_to(weft),
            yarn_linear_density: self.yarn_linear_density.moved_to(self.yarn_linear_density.value * yarn),
            basis_weight: self.basis_weight.moved_to(self.basis_weight.value * heavier),
            fibre_diameter: self.fibre_diameter.moved_to(diameter),
            fibre_linear_density: moved(
                self.fibre_linear_density.as_ref(),
                inputs,
                Input::FibreLinearDensity,
                LinearDensity::from_si,
            ),
            fibre_density: self.fibre_density.moved_to(density),
            thickness: section(&self.thickness, Input::Thickness),
            yarn_width: section(&self.yarn_width, Input::YarnWidth),
            hairs: self.hairs.moved_to(of(Input::Hairs, self.hairs.value)),
            reading: self.reading.map(|reading| reading.with_inputs(inputs)),
            ..self.clone()
        })
    }
}

/// What was measured of the flow, with what is not known of it.
fn measured(reading: &FlowReading) -> (Input, f64, Doubt) {
    let (input, value) = reading.measured();
    (input, value, reading.doubt)
}

/// A quantity that may be absent, at the value given for it.
fn moved<T: Copy + PartialEq>(
    known: Option<&Known<T>>,
    inputs: &[(Input, f64)],
    input: Input,
    from_si: impl Fn(f64) -> T,
) -> Option<Known<T>> {
    known.map(|known| known.moved_to(given(inputs, input).map_or(known.value, from_si)))
}
