//! Products, quotients and powers of unit symbols: `g/m2`, `Pa·s/m`, `m^3 h^-1`, `cm³/(cm² s)`.

use super::symbol::{self, Symbol};
use super::vector::{DIMENSIONLESS, Vector};

/// A unit: its size in SI is `times / per * 10^ten`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unit {
    pub(super) vector: Vector,
    pub(super) times: f64,
    pub(super) per: f64,
    pub(super) ten: i32,
}

/// What in an expression could not be read.
#[derive(Debug)]
pub(super) struct UnitFault<'a> {
    /// The part, as written.
    pub(super) part: &'a str,
    /// Byte offset of the part in the expression.
    pub(super) at: usize,
    /// Whether it is at least a word, and so may be a misspelt unit.
    pub(super) is_word: bool,
}

/// No unit of the trade has a power beyond this.
const LARGEST_POWER: i32 = 9;

/// Reads a whole expression, which has no white space at its ends.
pub(super) fn parse(text: &str) -> Result<Unit, UnitFault<'_>> {
    let mut reader = Reader { text, at: 0 };
    let mut unit = Unit { vector: DIMENSIONLESS, times: 1.0, per: 1.0, ten: 0 };
    let mut group = 1; // the sign of the powers inside the open bracket
    let mut open = false;
    let mut sign = 1;
    while !reader.rest().is_empty() {
        if reader.skip('/') || reader.skip_word("per") {
            sign = -1;
        } else if reader.skip('.') || reader.skip('*') || reader.skip('·') || reader.skip('\u{22c5}') {
            sign = 1;
        }
        reader.skip_white();
        if !open && reader.skip('(') {
            (open, group, sign) = (true, sign, 1);
            reader.skip_white();
        }
        let (symbol, power) = reader.factor()?;
        if let Some(symbol) = symbol {
            unit.apply(symbol, power * sign * group);
        }
        sign = 1;
        reader.skip_white();
        if open && reader.skip(')') {
            (open, group) = (false, 1);
            reader.skip_white();
        }
    }
    if open { Err(reader.fault(false)) } else { Ok(unit) }
}

impl Unit {
    fn apply(&mut self, symbol: &Symbol, power: i32) {
        self.vector = self.vector.times(symbol.vector, power);
        self.ten = self.ten.saturating_add(symbol.ten.saturating_mul(power));
        for _ in 0..power.unsigned_abs() {
            if power > 0 {
                self.times *= symbol.times;
                self.per *= symbol.per;
            } else {
                self.times *= symbol.per;
                self.per *= symbol.times;
            }
        }
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip_white(&mut self) {
        self.at = self.text.len() - self.rest().trim_start().len();
    }

    fn skip(&mut self, wanted: char) -> bool {
        let found = self.rest().starts_with(wanted);
        if found {
            self.at += wanted.len_utf8();
        }
        found
    }

    fn skip_word(&mut self, wanted: &str) -> bool {
        let found = word(self.rest()) == wanted;
        if found {
            self.at += wanted.len();
        }
        found
    }

    /// A symbol with its power, or the `1` of `1/cm`.
    fn factor(&mut self) -> Result<(Option<&'static Symbol>, i32), UnitFault<'a>> {
        if let Some((symbol, length)) = water_column(self.rest()) {
            self.at += length;
            return Ok((Some(symbol), 1));
        }
        if self.rest().strip_prefix('1').is_some_and(|after| after.trim_start().starts_with('/')) {
            self.at += 1;
            return Ok((None, 1));
        }
        let name = word(self.rest());
        let Some(symbol) = symbol::find(name) else { return Err(self.fault(true)) };
        let start = self.at;
        self.at += name.len();
        match self.power() {
            Some(power) => Ok((Some(symbol), power)),
            None => Err(UnitFault { part: &self.text[start..], at: start, is_word: false }),
        }
    }

    /// The power behind a symbol (`2`, `^2`, `^-1`, `-1`, `²`); none is 1, too large a one is `None`.
    fn power(&mut self) -> Option<i32> {
        let rest = self.rest();
        let after_mark = rest.strip_prefix('^').unwrap_or(rest);
        let mut power = 0_i32;
        let mut negative = false;
        let mut digits = 0;
        let mut length = rest.len() - after_mark.len();
        for (index, c) in after_mark.chars().enumerate() {
            if index == 0 && matches!(c, '-' | '\u{2212}' | '\u{207b}') {
                negative = true;
            } else if let Some(digit) = digit(c) {
                power = (power * 10 + digit).min(LARGEST_POWER + 1);
                digits += 1;
            } else {
                break;
            }
            length += c.len_utf8();
        }
        if digits == 0 {
            return (length == 0).then_some(1);
        }
        self.at += length;
        (power <= LARGEST_POWER).then_some(if negative { -power } else { power })
    }

    fn fault(&self, in_place: bool) -> UnitFault<'a> {
        let name = word(self.rest());
        if in_place && !name.is_empty() {
            UnitFault { part: name, at: self.at, is_word: true }
        } else if self.rest().is_empty() {
            UnitFault { part: self.text, at: 0, is_word: false }
        } else {
            UnitFault { part: self.rest(), at: self.at, is_word: false }
        }
    }
}

/// The letters in front of `text`.
fn word(text: &str) -> &str {
    let end = text
        .find(|c: char| !(c.is_alphabetic() || matches!(c, '°' | '%' | '\u{2103}')))
        .unwrap_or(text.len());
    &text[..end]
}

/// An ordinary or a superscript digit.
fn digit(c: char) -> Option<i32> {
    const SUPERSCRIPTS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let value = c.to_digit(10).and_then(|digit| i32::try_from(digit).ok());
    value.or_else(|| {
        SUPERSCRIPTS.iter().position(|&known| known == c).and_then(|digit| i32::try_from(digit).ok())
    })
}

/// A column of water, whose name holds a digit and often a space: `mmH2O`, `in H2O`, `mm H₂O`.
fn water_column(text: &str) -> Option<(&'static Symbol, usize)> {
    ["mm", "cm", "in"].into_iter().find_map(|length| {
        let after = text.strip_prefix(length)?.trim_start();
        let left = after.strip_prefix("H2O").or_else(|| after.strip_prefix("H\u{2082}O"))?;
        Some((symbol::find(&format!("{length}H2O"))?, text.len() - left.len()))
    })
}
