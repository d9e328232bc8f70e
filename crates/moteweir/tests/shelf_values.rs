//! The shelf's values against each other, against the models, and against measured sheets.
#![expect(clippy::panic, reason = "what is missing on the shelf fails the test that asks for it")]

use moteweir::Case;
use moteweir::case::{FibreFacts, Input, Material, Structure};
use moteweir::predict::medium;
use moteweir::shelf::{Class, ClassStructure, Shelf};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::drag;
use moteweir_physics::estimate::Estimate;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::Setting;
use moteweir_physics::polymer::Polymer;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::weave::{Weave, WeaveClass, WeaveConstruction};
use moteweir_units::{Density, Length, LinearDensity, Solidity, SurfaceCharge, ThreadCount, Velocity};

const WEB_KEYS: [&str; 5] = ["basis_weight", "thickness", "solidity", "fibre_diameter", "fibre_gsd"];
const CLOTH_KEYS: [&str; 8] = [
    "warp",
    "weft",
    "yarn_linear_density",
    "yarn_width",
    "basis_weight",
    "thickness",
    "fibre_diameter",
    "hairs",
];

fn classes(structure: ClassStructure) -> impl Iterator<Item = &'static Class> {
    Shelf::built_in().classes().iter().filter(move |class| class.structure == structure)
}

fn cloths() -> impl Iterator<Item = &'static Class> {
    classes(ClassStructure::Weave).chain(classes(ClassStructure::Knit))
}

fn typical(class: &Class, key: &str) -> f64 {
    let value = class.value(key).unwrap_or_else(|| panic!("{}: no {key}", class.name));
    value.number.unwrap_or_else(|| panic!("{}: {key} is no number", class.name)).typical_si
}

fn fibre_density(class: &Class) -> f64 {
    match class.value("polymer") {
        Some(polymer) => Polymer::from_name(&polymer.typical)
            .unwrap_or_else(|| panic!("{}: no polymer `{}`", class.name, polymer.typical))
            .density()
            .to_kg_per_m3(),
        None => typical(class, "fibre_density"),
    }
}

#[test]
fn every_class_has_what_its_structure_needs_and_says_where_from() {
    assert!(Shelf::built_in().classes().len() >= 24);
    let keys: [(ClassStructure, &[&str]); 3] = [
        (ClassStructure::Web, &WEB_KEYS),
        (ClassStructure::Weave, &CLOTH_KEYS),
        (ClassStructure::Knit, &CLOTH_KEYS),
    ];
    for (structure, keys) in keys {
        for class in classes(structure) {
            for key in keys {
                assert!(class.value(key).is_some_and(|value| value.range.is_some()), "{}: {key}", class.name);
            }
            assert!(fibre_density(class) > 0.0);
        }
    }
    for class in Shelf::built_in().classes() {
        assert!(class.hazards.len() > 20, "{}: {}", class.name, class.hazards);
        for value in &class.values {
            assert!(value.source.len() > 10, "{}: {}: {}", class.name, value.key, value.source);
        }
    }
    for class in classes(ClassStructure::NotFibrous) {
        assert!(class.kind.starts_with("not a fibre filter: "), "{}: {}", class.name, class.kind);
        assert!(class.values.is_empty(), "{}", class.name);
    }
}

#[test]
fn names_are_distinct() {
    let mut names: Vec<_> =
        Shelf::built_in().classes().iter().map(|class| class.name.to_lowercase()).collect();
    names.sort_unstable();
    assert!(names.windows(2).all(|pair| pair[0] != pair[1]), "{names:?}");
}

#[test]
fn weight_thickness_solidity_and_density_of_webs_agree() {
    for class in classes(ClassStructure::Web) {
        let implied = typical(class, "basis_weight") / (fibre_density(class) * typical(class, "thickness"));
        let stated = typical(class, "solidity");
        let miss = stated / implied - 1.0;
        assert!(
            miss.abs() <= 0.05,
            "{}: solidity {stated}, but {implied:.4} follows ({miss:+.3})",
            class.name
        );
    }
}

