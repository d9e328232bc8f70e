//! What is not known and what varies: what the spellings come out as, and what follows from what.

use super::super::{
    Case, Derivation, FibreFacts, Input, Known, Leak, LeakAt, Material, Origin, Structure, Uncertain, Weave,
    Web,
};
use crate::shelf::Shelf;
use crate::{Doubt, Problems, Scale};

const FELT: &str = "structure = \"web\"\npolymer = \"polyester\"\n";

fn case(text: &str) -> Case {
    Case::read(text, Shelf::built_in()).unwrap_or_else(|Problems(problems)| {
        panic!("{:#?}", problems.iter().map(crate::Problem::message).collect::<Vec<_>>())
    })
}

fn material(lines: &str) -> Material {
    case(&format!("[[material]]\nname = \"m\"\n{lines}\n[[stack]]\nlayers = \"m\"\n")).materials.remove(0)
}

fn web(material: &Material) -> &Web {
    let Structure::Web(web) = &material.structure else { panic!("{:?}", material.structure) };
    web
}

fn weave(material: &Material) -> &Weave {
    let Structure::Weave(weave) = &material.structure else { panic!("{:?}", material.structure) };
    weave
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got / expected - 1.0).abs() < 1e-9, "got {got}, expected {expected}");
}

fn inputs(material: &Material) -> Vec<Input> {
    material.unknowns().iter().map(|unknown| unknown.input).collect()
}

#[test]
fn three_spellings_nested_as_deep_as_they_go() {
    let felt = material(&format!(
        "{FELT}swatch = {{ mass = {{ about = \"1.80 g\", give_or_take = \"0.05 g\" }}, width = \"10 cm\", length = \"15 cm\" }}\n\
         thickness = {{ sheets = 4, value = {{ between = [\"4 mm\", \"5 mm\"], scale = \"linear\" }} }}\n\
         fibre_diameter = {{ median = {{ between = [\"8 um\", \"20 um\"] }}, gsd = 1.3 }}\n\
         unevenness = {{ between = [0, \"20 %\"], scale = \"linear\" }}\n\
         varies.basis_weight = {{ lot = \"10 %\", sheet = \"3 %\" }}\nvaries.thickness = {{ sheet = 0.04 }}"
    ));
    let facts = web(&felt);
    close(facts.basis_weight.value.to_g_per_m2(), 120.0);
    let Doubt::About { give_or_take, .. } = facts.basis_weight.doubt else { panic!("{facts:?}") };
    close(give_or_take, 0.05e-3 / 0.015);
    close(facts.thickness.value.to_mm(), 4.5 / 4.0);
    let Doubt::Between { low, high, scale: Scale::Linear } = facts.thickness.doubt else {
        panic!("{facts:?}")
    };
    close(low, 1e-3);
    close(high, 1.25e-3);
    let FibreFacts::Diameter { median, gsd } = &facts.fibre else { panic!("{facts:?}") };
    close(median.value.to_um(), (8.0_f64 * 20.0).sqrt());
    assert_eq!(gsd, &Known::given(1.3));
    close(facts.unevenness.value, 0.1);
    // The solidity follows: nothing of it is unknown by itself.
    assert_eq!(facts.solidity.origin, Origin::Derived(Derivation::WeightAndThickness));
    assert_eq!(
        inputs(&felt),
        [Input::BasisWeight, Input::Thickness, Input::FibreDiameter, Input::Unevenness]
    );
    let varies: Vec<_> = felt.varies.iter().map(|one| (one.input, one.lot, one.sheet)).collect();
    assert_eq!(varies, [(Input::BasisWeight, 0.1, 0.03), (Input::Thickness, 0.0, 0.04)]);
}

