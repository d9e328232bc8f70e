//! The list of keys for people, made from the table that reads them.

use std::fmt::Write as _;

use super::key::{Accepts, Key, Section};
use super::keys::{Breathing, FibreDiameter, Layer, Root, Thickness, Unsure};

/// Three things that are easily taken for one another, side by side.
const THREE_SPELLINGS: &str = include_str!("../../data/spellings.md");

/// Sections of values that are a table in one of their spellings.
const SPELLED: [&Section; 4] =
    [&Thickness::SECTION, &FibreDiameter::SECTION, &Layer::SECTION, &Breathing::SECTION];

/// Every section and key of a scenario, as Markdown: what it states, what it takes, what is possible, its default; then
/// the three ways in which a value may be more than one.
pub fn reference() -> String {
    let mut text = String::new();
    describe(&Root::SECTION, &mut text);
    for section in SPELLED {
        describe(section, &mut text);
    }
    text.push_str(THREE_SPELLINGS);
    text.push('\n');
    describe(&Unsure::SECTION, &mut text);
    text
}

fn describe(section: &Section, text: &mut String) {
    // Writing to a String cannot fail.
    let _ = writeln!(text, "## {}\n\n{}\n", section.name, sentence(section.doc));
    for key in section.keys {
        let _ = writeln!(text, "- `{}`: {} {}.{}", key.name, key.doc, takes(key), default(key));
        let _ = writeln!(text, "  `{}`", key.example);
    }
    text.push('\n');
    for key in section.keys {
        if let Accepts::Table(nested) = key.accepts {
            describe(nested, text);
        }
    }
}

/// What a key takes, with its limits, as a sentence without its stop.
fn takes(key: &Key) -> String {
    let wanted = sentence(&key.wanted());
    match &key.accepts {
        Accepts::Quantity(limits)
        | Accepts::Quantities(limits)
        | Accepts::Uncertain(limits)
        | Accepts::UncertainNumber(limits) => {
            format!("{wanted}, {} to {}", limits.lowest, limits.highest)
        }
        Accepts::Pair(left, right) | Accepts::UncertainPair(left, right) => {
            format!("{wanted}, {} to {} at {} to {}", left.lowest, left.highest, right.lowest, right.highest)
        }
        Accepts::Number { lowest, highest } => format!("{wanted}, {lowest} to {highest}"),
        Accepts::Count { lowest, highest } if lowest == highest => format!("{wanted}, {lowest}"),
        Accepts::Count { lowest, highest } => format!("{wanted}, {lowest} to {highest}"),
        Accepts::Choice(words) | Accepts::Choices(words) => format!("{wanted}: {}", words.join(", ")),
        Accepts::Text | Accepts::Texts | Accepts::Spellings(_) | Accepts::Table(_) => wanted,
    }
}

fn default(key: &Key) -> String {
    key.default.map(|default| format!(" Default: {default}.")).unwrap_or_default()
}

/// A text with a capital at its start.
fn sentence(text: &str) -> String {
    let mut rest = text.chars();
    rest.next().map(|first| first.to_uppercase().chain(rest).collect()).unwrap_or_default()
}
