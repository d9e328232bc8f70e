//! The scenario that a newcomer starts from.

/// A commented scenario, invented and neutral, that checks without a fault.
pub const fn starter() -> &'static str {
    include_str!("../../data/starter.toml")
}
