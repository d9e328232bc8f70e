//! What a sound scenario comes out as, in SI.

use moteweir_physics::aerosol::{DiameterKind, Shape, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;

use super::super::{
    Binding, Case, Derivation, FibreFacts, Known, Material, Origin, ReadingKind, Structure, Weave, Web,
};
use crate::Doubt;
use crate::scenario::starter;
use crate::shelf::{ClassStructure, Shelf};
use crate::{Files, OperatingPoint, Problems};

/// The example of the documentation.
const EXAMPLE: &str = r#"
format = 1
title = "Smoke-season insert"
[air]
temperature = "22 degC"
pressure = "101325 Pa"
relative_humidity = "45 %"
[particles]
smallest = "0.01 um"
largest = "10 um"
points = 121
density = "1000 kg/m3"
charge = "none"
relative_permittivity = 3
[model]
closure = "lee-liu"
[[material]]
name = "needled felt"
class = "needled felt"
structure = "web"
swatch = { mass = "1.80 g", width = "10 cm", length = "15 cm", sheets = 1 }
thickness = "1.1 mm"
fibre_diameter = "18 um"
fibre_density = "910 kg/m3"
air_permeability = "350 mm/s at 200 Pa"
surface_charge = "0 uC/m2"
unevenness = 0.0
note = "lot, supplier, side, treatment: carried to the report word for word"
[[material]]
name = "sheeting"
structure = "weave"
warp = "30 /cm"
weft = "28 /cm"
yarn_linear_density = "20 tex"
fibre_diameter = "14 um"
polymer = "cotton"
[[stack]]
name = "felt between sheeting"
layers = ["sheeting", "needled felt", "sheeting"]
[[stack]]
layers = ["sheeting", { of = "needled felt", times = 3 }]
[use]
face_velocities = ["2 cm/s", "5.3 cm/s", "10 cm/s"]
flow = "85 L/min"
area = "150 cm2"
"#;

fn case(text: &str) -> Case {
    Case::read(text, Shelf::built_in()).unwrap_or_else(|Problems(problems)| {
        panic!("{:#?}", problems.iter().map(crate::Problem::message).collect::<Vec<_>>())
    })
}

/// One material of a case whose lines are given.
fn material(lines: &str) -> Material {
    let text = format!("[[material]]\nname = \"m\"\n{lines}\n[[stack]]\nlayers = \"m\"\n");
    case(&text).materials.remove(0)
}

fn web(material: Material) -> Web {
    match material.structure {
        Structure::Web(web) => web,
        Structure::Weave(weave) => panic!("{weave:?}"),
    }
}

fn weave(material: Material) -> Weave {
    match material.structure {
        Structure::Weave(weave) => weave,
        Structure::Web(web) => panic!("{web:?}"),
    }
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got / expected - 1.0).abs() < 1e-9, "got {got}, expected {expected}");
}

#[test]
fn the_example_comes_out_in_si() {
    let case = case(EXAMPLE);
    assert_eq!(case.title, "Smoke-season insert");
    close(case.air.temperature.to_kelvin(), 295.15);
    close(case.air.pressure.to_pa(), 101_325.0);
    close(case.air.relative_humidity, 0.45);
    close(case.particles.smallest.si(), 1e-8);
    close(case.particles.largest.si(), 1e-5);
    assert_eq!((case.particles.points, case.particles.charge), (121, ParticleCharge::Neutral));
    assert_eq!(case.model.closure, Closure::LeeLiu);
    assert_eq!(case.model.compare, Closure::USUALLY_COMPARED);
    assert_eq!(case.stacks[0].layers, [1, 0, 1]);
    assert_eq!(case.stacks[1].layers, [1, 0, 0, 0]);
    assert_eq!(case.stacks[1].name, "sheeting + 3 x needled felt");
    let velocities: Vec<_> = case
        .usage
        .face_velocities
        .iter()
        .map(|entry| (entry.velocity.to_cm_per_s(), entry.label.as_str()))
        .collect();
    assert_eq!(velocities.len(), 4);
    close(velocities[1].0, 5.3);
    assert_eq!(velocities[1].1, "5.3 cm/s");
    // 85 L/min = 1416.67 cm3/s over 150 cm2.
    close(velocities[3].0, 85_000.0 / 60.0 / 150.0);
    assert_eq!(velocities[3].1, "85 L/min through 150 cm2");
    assert_eq!(case.warnings, []);
}

