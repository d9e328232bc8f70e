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

/// A text of a report as it stands on a figure: micrometres with their Greek letter.
pub(crate) fn typeset(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').map(|word| if word == "um" { "µm" } else { word }).collect();
    words.join(" ")
}

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
        assert_eq!(typeset("0.3 um (mobility), minimum"), "0.3 µm (mobility), minimum");
    }
}
