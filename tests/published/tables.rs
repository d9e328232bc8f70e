//! Every table is whole: headed, with rows, and read by a test.

use std::path::{Path, PathBuf};

use moteweir_tests::Table;

#[test]
fn every_table_is_headed_and_read_by_a_test() {
    let mut files = Vec::new();
    collect(&Table::folder(), "csv", &mut files);
    assert!(files.len() > 20, "found {} tables", files.len());
    let mut sources = Vec::new();
    for folder in ["published", "analytic"] {
        collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), "rs", &mut sources);
    }
    let code: String = sources.iter().map(|path| std::fs::read_to_string(path).unwrap()).collect();
    for file in files {
        let name = file.strip_prefix(Table::folder()).unwrap().to_str().unwrap();
        let table = Table::read(name);
        assert!(code.contains(&format!("\"{name}\"")), "{name} is read by no test");
        assert!(
            table.heading("source").len() > 10,
            "{name}: a source needs more than `{}`",
            table.heading("source")
        );
    }
}

fn collect(folder: &Path, extension: &str, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("the folder is part of the package") {
        let path = entry.expect("the folder can be read").path();
        if path.is_dir() {
            collect(&path, extension, into);
        } else if path.extension().is_some_and(|e| e == extension) {
            into.push(path);
        }
    }
}
