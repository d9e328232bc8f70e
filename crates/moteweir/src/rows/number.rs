//! Numbers in the fields of a row.

/// What a field says about a number.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Field {
    /// Nothing.
    Empty,
    /// A finite number.
    Number(f64),
    /// Something else, with what was probably meant.
    Other(Option<String>),
}

/// Reads a field; a comma is a decimal point where `decimal_comma` says so.
pub(crate) fn number(field: &str, decimal_comma: bool) -> Field {
    if field.is_empty() {
        return Field::Empty;
    }
    let is_plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E');
    let value = if field.chars().all(is_plain) {
        field.parse().ok()
    } else if decimal_comma && field.matches(',').count() == 1 && !field.contains('.') {
        let pointed = field.replace(',', ".");
        pointed.chars().all(is_plain).then(|| pointed.parse().ok()).flatten()
    } else {
        None
    };
    match value.filter(|v: &f64| v.is_finite()) {
        Some(value) => Field::Number(value),
        None => Field::Other(meant(field)),
    }
}

/// The number that was probably meant by a field that is none.
fn meant(field: &str) -> Option<String> {
    let start = field.trim_start_matches(['>', '<', '~', '=', ' ']);
    let end =
        start.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | ' '))).unwrap_or(start.len());
    let (number, unit) = start.split_at(end);
    let number = number.trim();
    let is_unit = !unit.contains(|c: char| c.is_ascii_digit());
    if number.is_empty() || !is_unit || (number == field && !number.contains([',', ' '])) {
        return None;
    }
    let is_number = |text: &str| text.parse::<f64>().is_ok();
    let bare = number.replace([',', ' '], "");
    match number.matches(',').count() {
        1 if !number.contains([' ', '.']) => {
            let pointed = number.replace(',', ".");
            is_number(&pointed).then(|| format!("{pointed} or {bare}"))
        }
        _ if !is_number(&bare) => None,
        _ if unit.trim().is_empty() || bare != number => Some(bare),
        _ => Some(format!("{bare}, the unit being in the column's name")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_with_points_and_commas() {
        assert_eq!(number("1104", false), Field::Number(1104.0));
        assert_eq!(number("0.3", true), Field::Number(0.3));
        assert_eq!(number("0,3", true), Field::Number(0.3));
        assert_eq!(number("1e3", false), Field::Number(1000.0));
        assert_eq!(number("-5", false), Field::Number(-5.0));
        assert_eq!(number("", false), Field::Empty);
    }

    #[test]
    fn what_is_no_number_says_what_was_probably_meant() {
        let other = |meant: Option<&str>| Field::Other(meant.map(str::to_owned));
        for (field, comma, meant) in [
            ("many", false, None),
            ("nan", false, None),
            ("1e999", false, None),
            ("inf", true, None),
            ("1.2.3", false, None),
            ("0,3", false, Some("0.3 or 03")),
            ("1,104", false, Some("1.104 or 1104")),
            ("1 104", false, Some("1104")),
            ("1,104,000", true, Some("1104000")),
            ("0.3 um", false, Some("0.3, the unit being in the column's name")),
            (">0.3", false, Some("0.3")),
        ] {
            assert_eq!(number(field, comma), other(meant), "{field}");
        }
    }
}
