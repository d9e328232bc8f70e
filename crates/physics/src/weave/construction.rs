//! From what a weaver states to the yarns' sections, the pores and the cover.

use std::f64::consts::PI;

use moteweir_units::{BasisWeight, Density, Length, LinearDensity, Solidity, ThreadCount};

use super::class::{Choice, WeaveClass};
use super::error::WeaveError;
use super::fabric::{Fabric, PoreShape, Pores};
use super::section::Section;
use crate::single_fibre::electrostatic::Electret;

/// Highest solidity of the fibres in a yarn: a little below the closest packing of equal circles, 0.907.
const DENSEST_YARN: f64 = 0.80;
/// A stated width above the spacing by no more than this is a jammed cloth, not a contradiction.
const JAMMED_UP_TO: f64 = 1.25;
/// Fewer fibres than this are no bundle.
const LEAST_FIBRES: f64 = 5.0;
/// Hairs denser than this are a layer of their own.
const MOST_HAIRS: f64 = 0.3;
/// Yarns over each other in a stitch.
const KNIT_CROSSINGS: f64 = 4.0;
/// Openings in a stitch: inside the loop and beside it.
const KNIT_OPENINGS: f64 = 2.0;
/// What is known of a woven or knitted cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeaveConstruction {
    /// Woven or knitted.
    pub class: WeaveClass,
    /// Ends over length; wales of a knit.
    pub warp: ThreadCount,
    /// Picks over length; courses of a knit.
    pub weft: ThreadCount,
    /// Mass over length of the yarn, the same both ways.
    pub yarn_linear_density: LinearDensity,
    /// Diameter of the fibres in the yarn.
    pub fibre_diameter: Length,
    /// Density of the solid fibre.
    pub fibre_density: Density,
    /// Thickness as layered in use, where known.
    pub thickness: Option<Length>,
    /// Width of a yarn as seen from above, where known.
    pub yarn_width: Option<Length>,
    /// Solidity of hairs and nap across the pores, 0 to below 0.3: an unknown that a bench calibrates, usually
    /// between 0.001 and 0.01 for spun yarns, 0 for filament.
    pub hairs: f64,
    /// Charge on the fibres and permittivities.
    pub electret: Electret,
}

/// The geometry that follows from a construction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClothGeometry {
    /// Width of a warp and a weft yarn (the same for a knit) \[m\].
    pub yarn_width: [Length; 2],
    /// Height of a warp and a weft yarn.
    pub yarn_height: [Length; 2],
    /// Solidity of the fibres inside the yarns, the mean of both sets.
    pub yarn_solidity: Solidity,
    /// Share of the spacing that each set covers; of a knit, the cover of the whole cloth twice.
    pub thread_cover: [f64; 2],
    /// Share of the sheet that is pore.
    pub open_area: f64,
    /// Hydraulic diameter of a pore: four times its area over its outline (of a knit, the circle of equal area).
    pub pore_diameter: Length,
    /// Openings over area \[1/m2\]: meshes of a weave, two for each stitch of a knit.
    pub openings_per_area: f64,
    /// Thickness, stated or the sum of the yarns' heights.
    pub thickness: Length,
    /// Areal weight that the yarns imply.
    pub areal_weight: BasisWeight,
}

impl ClothGeometry {
    /// Cloth cover: share of the sheet that is yarn.
    pub fn cover(&self) -> f64 {
        1.0 - self.open_area
    }
}

impl WeaveConstruction {
    /// The geometry, with the class's usual values for what is not stated.
    ///
    /// Without thickness and width the yarn is a racetrack three times as wide as high, unless its neighbours leave
    /// less room: a round yarn of 20 tex at 30 x 28 /cm would be a gauze with a quarter of it open, because weaving
    /// presses yarns flat. A stated thickness is two yarns' heights; a stated width is taken for both sets.
    ///
    /// # Errors
    /// A quantity that is not positive, threads that do not fit beside each other, a width that does not go with
    /// the count, more yarn than the sheet holds.
    pub fn geometry(&self) -> Result<ClothGeometry, WeaveError> {
        self.geometry_with(Choice::Usual)
    }

    /// The cloth as the model sees it: the usual reading and the two ends, open and tight.
    pub(super) fn fabrics(&self) -> Result<(Fabric, [Fabric; 2]), WeaveError> {
        let usual = self.geometry_with(Choice::Usual)?;
        let open = self.geometry_with(Choice::Open).unwrap_or(usual);
        let tight = self.geometry_with(Choice::Tight).unwrap_or(usual);
        Ok((self.fabric(&usual, true), [self.fabric(&open, true), self.fabric(&tight, false)]))
    }

