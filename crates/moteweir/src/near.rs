//! The name that was probably meant.

/// How alike two names must be to be worth a suggestion (Jaro-Winkler similarity, 0 to 1).
const ALIKE: f64 = 0.8;
/// The longest name that is compared; beyond it is no slip of the finger.
const LONGEST: usize = 80;

/// The candidate most like `name`, if any is like it; case does not count.
pub(crate) fn nearest<'a>(name: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    if name.len() > LONGEST {
        return None;
    }
    let name = name.trim().to_lowercase();
    candidates
        .map(|candidate| (strsim::jaro_winkler(&name, &candidate.to_lowercase()), candidate))
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .max_by(|(a, _), (b, _)| a.total_cmp(b))
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_found_and_a_stranger_is_not() {
        let keys = ["thickness", "basis_weight", "fibre_diameter"];
        assert_eq!(nearest("basis_wieght", keys.into_iter()), Some("basis_weight"));
        assert_eq!(nearest("fiber_diameter", keys.into_iter()), Some("fibre_diameter"));
        assert_eq!(nearest("colour", keys.into_iter()), None);
        assert_eq!(nearest(&"thickness".repeat(100), keys.into_iter()), None);
    }
}
