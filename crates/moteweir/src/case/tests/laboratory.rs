//! `[bench]` and `[[measured]]` with their files: what they come out as, and every fault of them word for word.

use super::super::{Case, ReadingKind, Specimen};
use crate::files::{Files, Unread};
use crate::problem::{Problems, Severity};
use crate::shelf::Shelf;

const CURVE: &str =
    "diameter_um,face_velocity_cm_per_s,penetration,standard_uncertainty\n0.3,5.3,0.25,0.01\n";
const COUNTS: &str =
    "state,specimen,from_um,to_um,seconds,counts\nopen,,0.3,0.5,60,1000\nsample,felt,0.3,0.5,60,400\n";

/// A felt in line 2 and two stacks, one of the name of the felt; more lines from line 8 on.
fn with(lines: &str) -> String {
    format!(
        "[[material]]\nclass = \"needled felt\"\nname = \"felt\"\n[[stack]]\nlayers = \"felt\"\n[[stack]]\n\
         name = \"two felts\"\nlayers = [\"felt\", \"felt\"]\n{lines}\n"
    )
}

fn files() -> Files {
    Files::from_iter([("curve.csv", CURVE), ("counts.csv", COUNTS)])
}

fn case(lines: &str) -> Case {
    Case::read_with(&with(lines), Shelf::built_in(), &files()).unwrap_or_else(|Problems(problems)| {
        let said: Vec<String> = problems.iter().map(crate::Problem::message).collect();
        unreachable!("{said:#?} in\n{lines}")
    })
}

/// Every problem as `[file:]line:column severity: message`.
fn said(lines: &str, files: &Files) -> Vec<String> {
    let text = with(lines);
    let problems = match Case::read_with(&text, Shelf::built_in(), files) {
        Ok(case) => case.warnings,
        Err(problems) => problems.0,
    };
    let one = |problem: &crate::Problem| {
        let (place, text) = match &problem.file {
            Some(file) => (format!("{file}:"), files.text(file).expect("it was handed in")),
            None => (String::new(), text.as_str()),
        };
        let (line, column) = problem.line_column(text);
        let severity = if problem.severity == Severity::Error { "error" } else { "warning" };
        format!("{place}{line}:{column} {severity}: {}", problem.message())
    };
    problems.iter().map(one).collect()
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got / expected - 1.0).abs() < 1e-9, "got {got}, expected {expected}");
}

#[test]
fn a_curve_is_of_a_stack_or_of_sheets_of_a_material() {
    let measured = case(
        "[[measured]]\nfile = \"curve.csv\"\nspecimen = \"two felts\"\nsource = \" as it stands \"\n\
         [[measured]]\nfile = \"curve.csv\"\nspecimen = \"felt\"\nlayers = 3",
    );
    let [stack, sheets] = &measured.measured[..] else { unreachable!("two") };
    assert_eq!((stack.specimen, stack.layers), (Specimen::Stack(1), 1));
    assert_eq!(stack.source.as_deref(), Some(" as it stands "));
    // The stack of the name "felt" is one sheet of the felt, so nothing has to be said of it.
    assert_eq!((sheets.specimen, measured.warnings.len()), (Specimen::Stack(0), 0));
    assert_eq!(measured.sheets_of(sheets.specimen, sheets.layers), [0, 0, 0]);
    assert_eq!(measured.sheets_of(stack.specimen, 2), [0, 0, 0, 0]);
    assert_eq!(measured.specimen("felt"), Some(Specimen::Stack(0)));
    assert_eq!(measured.specimen_names().collect::<Vec<_>>(), ["felt", "two felts", "felt"]);
}

#[test]
fn diameters_become_mobility_diameters() {
    let lines = |kind: &str| {
        format!(
            "[particles]\ndensity = \"2165 kg/m3\"\n[[measured]]\nfile = \"curve.csv\"\nspecimen = \"felt\"\n{kind}"
        )
    };
    let of = |kind: &str| case(&lines(kind)).measured[0].penetrations[0];
    close(of("").diameter.to_um(), 0.3);
    close(of("diameter = \"optical\"").diameter.to_um(), 0.3);
    let aerodynamic = of("diameter = \"aerodynamic\"");
    close(aerodynamic.stated_diameter.to_um(), 0.3);
    // Salt of 0.238 um falls like a sphere of 1000 kg/m3 of 0.3841 um (particle.rs), so 0.3 um is less than 0.19.
    let air = moteweir_physics::air::Air::new(
        moteweir_units::Temperature::from_kelvin(295.15),
        moteweir_units::Pressure::from_pa(101_325.0),
        0.45,
    );
    let density = moteweir_units::Density::from_kg_per_m3(2165.0);
    let back = moteweir_physics::particle::aerodynamic_diameter(&air, aerodynamic.diameter, density);
    close(back.to_um(), 0.3);
    assert!(aerodynamic.diameter.to_um() < 0.19);
}

