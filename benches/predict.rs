//! How long does a prediction of the demo take, from the text on (aim: under 50 ms), and how much of it is reading?

use moteweir::{Case, predict};
use moteweir_benches::demo;

fn main() {
    divan::main();
}

fn case() -> Case {
    demo()
}

/// Text to checked case.
#[divan::bench]
fn read() -> Case {
    case()
}

/// Text to prediction.
#[divan::bench]
fn read_and_predict() -> moteweir::report::Prediction {
    predict::predict(&case()).expect("the demo can be predicted")
}
