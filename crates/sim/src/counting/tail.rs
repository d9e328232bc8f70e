//! Where the tail of a distribution has a given probability: a bracket, then Newton's method inside it.

/// Steps of the search for a bracket, each twice the last.
const MOST_WIDENINGS: u32 = 60;
/// Steps within the bracket: bisection alone needs about 60.
const MOST_STEPS: u32 = 200;

/// Logarithm of a tail probability and its derivative, both with respect to the logarithm of the variable (or of its
/// odds).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tail {
    pub(crate) ln_probability: f64,
    pub(crate) slope: f64,
}

/// The abscissa at which a rising `tail` has the logarithm `ln_probability`, from a start and a first step.
pub(crate) fn abscissa(ln_probability: f64, start: f64, step: f64, tail: impl Fn(f64) -> Tail) -> f64 {
    let (mut low, mut high) = bracket(ln_probability, start, step, &tail);
    let mut at = 0.5 * (low + high);
    for _ in 0..MOST_STEPS {
        let here = tail(at);
        let excess = here.ln_probability - ln_probability;
        if excess > 0.0 {
            high = at;
        } else {
            low = at;
        }
        let newton = at - excess / here.slope;
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        let moved = (next - at).abs();
        at = next;
        if moved <= 4.0 * f64::EPSILON * at.abs().max(1e-3) {
            break;
        }
    }
    at
}

fn bracket(ln_probability: f64, start: f64, step: f64, tail: &impl Fn(f64) -> Tail) -> (f64, f64) {
    let below = |at: f64| tail(at).ln_probability < ln_probability;
    let (mut low, mut high) = (start, start);
    let mut width = step;
    if below(start) {
        for _ in 0..MOST_WIDENINGS {
            high += width;
            if !below(high) {
                break;
            }
            low = high;
            width *= 2.0;
        }
    } else {
        for _ in 0..MOST_WIDENINGS {
            low -= width;
            if below(low) {
                break;
            }
            high = low;
            width *= 2.0;
        }
    }
    (low, high)
}