#[test]
fn side_treatment_and_aerosol_are_carried_and_the_aerosol_of_a_name_is_meant() {
    let lines = |more: &str| {
        format!(
            "[[aerosol]]\nname = \"fine smoke\"\nmodes = [{{ median = \"0.05 um\", gsd = 1.5 }}]\n[[measured]]\n\
             file = \"channels.csv\"\nspecimen = \"felt\"\n{more}"
        )
    };
    let mut files = files();
    let text = "from_um,to_um,face_velocity_cm_per_s,upstream_counts,downstream_counts\n0.1,0.4,5,1000,0\n";
    files.insert("channels.csv", Ok(text.to_owned()));
    let read = |more: &str| {
        let case = Case::read_with(&with(&lines(more)), Shelf::built_in(), &files);
        case.map_err(|problems| problems.0.len()).expect("a good case").measured.remove(0)
    };
    let plain = read("");
    assert_eq!((plain.side.as_str(), plain.treatment.as_str(), plain.aerosol), ("", "as received", None));
    close(plain.penetrations[0].diameter.to_um(), 0.2);
    let full = read("side = \"fuzzy\"\ntreatment = \"washed 5 times\"\naerosol = \"salt, neutralised\"");
    assert_eq!((full.side.as_str(), full.treatment.as_str()), ("fuzzy", "washed 5 times"));
    assert_eq!(full.aerosol.as_deref(), Some("salt, neutralised"));
    close(full.penetrations[0].diameter.to_um(), 0.2);
    // Of ln d normal about ln 0.05 with 0.405, what lies in 0.1 to 0.4 um has the mean
    // 0.05 um exp(0.405 (f(1.709) - f(5.128))/(F(5.128) - F(1.709))) = 0.1180 um.
    let smoke = read("aerosol = \"fine smoke\"").penetrations[0];
    assert!((smoke.diameter.to_um() - 0.1180).abs() < 5e-4, "{}", smoke.diameter.to_um());
    assert!((smoke.stated_diameter.to_um() - 0.2).abs() < 1e-12 && smoke.is_limit);
    let wrong = said(
        "[[measured]]\nfile = \"curve.csv\"\nspecimen = \"felt\"\nside = 2\ntreatment = [\"washed\"]\naerosl = \"salt\"",
        &files,
    );
    assert_eq!(wrong.len(), 3, "{wrong:?}");
    assert!(
        wrong[0].contains("`side`") && wrong[1].contains("`treatment`") && wrong[2].contains("`aerosl`"),
        "{wrong:?}"
    );
}

#[test]
fn a_bench_with_everything_and_with_nothing_but_counts() {
    let full = case(
        "[bench]\ncounts = \"counts.csv\"\nhole = \"20 mm\"\npump = \"2.83 L/min\"\nchannels = [\"0.3 um\", \"0.5 um\"]\n\
         sizing = \"5 %\"\nmost = \"70 /cm3\"\nslope = { between = [2, 4] }\n[[bench.resistance]]\nspecimen = \"felt\"\n\
         layers = 4\nair_permeability = \"350 mm/s at 200 Pa\"",
    );
    let bench = full.bench.expect("a bench");
    // 2.83 L/min through 3.1416 cm2.
    close(bench.face_velocity().expect("pump and hole").to_cm_per_s(), 2830.0 / 60.0 / std::f64::consts::PI);
    close(bench.counter.most_per_m3.expect("stated"), 70e6);
    close(bench.counter.sizing, 0.05);
    let counts = bench.counts.expect("counts");
    assert_eq!((counts.readings.readings.len(), counts.specimens.as_slice()), (2, &[Specimen::Stack(0)][..]));
    let resistance = &bench.resistances[0];
    assert_eq!((resistance.kind, resistance.layers), (ReadingKind::AirPermeability, 4));
    close(resistance.pressure_drop.to_pa(), 200.0);
    close(resistance.face_velocity.to_mm_per_s(), 350.0);
    close(resistance.relative_uncertainty, 0.05);
    // Between 2 and 4, even in the logarithm: the quantiles at 16 and 84 % of 2 x 2^p.
    close(bench.room.slope, 8f64.sqrt());
    let width = 2.0 * (2f64.powf(0.841_344_746_068_543) - 2f64.powf(0.158_655_253_931_457));
    close(bench.room.slope_uncertainty(), 0.5 * width);
    let bare = case("[bench]\ncounts = \"counts.csv\"").bench.expect("a bench");
    assert_eq!((bare.room.slope, bare.face_velocity()), (3.0, None));
    assert!((bare.room.slope_uncertainty() - 1.0).abs() < 0.01, "{}", bare.room.slope_uncertainty());
}