#[test]
fn the_example_s_materials_come_out_in_si() {
    let mut materials = case(EXAMPLE).materials;
    let sheeting = weave(materials.remove(1));
    assert_eq!(sheeting.binding, Binding::Woven);
    close(sheeting.warp.value.si(), 3000.0);
    close(sheeting.weft.value.si(), 2800.0);
    close(sheeting.yarn_linear_density.value.si(), 20e-6);
    // 58 threads/cm x 20 g/km x 1.05 = 121.8 g/m2.
    close(sheeting.basis_weight.value.to_g_per_m2(), 121.8);
    assert_eq!(sheeting.polymer.unwrap().name(), "cotton");
    assert_eq!((sheeting.hairs.origin, sheeting.hairs.doubt), (Origin::Default, Doubt::between(0.0, 0.01)));
    assert_eq!((sheeting.thickness, sheeting.yarn_width), (None, None));

    let material = materials.remove(0);
    assert_eq!(
        material.note.as_deref(),
        Some("lot, supplier, side, treatment: carried to the report word for word")
    );
    let felt = web(material);
    close(felt.basis_weight.value.to_g_per_m2(), 120.0);
    close(felt.thickness.value.to_mm(), 1.1);
    close(felt.solidity.value.fraction(), 0.12 / (1.1e-3 * 910.0));
    assert_eq!(felt.solidity.origin, Origin::Derived(Derivation::WeightAndThickness));
    let FibreFacts::Diameter { median, gsd } = felt.fibre else { panic!("{:?}", felt.fibre) };
    close(median.value.to_um(), 18.0);
    // The class fills in the spread that the file does not state.
    assert!(matches!(gsd.origin, Origin::Class { .. }), "{gsd:?}");
    let reading = felt.reading.unwrap();
    assert_eq!(reading.kind, ReadingKind::AirPermeability);
    close(reading.face_velocity.si(), 0.35);
    close(reading.pressure_drop.si(), 200.0);
}

#[test]
fn six_lines_suffice_and_every_assumption_is_listed() {
    let text = include_str!("../../../../../scenarios/smallest.toml");
    assert_eq!(text.trim().lines().count(), 6);
    let case = case(text);
    let listed: Vec<_> = case
        .assumed
        .iter()
        .map(|entry| (entry.material.as_deref(), entry.key, entry.value.as_str()))
        .collect();
    let of_all = [
        ("format", "1"),
        ("title", "untitled"),
        ("temperature", "22 degC"),
        ("pressure", "101325 Pa"),
        ("relative_humidity", "45 %"),
        ("smallest", "0.01 um"),
        ("largest", "10 um"),
        ("points", "121"),
        ("density", "1000 kg/m3"),
        ("charge", "none"),
        ("relative_permittivity", "3"),
        ("closure", "lee-liu"),
        ("compare", "lee-liu, resolved"),
        ("flow", "85 L/min"),
        ("area", "150 cm2"),
        ("direction", "horizontal"),
        ("face_velocities", "5.3 cm/s and 10 cm/s"),
    ];
    for (key, value) in of_all {
        assert!(listed.contains(&(None, key, value)), "{key} is not among {listed:#?}");
    }
    let of_felt = [
        "polymer",
        "fibre_density",
        "fibre_diameter",
        "fibre_gsd",
        "solidity",
        "unevenness",
        "inhomogeneity",
        "surface_charge",
        "varies.basis_weight",
        "varies.fibre_diameter",
    ];
    for key in of_felt {
        assert!(listed.iter().any(|entry| (entry.0, entry.1) == (Some("felt"), key)), "{key}: {listed:#?}");
    }
    assert_eq!(listed.len(), of_all.len() + of_felt.len(), "{listed:#?}");
    // 2.40 g on 150 cm2 is 160 g/m2; the class's solidity of 0.099 in polyester gives 1.17 mm.
    let felt = web(case.materials.into_iter().next().unwrap());
    close(felt.basis_weight.value.to_g_per_m2(), 160.0);
    close(felt.thickness.value.to_mm(), 160.0 / (0.099 * 1380.0));
    // What is not known is the class's solidity, 0.06 to 0.2; the thickness follows it.
    assert!(felt.thickness.doubt.is_none());
    assert_eq!(felt.solidity.doubt, Doubt::between(0.06, 0.2));
}

