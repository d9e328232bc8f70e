//! The joint model at its limits.

use super::{Assumptions, Bounds, Counted, CountingError, Fit, Method, Reading, State, ratio_interval};

fn reading(state: State, exposure: f64, time: f64, counts: u64) -> Reading {
    Reading { state, exposure, time: Some(time), counts }
}

fn bounds(readings: &[Reading]) -> Bounds {
    let fit = Fit::new(readings, 1, Assumptions::STATED).expect("good readings");
    fit.penetration(0, 0.95).expect("a specimen").bounds
}

/// One reading of each state: nothing but counting noise can be told, and the interval is the exact one.
#[test]
fn one_open_and_one_sample_are_exact() {
    let readings = [reading(State::Open, 10.0, 0.0, 1104), reading(State::Sample(0), 10.0, 1.0, 9)];
    let fit = Fit::new(&readings, 1, Assumptions::STATED).expect("good readings");
    let found = fit.penetration(0, 0.95).expect("a specimen");
    let exact =
        ratio_interval(Counted { counts: 9, exposure: 10.0 }, Counted { counts: 1104, exposure: 10.0 }, 0.95);
    assert_eq!(found.bounds, exact);
    assert_eq!(
        (found.method, found.covers_counting_only, found.effective_draws),
        (Method::Exact, true, None)
    );
}

/// Without dispersion and drift the draws come to the exact interval of all counts together.
#[test]
fn joint_model_tends_to_the_exact_interval() {
    let assumptions = Assumptions { dispersion_scale: 1e-6, drift_scale: 0.0 };
    for (open, sample) in [(600, 300), (50, 3), (5000, 1), (30, 60)] {
        let of = |state, counts| reading(state, 2.0, 0.0, counts);
        let readings = [
            of(State::Open, open),
            of(State::Open, open),
            of(State::Sample(0), sample),
            of(State::Sample(0), sample),
        ];
        let fit = Fit::new(&readings, 1, assumptions).expect("good readings");
        let found = fit.penetration(0, 0.95).expect("a specimen");
        assert_eq!(found.method, Method::Joint);
        let all = |counts| Counted { counts: 2 * counts, exposure: 4.0 };
        let exact = ratio_interval(all(sample), all(open), 0.95);
        for (got, end) in [(found.bounds.low, exact.low), (found.bounds.high, exact.high)] {
            let miss = (got / end).ln() / (exact.high / exact.low).ln();
            assert!(miss.abs() < 0.02, "{open} {sample}: {got} for {end}, {miss} of the width");
        }
    }
}

#[test]
fn nothing_counted_has_one_side_only() {
    let readings = [
        reading(State::Open, 1.0, 0.0, 500),
        reading(State::Sample(0), 1.0, 1.0, 0),
        reading(State::Sample(0), 1.0, 2.0, 0),
        reading(State::Open, 1.0, 3.0, 520),
    ];
    let fit = Fit::new(&readings, 1, Assumptions::STATED).expect("good readings");
    let found = fit.penetration(0, 0.95).expect("a specimen");
    assert!(found.nothing_counted && found.bounds.low == 0.0 && found.bounds.estimate == 0.0);
    // Garwood without dispersion: 3.69 over 1020.
    assert!(found.bounds.high > 3.69 / 1020.0 && found.bounds.high < 8.0 / 1020.0, "{found:?}");
}

/// Fewer counts through than clean air gives: the upper end never comes to nothing.
#[test]
fn background_is_taken_off_and_never_more() {
    let with = |through: u64| {
        bounds(&[
            reading(State::Open, 1.0, 0.0, 10_000),
            reading(State::Sample(0), 1.0, 1.0, through),
            reading(State::Open, 1.0, 2.0, 10_100),
            reading(State::Zero, 1.0, 3.0, 50),
        ])
    };
    let plain = with(250);
    assert!((plain.estimate - 200.0 / 10_000.0).abs() < 0.0005, "{plain:?}");
    for through in [0, 5, 30, 50] {
        let found = with(through);
        assert!(found.low == 0.0 && found.high > 1e-4 && found.high < 0.02, "{through}: {found:?}");
    }
}

#[test]
fn leak_is_taken_off() {
    let readings = [
        reading(State::Open, 1.0, 0.0, 10_000),
        reading(State::Sample(0), 1.0, 1.0, 300),
        reading(State::Open, 1.0, 2.0, 10_000),
        reading(State::Blocked, 1.0, 3.0, 100),
    ];
    let fit = Fit::new(&readings, 1, Assumptions::STATED).expect("good readings");
    let found = fit.penetration(0, 0.95).expect("a specimen").bounds;
    // 3 % together, 1 % past the holder: (0.03 - 0.01)/(1 - 0.01).
    assert!(
        (found.estimate - 0.02 / 0.99).abs() < 2e-4 && found.low < 0.018 && found.high > 0.022,
        "{found:?}"
    );
    let leak = fit.leak(0.95).expect("a blocked reading");
    assert!(leak.low < 0.01 && leak.high > 0.01 && (leak.estimate - 0.01).abs() < 3e-4, "{leak:?}");
}

