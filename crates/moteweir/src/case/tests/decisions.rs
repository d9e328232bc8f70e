//! Targets, question, face and draws: what they come out as, and every fault of them word for word.

use super::super::{Among, Case, Goal, Leak, Vary};
use super::said;
use crate::shelf::Shelf;

/// A felt in line 2, an aerosol in line 6, and more lines from line 8 on.
fn with(lines: &str) -> String {
    format!(
        "[[material]]\nclass = \"needled felt\"\n[[stack]]\nlayers = \"needled felt\"\n[[aerosol]]\nname = \"smoke\"\n\
         modes = [{{ median = \"0.15 um\", gsd = 1.6 }}]\n{lines}\n"
    )
}

/// The felt with one more line, line 3.
fn felt_and(line: &str) -> String {
    format!("[[material]]\nclass = \"needled felt\"\n{line}\n[[stack]]\nlayers = \"needled felt\"\n")
}

#[track_caller]
fn assert_said(text: &str, expected: &[&str]) {
    assert_eq!(said(text), expected, "for\n{text}");
}

#[test]
fn what_is_not_known() {
    assert_said(
        &felt_and("fibre_diameter = { between = [\"20 um\", \"8 um\"] }"),
        &[
            "3:30 error: `fibre_diameter` between 20 um and 8 um: the first is not below the second [nothing between] \
           (write the lower value first, or one value alone where it is known)",
        ],
    );
    assert_said(
        &felt_and("fibre_diameter = { median = { between = [\"8 um\", \"3 m\"] } }"),
        &["3:50 error: `median` = 3 m is outside what is possible [possible: 5 nm to 2 mm]"],
    );
    assert_said(
        &felt_and("basis_weight = { between = [\"8 um\"] }"),
        &["3:28 error: `between` is a list, but takes two values of the key, the lower first \
           [expected two values of the key, the lower first] (for example: between = [\"8 um\", \"20 um\"])"],
    );
    assert_said(
        &felt_and("surface_charge = { between = [\"0 uC/m2\", \"50 uC/m2\"] }"),
        &["3:30 error: `surface_charge` begins at 0 uC/m2, which has no logarithm [even in the logarithm] \
           (add `scale = \"linear\"`)"],
    );
    assert_said(
        &felt_and("basis_weight = { about = \"120 g/m2\", give_or_take = \"-3 g/m2\" }"),
        &["3:53 error: `basis_weight` give or take -3 g/m2 is no spread [has to be above 0] \
           (write the value alone where it is known)"],
    );
    assert_said(
        &felt_and("thickness = { about = \"1 mm\", give_or_take = \"2 mm\" }"),
        &["3:46 error: `thickness` of about 1 mm, give or take 2 mm, leaves what is possible \
           [possible: 0.05 um to 300 mm] (one standard deviation either way has to be possible; `between` two ends \
           may say it better)"],
    );
    assert_said(
        &felt_and("thickness = { about = \"1 mm\" }"),
        &["3:13 error: what is known of a value lacks `give_or_take` [no `give_or_take`] \
           (for example: give_or_take = \"3 um\")"],
    );
    assert_said(
        &felt_and("basis_weight = { scale = \"log\" }"),
        &["3:16 error: what is known of a value lacks `between` [no `between`] \
           (for example: between = [\"8 um\", \"20 um\"])"],
    );
    assert_said(
        &felt_and("pressure_drop = { between = [\"20 Pa at 10 cm/s\", \"30 Pa at 12 cm/s\"] }"),
        &["3:17 error: `pressure_drop`: `20 Pa at 10 cm/s` and `30 Pa at 12 cm/s` are not at one velocity \
           [two measurements] (write both ends at the same velocity)"],
    );
    assert_said(
        &felt_and("basis_weight = { between = [\"1 g/m2\", \"2 g/m2\"], give_or_take = \"1 g/m2\" }"),
        &["3:65 error: `give_or_take` goes with `about` [no `about` beside it]"],
    );
    assert_said(
        &felt_and("basis_weight = { between = [\"1 g/m2\", \"2 g/m2\"], about = \"1 g/m2\" }"),
        &["3:58 error: `between` and `about` both state the value [the value a second time] \
           (keep `between` or `about`)"],
    );
    assert_said(
        &felt_and("solidity = { about = 0.1, give_or_take = \"3 um\" }"),
        &[
            "3:45 error: `give_or_take`: `um` is a length, a fraction was expected, such as `45 %` [expected a fraction]",
        ],
    );
}

#[test]
fn what_varies() {
    assert_said(
        &felt_and("varies.basis_weight = { lot = \"120 %\" }"),
        &["3:31 error: `lot` = 120 % is outside what is possible [possible: 0 % to 99 %]"],
    );
    assert_said(
        &felt_and("varies.basis_weight = \"10 %\""),
        &["3:23 error: `basis_weight` is a text, but takes a table like a variation \
           [expected a table like a variation] (for example: basis_weight = { lot = \"10 %\", sheet = \"3 %\" })"],
    );
    assert_said(
        &felt_and("varies.weight = { lot = \"10 %\" }"),
        &["3:8 error: unknown key `weight` in [material.varies] [not a key of [material.varies]] \
           (its keys: basis_weight, thickness, fibre_diameter, surface_charge)"],
    );
    assert_said(
        &felt_and("varies.surface_charge = { lot = \"10 %\" }").replace("needled felt", "canvas"),
        &["3:25 error: `surface_charge` does not belong to a material of structure `weave` [a key of webs]"],
    );
}

