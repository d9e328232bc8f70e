//! Keys of what is to be decided: targets, how many layers, how it is worn, how many draws.

use moteweir_units::text::Dimension as D;

use super::super::key::{Accepts, Key, Limits, Section};
use super::{FLOW, NAME, PRESSURE, VELOCITY};

/// What is possible of a leak's length and depth.
const EDGE: Limits = Limits::new(D::Length, "0.01 mm", "2 m");
/// What is possible of the gap of a leak.
pub(in super::super) const GAP: Limits = Limits::new(D::Length, "1 um", "50 mm");
const FRACTION: Limits = Limits::new(D::Fraction, "0 %", "100 %");

const SHAPES: &[&str] = &["hole", "slit"];
const LAYERS: &str = "a material's name or { of = \"needled felt\", times = 3 }, or a list of such";

section!(Target, "[[target]]", "what a stack has to reach.", {
    STACK = Key::new("stack", Accepts::Texts, "The stacks it is about; all if absent.", "stack = \"felt\"");
    EFFICIENCY_AT_LEAST = Key::new(
        "efficiency_at_least",
        Accepts::Quantity(FRACTION),
        "Share of the particles that has to be stopped.",
        "efficiency_at_least = \"95 %\"",
    );
    AT = Key::new(
        "at",
        Accepts::Text,
        "Which particles: \"worst\", a size, the name of an aerosol or of a channel.",
        "at = \"0.3 um\"",
    )
    .or("worst");
    PRESSURE_DROP_AT_MOST = Key::new(
        "pressure_drop_at_most",
        Accepts::Quantity(PRESSURE),
        "Pressure drop that must not be passed, instead of an efficiency.",
        "pressure_drop_at_most = \"35 mmH2O\"",
    );
    FACE_VELOCITY = Key::new(
        "face_velocity",
        Accepts::Quantity(VELOCITY),
        "Face velocity at which it has to hold; that of [use], flow over area, if absent.",
        "face_velocity = \"5.3 cm/s\"",
    );
    FLOW = Key::new(
        "flow",
        Accepts::Quantity(FLOW),
        "Flow at which it has to hold, over the area of [use], instead of a face velocity.",
        "flow = \"85 L/min\"",
    );
});

section!(Question, "[question]", "which number of layers of a material to use.", {
    LAYERS_OF = Key::new("layers_of", NAME, "The material to be layered.", "layers_of = \"needled felt\"");
    BEFORE = Key::new(
        "before",
        Accepts::Spellings(LAYERS),
        "Fixed layers upstream of them.",
        "before = \"sheeting\"",
    );
    AFTER = Key::new(
        "after",
        Accepts::Spellings(LAYERS),
        "Fixed layers downstream of them.",
        "after = [\"sheeting\"]",
    );
    MOST = Key::new("most", Accepts::Count { lowest: 1, highest: 12 }, "Most layers to try.", "most = 12")
        .or("12");
    RESISTANCE_AT_MOST = Key::new(
        "resistance_at_most",
        Accepts::Pair(PRESSURE, FLOW),
        "Pressure drop at a flow that is still breathable.",
        "resistance_at_most = \"35 mmH2O at 85 L/min\"",
    );
    GAIN_AT_LEAST = Key::new(
        "gain_at_least",
        Accepts::Quantity(FRACTION),
        "What a layer more has to add to the efficiency at the worst size, in per cent of all particles.",
        "gain_at_least = \"10 %\"",
    )
    .or("5 %");
});

section!(Face, "[face]", "how the filter is worn.", {
    AREA = Key::new(
        "area",
        Accepts::Quantity(super::AREA),
        "Filtering area; that of [use] if absent.",
        "area = \"150 cm2\"",
    );
    SLIT = Key::new(
        "slit",
        Accepts::Table(&Slit::SECTION),
        "A leak as a gap along a part of the edge.",
        "slit = { length = \"60 mm\", gap = \"0.3 mm\", depth = \"10 mm\" }",
    );
    HOLE = Key::new(
        "hole",
        Accepts::Uncertain(GAP),
        "A leak as the diameter of one round hole.",
        "hole = \"3 mm\"",
    );
    POWER_LAW = Key::new(
        "power_law",
        Accepts::Table(&PowerLaw::SECTION),
        "A leak as measured: pressure drop as a power of the flow.",
        "power_law = { flow = \"10 L/min\", pressure_drop = \"50 Pa\", exponent = 1.7 }",
    );
    FIT_FACTOR = Key::new(
        "fit_factor",
        Accepts::Table(&FitFactor::SECTION),
        "A leak as the outcome of a fit test.",
        "fit_factor = { value = 20, flow = \"30 L/min\" }",
    );
    BREATHING = Key::new(
        "breathing",
        Accepts::Spellings(
            "\"rest\", \"light work\", \"moderate work\", \"heavy work\", \"very heavy work\", \"hard effort\", \
             \"very hard effort\", \"utmost effort\", or a table with a minute volume, a steady flow, or times and \
             flows; or a list of such",
        ),
        "How the wearer breathes.",
        "breathing = [\"rest\", \"heavy work\"]",
    )
    .or("light work");
});