#[test]
fn a_measured_flow_may_be_uncertain_and_the_fibre_follows_it() {
    let plain = "structure = \"web\"\npolymer = \"polypropylene\"\nbasis_weight = \"25 g/m2\"\nthickness = \"0.25 mm\"\n";
    let of = |reading: &str| material(&format!("{plain}{reading}"));
    let about = of("pressure_drop = { about = \"24 Pa at 10 cm/s\", give_or_take = \"3 Pa\" }");
    assert_eq!(inputs(&about), [Input::PressureDrop]);
    let between = of("air_permeability = { between = [\"300 mm/s at 200 Pa\", \"400 mm/s at 200 Pa\"] }");
    assert_eq!(inputs(&between), [Input::AirPermeability]);
    let reading = web(&between).reading.expect("it was stated");
    close(reading.face_velocity.si(), (0.3_f64 * 0.4).sqrt());
    close(reading.pressure_drop.to_pa(), 200.0);
    // Both ways of saying one measurement make the same sheet, and the fibre's diameter follows.
    let moved = about.with_inputs(&[(Input::PressureDrop, 30.0)]).expect("such a sheet can be");
    let exact = of("pressure_drop = \"30 Pa at 10 cm/s\"");
    assert_eq!(web(&moved).reading.map(|r| r.pressure_drop), web(&exact).reading.map(|r| r.pressure_drop));
    let FibreFacts::FromReading { reading, .. } = &web(&moved).fibre else { panic!("{moved:?}") };
    close(reading.pressure_drop.to_pa(), 30.0);
    close(reading.face_velocity.to_cm_per_s(), 10.0);
    let case = case(&format!(
        "[[material]]\nname = \"m\"\n{plain}pressure_drop = {{ about = \"24 Pa at 10 cm/s\", give_or_take = \"3 Pa\" }}\n\
         [[stack]]\nlayers = \"m\"\n"
    ));
    let said = case.assumed.iter().find(|a| a.key == "pressure_drop").expect("the central value is said");
    assert_eq!(said.value, "about 24 Pa at 10 cm/s, give or take 3 Pa");
}

#[test]
fn an_inhomogeneity_is_unknown_only_where_the_headline_takes_it() {
    let of = |closure: &str| {
        let text = format!(
            "[model]\nclosure = \"{closure}\"\n[[material]]\nname = \"m\"\nclass = \"needled felt\"\n\
             [[stack]]\nlayers = \"m\"\n"
        );
        let felt = case(&text).materials.remove(0);
        close(web(&felt).inhomogeneity.value, 1.0);
        felt.unknowns().into_iter().find(|unknown| unknown.input == Input::Inhomogeneity)
    };
    assert_eq!(of("lee-liu"), None);
    for closure in ["kuwabara-cell", "resolved"] {
        assert_eq!(of(closure).map(|unknown| unknown.doubt), Some(Doubt::between(1.0, 1.7)), "{closure}");
    }
    let stated = "[model]\nclosure = \"resolved\"\n[[material]]\nname = \"m\"\nclass = \"needled felt\"\n\
                  inhomogeneity = { between = [1.2, 1.5] }\n[[stack]]\nlayers = \"m\"\n";
    let felt = case(stated).materials.remove(0);
    close(web(&felt).inhomogeneity.value, (1.2_f64 * 1.5).sqrt());
    let moved = felt.with_inputs(&[(Input::Inhomogeneity, 1.3)]).expect("it makes a layer");
    close(web(&moved).inhomogeneity.value, 1.3);
}

#[test]
fn a_class_brings_its_ranges_for_what_is_not_stated_only() {
    let plain = material("class = \"needled felt\"");
    let all = [Input::BasisWeight, Input::Solidity, Input::FibreDiameter, Input::FibreGsd, Input::Unevenness];
    assert_eq!(inputs(&plain), all);
    let diameter = plain.unknowns()[2];
    let expected =
        Uncertain { input: Input::FibreDiameter, value: 17e-6, doubt: Doubt::between(12e-6, 25e-6) };
    close(diameter.value, expected.value);
    close(diameter.quantile(0.5), 17e-6);
    let (low, high) = diameter.ends();
    close(low, 12e-6 * (17.0_f64 / 12.0).powf(0.05));
    close(high, 17e-6 * (25.0_f64 / 17.0).powf(0.95));
    let measured = material("class = \"needled felt\"\nbasis_weight = \"120 g/m2\"\nthickness = \"1.1 mm\"");
    assert_eq!(inputs(&measured), [Input::FibreDiameter, Input::FibreGsd, Input::Unevenness]);
    // The class says how it varies, unless the scenario does, quantity by quantity.
    let of_class: Vec<_> = measured.varies.iter().map(|one| (one.input, one.lot, one.sheet)).collect();
    assert_eq!(of_class, [(Input::BasisWeight, 0.08, 0.05), (Input::FibreDiameter, 0.03, 0.0)]);
    assert!(matches!(measured.varies[0].origin, Origin::Class { .. }));
    let stated = material("class = \"needled felt\"\nvaries = { basis_weight = { sheet = \"0 %\" } }");
    let of_both: Vec<_> = stated.varies.iter().map(|one| one.input).collect();
    assert_eq!(of_both, [Input::FibreDiameter]);
}

