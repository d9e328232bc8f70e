//! What fibres are made of: density and relative permittivity of the solid.

use moteweir_units::Density;

use crate::refs::{self, Reference};

/// A substance that fibres are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Polymer {
    /// Isotactic polypropylene, the usual polymer of spunbond and melt-blown webs.
    Polypropylene,
    /// Polyethylene, high density unless said otherwise.
    Polyethylene,
    /// Poly(ethylene terephthalate).
    Polyester,
    /// Poly(butylene terephthalate).
    PolybutyleneTerephthalate,
    /// Polyamide 6 or 6.6.
    Polyamide,
    /// Polyacrylonitrile and its copolymers.
    Acrylic,
    /// Modacrylic, the flame-retardant copolymer used in triboelectric felts.
    Modacrylic,
    /// Polylactide, poly(lactic acid).
    Polylactide,
    /// Aromatic polyamide.
    Aramid,
    /// Polycarbonate.
    Polycarbonate,
    /// Polyurethane, as elastane fibre.
    Polyurethane,
    /// Polytetrafluoroethylene.
    Polytetrafluoroethylene,
    /// Poly(vinylidene fluoride).
    PolyvinylideneFluoride,
    /// Cotton.
    Cotton,
    /// Flax.
    Flax,
    /// Hemp.
    Hemp,
    /// Wood pulp.
    Cellulose,
    /// Viscose, modal and lyocell.
    Viscose,
    /// Cellulose acetate.
    Acetate,
    /// Sheep's wool.
    Wool,
    /// Mulberry silk, degummed.
    Silk,
    /// Borosilicate glass.
    Glass,
}

/// One row of the table.
struct Row {
    polymer: Polymer,
    name: &'static str,
    aliases: &'static [&'static str],
    density: f64,
    range: (f64, f64),
    permittivity: f64,
    source: Reference,
}

const fn row(
    polymer: Polymer,
    name: &'static str,
    aliases: &'static [&'static str],
    density: f64,
    range: (f64, f64),
    permittivity: f64,
    source: Reference,
) -> Row {
    Row { polymer, name, aliases, density, range, permittivity, source }
}

const PLASTIC: Reference = refs::POLYMER_TABLES;
const FIBRE: Reference = refs::MORTON_HEARLE_2008;

/// Density in kg/m3 with the range in which grades lie, permittivity of the dry solid, all from memory.
#[rustfmt::skip]
const TABLE: [Row; 22] = [
    row(Polymer::Polypropylene, "polypropylene", &["pp"], 910.0, (895.0, 920.0), 2.2, PLASTIC),
    row(Polymer::Polyethylene, "polyethylene", &["pe", "hdpe"], 950.0, (915.0, 970.0), 2.3, PLASTIC),
    row(Polymer::Polyester, "polyester", &["pet", "polyethylene terephthalate"], 1380.0, (1360.0, 1400.0), 3.2, PLASTIC),
    row(Polymer::PolybutyleneTerephthalate, "polybutylene terephthalate", &["pbt"], 1310.0, (1300.0, 1340.0), 3.2, PLASTIC),
    row(Polymer::Polyamide, "polyamide", &["nylon", "pa", "pa6", "pa66", "nylon 6", "nylon 66"], 1140.0, (1120.0, 1150.0), 3.6, PLASTIC),
    row(Polymer::Acrylic, "acrylic", &["pan", "polyacrylonitrile"], 1180.0, (1160.0, 1190.0), 4.0, FIBRE),
    row(Polymer::Modacrylic, "modacrylic", &[], 1350.0, (1300.0, 1370.0), 4.0, FIBRE),
    row(Polymer::Polylactide, "polylactide", &["pla", "polylactic acid"], 1240.0, (1210.0, 1270.0), 3.0, PLASTIC),
    row(Polymer::Aramid, "aramid", &["meta-aramid", "para-aramid"], 1440.0, (1380.0, 1450.0), 3.8, PLASTIC),
    row(Polymer::Polycarbonate, "polycarbonate", &["pc"], 1200.0, (1190.0, 1220.0), 2.9, PLASTIC),
    row(Polymer::Polyurethane, "polyurethane", &["elastane"], 1200.0, (1100.0, 1300.0), 5.0, PLASTIC),
    row(Polymer::Polytetrafluoroethylene, "polytetrafluoroethylene", &["ptfe"], 2200.0, (2100.0, 2250.0), 2.1, PLASTIC),
    row(Polymer::PolyvinylideneFluoride, "polyvinylidene fluoride", &["pvdf"], 1780.0, (1750.0, 1800.0), 8.4, PLASTIC),
    row(Polymer::Cotton, "cotton", &[], 1540.0, (1520.0, 1550.0), 3.2, FIBRE),
    row(Polymer::Flax, "flax", &["linen"], 1500.0, (1480.0, 1540.0), 3.2, FIBRE),
    row(Polymer::Hemp, "hemp", &[], 1480.0, (1450.0, 1520.0), 3.2, FIBRE),
    row(Polymer::Cellulose, "cellulose", &["pulp", "wood pulp", "paper"], 1520.0, (1500.0, 1560.0), 3.6, FIBRE),
    row(Polymer::Viscose, "viscose", &["rayon", "lyocell", "modal"], 1510.0, (1490.0, 1530.0), 3.6, FIBRE),
    row(Polymer::Acetate, "acetate", &["cellulose acetate"], 1310.0, (1300.0, 1330.0), 3.5, FIBRE),
    row(Polymer::Wool, "wool", &[], 1310.0, (1300.0, 1320.0), 2.7, FIBRE),
    row(Polymer::Silk, "silk", &[], 1340.0, (1320.0, 1360.0), 4.0, FIBRE),
    row(Polymer::Glass, "glass", &["borosilicate glass", "glass fibre"], 2500.0, (2400.0, 2600.0), 5.5, PLASTIC),
];