    /// Whether the yarns' flattening is the class's and not stated.
    pub fn is_flattening_assumed(&self) -> bool {
        self.yarn_width.is_none()
    }

    fn geometry_with(&self, choice: Choice) -> Result<ClothGeometry, WeaveError> {
        self.check()?;
        let values = self.class.values();
        let counts = [self.warp.to_per_m(), self.weft.to_per_m()];
        let sections = [self.section(0, choice)?, self.section(1, choice)?];
        let widths = sections.map(|s| s.section.width);
        let heights = sections.map(|s| s.section.height);
        let openings = match self.class {
            WeaveClass::Woven => woven_openings(counts, widths, choice.of(values.largest_cover)),
            WeaveClass::Knit => knit_openings(counts, widths[0], self.run(), choice.of(values.least_open)),
        };
        let thickness =
            self.thickness.map_or_else(|| values.layers * (heights[0] + heights[1]), Length::to_m);
        Ok(ClothGeometry {
            yarn_width: widths.map(Length::from_m),
            yarn_height: heights.map(Length::from_m),
            yarn_solidity: mean_solidity(sections.map(|s| s.solidity)),
            thread_cover: openings.cover,
            open_area: openings.open_area,
            pore_diameter: Length::from_m(openings.diameter),
            openings_per_area: openings.per_area,
            thickness: Length::from_m(thickness),
            areal_weight: BasisWeight::from_kg_per_m2(self.yarn_linear_density.to_kg_per_m() * self.run()),
        })
    }

    fn check(&self) -> Result<(), WeaveError> {
        for (quantity, value) in [
            ("warp count", self.warp.to_per_m()),
            ("weft count", self.weft.to_per_m()),
            ("yarn linear density", self.yarn_linear_density.to_kg_per_m()),
            ("fibre diameter", self.fibre_diameter.to_m()),
            ("fibre density", self.fibre_density.to_kg_per_m3()),
            ("thickness", self.thickness.map_or(1.0, Length::to_m)),
            ("yarn width", self.yarn_width.map_or(1.0, Length::to_m)),
        ] {
            WeaveError::unless_positive(quantity, value)?;
        }
        if !(0.0..MOST_HAIRS).contains(&self.hairs) {
            return Err(WeaveError::HairsOutside { value: self.hairs, most: MOST_HAIRS });
        }
        let d = self.fibre_diameter.to_m();
        let fibres = self.fibre_area() / (PI / 4.0 * d * d);
        if fibres < LEAST_FIBRES {
            return Err(WeaveError::FewFibres {
                yarn: self.yarn_linear_density,
                fibre_diameter: self.fibre_diameter,
                fibres,
                least: LEAST_FIBRES,
            });
        }
        Ok(())
    }

    /// Area of fibre in a yarn's section \[m2\].
    fn fibre_area(&self) -> f64 {
        self.yarn_linear_density.to_kg_per_m() / self.fibre_density.to_kg_per_m3()
    }

    fn run(&self) -> f64 {
        self.class.yarn_length_per_area(self.warp, self.weft)
    }

    /// Section of the warp (0) or weft (1) yarn.
    fn section(&self, set: usize, choice: Choice) -> Result<PackedSection, WeaveError> {
        let values = self.class.values();
        let fibre = self.fibre_area();
        let room = choice.of(values.largest_cover) * self.room(set)?;
        // Of what is not stated, one thing is varied: packing under a stated height, else the flattening.
        let packing = if self.thickness.is_some() { choice } else { Choice::Usual }.of(values.packing);
        let aspect = choice.of(values.aspect);
        let height = self.thickness.map(|t| 0.5 * t.to_m() / values.layers);
        let section = match (self.yarn_width.map(Length::to_m), height) {
            (Some(width), Some(height)) => {
                // A thickness that the yarn does not fill is nap and crimp: the yarn is no looser than the class's.
                let full = Section { width, height: height.min(width) };
                let loosest = fibre / Choice::Tight.of(values.packing);
                Section::of_width(loosest, width).filter(|s| s.height < full.height).unwrap_or(full)
            }
            (Some(width), None) => {
                Section::of_width(fibre / packing, width).unwrap_or(Section { width, height: width })
            }
            (None, Some(height)) => {
                let free = Section::of_height(fibre / packing, height);
                if free.width > room { Section { width: room, height: free.height.min(room) } } else { free }
            }
            (None, None) => narrowed(Section::of_aspect(fibre / packing, aspect), room),
        };
        let solidity = fibre / section.area();
        match Solidity::new(solidity) {
            Some(packed) if solidity <= DENSEST_YARN => Ok(PackedSection { section, solidity: packed }),
            _ => Err(WeaveError::YarnTooDense {
                yarn: self.yarn_linear_density,
                width: Length::from_m(section.width),
                height: Length::from_m(section.height),
                solidity,
                most: DENSEST_YARN,
            }),
        }
    }

