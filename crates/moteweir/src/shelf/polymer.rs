//! What fibres are made of: density and permittivity by name.

use moteweir_units::Density;

/// A fibre-forming material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Polymer {
    /// Name in a scenario.
    pub name: &'static str,
    /// Density of the solid, dry fibre.
    pub density: Density,
    /// Relative permittivity of the solid, dry fibre at low frequency; for capture by charge.
    pub relative_permittivity: f64,
}

const fn polymer(name: &'static str, kg_per_m3: f64, relative_permittivity: f64) -> Polymer {
    Polymer { name, density: Density::from_kg_per_m3(kg_per_m3), relative_permittivity }
}

impl Polymer {
    /// Every polymer, by name. Handbook values from memory: density within 3 %, permittivity within 20 %.
    pub const ALL: &'static [Self] = &[
        polymer("acrylic", 1180.0, 3.5),
        polymer("aramid", 1440.0, 3.8),
        polymer("cellulose", 1500.0, 5.0),
        polymer("cellulose acetate", 1310.0, 4.0),
        polymer("cotton", 1540.0, 5.0),
        polymer("elastane", 1200.0, 5.0),
        polymer("glass", 2500.0, 6.0),
        polymer("hemp", 1480.0, 5.0),
        polymer("linen", 1500.0, 5.0),
        polymer("lyocell", 1500.0, 5.0),
        polymer("modal", 1520.0, 5.0),
        polymer("polyacrylonitrile", 1180.0, 3.5),
        polymer("polyamide", 1140.0, 3.8),
        polymer("polycarbonate", 1200.0, 2.9),
        polymer("polyester", 1380.0, 3.2),
        polymer("polyethylene", 950.0, 2.3),
        polymer("polylactide", 1250.0, 3.0),
        polymer("polypropylene", 910.0, 2.2),
        polymer("polytetrafluoroethylene", 2200.0, 2.1),
        polymer("polyurethane", 1200.0, 5.0),
        polymer("polyvinylidene fluoride", 1780.0, 9.0),
        polymer("silk", 1340.0, 4.0),
        polymer("steel", 7900.0, 1e6),
        polymer("viscose", 1520.0, 5.0),
        polymer("wool", 1310.0, 4.0),
    ];

    /// Other names that people use, with the name here.
    const ALIASES: &'static [(&'static str, &'static str)] = &[
        ("flax", "linen"),
        ("nylon", "polyamide"),
        ("paper", "cellulose"),
        ("pet", "polyester"),
        ("pla", "polylactide"),
        ("pp", "polypropylene"),
        ("pe", "polyethylene"),
        ("ptfe", "polytetrafluoroethylene"),
        ("pvdf", "polyvinylidene fluoride"),
        ("rayon", "viscose"),
        ("wood pulp", "cellulose"),
    ];

    /// The polymer of this name; case does not count.
    pub fn find(name: &str) -> Option<Self> {
        let name = name.trim().to_lowercase();
        let alias = Self::ALIASES.iter().find(|(alias, _)| *alias == name);
        let name = alias.map_or(name.as_str(), |(_, name)| name);
        Self::ALL.iter().copied().find(|polymer| polymer.name == name)
    }
}
