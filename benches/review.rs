//! How long does a review of the demo take (aim: under 2 s), and how much of it is drawing?

use divan::{Bencher, black_box};
use moteweir::predict;
use moteweir::report::Review;
use moteweir_benches::demo;
use moteweir_plot::review_figures;

/// Pixels across a PNG, as the program draws them.
const WIDTH: u32 = 1440;

fn main() {
    divan::main();
}

fn review() -> Review {
    predict::review(&demo()).expect("the demo can be reviewed")
}

/// Text to results: predictions and sweeps.
#[divan::bench(sample_count = 10)]
fn compute() -> Review {
    review()
}

/// Results to SVG, on one thread.
#[divan::bench(sample_count = 10)]
fn svg(bencher: Bencher<'_, '_>) {
    let review = review();
    bencher.bench_local(|| {
        let figures = review_figures(black_box(&review));
        figures.iter().map(|f| f.chart.to_svg().expect("it can be drawn").len()).sum::<usize>()
    });
}

/// Results to PNG, on one thread; the program spreads figures over the threads.
#[divan::bench(sample_count = 5)]
fn png(bencher: Bencher<'_, '_>) {
    let review = review();
    bencher.bench_local(|| {
        let figures = review_figures(black_box(&review));
        figures.iter().map(|f| f.chart.to_png(WIDTH).expect("it can be drawn").len()).sum::<usize>()
    });
}