/// Area of a flattened yarn's section, a rectangle with round ends [m2].
fn section(width: f64, height: f64) -> f64 {
    height * (width - height) + std::f64::consts::PI / 4.0 * height * height
}

#[test]
fn yarns_of_weaves_fit_and_fill_their_sections() {
    for class in classes(ClassStructure::Weave) {
        let (warp, weft) = (typical(class, "warp"), typical(class, "weft"));
        let width = typical(class, "yarn_width");
        for (set, count) in [("warp", warp), ("weft", weft)] {
            let cover = count * width;
            assert!((0.15..0.95).contains(&cover), "{}: {set} covers {cover:.2}", class.name);
        }
        let fibre = typical(class, "yarn_linear_density") / fibre_density(class);
        let height = (0.5 * typical(class, "thickness")).min(width);
        let packing = fibre / section(width, height);
        assert!((0.30..0.70).contains(&packing), "{}: yarn solidity {packing:.2}", class.name);
        let pores = [warp, weft].map(|count| 1.0 / count - width);
        let hydraulic = 2.0 * pores[0] * pores[1] / (pores[0] + pores[1]);
        let (low, high) = if class.name == "gauze" { (500e-6, 1e-3) } else { (30e-6, 150e-6) };
        assert!((low..high).contains(&hydraulic), "{}: pores of {:.0} um", class.name, hydraulic * 1e6);
    }
}

#[test]
fn cloths_weigh_what_their_yarns_weigh() {
    for class in cloths() {
        let (warp, weft) = (typical(class, "warp"), typical(class, "weft"));
        // Woven: counts and 5 % crimp. Plain knit: 21.7 = stitches per area times loop length squared (Munden 1959).
        let run = match class.structure {
            ClassStructure::Knit => (21.7 * warp * weft).sqrt(),
            _ => 1.05 * (warp + weft),
        };
        let ratio = run * typical(class, "yarn_linear_density") / typical(class, "basis_weight");
        // More than half of a fleece is nap, which no count holds.
        let expected = if class.name == "fleece" { 0.40..0.50 } else { 0.95..1.05 };
        assert!(expected.contains(&ratio), "{}: yarn is {ratio:.3} of the weight", class.name);
    }
}

/// The cloth of a class, with its stated yarn width and thickness.
fn weave(class: &Class) -> Weave {
    let binding = if class.structure == ClassStructure::Knit { WeaveClass::Knit } else { WeaveClass::Woven };
    let construction = WeaveConstruction {
        class: binding,
        warp: ThreadCount::from_si(typical(class, "warp")),
        weft: ThreadCount::from_si(typical(class, "weft")),
        yarn_linear_density: LinearDensity::from_si(typical(class, "yarn_linear_density")),
        fibre_diameter: Length::from_m(typical(class, "fibre_diameter")),
        fibre_density: Density::from_kg_per_m3(fibre_density(class)),
        thickness: Some(Length::from_m(typical(class, "thickness"))),
        yarn_width: Some(Length::from_m(typical(class, "yarn_width"))),
        hairs: typical(class, "hairs"),
        electret: Electret {
            surface_charge: SurfaceCharge::from_si(0.0),
            fibre_permittivity: 3.2,
            particle_permittivity: 6.0,
        },
    };
    Weave::from_construction(&construction).unwrap_or_else(|error| panic!("{}: {error}", class.name))
}

fn cloth_pressure_drop(class: &Class, face_velocity: Velocity) -> Estimate {
    weave(class)
        .prepare(Closure::LeeLiu, &Air::reference(), face_velocity, FlowDirection::Horizontal)
        .pressure_drop()
}