#[test]
fn targets_question_and_face_come_out() {
    let text = with(
        "[[target]]\nefficiency_at_least = \"95 %\"\nat = \"0.3 um\"\nface_velocity = \"5.3 cm/s\"\n\
         [[target]]\nstack = \"needled felt\"\nefficiency_at_least = 0.5\nat = \"smoke\"\n\
         [[target]]\npressure_drop_at_most = \"35 mmH2O\"\nflow = \"30 L/min\"\n\
         [question]\nlayers_of = \"needled felt\"\nbefore = { of = \"needled felt\", times = 2 }\n\
         resistance_at_most = \"35 mmH2O at 85 L/min\"\n\
         [face]\narea = \"160 cm2\"\nbreathing = [\"rest\", { minute_volume = \"30 L/min\" }, { steady = \"85 L/min\" }, \
         { times = [\"0 s\", \"1 s\", \"2 s\"], flows = [\"0 L/min\", \"60 L/min\", \"0 L/min\"] }]\n\
         [vary]\ndraws = 5000\nseed = 7",
    );
    let case = Case::read(&text, Shelf::built_in()).unwrap();
    let texts: Vec<_> = case.targets.iter().map(|target| target.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "at least 95 % of 0.3 um stopped at 5.3 cm/s",
            "at least 0.5 of smoke stopped at 9.44 cm/s",
            "a pressure drop of at most 35 mmH2O at 30 L/min",
        ]
    );
    let Goal::Efficiency { at_least, among: Among::Size(size) } = case.targets[0].goal else {
        panic!("{:?}", case.targets[0])
    };
    assert!((at_least - 0.95).abs() < 1e-12 && (size.to_um() - 0.3).abs() < 1e-12);
    assert_eq!(case.targets[1].goal, Goal::Efficiency { at_least: 0.5, among: Among::Aerosol(0) });
    // 30 L/min over the default 150 cm2 is 3.333 cm/s.
    assert!((case.targets[2].face_velocity.to_cm_per_s() - 10.0 / 3.0).abs() < 1e-9);
    let question = case.question.unwrap();
    assert_eq!((question.layers_of, question.before.as_slice(), question.most), (0, &[0, 0][..], 12));
    assert!((question.resistance_at_most.unwrap().flow.to_l_per_min() - 85.0).abs() < 1e-9);
    let face = case.face.unwrap();
    assert_eq!(face.leak, Leak::None);
    let names: Vec<_> = face.breathing.iter().map(|breathing| breathing.name.as_str()).collect();
    assert_eq!(names, ["rest", "30 L/min a minute", "steady 85 L/min", "a measured breath"]);
    assert!((face.area.to_cm2() - 160.0).abs() < 1e-9);
    assert_eq!(case.vary, Vary { draws: Some(5000), seed: 7, tolerance: 0.02 });
}

#[test]
fn targets_that_cannot_be_evaluated() {
    assert_said(
        &with("[[target]]\nefficiency_at_least = \"95 %\"\nat = \"smke\"\nstack = \"felt\""),
        &[
            "10:6 error: `at` = `smke` is no size, aerosol or channel [nothing to be stopped] (did you mean `smoke`?)",
            "11:9 error: there is no stack of the name `felt` [no such stack] (there are: needled felt)",
        ],
    );
    assert_said(
        &with("[[target]]\nefficiency_at_least = \"95 %\"\nat = \"3 mm\""),
        &["10:6 error: `at` = 3 mm is outside what is possible [possible: 1 nm to 100 um]"],
    );
    assert_said(
        &with("[[target]]\nstack = \"needled felt\""),
        &["8:1 error: [[target]] lacks `efficiency_at_least` [no `efficiency_at_least`] \
           (for example: efficiency_at_least = \"95 %\")"],
    );
    assert_said(
        &with("[[target]]\nefficiency_at_least = \"95 %\"\npressure_drop_at_most = \"35 Pa\""),
        &["10:25 error: `efficiency_at_least` and `pressure_drop_at_most` both state the target \
           [the target a second time] (keep `efficiency_at_least` or `pressure_drop_at_most`)"],
    );
    assert_said(
        &with(
            "[[target]]\npressure_drop_at_most = \"35 Pa\"\nat = \"worst\"\nflow = \"1 L/min\"\nface_velocity = \"1 m/s\"",
        ),
        &[
            "10:6 error: `at` goes with `efficiency_at_least` [no `efficiency_at_least` beside it]",
            "11:8 error: `face_velocity` and `flow` both state the velocity [the velocity a second time] \
             (keep `face_velocity` or `flow`)",
        ],
    );
    assert_said(
        &with("[[target]]\nefficiency_at_least = \"120 %\""),
        &["9:23 error: `efficiency_at_least` = 120 % is outside what is possible [possible: 0 % to 100 %]"],
    );
}

