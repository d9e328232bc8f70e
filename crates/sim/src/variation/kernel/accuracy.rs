//! How far draws by the kernel are from `moteweir_physics`, at most.

/// Share of its room above which a particle is said to fill the cell nearly.
pub const NEARLY_FULL: f64 = 0.9;

/// Most by which the exponent of a web's penetration law differs from that of `PreparedWeb`, relative to it, for
/// particles that take less than [`NEARLY_FULL`] of the room that the cell has for them.
///
/// Largest miss seen over 110 000 random webs and sizes 4.3e-5, half of them below 1e-9; asserted by the tests beside it.
pub const LARGEST_MISS: f64 = 1e-4;

/// The same for particles that take more room: there the compiled table has joints of its own, and misses fresh
/// trajectories by up to 2e-3 itself.
pub const LARGEST_MISS_IN_FULL_CELLS: f64 = 5e-4;

/// Most by which swept widths without charge differ, relative to them, on machines that cannot fuse a multiplication with an
/// addition.
///
/// Nearly all of it comes from the rows of impaction, which are in single precision: 16 of them, with weights whose
/// magnitudes sum to 1.6 at most, rounded 4 deep. Where inertia does not matter it is [`WITHOUT_FUSING_OR_INERTIA`].
/// Largest seen over random fibres, sizes, closures and directions of flow 1.3e-7 and 4e-16; asserted by the tests beside it.
pub const WITHOUT_FUSING: f64 = 4e-7;

/// The same for sizes that inertia does not matter to: a few units in the last place.
pub const WITHOUT_FUSING_OR_INERTIA: f64 = 1e-15;

/// Most that single precision adds to [`LARGEST_MISS`] where charge acts, derived from what it does to the law's table.
///
/// ```text
/// places    1e-6 of a coordinate in the steps of an axis, at most 25, times at most 0.3 a step      8e-6
/// cubics    64 nodes, numbers to 5, weights that sum to at most 1.25^3, 7 roundings of 6e-8 deep    4e-6
/// bound     h(q) to 1.5e-6, and 5 times that where alpha q^2 takes from it (solidity 0.6)           8e-6
/// ```
/// 2e-5, and half as much again for the rest: about ten numbers, each to 1e-6. Machines that cannot fuse a multiplication
/// with an addition stay within it too. Asserted by the tests beside it.
pub const LARGEST_MISS_BY_CHARGE: f64 = 3e-5;

/// Most by which the penetration of a woven cloth differs from that of `PreparedWeave`, as a share of all particles that
/// come to it.
///
/// Derived from what the lattice's cubics miss half-way between two nodes, where they are farthest from any: 0.08 for the
/// fibres of dense yarns, along their solidity, and 0.012 for hairs, in layers of the thickness for which it matters most.
/// Rarely is anything near: largest miss seen over 450 random cloths and 41 sizes 2.3e-3, at the steep rise of inertia; 99
/// in 100 miss by less than 5e-4, half of them by less than 1e-7. Asserted by the tests beside the lattice and the weave.
pub const CLOTHS_LARGEST_MISS: f64 = 0.1;

/// Most by which the penetration of a web differs from that of `PreparedWeb` in the solved cell, as a share of all
/// particles that come to it, for particles that take less than [`NEARLY_FULL`] of the room that the cell has for them.
/// Flows against gravity are asked of the physics itself.
///
/// Derived as [`CLOTHS_LARGEST_MISS`] is, for any thickness: 0.024. Largest miss seen over random webs and sizes 4.2e-3; half
/// of all miss by less than 1e-6, 99 in 100 by less than 1e-3. Asserted by the tests beside it.
pub const RESOLVED_LARGEST_MISS: f64 = 0.03;

/// The same for particles that take more room, and for spreads of fibres, of whose finest that holds: capture has a
/// kink where a particle fills its cell, which no cubic follows. Derived 0.033; random webs stay within 0.02.
pub const RESOLVED_LARGEST_MISS_IN_FULL_CELLS: f64 = 0.04;
