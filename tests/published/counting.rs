//! Intervals of counts against general-purpose libraries.

use moteweir_sim::counting::{
    Counted, binomial_interval, incomplete_beta, inverse_incomplete_beta, rate_interval, ratio_interval,
};
use moteweir_tests::{Table, Tally};

#[test]
fn exact_intervals() {
    let mut tally = Tally::of("exact intervals at 95 %");
    for row in Table::read("count_intervals.csv").rows() {
        let whole = |column: &str| row.text(column).parse::<u64>().expect("a whole number");
        let (first, second, exposures) = (whole("first"), whole("second"), row.number("exposures"));
        let got = match row.text("kind") {
            "binomial" => binomial_interval(first, second, 0.95),
            "rate" => rate_interval(Counted { counts: first, exposure: exposures }, 0.95),
            _ => ratio_interval(
                Counted { counts: first, exposure: 1.0 },
                Counted { counts: second, exposure: exposures },
                0.95,
            ),
        };
        tally.relative(format!("{}, low", row.place()), got.low, row.number("low"), 1e-11);
        tally.relative(format!("{}, high", row.place()), got.high, row.number("high"), 1e-11);
    }
    tally.close_all();
}

#[test]
fn incomplete_beta_forward_and_back() {
    let mut tally = Tally::of("incomplete beta function");
    for row in Table::read("incomplete_beta.csv").rows() {
        let (a, b, x) = (row.number("a"), row.number("b"), row.number("x"));
        let value = row.number("value");
        tally.relative(format!("I_{x}({a}, {b})"), incomplete_beta(a, b, x), value, 1e-11);
        // Near 1 the printed digits of the value leave x open.
        if value < 0.99 {
            tally.relative(format!("inverse at {value}"), inverse_incomplete_beta(a, b, value), x, 1e-9);
        }
    }
    tally.close_all();
}

/// Where the inverses of several libraries run for ever or miss by a thousandth.
#[test]
fn inverses_that_others_miss() {
    let mut tally = Tally::of("inverse incomplete beta function");
    // A whole shape has a finite sum, solved at 50 digits.
    tally.relative("(1, 1e9)", inverse_incomplete_beta(1.0, 1e9, 0.975), 3.68887944731e-9, 1e-11);
    tally.relative("(1e7, 3)", 1.0 - inverse_incomplete_beta(1e7, 3.0, 0.025), 7.224684335e-7, 1e-9);
    tally.relative("(3, 999998)", inverse_incomplete_beta(3.0, 999_998.0, 0.025), 6.1867255019064e-7, 1e-11);
    tally.within("(1e-3, 1e-3)", inverse_incomplete_beta(1e-3, 1e-3, 0.3), 1e-223..=1e-221);
    tally.close_all();
}