    /// The widest that a thread of a set can be \[m\].
    fn room(&self, set: usize) -> Result<f64, WeaveError> {
        let name = self.class.names()[set];
        let count = [self.warp, self.weft][set];
        // A wale holds two legs of a loop side by side.
        let abreast = if self.class == WeaveClass::Knit && set == 0 { 2.0 } else { 1.0 };
        let spacing = 1.0 / count.to_per_m();
        let room = spacing / abreast;
        let needed = (4.0 / PI * self.fibre_area() / DENSEST_YARN).sqrt();
        if needed > room {
            return Err(WeaveError::ThreadsDoNotFit {
                set: name,
                count,
                room: Length::from_m(room),
                yarn: self.yarn_linear_density,
                needed: Length::from_m(needed),
            });
        }
        match self.yarn_width {
            Some(width) if width.to_m() > JAMMED_UP_TO * room => Err(WeaveError::WiderThanSpacing {
                set: name,
                width,
                count,
                spacing: Length::from_m(spacing),
            }),
            _ => Ok(room),
        }
    }

    fn fabric(&self, geometry: &ClothGeometry, throat: bool) -> Fabric {
        let yarn_radius = 0.25 * (geometry.yarn_height[0].to_m() + geometry.yarn_height[1].to_m());
        let shape = if throat {
            PoreShape::Throat { yarn_radius: Length::from_m(yarn_radius) }
        } else {
            PoreShape::Straight
        };
        let diameter = geometry.pore_diameter.to_m();
        let fibre_volume = geometry.areal_weight.to_kg_per_m2() / self.fibre_density.to_kg_per_m3();
        Fabric {
            pores: Some(Pores {
                diameter: geometry.pore_diameter,
                // As many round holes of the hydraulic diameter as have the cloth's open area.
                per_area: geometry.open_area / (PI / 4.0 * diameter * diameter),
                shape,
            }),
            thickness: geometry.thickness,
            yarn_solidity: geometry.yarn_solidity,
            yarn_bulk: Length::from_m(fibre_volume / geometry.yarn_solidity.fraction()),
            yarn_drag_factor: 1.0,
        }
    }
}

#[derive(Clone, Copy)]
struct PackedSection {
    section: Section,
    solidity: Solidity,
}

struct Openings {
    cover: [f64; 2],
    open_area: f64,
    diameter: f64,
    per_area: f64,
}

/// A yarn that its neighbours keep from spreading stands higher, up to round; then its fibres are pressed closer.
fn narrowed(section: Section, room: f64) -> Section {
    if section.width <= room {
        return section;
    }
    Section::of_width(section.area(), room).unwrap_or(Section { width: room, height: room })
}

fn woven_openings(counts: [f64; 2], widths: [f64; 2], largest_cover: f64) -> Openings {
    let cover = [0, 1].map(|i| (counts[i] * widths[i]).min(largest_cover));
    let gap = [0, 1].map(|i| (1.0 - cover[i]) / counts[i]);
    Openings {
        cover,
        open_area: (1.0 - cover[0]) * (1.0 - cover[1]),
        diameter: 2.0 * gap[0] * gap[1] / (gap[0] + gap[1]),
        per_area: counts[0] * counts[1],
    }
}

fn knit_openings(counts: [f64; 2], width: f64, run: f64, least_open: f64) -> Openings {
    let stitches = counts[0] * counts[1];
    // Beyond the width at which every yarn lies on another, more width covers nothing more.
    let width = width.min(run / (2.0 * KNIT_CROSSINGS * stitches));
    let covered = run * width - KNIT_CROSSINGS * stitches * width * width;
    let open_area = (1.0 - covered).max(least_open);
    let per_area = KNIT_OPENINGS * stitches;
    Openings {
        cover: [1.0 - open_area; 2],
        open_area,
        diameter: (4.0 * open_area / (PI * per_area)).sqrt(),
        per_area,
    }
}

fn mean_solidity(sets: [Solidity; 2]) -> Solidity {
    let mean = 0.5 * (sets[0].fraction() + sets[1].fraction());
    Solidity::new(mean).unwrap_or(sets[0])
}
