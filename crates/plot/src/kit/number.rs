//! Numbers as text: on ticks and in labels.

/// Exponent of ten in superscript, with a proper minus sign.
fn superscript(exponent: i32) -> String {
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    exponent
        .to_string()
        .chars()
        .map(|c| match c.to_digit(10) {
            Some(digit) => DIGITS[digit as usize],
            None => '⁻',
        })
        .collect()
}

/// `10⁻⁶` or `2×10⁻⁶`; nobody writes 1 or 10 as a power.
pub(super) fn power_text(mantissa: i32, exponent: i32) -> String {
    if exponent == 0 || exponent == 1 {
        return number_text(scaled(f64::from(mantissa), exponent));
    }
    let power = format!("10{}", superscript(exponent));
    if mantissa == 1 { power } else { format!("{mantissa}×{power}") }
}

/// `mantissa` times ten to the `exponent` without rounding slips: 3 and -1 give the double that is written 0.3.
pub(super) fn scaled(mantissa: f64, exponent: i32) -> f64 {
    if exponent >= 0 { mantissa * 10f64.powi(exponent) } else { mantissa / 10f64.powi(-exponent) }
}

/// Decade of a positive number: the exponent with which it would be written.
pub(super) fn decade(value: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "the decade of a finite double lies in -324..=308")]
    let guess = libm::floor(libm::log10(value)) as i32;
    // log10 of an exact power may fall a hair short of the whole number.
    if scaled(1.0, guess + 1) <= value { guess + 1 } else { guess }
}

/// A number to `digits` significant digits, with powers of ten outside 0.001 to 100 000: `0.0231`, `350`, `1.2×10⁻⁵`.
pub fn significant_text(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let places = digits.max(1) - 1;
    let scientific = format!("{value:.places$e}");
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let text = if (-3..5).contains(&exponent) {
        let decimals = usize::try_from(i32::try_from(places).unwrap_or(0) - exponent).unwrap_or(0);
        let rounded = scientific.parse::<f64>().unwrap_or(value);
        format!("{rounded:.decimals$}")
    } else {
        let factor = if mantissa == "1" { String::new() } else { format!("{mantissa}×") };
        format!("{factor}10{}", superscript(exponent))
    };
    text.replace('-', "−")
}

/// A number as short as it can be without losing digits that matter at six figures: `0.3`, `5.3`, `10`.
pub fn number_text(value: f64) -> String {
    let text = significant_text(value, 6);
    match text.split_once('×') {
        Some((mantissa, power)) => format!("{}×{power}", trimmed(mantissa)),
        None => trimmed(&text).to_owned(),
    }
}

fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

/// Efficiency in percent of a penetration, no finer than a model knows it: two digits of what gets through down to one
/// in a hundred, one digit beyond, and `over 99.99 %` from there on.
pub fn efficiency_text(penetration: f64) -> String {
    if !penetration.is_finite() {
        return "–".to_owned();
    }
    if penetration < HARDLY_ANY {
        return "over 99.99 %".to_owned();
    }
    let nines = -1 - decade(penetration);
    let decimals = usize::try_from(if penetration < FINE { nines - 1 } else { nines }).unwrap_or(0);
    let percent = format!("{:.decimals$} %", (1.0 - penetration) * 100.0);
    // More through than came: counts may say so.
    if percent == "-0 %" { "0 %".to_owned() } else { percent.replace('-', "−") }
}

/// Efficiencies in percent between two penetrations, the lower efficiency first: `52 to 71 %`.
pub fn efficiency_range_text(least_through: f64, most_through: f64) -> String {
    let (low, high) = (efficiency_text(most_through), efficiency_text(least_through));
    if low == high { low } else { format!("{} to {high}", low.trim_end_matches(" %")) }
}

/// Penetration below which one digit of it is all that is known.
const FINE: f64 = 1e-2;
/// Penetration below which nobody counts.
const HARDLY_ANY: f64 = 1e-4;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_a_person_would() {
        let cases = [
            (0.3, "0.3"),
            (5.3, "5.3"),
            (10.0, "10"),
            (0.0, "0"),
            (-2.5, "−2.5"),
            (1.2e-5, "1.2×10⁻⁵"),
            (350000.0, "3.5×10⁵"),
            (0.001, "0.001"),
            (99999.0, "99999"),
        ];
        for (value, text) in cases {
            assert_eq!(number_text(value), text, "{value}");
        }
    }

    #[test]
    fn significant_digits_are_kept_and_rounded_over_a_decade() {
        assert_eq!(significant_text(0.2134, 2), "0.21");
        assert_eq!(significant_text(9.96, 2), "10");
        assert_eq!(significant_text(123.4, 2), "120");
        assert_eq!(significant_text(1.0, 2), "1.0");
        assert_eq!(significant_text(1e-6, 1), "10⁻⁶");
        assert_eq!(significant_text(1e-6, 2), "1.0×10⁻⁶");
        assert_eq!(significant_text(f64::NAN, 2), "–");
    }

    #[test]
    fn efficiencies_are_no_finer_than_they_are_known() {
        assert_eq!(efficiency_text(0.34), "66 %");
        assert_eq!(efficiency_text(0.034), "96.6 %");
        assert_eq!(efficiency_text(0.0034), "99.7 %");
        assert_eq!(efficiency_text(0.0003), "99.97 %");
        assert_eq!(efficiency_text(8.3e-7), "over 99.99 %");
        assert_eq!(efficiency_text(1.0), "0 %");
        assert_eq!(efficiency_text(1.004), "0 %");
        assert_eq!(efficiency_text(1.02), "−2 %");
        assert_eq!(efficiency_text(0.0), "over 99.99 %");
        assert_eq!(efficiency_range_text(0.29, 0.48), "52 to 71 %");
        assert_eq!(efficiency_range_text(1e-9, 1e-6), "over 99.99 %");
    }

    #[test]
    fn a_decade_is_exact_at_powers_of_ten() {
        for exponent in -15..=15 {
            assert_eq!(decade(scaled(1.0, exponent)), exponent);
            assert_eq!(decade(scaled(9.99, exponent)), exponent);
        }
    }
}
