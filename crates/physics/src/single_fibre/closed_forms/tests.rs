use std::collections::BTreeSet;

use moteweir_units::Solidity;

use super::*;

fn at(alpha: f64) -> CellGroups {
    CellGroups::new(Solidity::new(alpha).unwrap(), 0.0)
        .with_interception(0.1)
        .with_stokes(0.5)
        .with_peclet(1e4)
        .with_settling(0.01)
        .with_fibre_reynolds(0.1)
}

#[test]
fn names_are_their_own_and_forms_stand_by_term() {
    let names: BTreeSet<&str> = ALL.iter().map(|form| form.name).collect();
    assert_eq!(names.len(), ALL.len());
    assert!(ALL.is_sorted_by_key(|form| form.term));
}

#[test]
fn every_form_has_a_value_where_it_is_claimed() {
    for form in &ALL {
        let value = form.value(&at(0.05));
        assert!(value.is_some_and(|v| v > 0.0), "{}: {value:?}", form.name);
    }
}

/// Worked by hand at solidity 0.05 (Ku 0.79724), R 0.1, Pe 1e4, Stk 0.5, G 0.01, Re 0.1, to the digits shown.
#[test]
fn values_worked_by_hand() {
    let groups = at(0.05);
    let value = |name: &str| {
        let form = ALL.iter().find(|form| form.name == name).unwrap();
        form.value(&groups).unwrap()
    };
    let rows = [
        ("diffusion, fan model", 2.7 * 2.15443e-3, 1e-7),
        ("diffusion, commercial media", 0.016007, 1e-5),
        ("diffusion, handbook", 2.0 * 2.15443e-3, 1e-7),
        ("interception, small particles", 0.010833, 1e-6),
        ("interception, power of 1 + R", 0.011145, 1e-6),
        ("impaction, power 3/2", 0.011809, 1e-6),
        ("settling across the flow, square", 1e-4, 1e-12),
        // (0.5/(0.5 + 1.53 + 0.52960 + 0.08854))^2 + 0.2/1.5
        ("interception and impaction, Reynolds number below 500", 0.168981, 2e-4),
    ];
    for (name, expected, tolerance) in rows {
        let got = value(name);
        assert!((got - expected).abs() <= tolerance, "{name}: got {got}, expected {expected}");
    }
}

/// Interstitial forms clear the air that the penetration law with 1/(1 - alpha) clears.
#[test]
fn interstitial_forms_are_brought_to_the_cell() {
    let groups = at(0.1);
    let form = ALL.iter().find(|form| form.name == "diffusion, fitted").unwrap();
    let x = 0.9 / crate::cell::kuwabara_factor(0.1);
    let by_hand = 1.6 * x.cbrt() * (1e4_f64 / 0.9).powf(-2.0 / 3.0) / 0.9;
    assert!((form.value(&groups).unwrap() / by_hand - 1.0).abs() < 1e-12);
}

#[test]
fn a_group_that_is_missing_is_no_value_and_outside() {
    let still = CellGroups::new(Solidity::new(0.05).unwrap(), 0.0).with_interception(0.1);
    for form in &ALL {
        let free = form.term == Term::Interception;
        assert_eq!(form.value(&still).is_some(), free, "{}", form.name);
        assert_eq!(form.holds(&still), free, "{}", form.name);
    }
    let dense = CellGroups::new(Solidity::new(0.4).unwrap(), 0.0).with_interception(0.1);
    assert!(ALL.iter().all(|form| !form.holds(&dense)));
}