#[test]
fn cloths_pass_air_as_their_kind_does() {
    // Air permeability at 100 Pa in mm/s, the order of magnitude of finished cloth: common practice, no source.
    for (name, low, high) in [
        ("sheeting low count", 200.0, 1500.0),
        ("sheeting high count", 50.0, 500.0),
        ("flannel", 150.0, 1000.0),
        ("canvas", 15.0, 200.0),
        ("denim", 20.0, 200.0),
        ("silk-like filament weave", 100.0, 1000.0),
        ("filament taffeta", 20.0, 400.0),
        ("knit jersey", 200.0, 1500.0),
        ("sweater knit", 300.0, 2000.0),
        ("fleece", 200.0, 1500.0),
    ] {
        let class = Shelf::built_in().find(name).expect(name);
        let at = |mm_per_s: f64| cloth_pressure_drop(class, Velocity::from_mm_per_s(mm_per_s)).value;
        assert!(at(low) < 100.0, "{name}: {:.0} Pa at {low} mm/s, 100 Pa is its limit", at(low));
        assert!(at(high) > 100.0, "{name}: {:.0} Pa at {high} mm/s, 100 Pa is the least", at(high));
    }
}

#[test]
fn cloths_drop_pressure_like_measured_ones() {
    // Zhao et al. 2020, Nano Lett. 20:5544, at 5.3 cm/s, from memory: the measured drop and whether the model's band
    // holds it. The sweater is a known miss: 360 g/m2 against the class's 300, and its loops' fibres stand across the
    // openings; by how much it misses is asserted, so that a better model shows.
    let velocity = Velocity::from_cm_per_s(5.3);
    for (name, measured) in
        [("sheeting low count", 4.5), ("silk-like filament weave", 7.3), ("knit jersey", 14.5)]
    {
        let band = cloth_pressure_drop(Shelf::built_in().find(name).expect(name), velocity);
        let held = band.low <= measured && measured <= band.high;
        assert!(held, "{name}: {measured} Pa measured, {:.1} to {:.1} Pa predicted", band.low, band.high);
    }
    let sweater = cloth_pressure_drop(Shelf::built_in().find("sweater knit").expect("a class"), velocity);
    let miss = 17.0 / sweater.high;
    assert!((1.4..1.8).contains(&miss), "sweater knit: 17.0 Pa measured is {miss:.2} times the high end");
}

/// Pressure drop of one typical sheet by Davies with slip \[Pa\].
fn pressure_drop(class: &Class, face_velocity: Velocity) -> f64 {
    let median = Length::from_m(typical(class, "fibre_diameter"));
    let fibres = FibreDiameters::lognormal(median, typical(class, "fibre_gsd"));
    let solidity = Solidity::new(typical(class, "solidity")).expect("a solidity");
    let thickness = Length::from_m(typical(class, "thickness"));
    drag::pressure_drop(Closure::LeeLiu, &Air::reference(), solidity, thickness, &fibres, face_velocity).value
}

#[test]
fn typical_sheets_drop_pressure_like_measured_ones() {
    // Zhao et al. 2020, Nano Lett. 20:5544, at 5.3 cm/s, from memory; Morais et al. 2021, Aerosol Sci. Technol. 55:1028,
    // medians at 27.2 cm/s, read. Scaled to the measured weight; sheets of one kind differ by a factor of 2 and more.
    for (name, g_per_m2, cm_per_s, measured) in [
        ("creped tissue", 32.8, 5.3, 19.0),
        ("paper towel", 42.9, 5.3, 11.0),
        ("copy paper", 72.8, 5.3, 1883.6),
        ("spunbond plain", 30.0, 5.3, 1.6),
        ("melt-blown plain", 26.0, 5.3, 34.3),
        ("melt-blown plain", 20.0, 5.3, 16.3),
        ("melt-blown charged", 25.0, 5.3, 9.0),
        ("three-layer wrap plain", 40.0, 27.2, 189.7),
        ("medical-type mask cloth", 40.0, 27.2, 107.9),
    ] {
        let class = Shelf::built_in().find(name).expect(name);
        let scale = g_per_m2 * 1e-3 / typical(class, "basis_weight");
        let got = scale * pressure_drop(class, Velocity::from_cm_per_s(cm_per_s));
        let ratio = got / measured;
        assert!((1.0 / 3.0..3.0).contains(&ratio), "{name}: {got:.2} Pa against {measured} Pa measured");
    }
}

