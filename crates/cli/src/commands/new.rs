//! `new`: writes a commented scenario to start from.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};

use crate::arguments::NewArguments;
use crate::outcome::{Failure, remark};

pub(crate) fn run(arguments: &NewArguments, quiet: bool) -> Result<(), Failure> {
    let path = &arguments.file;
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|source| {
        if source.kind() == ErrorKind::AlreadyExists {
            Failure::Exists { path: path.clone() }
        } else {
            Failure::Write { path: path.clone(), source }
        }
    })?;
    file.write_all(moteweir::scenario::starter().as_bytes())
        .map_err(|source| Failure::Write { path: path.clone(), source })?;
    remark(
        &format!(
            "{} is a scenario to start from: change the materials, then `moteweir predict {}`.",
            path.display(),
            path.display()
        ),
        quiet,
    )
}