#[test]
fn a_heavier_sheet_is_denser_where_its_thickness_was_measured_else_thicker() {
    let heavier = |lines: &str| {
        let material = material(&format!("{FELT}fibre_diameter = \"18 um\"\n{lines}"));
        let weight = web(&material).basis_weight.value.si();
        let with = material.with_inputs(&[(Input::BasisWeight, 1.2 * weight)]).unwrap();
        let (before, after) = (web(&material), web(&with));
        let piece = material.piece(&[(Input::BasisWeight, 1.2)]);
        let thickness = after.thickness.value / before.thickness.value;
        let solidity = after.solidity.value.fraction() / before.solidity.value.fraction();
        close(after.basis_weight.value.si(), 1.2 * weight);
        close(thickness * solidity, 1.2);
        // A piece and a draw are of one mind.
        close(piece.thickness, thickness);
        close(piece.solidity, solidity);
        (thickness, solidity)
    };
    let (thickness, solidity) = heavier("basis_weight = \"120 g/m2\"\nthickness = \"1.1 mm\"");
    close(thickness, 1.0);
    close(solidity, 1.2);
    let (thickness, _) = heavier("thickness = { sheets = 2, value = \"2.2 mm\" }\nsolidity = 0.1");
    close(thickness, 1.0);
    let (thickness, solidity) = heavier("basis_weight = \"120 g/m2\"\nsolidity = 0.1");
    close(thickness, 1.2);
    close(solidity, 1.0);
}

#[test]
fn the_third_of_weight_thickness_and_solidity_follows_whatever_is_drawn() {
    let felt = material("class = \"needled felt\"\nbasis_weight = \"120 g/m2\"");
    let draws: [&[(Input, f64)]; 6] = [
        &[],
        &[(Input::Solidity, 0.15)],
        &[(Input::Thickness, 2e-3)],
        &[(Input::BasisWeight, 0.2), (Input::Thickness, 2e-3)],
        &[(Input::BasisWeight, 0.2), (Input::Solidity, 0.08)],
        &[(Input::FibreDensity, 1000.0)],
    ];
    for draw in draws {
        let sheet = web(&felt).sheet(draw).unwrap();
        let solid = sheet.thickness.si() * sheet.solidity.fraction() * sheet.fibre_density.si();
        close(sheet.basis_weight.si(), solid);
        for &(input, value) in draw {
            let got = match input {
                Input::Solidity => sheet.solidity.fraction(),
                Input::Thickness => sheet.thickness.si(),
                Input::BasisWeight => sheet.basis_weight.si(),
                _ => sheet.fibre_density.si(),
            };
            close(got, value);
        }
        let with = felt.with_inputs(draw).unwrap();
        assert_eq!(web(&with).sheet(&[]).unwrap().thickness, sheet.thickness);
    }
    // A thickness alone leaves the weight that was stated.
    close(web(&felt).sheet(draws[2]).unwrap().basis_weight.to_g_per_m2(), 120.0);
    // Fibres that cannot be packed like that, and three values that may contradict one another.
    assert!(web(&felt).sheet(&[(Input::BasisWeight, 0.12), (Input::Thickness, 0.09e-3)]).is_none());
    let three = [(Input::BasisWeight, 0.12), (Input::Thickness, 1e-3), (Input::Solidity, 0.1)];
    assert!(felt.with_inputs(&three).is_none());
}