#[test]
fn weight_thickness_and_solidity_follow_from_any_two() {
    let rest = "structure = \"web\"\nfibre_diameter = \"18 um\"\nfibre_density = \"1 g/cm3\"\n";
    let ways = [
        "basis_weight = \"120 gsm\"\nthickness = \"1 mm\"",
        "basis_weight = \"120 g/m2\"\nsolidity = 0.12",
        "thickness = { sheets = 4, value = \"4 mm\" }\nsolidity = \"12 %\"",
        "swatch = { mass = \"4.8 g\", width = \"100 mm\", length = \"0.1 m\", sheets = 4 }\nthickness = \"1000 um\"",
    ];
    for way in ways {
        let web = web(material(&format!("{rest}{way}")));
        close(web.basis_weight.value.to_g_per_m2(), 120.0);
        close(web.thickness.value.to_mm(), 1.0);
        close(web.solidity.value.fraction(), 0.12);
    }
    let round = "swatch = { mass = \"1.2 g\", diameter = \"11.283791671 cm\" }\nthickness = \"1 mm\"";
    assert!((web(material(&format!("{rest}{round}"))).basis_weight.value.to_g_per_m2() - 120.0).abs() < 1e-6);
}

#[test]
fn the_surest_statement_of_the_fibre_wins() {
    let sheet = "class = \"needled felt\"\nfibre_density = \"910 kg/m3\"\n";
    let fibre = |line: &str| web(material(&format!("{sheet}{line}"))).fibre;
    let median = |fibre: FibreFacts| match fibre {
        FibreFacts::Diameter { median, gsd } => (median, gsd),
        FibreFacts::FromReading { .. } => panic!("{fibre:?}"),
    };
    let (stated, gsd) = median(fibre(
        "fibre_diameter = { median = \"18 um\", gsd = 1.3 }\npressure_drop = \"24 Pa at 10 cm/s\"",
    ));
    close(stated.value.to_um(), 18.0);
    assert_eq!(gsd, Known::given(1.3));
    // 1.7 dtex at 910 kg/m3: sqrt(4 x 1.7e-7 / (pi x 910)) = 15.42 um.
    let (linear, _) = median(fibre("fibre_linear_density = \"1.7 dtex\""));
    assert!((linear.value.to_um() - 15.4226).abs() < 1e-3, "{linear:?}");
    let read = fibre("pressure_drop = \"24 Pa at 10 cm/s\"");
    let FibreFacts::FromReading { reading, .. } = read else { panic!("{read:?}") };
    close(reading.pressure_drop.si(), 24.0);
    close(reading.face_velocity.si(), 0.1);
    let (of_class, _) = median(fibre(""));
    assert!(matches!(of_class.origin, Origin::Class { .. }) && !of_class.doubt.is_none(), "{of_class:?}");
}

#[test]
fn a_yarn_follows_from_counts_and_weight() {
    let lines = "structure = \"weave\"\nwarp = \"76.2 /in\"\nweft = \"28 /cm\"\nfibre_diameter = \"14 um\"\n\
                 polymer = \"cotton\"\nbasis_weight = \"121.8 g/m2\"";
    let derived = weave(material(lines));
    close(derived.yarn_linear_density.value.to_tex(), 20.0);
    let count =
        weave(material(&lines.replace("basis_weight = \"121.8 g/m2\"", "yarn_linear_density = \"30 Ne\"")));
    assert!((count.yarn_linear_density.value.to_tex() - 590.541 / 30.0).abs() < 1e-3, "{count:?}");
    let knit = weave(material("class = \"knit jersey\""));
    assert_eq!(knit.binding, Binding::Knitted);
    // More than half of a fleece is nap: a heavier fleece has a heavier yarn, in proportion.
    let fleece = weave(material("class = \"fleece\"\nbasis_weight = \"240 g/m2\""));
    assert!((fleece.yarn_linear_density.value.to_tex() - 17.0).abs() < 0.1, "{fleece:?}");
}

#[test]
fn every_class_of_fibres_makes_a_material_by_name_alone() {
    for class in Shelf::built_in().classes() {
        let text =
            format!("[[material]]\nclass = \"{}\"\n[[stack]]\nlayers = [\"{}\"]\n", class.name, class.name);
        let read = Case::read(&text, Shelf::built_in());
        assert_eq!(read.is_ok(), class.structure != ClassStructure::NotFibrous, "{}: {read:?}", class.name);
    }
}

