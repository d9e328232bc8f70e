//! A folder of results, written whole or not at all.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::outcome::Failure;

/// The list of files that marks a folder as an earlier review.
const MANIFEST: &str = ".moteweir-files";

/// Refuses a folder that holds anything but an earlier review, before any work is done.
pub(crate) fn check(folder: &Path) -> Result<(), Failure> {
    let failed = |source| Failure::Read { path: folder.to_owned(), source };
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(source) if source.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(source) if source.kind() == io::ErrorKind::NotADirectory => {
            return Err(Failure::Exists { path: folder.to_owned() });
        }
        Err(source) => return Err(failed(source)),
    };
    let manifest = match fs::read_to_string(folder.join(MANIFEST)) {
        Ok(text) => text,
        Err(source) if source.kind() == io::ErrorKind::NotFound => String::new(),
        Err(source) => return Err(failed(source)),
    };
    let ours: Vec<&str> = manifest.lines().chain([MANIFEST]).collect();
    for entry in entries {
        let found = entry.map_err(failed)?.file_name().to_string_lossy().into_owned();
        if !ours.contains(&found.as_str()) {
            return Err(Failure::ForeignFolder { path: folder.to_owned(), found });
        }
    }
    Ok(())
}

/// Writes all files into a new folder beside the target and then puts it in the target's place.
pub(crate) fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    check(folder)?;
    let failed = |source| Failure::Write { path: folder.to_owned(), source };
    let parent = match folder.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(failed)?;
    let fresh = tempfile::Builder::new().prefix(".moteweir-").tempdir_in(&parent).map_err(failed)?;
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    fs::write(fresh.path().join(MANIFEST), names.join("\n")).map_err(failed)?;
    for (name, bytes) in files {
        fs::write(fresh.path().join(name), bytes).map_err(failed)?;
    }
    open_to_others(fresh.path()).map_err(failed)?;
    replace(folder, fresh, &parent).map_err(failed)
}

/// Moves the old folder aside, the new one in, and then removes the old one; back again where that fails.
fn replace(folder: &Path, fresh: tempfile::TempDir, parent: &Path) -> io::Result<()> {
    let aside = tempfile::Builder::new().prefix(".moteweir-").tempdir_in(parent)?;
    let old = aside.path().join("old");
    let had_old = folder.exists();
    if had_old {
        fs::rename(folder, &old)?;
    }
    if let Err(error) = fs::rename(fresh.path(), folder) {
        if had_old {
            fs::rename(&old, folder)?;
        }
        return Err(error);
    }
    // The folder has moved: nothing is left for the guard to remove.
    let _moved = fresh.keep();
    aside.close()
}

/// A temporary folder is private; a folder of results is as open as any other.
#[cfg(unix)]
fn open_to_others(folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755))
}

#[cfg(not(unix))]
fn open_to_others(_: &Path) -> io::Result<()> {
    Ok(())
}
