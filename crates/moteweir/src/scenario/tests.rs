//! The table of keys is what it claims: examples read, defaults and limits too.

use moteweir_units::text;

use super::{Accepts, Key, Scenario, Section, keys};

/// Every key, nested ones included, with the section it is in.
fn all_keys(section: &'static Section) -> Vec<(&'static Section, &'static Key)> {
    let mut keys = Vec::new();
    for key in section.keys {
        keys.push((section, *key));
        if let Accepts::Table(nested) = key.accepts {
            keys.extend(all_keys(nested));
        }
    }
    keys
}

#[test]
fn limits_and_defaults_read_and_hold() {
    for (section, key) in all_keys(&keys::Root::SECTION) {
        let limits: &[_] = match &key.accepts {
            Accepts::Quantity(limits) | Accepts::Quantities(limits) => &[*limits],
            Accepts::Pair(left, right) | Accepts::UncertainPair(left, right) => &[*left, *right],
            _ => &[],
        };
        for limit in limits {
            let low = text::read(limit.lowest, limit.dimension).unwrap();
            let high = text::read(limit.highest, limit.dimension).unwrap();
            assert!(low < high, "{} {}: {low} to {high}", section.name, key.name);
        }
        let Some(default) = key.default else { continue };
        match &key.accepts {
            Accepts::Quantity(limits) => {
                let si = text::read(default, limits.dimension).unwrap();
                assert!(limits.holds(si), "{} {}: {default}", section.name, key.name);
            }
            Accepts::Number { lowest, highest } => {
                assert!((*lowest..=*highest).contains(&default.parse().unwrap()), "{}", key.name);
            }
            Accepts::Count { lowest, highest } => {
                assert!((*lowest..=*highest).contains(&default.parse().unwrap()), "{}", key.name);
            }
            Accepts::Choice(choices) => assert!(choices.contains(&default), "{}", key.name),
            _ => {}
        }
    }
}

#[test]
fn the_example_of_every_key_is_read_without_a_fault() {
    for section in keys::Root::SECTION.keys {
        let Accepts::Table(nested) = section.accepts else {
            let (_, problems) = Scenario::read(section.example);
            assert_eq!(problems, [], "{}", section.example);
            continue;
        };
        for key in nested.keys {
            let text = format!("{}\n{}\n", section.example, key.example);
            let (_, problems) = Scenario::read(&text);
            // A key alone may leave its table without another that it needs, but is never itself at fault.
            for problem in problems {
                assert!(problem.message().contains(" lacks "), "{text}: {}", problem.message());
            }
        }
    }
}

#[test]
fn the_choices_of_a_closure_are_those_there_are() {
    let Accepts::Choice(choices) = keys::Model::CLOSURE.accepts else { panic!("{:?}", keys::Model::CLOSURE) };
    let names = moteweir_physics::closure::Closure::ALL.map(moteweir_physics::closure::Closure::name);
    assert_eq!(choices, names);
}

#[test]
fn every_key_has_a_line_of_help_and_its_own_name_in_its_example() {
    for (section, key) in all_keys(&keys::Root::SECTION) {
        assert!(key.doc.ends_with('.'), "{} {}: {}", section.name, key.name, key.doc);
        assert!(key.example.contains(key.name), "{} {}: {}", section.name, key.name, key.example);
        assert!(!key.wanted().is_empty());
    }
}

#[test]
fn the_reference_has_every_key_with_its_default() {
    let reference = super::reference();
    for (section, key) in all_keys(&keys::Root::SECTION) {
        assert!(reference.contains(&format!("## {}\n", section.name)), "{}", section.name);
        let line = reference.lines().find(|line| line.starts_with(&format!("- `{}`: {}", key.name, key.doc)));
        let line = line.unwrap_or_else(|| panic!("{} {}", section.name, key.name));
        if let Some(default) = key.default {
            assert!(line.ends_with(&format!("Default: {default}.")), "{line}");
        }
    }
    assert!(reference.contains(
        "- `temperature`: Temperature of the air. A temperature as a text with a unit, -60 degC to 150 degC. \
         Default: 22 degC.\n  `temperature = \"22 degC\"`\n"
    ));
}

#[test]
fn the_reference_sets_the_three_spellings_side_by_side_and_each_of_them_is_read() {
    let reference = super::reference();
    for section in [&keys::Unsure::SECTION, &keys::Thickness::SECTION, &keys::Breathing::SECTION] {
        assert_eq!(reference.matches(&format!("## {}\n", section.name)).count(), 1, "{}", section.name);
        for key in section.keys {
            assert!(reference.contains(&format!("- `{}`: {}", key.name, key.doc)), "{}", key.name);
        }
    }
    let (_, spellings) = reference.split_once("## More than one value").unwrap();
    let examples: Vec<_> = spellings.split('`').filter(|part| part.contains(" = {")).collect();
    assert_eq!(examples.len(), 6, "{examples:#?}");
    for example in examples {
        let (_, problems) = Scenario::read(&format!("[[material]]\n{example}\n"));
        assert_eq!(problems, [], "{example}");
    }
}