#[test]
fn charges_velocities_aerosols_and_channels() {
    let text = format!(
        "{EXAMPLE}points = [\"swatch test\", \"mask at rest\"]\n\
         [[aerosol]]\nname = \"two modes\"\nkind = \"mass\"\n\
         modes = [{{ median = \"0.2 um\", gsd = 2, share = 1 }}, {{ median = \"5 um\", gsd = 2, share = 3 }}]\n\
         [[aerosol]]\nname = \"bins\"\nweighted_by = \"area\"\ndiameter = \"aerodynamic\"\n\
         bins = [{{ from = \"1 um\", to = \"2 um\", share = 5 }}]\n\
         [[channel]]\nname = \"above\"\nfrom = \"1 um\"\naerosol = \"bins\"\n"
    )
    .replace("charge = \"none\"", "charge = \"-3 e\"");
    let case = case(&text);
    assert_eq!(case.particles.charge, ParticleCharge::Each(-3));
    let labels: Vec<_> = case.usage.face_velocities.iter().map(|entry| entry.label.as_str()).collect();
    assert_eq!(
        labels,
        ["2 cm/s", "5.3 cm/s", "10 cm/s, swatch test", "mask at rest", "85 L/min through 150 cm2"]
    );
    assert_eq!(
        case.usage.face_velocities[2].source,
        OperatingPoint::find("swatch test").map(|point| point.source)
    );
    let Shape::Modes(modes) = &case.aerosols[0].aerosol.shape else { panic!("{:?}", case.aerosols[0]) };
    // Stated by mass: count medians are exp(3 ln^2 2) = 4.226 times smaller; the shares by number go with the inverse
    // cube of the median, so 3/1 by mass is 3 x (0.2/5)^3 by number.
    close(modes[0].median.to_um(), 0.2 * (-3.0 * 2.0_f64.ln().powi(2)).exp());
    close(modes[1].share / modes[0].share, 3.0 * 0.04_f64.powi(3));
    assert_eq!(case.aerosols[0].weighted_by, Weighting::Mass);
    assert_eq!(case.aerosols[1].weighted_by, Weighting::Area);
    assert_eq!(case.aerosols[1].aerosol.diameter, DiameterKind::Aerodynamic);
    assert_eq!((case.channels[0].aerosol, case.channels[0].to), (Some(1), None));
    assert_eq!(case.channels[0].diameter, DiameterKind::Optical);
    assert_eq!(case.channels[0].describe(&case), "above (above 1 um, optical diameter, of bins)");
    // A sphere of 1000 kg/m3 has one diameter, aerodynamic or mobility.
    assert!((case.channels[0].from.to_um() - 1.0).abs() < 1e-6, "{:?}", case.channels[0]);
}

#[test]
fn shares_by_mass_come_back_as_shares_by_mass() {
    let text = format!(
        "{EXAMPLE}[[aerosol]]\nname = \"a\"\nkind = \"mass\"\n\
         bins = [{{ from = \"2 um\", to = \"4 um\", share = 3 }}, {{ from = \"0.5 um\", to = \"1 um\", share = 1 }}]\n"
    );
    let case = case(&text);
    let aerosol = &case.aerosols[0].aerosol;
    let Shape::Bins { edges, numbers } = &aerosol.shape else { panic!("{aerosol:?}") };
    let edges: Vec<_> = edges.iter().map(|edge| edge.to_um()).collect();
    assert!(
        edges.iter().zip([0.5, 1.0, 2.0, 4.0]).all(|(got, expected)| (got / expected - 1.0).abs() < 1e-9),
        "{edges:?}"
    );
    // Between the bins there is nothing; by mass a quarter lies in the lower one.
    assert_eq!((numbers.len(), numbers[1].to_bits()), (3, 0.0_f64.to_bits()));
    let air = Air::new(case.air.temperature, case.air.pressure, case.air.relative_humidity);
    let nodes = aerosol.nodes(Weighting::Mass, &air, case.particles.density);
    let below: f64 = nodes.iter().filter(|(d, _)| d.to_um() < 1.5).map(|(_, weight)| weight).sum();
    // The midpoint rule over a bin in ln d is good to better than one part in ten thousand.
    assert!((below - 0.25).abs() < 1e-4, "{below}");
}

#[test]
fn the_scenarios_that_come_with_it_are_without_fault() {
    let counts = include_str!("../../../../../scenarios/seaside-bench.csv");
    let files = Files::from_iter([("seaside-bench.csv".to_owned(), counts.to_owned())]);
    for text in [
        starter(),
        include_str!("../../../../../scenarios/seaside-inserts.toml"),
        include_str!("../../../../../scenarios/unsure-felt.toml"),
    ] {
        let case = Case::read_with(text, Shelf::built_in(), &files)
            .map_err(|Problems(problems)| problems.iter().map(crate::Problem::message).collect::<Vec<_>>());
        assert_eq!(case.map(|case| case.warnings), Ok(vec![]));
    }
}
