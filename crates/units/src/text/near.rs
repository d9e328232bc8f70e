//! What was probably meant: nearest spellings by edit distance.

use super::Dimension;
use super::symbol::SYMBOLS;

/// At most this many units are suggested.
const LARGEST_LIST: usize = 2;

/// Units spelt like `symbol`, or like the whole `unit` it stands in; the nearest first, those of `expected` before others.
pub(super) fn units(symbol: &str, unit: &str, expected: Dimension) -> Vec<&'static str> {
    let whole = expected.units().iter().map(|&known| (known, distance(unit, known), unit.chars().count()));
    let single =
        SYMBOLS.iter().map(|known| (known.text, distance(symbol, known.text), symbol.chars().count()));
    let mut found: Vec<(&'static str, usize)> = Vec::new();
    for (known, distance, length) in whole.chain(single) {
        let near = distance <= if length <= 3 { 1 } else { 2 } && distance < length;
        if near && found.iter().all(|(other, _)| *other != known) {
            found.push((known, distance));
        }
    }
    let nearest = found.iter().map(|&(_, distance)| distance).min();
    found.retain(|&(_, distance)| Some(distance) == nearest);
    found.into_iter().map(|(known, _)| known).take(LARGEST_LIST).collect()
}

/// A text of the expected kind: the number written with a unit that differs little from the one written, or the example.
pub(super) fn example(number: &str, unit: &str, expected: Dimension) -> String {
    let nearest =
        expected.units().iter().map(|&known| (distance(unit, known), known)).min_by_key(|&(d, _)| d);
    match nearest {
        Some((distance, known)) if distance <= 2 && known.len() > 2 && known.starts_with(unit) => {
            format!("{number} {known}")
        }
        _ => expected.example().to_owned(),
    }
}

/// Edits (insert, delete, replace) between two texts, without regard to case or to how the micro sign is written.
fn distance(left: &str, right: &str) -> usize {
    let plain = |text: &str| -> Vec<char> {
        text.replace(['\u{b5}', '\u{3bc}'], "u").chars().flat_map(char::to_lowercase).collect()
    };
    let (left, right) = (plain(left), plain(right));
    let mut row: Vec<usize> = (0..=right.len()).collect();
    for (i, &a) in left.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, &b) in right.iter().enumerate() {
            let replaced = diagonal + usize::from(a != b);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[right.len()]
}
