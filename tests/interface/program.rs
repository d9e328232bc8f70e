//! The program as a child process, and where the repository is.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a run said and how it ended.
#[derive(Debug)]
pub(crate) struct Run {
    /// Exit code; `None` where a signal ended it.
    pub(crate) code: Option<i32>,
    /// Standard output.
    pub(crate) out: String,
    /// Standard error.
    pub(crate) err: String,
}

impl Run {
    /// The standard output of a run that must have ended well and said nothing on standard error.
    pub(crate) fn clean(self) -> String {
        assert_eq!((self.code, self.err.as_str()), (Some(0), ""), "standard output was:\n{}", self.out);
        self.out
    }

    /// The standard output of a run that must have ended well, whatever it said on standard error.
    pub(crate) fn done(self) -> String {
        assert_eq!(self.code, Some(0), "standard error was:\n{}", self.err);
        self.out
    }

    /// The standard error of a run that must have refused its input and printed no result.
    pub(crate) fn refused(self) -> String {
        assert_eq!((self.code, self.out.as_str()), (Some(2), ""), "standard error was:\n{}", self.err);
        self.err
    }
}

/// The program, in a folder.
pub(crate) fn command(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_moteweir"));
    command.current_dir(folder);
    command
}

/// Runs the program in a folder.
pub(crate) fn run_in<S: AsRef<OsStr>>(folder: &Path, arguments: impl IntoIterator<Item = S>) -> Run {
    let output = command(folder).args(arguments).output().expect("the program starts");
    Run {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("standard output is UTF-8"),
        err: String::from_utf8(output.stderr).expect("standard error is UTF-8"),
    }
}

/// Runs the program at the repository's root.
pub(crate) fn run<S: AsRef<OsStr>>(arguments: impl IntoIterator<Item = S>) -> Run {
    run_in(&root(), arguments)
}

/// The repository.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the repository is there")
}

/// The scenarios of the repository, by path, in order of their names.
pub(crate) fn scenarios() -> Vec<PathBuf> {
    let folder = root().join("scenarios");
    let mut found: Vec<PathBuf> = folder
        .read_dir()
        .expect("scenarios/ is there")
        .map(|entry| entry.expect("it can be listed").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    found.sort();
    assert!(!found.is_empty(), "scenarios/ is empty");
    found
}

/// The names in a folder, in order.
pub(crate) fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = folder
        .read_dir()
        .expect("it can be listed")
        .map(|entry| entry.expect("it can be listed").file_name().into_string().expect("a name in UTF-8"))
        .collect();
    names.sort();
    names
}

/// The smallest scenario that works, from the repository.
pub(crate) fn smallest() -> String {
    std::fs::read_to_string(root().join("scenarios/smallest.toml")).expect("it is there")
}
