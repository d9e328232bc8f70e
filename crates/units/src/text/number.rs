//! The number at the front of a text.

use std::ops::Range;

use super::TextErrorKind;

/// A decimal number as written, kept as text so that the unit's power of ten joins it before it is rounded.
#[derive(Clone, Copy, Debug)]
pub(super) struct Number<'a> {
    /// The number as written, sign and exponent included.
    pub(super) text: &'a str,
    digits: &'a str,
    negative: bool,
    exponent: i32,
}

impl Number<'_> {
    /// The number times ten to the power `ten`, rounded once; infinite where it is too large.
    pub(super) fn times_ten_to(&self, ten: i32) -> f64 {
        let exponent = self.exponent.saturating_add(ten);
        let size = format!("{}e{exponent}", self.digits).parse().unwrap_or(f64::NAN);
        if self.negative { -size } else { size }
    }
}

/// A fault at the front of a text.
pub(super) struct NumberFault {
    pub(super) kind: TextErrorKind,
    pub(super) span: Range<usize>,
}

/// Splits `text`, which has no white space at its ends, into a number and what follows it.
pub(super) fn split(text: &str) -> Result<(Number<'_>, &str), NumberFault> {
    let unsigned = text.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(text);
    let start = text.len() - unsigned.len();
    let length = unsigned.find(|c: char| !matches!(c, '0'..='9' | '.' | ',')).unwrap_or(unsigned.len());
    let digits = &unsigned[..length];
    if digits.contains(',') && digits.contains(|c: char| c.is_ascii_digit()) {
        let write =
            without_comma(digits).into_iter().map(|number| text.replacen(digits, &number, 1)).collect();
        let kind = TextErrorKind::DecimalComma { written: text.to_owned(), write };
        return Err(NumberFault { kind, span: start..start + length });
    }
    if !digits.contains(|c: char| c.is_ascii_digit()) || digits.matches('.').count() > 1 {
        let end = text.find(char::is_whitespace).unwrap_or(text.len());
        return Err(NumberFault { kind: TextErrorKind::NotANumber, span: 0..end });
    }
    let (exponent, exponent_length) = exponent(&unsigned[length..]);
    let end = start + length + exponent_length;
    let negative = start > 0 && !text.starts_with('+');
    Ok((Number { text: &text[..end], digits, negative, exponent }, &text[end..]))
}

/// The power of ten in front of `text` (`e-3`, `E6`) and its length; none gives 0 and 0, so that `3e` is 3 of `e`.
fn exponent(text: &str) -> (i32, usize) {
    let Some(signed) = text.strip_prefix(['e', 'E']) else { return (0, 0) };
    let unsigned = signed.strip_prefix(['+', '-']).unwrap_or(signed);
    let length = unsigned.find(|c: char| !c.is_ascii_digit()).unwrap_or(unsigned.len());
    if length == 0 {
        return (0, 0);
    }
    let size = unsigned[..length].parse::<i32>().unwrap_or(i32::MAX);
    (if signed.starts_with('-') { -size } else { size }, text.len() - unsigned.len() + length)
}

/// What digits with a comma may have meant: the decimal point first.
fn without_comma(digits: &str) -> Vec<String> {
    let plain = digits.replace(',', "");
    let (whole, decimals) = digits.rsplit_once(',').unwrap_or((digits, ""));
    if digits.matches(',').count() > 1 || decimals.contains('.') {
        return vec![plain];
    }
    let whole = whole.replace('.', "");
    let with_point = format!("{}.{decimals}", if whole.is_empty() { "0" } else { &whole });
    let thousands = decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    if thousands && !digits.contains('.') { vec![with_point, plain] } else { vec![with_point] }
}