#[test]
fn a_set_input_is_known_and_the_rest_stays_as_unknown_as_before() {
    let felt = material("class = \"needled felt\"");
    let with = felt.with_inputs(&[(Input::FibreDiameter, 20e-6), (Input::Solidity, 0.12)]).unwrap();
    assert_eq!(inputs(&with), [Input::BasisWeight, Input::FibreGsd, Input::Unevenness]);
    assert_eq!(felt.with_inputs(&[]).unwrap().unknowns(), felt.unknowns());
}

#[test]
fn a_diameter_from_a_linear_density_follows_it_and_the_density() {
    let lines = "class = \"charged blend felt\"\nfibre_linear_density = { about = \"3 dtex\", give_or_take = \"0.3 dtex\" }";
    let felt = material(lines);
    assert!(
        inputs(&felt).contains(&Input::FibreLinearDensity) && inputs(&felt).contains(&Input::FibreDensity)
    );
    assert!(!inputs(&felt).contains(&Input::FibreDiameter));
    let draw = [(Input::FibreLinearDensity, 4e-7), (Input::FibreDensity, 1170.0)];
    let sheet = web(&felt).sheet(&draw).unwrap();
    let expected = (4.0 * 4e-7 / (std::f64::consts::PI * 1170.0)).sqrt();
    close(sheet.fibre_diameter.unwrap().si(), expected);
}

#[test]
fn a_heavier_cloth_of_the_same_counts_has_heavier_yarn() {
    let cloth = material(
        "class = \"sheeting high count\"\nbasis_weight = { between = [\"110 g/m2\", \"130 g/m2\"] }",
    );
    let facts = weave(&cloth);
    let with = cloth.with_inputs(&[(Input::BasisWeight, 0.13)]).unwrap();
    let after = weave(&with);
    let ratio = 0.13 / facts.basis_weight.value.si();
    close(after.yarn_linear_density.value / facts.yarn_linear_density.value, ratio);
    // Its class's thickness and yarn width go with the root, so that the yarn is as solid as before.
    let (before, now) = (facts.yarn_width.as_ref().unwrap(), after.yarn_width.as_ref().unwrap());
    close(now.value / before.value, ratio.sqrt());
    // More threads in a cloth of known weight are finer threads.
    let finer = cloth.with_inputs(&[(Input::Warp, 1.1 * facts.warp.value.si())]).unwrap();
    close(weave(&finer).basis_weight.value.si(), facts.basis_weight.value.si());
    assert!(weave(&finer).yarn_linear_density.value < facts.yarn_linear_density.value);
    assert!(cloth.with_inputs(&[(Input::BasisWeight, 0.13), (Input::YarnLinearDensity, 1e-5)]).is_none());
}

#[test]
fn more_threads_of_a_class_are_finer_ones() {
    let cloth = material("class = \"sheeting high count\"");
    let facts = weave(&cloth);
    let (warp, weft) = (1.2 * facts.warp.value.si(), 1.2 * facts.weft.value.si());
    let with = cloth.with_inputs(&[(Input::Warp, warp), (Input::Weft, weft)]).unwrap();
    let after = weave(&with);
    close(after.basis_weight.value.si(), facts.basis_weight.value.si());
    close(after.yarn_linear_density.value / facts.yarn_linear_density.value, 1.0 / 1.2);
    let width = after.yarn_width.as_ref().unwrap().value / facts.yarn_width.as_ref().unwrap().value;
    close(width, 1.2_f64.sqrt().recip());
    // A yarn that was stated is what it is.
    let spun = material("class = \"sheeting high count\"\nyarn_linear_density = \"15 tex\"");
    let with = spun.with_inputs(&[(Input::Warp, warp), (Input::Weft, weft)]).unwrap();
    close(weave(&with).yarn_linear_density.value.to_tex(), 15.0);
}

