//! Efficiencies with their intervals, in words that never claim more than was counted.

use moteweir_units::Time;
use moteweir_units::show::{self, Show};

/// More decimals of a percentage than these are never known.
const MOST_DECIMALS: usize = 6;

/// What is caught where this share gets through, in percent with decimals; never `100 %`, and `nothing` where as much or
/// more gets through than there was. `round` brings a number to a whole one.
fn percent(penetration: f64, decimals: usize, round: fn(f64) -> f64) -> String {
    if penetration >= 1.0 {
        return "nothing".to_owned();
    }
    let caught = |decimals: usize| {
        let unit = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
        // What is whole but for the last bits stays as it is.
        let hundredths = 100.0 * unit * (1.0 - penetration);
        let near = hundredths.round();
        if (hundredths - near).abs() < 1e-7 { near / unit } else { round(hundredths) / unit }
    };
    match (decimals..=MOST_DECIMALS).find(|&decimals| caught(decimals) < 100.0) {
        Some(decimals) => format!("{:.decimals$} %", caught(decimals)),
        None => format!("over 99.{:9<MOST_DECIMALS$} %", ""),
    }
}

/// What is caught where this share gets through, to two digits of what gets through.
pub(super) fn caught(penetration: f64) -> String {
    percent(penetration, decimals_of(penetration), f64::round)
}

/// What is caught at least, rounded down.
pub(super) fn at_least(penetration: f64) -> String {
    percent(penetration, decimals_of(penetration), f64::floor)
}

/// What is caught, with as many decimals as the interval of what gets through allows.
pub(super) fn estimate(penetration: f64, low: f64, high: Option<f64>) -> String {
    percent(penetration, decimals(low, high.unwrap_or(1.0)), f64::round)
}

/// An interval of what is caught, from one of what gets through: `97.0 to 98.8 %`, `at least 96.2 %`.
pub(super) fn between(low: f64, high: Option<f64>) -> String {
    let Some(high) = high else { return "anything".to_owned() };
    let decimals = decimals(low, high);
    match (low <= 0.0, high >= 1.0) {
        (true, true) => "anything".to_owned(),
        (true, false) => format!("at least {}", at_least(high)),
        (false, true) if low >= 1.0 => "nothing".to_owned(),
        (false, true) => format!("at most {}", percent(low, decimals, f64::ceil)),
        (false, false) => {
            let (least, most) = (percent(high, decimals, f64::round), percent(low, decimals, f64::round));
            format!("{} to {most}", least.trim_end_matches(" %"))
        }
    }
}

/// Decimals of a percentage that an interval of a share allows: its width in at least four units.
fn decimals(low: f64, high: f64) -> usize {
    first_at_least((0.6 - (100.0 * (high - low)).log10()).ceil())
}

/// Decimals of a percentage that show two digits of a share.
fn decimals_of(share: f64) -> usize {
    first_at_least(1.0 - (100.0 * share).log10().floor())
}

fn first_at_least(decimals: f64) -> usize {
    (0..MOST_DECIMALS).find(|&d| d as f64 >= decimals).unwrap_or(MOST_DECIMALS)
}

/// A duration that nobody sets to the second, rounded up to two digits.
pub(super) fn rounded_up(seconds: f64) -> String {
    if seconds <= 0.0 {
        return "0 s".to_owned();
    }
    if seconds < 1.0 {
        return Time::from_s(seconds).show(2);
    }
    let (value, unit) = match seconds {
        s if s < 120.0 => (s, "s"),
        s if s < 7200.0 => (s / 60.0, "min"),
        s if s < 172_800.0 => (s / 3600.0, "h"),
        s => return Time::from_s(s).show(2),
    };
    let step = 10_f64.powf((value.log10().floor() - 1.0).max(if unit == "s" { 0.0 } else { -1.0 }));
    // A value that is whole but for rounding stays as it is.
    let rounded = show::number(step * (value / step - 1e-9).ceil(), 2);
    format!("{} {unit}", rounded.strip_suffix(".0").unwrap_or(&rounded))
}

/// A level or a confidence as people write it: `95 %`.
pub(super) fn level(level: f64) -> String {
    let percent = (1e6 * level).round() / 1e4;
    format!("{percent} %")
}

/// With a capital letter at the beginning.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interval_says_which_side_it_has() {
        for (low, high, words) in [
            (0.012, Some(0.03), "97.0 to 98.8 %"),
            (0.0, Some(0.03799), "at least 96.2 %"),
            (0.0, Some(0.0333), "at least 96.6 %"),
            (0.4, Some(1.3), "at most 60 %"),
            (0.0, Some(2.0), "anything"),
            (0.0, None, "anything"),
            (1.1, Some(1.4), "nothing"),
            (0.5, Some(0.51), "49.0 to 50.0 %"),
            (0.2, Some(0.4), "60 to 80 %"),
        ] {
            assert_eq!(between(low, high), words, "{low} to {high:?}");
        }
    }

    #[test]
    fn nothing_is_caught_whole() {
        assert_eq!(caught(0.0), "over 99.999999 %");
        assert_eq!(caught(1.2), "nothing");
        assert_eq!(caught(0.05), "95.0 %");
        assert_eq!(estimate(0.001, 0.0, Some(0.5)), "99.9 %");
        assert_eq!(estimate(0.00815, 0.0037, Some(0.0155)), "99.2 %");
    }

    #[test]
    fn times_are_rounded_up() {
        for (seconds, words) in [
            (0.0, "0 s"),
            (0.022, "0.022 s"),
            (7.2, "8 s"),
            (30.0, "30 s"),
            (101.0, "110 s"),
            (125.0, "2.1 min"),
            (600.0, "10 min"),
            (8000.0, "2.3 h"),
        ] {
            assert_eq!(rounded_up(seconds), words, "{seconds}");
        }
    }
}
