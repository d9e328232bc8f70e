//! Keys of what was measured: a bench with a particle counter, and laboratories' curves.

use moteweir_units::text::Dimension as D;

use super::super::key::{Accepts, Key, Limits, Section};
use super::{DIAMETERS, FLOW, NAME, PARTICLE_SIZE, PRESSURE, VELOCITY};

/// What is possible of a relative standard uncertainty.
const UNCERTAINTY: Limits = Limits::new(D::Fraction, "0.01 %", "100 %");
const LAYERS: Accepts = Accepts::Count { lowest: 1, highest: 100 };

section!(Bench, "[bench]", "counts of the room's particles without and with a specimen.", {
    COUNTS = Key::new(
        "counts",
        Accepts::Text,
        "The file of counts, relative to the scenario.",
        "counts = \"counts.csv\"",
    );
    HOLE = Key::new(
        "hole",
        Accepts::Quantity(Limits::new(D::Length, "0.5 mm", "1 m")),
        "Diameter of the hole that the pump sucks through; with `pump`, the face velocity.",
        "hole = \"20 mm\"",
    );
    PUMP = Key::new(
        "pump",
        Accepts::Quantity(FLOW),
        "Flow of the counter's pump through the hole.",
        "pump = \"2.83 L/min\"",
    );
    DIAMETER = Key::new(
        "diameter",
        Accepts::Choice(DIAMETERS),
        "Which diameter the counter's sizes are.",
        "diameter = \"optical\"",
    )
    .or("optical");
    CHANNELS = Key::new(
        "channels",
        Accepts::Quantities(PARTICLE_SIZE),
        "Edges of the counter's channels, the smallest first; as in the counts if absent.",
        "channels = [\"0.3 um\", \"0.5 um\", \"1 um\"]",
    );
    LARGEST = Key::new(
        "largest",
        Accepts::Quantity(PARTICLE_SIZE),
        "Where a channel that counts everything above an edge ends.",
        "largest = \"10 um\"",
    )
    .or("10 um");
    SIZING = Key::new(
        "sizing",
        Accepts::Quantity(UNCERTAINTY),
        "Relative standard uncertainty of the counter's sizes, all off together.",
        "sizing = \"10 %\"",
    )
    .or("10 %");
    RESOLUTION = Key::new(
        "resolution",
        Accepts::Quantity(UNCERTAINTY),
        "Relative standard deviation of the sizes that an edge divides: how blurred it is.",
        "resolution = \"15 %\"",
    )
    .or("15 %");
    DEAD_TIME = Key::new(
        "dead_time",
        Accepts::Quantity(Limits::new(D::Time, "0.000001 ms", "100 ms")),
        "Time that the counter is blind after a particle; with it, particles counted as one are estimated.",
        "dead_time = \"0.02 ms\"",
    );
    MOST = Key::new(
        "most",
        Accepts::Quantity(Limits::new(D::Concentration, "0.0001 /cm3", "1e9 /cm3")),
        "Highest concentration that the counter counts well, instead of a dead time.",
        "most = \"70 /cm3\"",
    );
    SLOPE = Key::new(
        "slope",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "0", "8")),
        "How steeply the room's particles thin out: numbers in equal steps of ln d fall as d to this power. Away \
         from sources about 3 (Junge, from memory).",
        "slope = { about = 3, give_or_take = 0.5 }",
    )
    .or("3, give or take 1");
    RESISTANCE = Key::new(
        "resistance",
        Accepts::Table(&Resistance::SECTION),
        "Pressure drops and air permeabilities of specimens, beside those that a material states.",
        "[[bench.resistance]]",
    );
});

section!(Resistance, "[[bench.resistance]]", "a pressure drop or an air permeability of a specimen.", {
    SPECIMEN = Key::new("specimen", NAME, "The material or stack.", "specimen = \"felt\"");
    LAYERS = Key::new("layers", LAYERS, "How many times it lay on itself.", "layers = 4").or("1");
    PRESSURE_DROP = Key::new(
        "pressure_drop",
        Accepts::Pair(PRESSURE, VELOCITY),
        "Pressure drop of all layers at a face velocity.",
        "pressure_drop = \"24 Pa at 10 cm/s\"",
    );
    AIR_PERMEABILITY = Key::new(
        "air_permeability",
        Accepts::Pair(VELOCITY, PRESSURE),
        "Velocity through all layers at a pressure drop, instead.",
        "air_permeability = \"350 mm/s at 200 Pa\"",
    );
    UNCERTAINTY = Key::new(
        "uncertainty",
        Accepts::Quantity(UNCERTAINTY),
        "Relative standard uncertainty of the reading.",
        "uncertainty = \"5 %\"",
    )
    .or("5 %");
});

section!(Measured, "[[measured]]", "a curve that a laboratory measured, drawn over the model.", {
    FILE = Key::new(
        "file",
        Accepts::Text,
        "The file of the curve, relative to the scenario: comma-separated, with a heading. Penetrations: \
         `diameter_um`, `face_velocity_cm_per_s` and `penetration` or `efficiency` (0 to 1), with \
         `standard_uncertainty`; or counts: `upstream_counts`, `downstream_counts`, with `upstream_seconds`, \
         `downstream_seconds`, `correlation_ratio` (downstream over upstream of the empty rig), \
         `correlation_ratio_uncertainty`; nothing downstream is a limit. Flows: `face_velocity_cm_per_s` and \
         `pressure_drop_pa`, or `air_permeability_mm_per_s` and `pressure_drop_pa`.",
        "file = \"curve.csv\"",
    );
    SPECIMEN = Key::new("specimen", NAME, "The material or stack that was measured.", "specimen = \"felt\"");
    LAYERS = Key::new("layers", LAYERS, "How many times it lay on itself.", "layers = 1").or("1");
    SIDE = Key::new(
        "side",
        Accepts::Text,
        "Which side faced the particles, word for word, as in the counts of a bench; not said if absent.",
        "side = \"fuzzy\"",
    );
    TREATMENT = Key::new(
        "treatment",
        Accepts::Text,
        "What was done to it, in your own words, as in the counts of a bench. Discharged, or put into alcohol: \
         compared without its charge.",
        "treatment = \"discharged in alcohol\"",
    )
    .or("as received");
    AEROSOL = Key::new(
        "aerosol",
        Accepts::Text,
        "Of which particles, word for word. The name of an [[aerosol]]: a channel then stands for the mean size of \
         that aerosol in it, else for its geometric middle.",
        "aerosol = \"salt, neutralised\"",
    );
    DIAMETER = Key::new(
        "diameter",
        Accepts::Choice(DIAMETERS),
        "Which diameter the sizes are.",
        "diameter = \"mobility\"",
    )
    .or("mobility");
    SOURCE = Key::new(
        "source",
        Accepts::Text,
        "Where the numbers come from, word for word.",
        "source = \"report 12\"",
    );
    DATE = Key::new("date", Accepts::Text, "When it was measured, word for word.", "date = \"2026-03\"");
    INSTRUMENT = Key::new(
        "instrument",
        Accepts::Text,
        "With what, word for word.",
        "instrument = \"two counters, salt\"",
    );
    CONDITIONING = Key::new(
        "conditioning",
        Accepts::Text,
        "How the specimen was treated before, word for word.",
        "conditioning = \"24 h at 23 degC, 50 %\"",
    );
});