#[test]
fn questions_that_ask_for_nothing() {
    assert_said(
        &with("[question]\nmost = 20"),
        &[
            "8:1 error: [question] lacks `layers_of` [no `layers_of`] (for example: layers_of = \"needled felt\")",
            "9:8 error: `most` = 20 is outside what is possible [possible: 1 to 12]",
        ],
    );
    assert_said(
        &with("[question]\nlayers_of = \"felt\"\nbefore = [\"sheeting\", 3]"),
        &[
            "9:13 error: there is no material of the name `felt` [no such material] (there are: needled felt)",
            "10:11 error: there is no material of the name `sheeting` [no such material] (there are: needled felt)",
            "10:23 error: `before` is a whole number, but takes a material's name or \
             { of = \"needled felt\", times = 3 }, or a list of such [expected a material's name or \
             { of = \"needled felt\", times = 3 }, or a list of such] (for example: before = \"sheeting\")",
        ],
    );
    assert_said(
        &format!("question = 3\n{}", with("")),
        &["1:12 error: `question` is a whole number, but takes a table like [question] \
           [expected a table like [question]] (for example: [question])"],
    );
}

#[test]
fn faces_that_nobody_has() {
    assert_said(
        &with("[face]\nhole = \"3 mm\"\nslit = { length = \"1 mm\", gap = \"2 mm\", depth = \"9 mm\" }"),
        &[
            "9:8 error: `slit` and `hole` both state the leak [the leak a second time] (keep `slit` or `hole`)",
        ],
    );
    assert_said(
        &with("[face]\nslit = { length = \"1 mm\", gap = \"2 mm\", depth = \"9 mm\" }"),
        &[
            "9:8 error: a slit with a gap of 2.00 mm and a length of 1.00 mm: the gap has to be the smaller; give a \
             hole by its area instead [no such leak can be]",
        ],
    );
    assert_said(
        &with(
            "[face]\nfit_factor = { value = 200, flow = \"30 L/min\", filter_penetration = \"3 %\", depth = \"9 mm\" }",
        ),
        &[
            "9:14 error: a fit factor of 200 means that 0.500 % got in, but the filter alone lets 3.000 % of the test's \
             particles through; give the filter's penetration for the particles of the fit test [no such leak can be]",
            "9:84 error: `depth` goes with `like = \"slit\"` [no `like = \"slit\"` beside it]",
        ],
    );
    assert_said(
        &with(
            "[face]\nbreathing = [\"resting\", { times = [\"0 s\", \"1 s\"], flows = \"3 L/min\" }, {}, 3]\n[use]\narea = \"1 m2\"",
        ),
        &[
            "9:14 error: `resting` is not a choice of `breathing` [not one of the choices] (did you mean `rest`? The \
             choices: rest, light work, moderate work, heavy work, very heavy work, hard effort, very hard effort, utmost \
             effort)",
            "9:72 error: breathing lacks `minute_volume` [no `minute_volume`] (for example: minute_volume = \"30 L/min\")",
            "9:76 error: `breathing` is a whole number, but takes \"rest\", \"light work\", \"moderate work\", \
             \"heavy work\", \"very heavy work\", \"hard effort\", \"very hard effort\", \"utmost effort\", or a table with \
             a minute volume, a steady flow, or times and flows; or a list of such [expected \"rest\", \"light work\", \
             \"moderate work\", \"heavy work\", \"very heavy work\", \"hard effort\", \"very hard effort\", \"utmost \
             effort\", or a table with a minute volume, a steady flow, or times and flows; or a list of such] (for example: \
             breathing = [\"rest\", \"heavy work\"])",
        ],
    );
    assert_said(
        &with(
            "[face]\nbreathing = { times = [\"0 s\", \"1 s\"], flows = \"3 L/min\" }\narea = \"1 m2\"\n[use]\narea = \"1 m2\"",
        ),
        &[
            "9:13 error: `times` has 2 entries, but `flows` has 1 [one flow for every time]",
            "10:8 error: `use.area` and `face.area` both state the filtering area [the filtering area a second time] \
             (keep `use.area` or `face.area`)",
        ],
    );
    assert_said(
        &with(
            "[face]\nbreathing = { times = [\"1 s\", \"0 s\"], flows = [\"3 L/min\", \"0 L/min\"] }\n[vary]\ndraws = 3\ntolerance = \"0 %\"",
        ),
        &[
            "9:13 error: row 2 of a table of flow against time is at 0.0000 s, but the row before is at 1.0000 s: times \
             have to rise [nobody breathes like that]",
            "11:9 error: `draws` = 3 is outside what is possible [possible: 100 to 2000000000]",
            "12:13 error: `tolerance` = 0 % is outside what is possible [possible: 0.01 % to 50 %]",
        ],
    );
}
