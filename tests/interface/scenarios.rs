//! Every scenario of the repository works, and says the same on any number of threads.

use crate::program::{run, scenarios, smallest};

#[test]
fn every_scenario_is_fine() {
    for path in scenarios() {
        let said = run(["check".as_ref(), path.as_os_str()]).clean();
        assert!(said.starts_with(&format!("{} is fine.\n", path.display())), "{said}");
    }
}

#[test]
fn every_scenario_predicts_and_leads_with_what_decides() {
    for path in scenarios() {
        let said = run(["predict".as_ref(), path.as_os_str()]).clean();
        for part in [
            "size that gets through most",
            " at 0.3 um and ",
            " at 1 um",
            " cost",
            "A calculation, no certificate",
        ] {
            let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(flat.contains(part.trim()), "{}: \"{part}\" is missing in\n{said}", path.display());
        }
    }
}

#[test]
fn the_smallest_scenario_has_six_lines() {
    assert_eq!(smallest().lines().count(), 6, "{}", smallest());
}

#[test]
fn the_same_bytes_on_one_two_and_seven_threads() {
    for path in scenarios() {
        for format in [None, Some("--json"), Some("--csv")] {
            let on = |threads: &str| {
                let mut arguments =
                    vec!["--threads", threads, "predict", path.to_str().expect("a name in UTF-8")];
                arguments.extend(format);
                run(arguments).clean()
            };
            let one = on("1");
            for threads in ["2", "7"] {
                assert!(
                    on(threads) == one,
                    "{}, {format:?}: {threads} threads differ from one",
                    path.display()
                );
            }
        }
    }
}
