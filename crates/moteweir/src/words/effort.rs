//! How hard a pressure drop is to breathe against, in words.

/// What 42 CFR 84 allows a respirator while inhaling at 85 L/min: 35 mm of water \[Pa\].
pub(super) const RESPIRATOR_LIMIT_PA: f64 = 343.0;

/// How hard breathing is against a pressure drop \[Pa\] at the flow of use.
///
/// The limit is that of 42 CFR 84, inhalation at 85 L/min; the steps below it are common practice, no source.
pub const fn effort(pressure_drop_pa: f64) -> &'static str {
    match pressure_drop_pa {
        p if p < 30.0 => "hardly felt while breathing",
        p if p < 100.0 => "easy to breathe through",
        p if p < 200.0 => "felt with each breath",
        p if p <= RESPIRATOR_LIMIT_PA => {
            "tiring, though still under the 343 Pa that a respirator may have at 85 L/min"
        }
        p if p <= 2.0 * RESPIRATOR_LIMIT_PA => {
            "too much for a mask: a respirator may have 343 Pa at 85 L/min; take fewer layers or more area"
        }
        _ => {
            "no breathing through this: a respirator may have 343 Pa at 85 L/min; take another material or far more area"
        }
    }
}