/// How much a part of the variation of a class makes of the logarithm of something of one sheet: the root of the sum
/// of squares of sensitivity times coefficient.
fn scatter(class: &Class, of: impl Fn(&Material) -> f64) -> f64 {
    let text = format!("[[material]]\nclass = \"{}\"\n[[stack]]\nlayers = \"{0}\"\n", class.name);
    let material = Case::read(&text, Shelf::built_in()).expect("a class is a material").materials.remove(0);
    let Structure::Web(web) = &material.structure else { panic!("{} is a web", class.name) };
    let FibreFacts::Diameter { median, .. } = &web.fibre else { panic!("{} has fibres", class.name) };
    let step = 0.01;
    let variance: f64 = material
        .varies
        .iter()
        .map(|variation| {
            let central = match variation.input {
                Input::BasisWeight => web.basis_weight.value.si(),
                Input::FibreDiameter => median.value.si(),
                Input::SurfaceCharge => web.surface_charge.value.si(),
                other => panic!("{other:?}"),
            };
            let at = |ratio: f64| {
                of(&material.with_inputs(&[(variation.input, ratio * central)]).expect("a sheet")).ln()
            };
            ((at(1.0 + step) - at(1.0 - step)) / (2.0 * step) * variation.sheet).powi(2)
        })
        .sum();
    variance.sqrt()
}

#[test]
fn sheets_of_a_lot_of_medical_type_cloth_scatter_as_measured_ones() {
    // Sipkens et al. 2022, Scientific Data 9, doi 10.1038/s41597-022-01860-y: over 582 lots of 5 masks the relative
    // standard deviation inside a lot has a median of 3.2 % of ln P and of 3.0 % of the pressure drop. The sheet parts
    // of weight, fibre and charge are set so: used_for = "fit". Held to the nearest half per cent. Weight alone would not do:
    // on the charge equilibrium of salt ln P goes with the power 0.6 of the weight, as the uncharged salt is what is left.
    let class = Shelf::built_in().find("medical-type mask cloth").expect("a class");
    let air = Air::reference();
    let velocity = Velocity::from_cm_per_s(10.0);
    let prepared = |material: &Material| {
        let medium = medium(material, Closure::LeeLiu, &air, 3.0).expect("a layer");
        Stack::new([(medium.layer, 1)]).prepare(
            &Setting { closure: Closure::LeeLiu, air, direction: FlowDirection::Horizontal },
            velocity,
        )
    };
    let drop = scatter(class, |material| prepared(material).pressure_drop().value);
    assert!((drop - 0.030).abs() < 0.005, "pressure drop scatters by {:.1} %", 100.0 * drop);
    let kind = ParticleKind { density: Density::from_kg_per_m3(2170.0), charge: ParticleCharge::Equilibrium };
    let exponent =
        scatter(class, |material| -prepared(material).penetration(Length::from_um(0.1), &kind).value.ln());
    assert!((exponent - 0.032).abs() < 0.005, "ln P scatters by {:.1} %", 100.0 * exponent);
}

#[test]
fn every_class_of_fibres_says_how_its_pieces_differ() {
    for class in Shelf::built_in().classes() {
        let fibrous = class.structure != ClassStructure::NotFibrous;
        assert_eq!(class.variation("basis_weight").is_some(), fibrous, "{}", class.name);
        let charged = class.value("surface_charge").is_some();
        assert_eq!(class.variation("surface_charge").is_some(), charged, "{}", class.name);
        for variation in &class.varies {
            assert!(variation.source.len() > 10, "{}: {}", class.name, variation.key);
            let parts = [variation.lot, variation.sheet];
            assert!(parts.iter().all(|part| (0.0..0.3).contains(part)), "{}: {variation:?}", class.name);
            assert!(parts.iter().any(|part| *part > 0.0), "{}: {variation:?}", class.name);
        }
    }
}
