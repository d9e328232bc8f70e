//! Paragraphs in lines.

use moteweir_units::text::Dimension;

/// Breaks a paragraph into lines of at most `width` characters, each after `indent`. A number stays with its unit.
pub(crate) fn wrapped(text: &str, indent: &str, width: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let unit = words.next_if(|next| is_number(word) && is_unit(next));
        let piece = unit.map_or_else(|| word.to_owned(), |unit| format!("{word} {unit}"));
        let longer = line.chars().count() + 1 + piece.chars().count();
        if !line.is_empty() && longer + indent.chars().count() > width {
            lines.push(format!("{indent}{line}"));
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&piece);
    }
    if !line.is_empty() {
        lines.push(format!("{indent}{line}"));
    }
    lines.join("\n")
}

/// Whether a word is a number, perhaps after a bracket.
fn is_number(word: &str) -> bool {
    let bare = word.trim_start_matches(['(', '"', '-', '+']);
    bare.starts_with(|first: char| first.is_ascii_digit()) && bare.parse::<f64>().is_ok()
}

/// Whether a word is the symbol of a unit, perhaps before a mark.
fn is_unit(word: &str) -> bool {
    let bare = word.trim_end_matches([',', '.', ';', ':', ')', '"', '?']);
    Dimension::ALL.into_iter().any(|dimension| dimension.units().contains(&bare))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit() {
        let text = "The size that gets through most is 0.43 um (95 %: 0.2 to 0.9 um), at 9.4 cm/s.";
        for width in 12..80 {
            let lines = wrapped(text, "", width);
            for pair in ["0.43 um", "(95 %:", "0.9 um),", "9.4 cm/s."] {
                assert!(lines.lines().any(|line| line.contains(pair)), "{width}: {pair} in\n{lines}");
            }
            assert!(lines.lines().all(|line| line.chars().count() <= width), "{width}:\n{lines}");
            assert_eq!(lines.replace('\n', " "), text);
        }
    }

    #[test]
    fn other_words_break_where_they_end() {
        assert_eq!(wrapped("of 1104 open counts", "  ", 9), "  of 1104\n  open\n  counts");
        assert_eq!(wrapped("sheet 3 Pat", "", 7), "sheet 3\nPat", "a word that begins like a unit is none");
        assert_eq!(wrapped("", "  ", 9), "");
        assert_eq!(wrapped("12345678 um", "", 4), "12345678 um", "too long for any line");
    }
}
