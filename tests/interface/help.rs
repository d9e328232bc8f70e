//! Help: every command explains itself with an example that works.

use crate::examples::{commands, desk, works};
use crate::program::run;

const COMMANDS: [&str; 13] = [
    "calibrate",
    "check",
    "counts",
    "keys",
    "materials",
    "new",
    "plan",
    "predict",
    "resolve",
    "review",
    "tally",
    "vary",
    "wear",
];

#[test]
fn the_help_lists_every_command_and_the_exit_codes() {
    let help = run(["--help"]).clean();
    for command in COMMANDS {
        assert!(
            help.lines().any(|line| line.trim_start().starts_with(command)),
            "{command} is not in\n{help}"
        );
    }
    let codes = "Exit codes: 0 done; 2 the input is wrong; 3 the answer cannot be trusted; 1 anything else.";
    assert!(help.contains(codes), "{help}");
    let listed = help.lines().skip_while(|l| *l != "Commands:").skip(1).take_while(|l| !l.is_empty());
    let listed: Vec<&str> = listed.filter_map(|l| l.split_whitespace().next()).collect();
    let known = listed.iter().all(|l| COMMANDS.contains(l) || *l == "help");
    assert!(known, "a command is not tested here: {listed:?}");
}

#[test]
fn every_example_in_the_help_works() {
    let folder = desk();
    for command in std::iter::once(None).chain(COMMANDS.map(Some)) {
        let help = run(command.into_iter().chain(["--help"])).clean();
        let examples: Vec<String> = commands(&help, "moteweir ");
        assert!(!examples.is_empty(), "no example in the help of {command:?}:\n{help}");
        for line in examples {
            works(folder.path(), &line);
        }
    }
}

#[test]
fn the_version_is_the_package_s() {
    assert_eq!(run(["--version"]).clean(), format!("moteweir {}\n", env!("CARGO_PKG_VERSION")));
}
