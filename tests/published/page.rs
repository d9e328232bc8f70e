//! `MEASURED.md`: tables between marks that tests compute again, and sentences that they look up.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Tests run side by side, and one page holds the tables of several.
static WRITING: Mutex<()> = Mutex::new(());

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("published/MEASURED.md")
}

fn read() -> String {
    std::fs::read_to_string(path()).expect("MEASURED.md lies beside the tests")
}

/// Whether the page says this, line breaks apart.
pub(super) fn says(words: &str) -> bool {
    read().split_whitespace().collect::<Vec<_>>().join(" ").contains(words)
}

/// Asserts that the lines between `<!-- name -->` and `<!-- end of name -->` are these; writes them where the variable
/// `MOTEWEIR_RENEW` is set.
pub(super) fn keep(name: &str, lines: &[String]) {
    let _writing = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
    let page = read();
    let (from, to) = (format!("<!-- {name} -->"), format!("<!-- end of {name} -->"));
    let (before, rest) = page.split_once(&from).expect("MEASURED.md has the mark before the table");
    let (_, after) = rest.split_once(&to).expect("MEASURED.md has the mark after the table");
    let fresh = format!("{before}{from}\n{}\n{to}{after}", lines.join("\n"));
    if std::env::var_os("MOTEWEIR_RENEW").is_some() {
        std::fs::write(path(), &fresh).expect("MEASURED.md can be written");
        return;
    }
    for (number, (had, now)) in page.lines().zip(fresh.lines()).enumerate() {
        let line = number + 1;
        assert_eq!(had, now, "line {line} of MEASURED.md; renew it with MOTEWEIR_RENEW=1 and say why");
    }
    assert_eq!(page.lines().count(), fresh.lines().count(), "MEASURED.md; renew it with MOTEWEIR_RENEW=1");
}