section!(Slit, "slit", "a gap along a part of the edge.", {
    LENGTH = Key::new("length", Accepts::Uncertain(EDGE), "Length along the edge.", "length = \"60 mm\"");
    GAP = Key::new(
        "gap",
        Accepts::Uncertain(self::GAP),
        "Distance between filter and face.",
        "gap = \"0.3 mm\"",
    );
    DEPTH = Key::new("depth", Accepts::Uncertain(EDGE), "Way of the air through it.", "depth = \"10 mm\"");
});

section!(PowerLaw, "power_law", "a leak with a pressure drop that is a power of the flow.", {
    FLOW =
        Key::new("flow", Accepts::Uncertain(super::FLOW), "A flow through the leak.", "flow = \"10 L/min\"");
    PRESSURE_DROP = Key::new(
        "pressure_drop",
        Accepts::Uncertain(PRESSURE),
        "Pressure drop of that flow.",
        "pressure_drop = \"50 Pa\"",
    );
    EXPONENT = Key::new(
        "exponent",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "1", "2")),
        "Power of the flow: 1 where the leak is laminar, 2 where it is inertial.",
        "exponent = 1.7",
    );
});

section!(FitFactor, "fit_factor", "a leak from a fit test.", {
    VALUE = Key::new(
        "value",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "1", "1000000")),
        "Concentration outside over concentration inside.",
        "value = 20",
    );
    FLOW = Key::new(
        "flow",
        Accepts::Quantity(super::FLOW),
        "Flow of the test, best the mean flow of inhaling.",
        "flow = \"30 L/min\"",
    );
    FILTER_PENETRATION = Key::new(
        "filter_penetration",
        Accepts::Uncertain(FRACTION),
        "What the filter let through of the test's particles.",
        "filter_penetration = \"1 %\"",
    )
    .or("0 %");
    LIKE = Key::new(
        "like",
        Accepts::Choice(SHAPES),
        "What the leak is taken to look like at other flows.",
        "like = \"slit\"",
    )
    .or("hole");
    LENGTH =
        Key::new("length", Accepts::Quantity(EDGE), "Length of the slit.", "length = \"60 mm\"").or("60 mm");
    DEPTH = Key::new("depth", Accepts::Quantity(EDGE), "Depth of the slit.", "depth = \"10 mm\"").or("10 mm");
});

section!(Breathing, "breathing", "the flow of the wearer, where it is no level of work.", {
    MINUTE_VOLUME = Key::new(
        "minute_volume",
        Accepts::Quantity(super::FLOW),
        "Air breathed in a minute; inhaled as half a sine over half of the time.",
        "minute_volume = \"30 L/min\"",
    );
    STEADY = Key::new(
        "steady",
        Accepts::Quantity(super::FLOW),
        "A flow that does not change, as of a test bench.",
        "steady = \"85 L/min\"",
    );
    TIMES = Key::new(
        "times",
        Accepts::Quantities(Limits::new(D::Time, "0 s", "1 h")),
        "Times of a measured breath, rising.",
        "times = [\"0 s\", \"1 s\", \"2 s\", \"4 s\"]",
    );
    FLOWS = Key::new(
        "flows",
        Accepts::Quantities(Limits::new(D::Flow, "-1000 L/min", "1000 L/min")),
        "Flows at those times, inhaling above zero.",
        "flows = [\"0 L/min\", \"60 L/min\", \"0 L/min\", \"-40 L/min\"]",
    );
});

section!(Vary, "[vary]", "draws of what is uncertain.", {
    DRAWS = Key::new(
        "draws",
        Accepts::Count { lowest: 100, highest: 2_000_000_000 },
        "How many draws; as many as the tolerance needs if absent.",
        "draws = 100000",
    );
    SEED = Key::new(
        "seed",
        Accepts::Count { lowest: 0, highest: u32::MAX },
        "Where the random numbers begin: the same seed, the same answer.",
        "seed = 1",
    )
    .or("1");
    TOLERANCE = Key::new(
        "tolerance",
        Accepts::Quantity(Limits::new(D::Fraction, "0.01 %", "50 %")),
        "Twice the standard error of a quantile, as a share of it, at which there are draws enough.",
        "tolerance = \"2 %\"",
    )
    .or("2 %");
});