impl Polymer {
    /// Every polymer of the table, in the order of the declaration.
    pub fn all() -> impl Iterator<Item = Self> {
        TABLE.iter().map(|row| row.polymer)
    }

    /// The polymer of a name or an alias, in either case: `PP`, `nylon`, `Cotton`.
    pub fn from_name(name: &str) -> Option<Self> {
        let name = name.trim();
        let called = |known: &&str| known.eq_ignore_ascii_case(name);
        let row = TABLE.iter().find(|row| called(&row.name) || row.aliases.iter().any(called))?;
        Some(row.polymer)
    }

    /// The name that the program prints.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// Other names that are read as this one.
    pub fn aliases(self) -> &'static [&'static str] {
        self.row().aliases
    }

    /// Density of the solid \[kg/m3\].
    pub fn density(self) -> Density {
        Density::from_kg_per_m3(self.row().density)
    }

    /// The lowest and the highest density of its usual grades \[kg/m3\].
    pub fn density_range(self) -> (Density, Density) {
        let (low, high) = self.row().range;
        (Density::from_kg_per_m3(low), Density::from_kg_per_m3(high))
    }

    /// Relative permittivity of the dry solid at low frequency \[-\].
    ///
    /// Moisture raises that of cellulose, wool, silk and polyamide, up to several times at high humidity.
    pub fn relative_permittivity(self) -> f64 {
        self.row().permittivity
    }

    /// Where density and permittivity come from.
    pub fn source(self) -> Reference {
        self.row().source
    }

    fn row(self) -> &'static Row {
        &TABLE[self as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_declaration() {
        for (index, row) in TABLE.iter().enumerate() {
            assert_eq!(row.polymer as usize, index, "{}", row.name);
            assert_eq!(row.polymer.name(), row.name);
        }
    }

    #[test]
    fn every_name_and_alias_names_one_polymer() {
        let mut seen = Vec::new();
        for polymer in Polymer::all() {
            for name in std::iter::once(polymer.name()).chain(polymer.aliases().iter().copied()) {
                assert!(!seen.contains(&name), "{name} stands twice");
                seen.push(name);
                assert_eq!(Polymer::from_name(name), Some(polymer));
                assert_eq!(Polymer::from_name(&format!(" {} ", name.to_uppercase())), Some(polymer));
            }
        }
        assert_eq!(Polymer::from_name("steel"), None);
    }

    #[test]
    fn densities_lie_in_their_ranges() {
        for polymer in Polymer::all() {
            let (low, high) = polymer.density_range();
            assert!(low <= polymer.density() && polymer.density() <= high, "{polymer:?}");
            assert!(polymer.relative_permittivity() > 1.0, "{polymer:?}");
        }
        assert_eq!(Polymer::from_name("PP").map(Polymer::density), Some(Density::from_kg_per_m3(910.0)));
        assert_eq!(Polymer::from_name("nylon").map(Polymer::density), Some(Density::from_kg_per_m3(1140.0)));
    }
}