#[test]
fn central_values_of_what_is_not_known_are_said() {
    let case = case(include_str!("../../../../../scenarios/unsure-felt.toml"));
    let said: Vec<_> = case
        .assumed
        .iter()
        .filter(|entry| entry.from == Origin::Given)
        .map(|entry| (entry.material.as_deref(), entry.key, entry.value.as_str()))
        .collect();
    let felt = Some("craft felt");
    assert_eq!(
        said,
        [
            (felt, "swatch", "about 2.40 g, give or take 0.05 g"),
            (felt, "thickness", "about 4.8 mm, give or take 0.3 mm"),
            (felt, "fibre_diameter", "the middle between 12 um and 22 um"),
            (Some("sheeting"), "basis_weight", "the middle between 110 g/m2 and 130 g/m2"),
            (None, "slit.gap", "the middle between 0.1 mm and 0.6 mm"),
        ]
    );
}

#[test]
fn cotton_counts_may_come_in_either_order() {
    let cloth = material(
        "class = \"sheeting high count\"\nyarn_linear_density = { between = [\"38 Ne\", \"42 Ne\"] }",
    );
    let Doubt::Between { low, high, .. } = weave(&cloth).yarn_linear_density.doubt else {
        panic!("{cloth:?}")
    };
    assert!((low * 1e6 - 590.541 / 42.0).abs() < 1e-3 && (high * 1e6 - 590.541 / 38.0).abs() < 1e-3);
}

#[test]
fn leaks_come_out_as_laws_with_their_doubts() {
    let with = |leak: &str| {
        let text = format!(
            "[[material]]\nclass = \"needled felt\"\n[[stack]]\nlayers = \"needled felt\"\n[face]\n{leak}\n"
        );
        case(&text).face.unwrap().leak
    };
    let slit = with(
        "slit = { length = \"40 mm\", gap = { between = [\"0.1 mm\", \"0.4 mm\"] }, depth = \"12 mm\" }",
    );
    assert_eq!(slit.words(), "a slit 40 mm long, 0.20 mm (0.10 mm to 0.39 mm) wide and 12 mm deep");
    assert_eq!(with("").words(), "no leak");
    assert_eq!(
        with("fit_factor = { value = 20, flow = \"30 L/min\" }").words(),
        "a fit factor of 20 at 30 L/min, the leak taken as a hole"
    );
    assert_eq!(with("hole = \"1.5 mm\"").words(), "a hole of 1.5 mm");
    assert_eq!(with("hole = \"10 mm\"").words(), "a hole of 10 mm");
    let unknowns = slit.unknowns();
    assert_eq!(unknowns.len(), 1);
    assert_eq!(unknowns[0].input, Input::LeakGap);
    close(unknowns[0].value, 0.2e-3);
    let LeakAt::Law(law) = slit.with_inputs(&[(Input::LeakGap, 0.3e-3)]).unwrap() else { panic!("{slit:?}") };
    let moteweir_physics::leak::LeakLaw::Slit(at) = law else { panic!("{law:?}") };
    close(at.gap().to_mm(), 0.3);
    assert!(slit.with_inputs(&[(Input::LeakGap, 0.05)]).is_err());
    let LeakAt::Law(moteweir_physics::leak::LeakLaw::Hole { area }) =
        with("hole = \"3 mm\"").with_inputs(&[]).unwrap()
    else {
        panic!("a hole is a hole")
    };
    close(area.to_m2(), std::f64::consts::PI * 0.0015_f64.powi(2));
    assert_eq!(with(""), Leak::None);
    let law = with(
        "power_law = { flow = \"10 L/min\", pressure_drop = \"50 Pa\", exponent = { between = [1.4, 1.8] } }",
    );
    assert_eq!(law.unknowns().len(), 1);
    let fit = with(
        "fit_factor = { value = { about = 20, give_or_take = 5 }, flow = \"30 L/min\", like = \"slit\" }",
    );
    let LeakAt::Fit(reading, _) = fit.with_inputs(&[(Input::FitFactor, 10.0)]).unwrap() else {
        panic!("{fit:?}")
    };
    close(reading.leak_share().unwrap(), 0.1);
}
