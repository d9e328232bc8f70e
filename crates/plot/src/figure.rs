//! A chart under the name that its files carry.

use crate::kit::Chart;

/// A figure with the name that its files carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Name for files, without extension: lower-case letters, digits and hyphens. Names of one report differ.
    pub name: String,
    /// What is drawn.
    pub chart: Chart,
}

/// `2-felt-between-sheeting`: the number keeps names apart that differ only in what a file name cannot carry.
pub(crate) fn numbered(n: usize, name: &str) -> String {
    let spelt: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let words: Vec<&str> = spelt.split_whitespace().collect();
    let joined: String = words.join("-").chars().take(40).collect();
    format!("{}-{joined}", n + 1).trim_end_matches('-').to_owned()
}

/// A text of a report as it stands on a figure: micrometres with their Greek letter, and no line end between a number
/// and its unit.
pub(crate) fn typeset(text: &str) -> String {
    let mut set = String::new();
    let mut after_number = false;
    for (n, word) in text.split(' ').enumerate() {
        if n > 0 {
            let is_unit = after_number && word.trim_end_matches([',', ')', ';']).len() <= LONGEST_UNIT;
            set.push(if is_unit { '\u{a0}' } else { ' ' });
        }
        set.push_str(if word == "um" { "µm" } else { word });
        after_number = word.ends_with(|c: char| c.is_ascii_digit());
    }
    set
}

/// Letters of `mmH2O`.
const LONGEST_UNIT: usize = 5;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_are_plain_and_differ() {
        assert_eq!(numbered(0, "Felt between sheeting (two)"), "1-felt-between-sheeting-two");
        assert_eq!(numbered(1, "µ/../.."), "2");
        assert_ne!(numbered(0, "felt!"), numbered(1, "felt?"));
        assert!(numbered(9, &"long ".repeat(40)).len() <= 43);
    }

    #[test]
    fn micrometres_are_set_with_their_letter_and_words_stay() {
        assert_eq!(typeset("0.3 um (mobility), minimum"), "0.3\u{a0}µm (mobility), minimum");
        assert_eq!(typeset("15 mmH2O at 85 L/min"), "15\u{a0}mmH2O at 85\u{a0}L/min");
        assert_eq!(typeset("2 filters"), "2 filters");
    }
}