#[test]
fn files_are_listed_for_whoever_reads_them() {
    let text = with(
        "[bench]\ncounts = \"counts.csv\"\n[[measured]]\nfile = \"b.csv\"\nspecimen = \"felt\"\n[[measured]]\n\
         file = \"counts.csv\"\nspecimen = \"felt\"\n[[measured]]\nfile = 3\nspecimen = \"felt\"",
    );
    let (scenario, _) = crate::Scenario::read(&text);
    let names: Vec<String> = scenario.files().into_iter().map(|file| file.value).collect();
    assert_eq!(names, ["counts.csv", "b.csv"]);
}

#[test]
fn every_fault_at_once_each_in_its_own_file() {
    let mut files = files();
    files.insert("bad.csv", Ok("penetration,diameter_um\n2,0.3\n".to_owned()));
    files.insert("noise.csv", Err(Unread::NotText { at: 7 }));
    files.insert("others.csv", Ok(COUNTS.replace("felt", "felts")));
    let lines = "[bench]\ncounts = \"others.csv\"\nhole = \"20 mm\"\nchannels = [\"0.5 um\", \"0.4 um\"]\n\
                 dead_time = \"1 ms\"\nmost = \"70 /cm3\"\n[[bench.resistance]]\nspecimen = \"two felt\"\n\
                 [[measured]]\nfile = \"bad.csv\"\nspecimen = \"felt\"\n[[measured]]\nfile = \"noise.csv\"\n\
                 specimen = \"flet\"\n[[measured]]\nfile = \"gone.csv\"\n";
    assert_eq!(
        said(lines, &files),
        [
            "11:8 error: `hole` goes with `pump`",
            "12:12 error: `others.csv` has an edge at 0.3 um, which is none of `channels`",
            "12:23 error: `channels`: 0.4 um does not lie above the edge before it",
            "14:8 error: `dead_time` and `most` both state how many the counter can tell apart",
            "15:1 error: [[bench.resistance]] lacks `pressure_drop`",
            "16:12 error: there is no material or stack of the name `two felt`",
            "21:8 error: `noise.csv` is not text in UTF-8 (byte 7 is not)",
            "22:12 error: there is no material or stack of the name `flet`",
            "23:1 error: [[measured]] lacks `specimen`",
            "24:8 error: `gone.csv` is not there",
            "bad.csv:1:1 error: the heading lacks the column `face_velocity_cm_per_s`",
            "others.csv:3:1 error: there is no material or stack of the name `felts`",
        ]
    );
}

#[test]
fn a_name_of_two_things_is_said_and_the_only_stack_needs_no_name() {
    let text = "[[material]]\nclass = \"needled felt\"\nname = \"felt\"\n[[stack]]\nname = \"felt\"\n\
                layers = [\"felt\", \"felt\"]\n[[measured]]\nfile = \"curve.csv\"\nspecimen = \"felt\"\n\
                [bench]\ncounts = \"counts.csv\"\n";
    let unnamed = Files::from_iter([
        ("curve.csv", CURVE),
        ("counts.csv", "state,from_um,seconds,counts\nopen,0.3,60,1000\nsample,0.3,60,400\n"),
    ]);
    let case = Case::read_with(text, Shelf::built_in(), &unnamed).expect("it is sound");
    let warnings: Vec<String> = case.warnings.iter().map(crate::Problem::message).collect();
    assert_eq!(warnings, ["`felt` is a material and a stack; taken as the stack"]);
    assert_eq!(case.bench.and_then(|b| b.counts).expect("counts").specimens, [Specimen::Stack(0)]);
}

#[test]
fn a_scenario_read_without_its_files_misses_them() {
    let text = with("[[measured]]\nfile = \"curve.csv\"\nspecimen = \"felt\"");
    let Err(Problems(problems)) = Case::read(&text, Shelf::built_in()) else {
        unreachable!("no file handed in")
    };
    assert_eq!(
        problems.iter().map(crate::Problem::message).collect::<Vec<_>>(),
        ["`curve.csv` is not there"]
    );
    assert_eq!(problems[0].help().as_deref(), Some("the path is taken from the folder of the scenario"));
}