/// A room that falls by a third between the open readings does not make the specimen in the middle better or worse.
#[test]
fn drift_between_open_readings_is_followed() {
    let level = |time: f64| 30_000.0 * (-0.4 * time / 4.0_f64).exp();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a positive count")]
    let count = |time: f64, share: f64| (level(time) * share).round() as u64;
    let readings: Vec<Reading> = (0..5_u8)
        .map(f64::from)
        .map(|time| {
            let open = (time / 2.0).fract() == 0.0;
            let (state, share) = if open { (State::Open, 1.0) } else { (State::Sample(0), 0.1) };
            reading(state, 1.0, time, count(time, share))
        })
        .collect();
    let fit = Fit::new(&readings, 1, Assumptions::STATED).expect("good readings");
    let drift = fit.drift(0.95).expect("open readings at three times");
    assert!((drift.estimate + 0.4).abs() < 0.03, "{drift:?}");
    let found = fit.penetration(0, 0.95).expect("a specimen").bounds;
    assert!((found.estimate - 0.1).abs() < 0.002, "{found:?}");
}

#[test]
fn more_readings_that_agree_narrow_the_interval() {
    let width = |each: u8| {
        let turns = (0..each).map(f64::from);
        let readings: Vec<Reading> = turns
            .flat_map(|turn| {
                let counts = if turn.rem_euclid(2.0) < 0.5 { [10_000, 1000] } else { [10_100, 990] };
                [
                    reading(State::Open, 1.0, 2.0 * turn, counts[0]),
                    reading(State::Sample(0), 1.0, 2.0 * turn + 1.0, counts[1]),
                ]
            })
            .collect();
        let found = bounds(&readings);
        (found.high / found.low).ln()
    };
    let widths = [width(2), width(3), width(5), width(20)];
    assert!(widths.windows(2).all(|pair| pair[1] < pair[0]), "{widths:?}");
}

/// Millions of counts, exposures from a microlitre to a cubic kilometre: finite intervals about the plain ratio.
#[test]
fn extremes_neither_overflow_nor_lose_digits() {
    for (exposure, open, sample) in
        [(1e-9, 4_000_000, 1_000_000), (1e12, 4_000_000_000, 4), (1.0, 1_000_000_000_000, 1_000_000)]
    {
        let of = |state, time, counts| reading(state, exposure, time, counts);
        let found = bounds(&[
            of(State::Open, 0.0, open),
            of(State::Sample(0), 1.0, sample),
            of(State::Sample(0), 2.0, sample),
            of(State::Open, 3.0, open),
        ]);
        let plain = sample as f64 / open as f64;
        assert!((found.estimate / plain - 1.0).abs() < 1e-3, "{found:?} for {plain}");
        assert!(
            found.low > 0.0 && found.low < plain && found.high > plain && found.high < 20.0 * plain,
            "{found:?}"
        );
    }
}

#[test]
fn refusals() {
    let open = reading(State::Open, 1.0, 0.0, 100);
    let fit = |readings: &[Reading]| Fit::new(readings, 2, Assumptions::STATED).err();
    assert_eq!(fit(&[]), Some(CountingError::NothingOpen));
    assert_eq!(fit(&[Reading { counts: 0, ..open }]), Some(CountingError::NothingOpen));
    assert_eq!(
        fit(&[open, Reading { exposure: 0.0, ..open }]),
        Some(CountingError::Exposure { reading: 1, value: 0.0 })
    );
    assert!(matches!(
        fit(&[Reading { time: Some(f64::NAN), ..open }]),
        Some(CountingError::Time { reading: 0, .. })
    ));
    let unknown = Some(CountingError::UnknownSpecimen { specimen: 2, specimens: 2 });
    assert_eq!(fit(&[open, Reading { state: State::Sample(2), ..open }]), unknown);
    let good = Fit::new(&[open, Reading { state: State::Sample(0), ..open }], 2, Assumptions::STATED)
        .expect("good readings");
    assert_eq!(good.penetration(1, 0.95).err(), Some(CountingError::NoSample { specimen: 1 }));
    assert_eq!(good.penetration(0, 1.0).err(), Some(CountingError::Level { value: 1.0 }));
    let wrong = Assumptions { dispersion_scale: -1.0, ..Assumptions::STATED };
    assert_eq!(Fit::new(&[open], 0, wrong).err(), Some(CountingError::Scale { value: -1.0 }));
}
