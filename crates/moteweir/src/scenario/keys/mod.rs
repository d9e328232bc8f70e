//! The table of keys: every key of a scenario with what it takes, what is possible, its default and a line of help.
//!
//! Limits are what is physically possible or of any use, with room to spare; whether a relation holds at a value
//! is for the models to say. Defaults stand here and nowhere else.

use moteweir_units::text::Dimension as D;

use super::key::{Accepts, Key, Limits, Section};

/// What is possible of a thickness.
pub(super) const THICKNESS_LIMITS: Limits = Limits::new(D::Length, "0.05 um", "300 mm");
/// What is possible of a fibre diameter.
pub(super) const FIBRE_LIMITS: Limits = Limits::new(D::Length, "5 nm", "2 mm");
/// What is possible of a basis weight.
pub(crate) const BASIS_WEIGHT_LIMITS: Limits = Limits::new(D::BasisWeight, "0.001 g/m2", "20 kg/m2");
/// What is possible of a particle's charge.
pub(super) const CHARGE_LIMITS: Limits = Limits::new(D::Charge, "-1000 e", "1000 e");

const WEIGHTINGS: &[&str] = &["number", "area", "mass"];
const DIAMETERS: &[&str] = &["mobility", "aerodynamic", "optical"];
const STRUCTURES: &[&str] = &["web", "weave", "knit"];
const CLOSURES: &[&str] = &["lee-liu", "kuwabara-cell", "resolved"];
const DIRECTIONS: &[&str] = &["horizontal", "down", "up"];
/// What is possible of a particle's diameter.
pub(crate) const PARTICLE_SIZE: Limits = Limits::new(D::Length, "1 nm", "100 um");
const VELOCITY: Limits = Limits::new(D::Velocity, "0.001 cm/s", "20 m/s");
const PRESSURE: Limits = Limits::new(D::Pressure, "0.0001 Pa", "100 kPa");
const FLOW: Limits = Limits::new(D::Flow, "0.001 L/min", "100000 m3/h");
const AREA: Limits = Limits::new(D::Area, "0.01 cm2", "10000 m2");
const SHEET_SIDE: Limits = Limits::new(D::Length, "1 mm", "100 m");
const THREADS: Limits = Limits::new(D::ThreadCount, "0.5 /cm", "500 /cm");
const SHARE: Accepts = Accepts::Number { lowest: 0.0, highest: 1e9 };
const NAME: Accepts = Accepts::Text;

/// A section as a type that its keys hang on: `keys::Air::TEMPERATURE`, `keys::Air::SECTION`.
macro_rules! section {
    ($name:ident, $called:literal, $doc:literal, { $($key:ident = $value:expr;)+ }) => {
        #[doc = concat!("Keys of `", $called, "`: ", $doc)]
        #[derive(Debug)]
        pub struct $name;

        impl $name {
            $(
                #[doc = concat!("A key of `", $called, "`; its `doc` says what it states.")]
                pub const $key: Key = $value;
            )+
            /// The section with all its keys.
            pub const SECTION: Section = Section { name: $called, doc: $doc, keys: &[$(&Self::$key),+] };
        }
    };
}

mod decision;
mod doubt;
mod laboratory;

pub use decision::{Breathing, Face, FitFactor, PowerLaw, Question, Slit, Target, Vary};
pub use doubt::{Unsure, Variation, Varies};
pub use laboratory::{Bench, Measured, Resistance};

section!(Root, "the scenario", "what the file is about.", {
    FORMAT =
        Key::new("format", Accepts::Count { lowest: 1, highest: 1 }, "Version of this format.", "format = 1")
            .or("1");
    TITLE = Key::new("title", Accepts::Text, "What the file is about.", "title = \"Smoke-season insert\"")
        .or("untitled");
    AIR = Key::new("air", Accepts::Table(&Air::SECTION), "The air around and in the filter.", "[air]");
    PARTICLES = Key::new(
        "particles",
        Accepts::Table(&Particles::SECTION),
        "The particles that curves are computed for.",
        "[particles]",
    );
    MODEL =
        Key::new("model", Accepts::Table(&Model::SECTION), "Which sets of expressions to use.", "[model]");
    MATERIAL = Key::new(
        "material",
        Accepts::Table(&Material::SECTION),
        "A material that layers are made of.",
        "[[material]]",
    );
    STACK = Key::new("stack", Accepts::Table(&Stack::SECTION), "Layers one behind the other.", "[[stack]]");
    USE = Key::new("use", Accepts::Table(&Use::SECTION), "Velocities, flow and area of use.", "[use]");
    AEROSOL = Key::new(
        "aerosol",
        Accepts::Table(&Aerosol::SECTION),
        "An aerosol to average efficiency over.",
        "[[aerosol]]",
    );
    CHANNEL = Key::new(
        "channel",
        Accepts::Table(&Channel::SECTION),
        "A counter channel to average efficiency over.",
        "[[channel]]",
    );
    TARGET = Key::new(
        "target",
        Accepts::Table(&Target::SECTION),
        "What a stack has to reach; how probable that is, is computed.",
        "[[target]]",
    );
    QUESTION = Key::new(
        "question",
        Accepts::Table(&Question::SECTION),
        "Which number of layers of a material to use.",
        "[question]",
    );
    FACE = Key::new(
        "face",
        Accepts::Table(&Face::SECTION),
        "How the filter is worn: the leak at its edge and the breathing.",
        "[face]",
    );
    VARY = Key::new(
        "vary",
        Accepts::Table(&Vary::SECTION),
        "How many draws are made of what is uncertain.",
        "[vary]",
    );
    MEASURED = Key::new(
        "measured",
        Accepts::Table(&Measured::SECTION),
        "A curve that a laboratory measured, drawn over the model.",
        "[[measured]]",
    );
    BENCH = Key::new(
        "bench",
        Accepts::Table(&Bench::SECTION),
        "Counts of the room's particles without and with a specimen.",
        "[bench]",
    );
});

section!(Air, "[air]", "the air around and in the filter.", {
    TEMPERATURE = Key::new(
        "temperature",
        Accepts::Quantity(Limits::new(D::Temperature, "-60 degC", "150 degC")),
        "Temperature of the air.",
        "temperature = \"22 degC\"",
    )
    .or("22 degC");
    PRESSURE = Key::new(
        "pressure",
        Accepts::Quantity(Limits::new(D::Pressure, "10 kPa", "500 kPa")),
        "Absolute pressure of the air.",
        "pressure = \"101325 Pa\"",
    )
    .or("101325 Pa");
    RELATIVE_HUMIDITY = Key::new(
        "relative_humidity",
        Accepts::Quantity(Limits::new(D::Fraction, "0 %", "100 %")),
        "Relative humidity of the air.",
        "relative_humidity = \"45 %\"",
    )
    .or("45 %");
});

section!(Particles, "[particles]", "the particles that curves are computed for.", {
    SMALLEST = Key::new(
        "smallest",
        Accepts::Quantity(PARTICLE_SIZE),
        "Smallest mobility diameter.",
        "smallest = \"0.01 um\"",
    )
    .or("0.01 um");
    LARGEST = Key::new(
        "largest",
        Accepts::Quantity(PARTICLE_SIZE),
        "Largest mobility diameter.",
        "largest = \"10 um\"",
    )
    .or("10 um");
    POINTS = Key::new(
        "points",
        Accepts::Count { lowest: 2, highest: 2001 },
        "How many sizes, spaced evenly in the logarithm, both ends included.",
        "points = 121",
    )
    .or("121");
    DENSITY = Key::new(
        "density",
        Accepts::Quantity(Limits::new(D::Density, "10 kg/m3", "23000 kg/m3")),
        "Density of the particles.",
        "density = \"1000 kg/m3\"",
    )
    .or("1000 kg/m3");
    CHARGE = Key::new(
        "charge",
        Accepts::Spellings("\"none\", \"boltzmann\" or a number of elementary charges"),
        "Charge on a particle; boltzmann is the equilibrium of a neutralised aerosol.",
        "charge = \"none\"",
    )
    .or("none");
    RELATIVE_PERMITTIVITY = Key::new(
        "relative_permittivity",
        Accepts::Number { lowest: 1.5, highest: 100.0 },
        "Relative permittivity of the particles: oils and smoke 2 to 4, table salt about 6, water 80 (from memory). Charged fibres draw a higher one more strongly.",
        "relative_permittivity = 3",
    )
    .or("3");
});

section!(Model, "[model]", "which sets of expressions to use.", {
    CLOSURE = Key::new(
        "closure",
        Accepts::Choice(CLOSURES),
        "The named set that gives the headline: fitted to real filters, an even array in closed forms, or the same array as solved.",
        "closure = \"lee-liu\"",
    )
    .or("lee-liu");
    COMPARE = Key::new(
        "compare",
        Accepts::Choices(CLOSURES),
        "The sets whose spread makes the band; the headline's is always among them.",
        "compare = [\"lee-liu\", \"resolved\"]",
    )
    .or("lee-liu, resolved");
});

section!(Material, "[[material]]", "a material that layers are made of.", {
    NAME = Key::new(
        "name",
        NAME,
        "Name by which layers call it; the class's name if absent.",
        "name = \"needled felt\"",
    );
    CLASS = Key::new(
        "class",
        Accepts::Text,
        "A class of the shelf, which fills in what is not stated.",
        "class = \"needled felt\"",
    );
    STRUCTURE = Key::new(
        "structure",
        Accepts::Choice(STRUCTURES),
        "How the fibres are arranged; given by the class if absent.",
        "structure = \"web\"",
    );
    NOTE = Key::new(
        "note",
        Accepts::Text,
        "Lot, supplier, side, treatment: carried to the report word for word.",
        "note = \"lot 12, washed once\"",
    );
    SWATCH = Key::new(
        "swatch",
        Accepts::Table(&Swatch::SECTION),
        "A weighed piece, instead of `basis_weight`.",
        "swatch = { mass = \"1.80 g\", width = \"10 cm\", length = \"15 cm\", sheets = 1 }",
    );
    BASIS_WEIGHT = Key::new(
        "basis_weight",
        Accepts::Uncertain(BASIS_WEIGHT_LIMITS),
        "Mass over area of one sheet.",
        "basis_weight = \"120 g/m2\"",
    );
    THICKNESS = Key::new(
        "thickness",
        Accepts::Spellings(
            "a length as a text with a unit, { sheets = 4, value = \"4.4 mm\" }, or what is known of it",
        ),
        "Thickness of one sheet as layered in use, not squeezed (caliper pressure moves it).",
        "thickness = \"1.1 mm\"",
    );
    SOLIDITY = Key::new(
        "solidity",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "0.0001", "0.9")),
        "Share of the volume that is fibre (webs).",
        "solidity = 0.12",
    );
    FIBRE_DIAMETER = Key::new(
        "fibre_diameter",
        Accepts::Spellings(
            "a length as a text with a unit, { median = \"18 um\", gsd = 1.3 }, or what is known of it",
        ),
        "Diameter of the fibres, or their length-weighted median and geometric standard deviation.",
        "fibre_diameter = { median = \"18 um\", gsd = 1.3 }",
    );
    FIBRE_LINEAR_DENSITY = Key::new(
        "fibre_linear_density",
        Accepts::Uncertain(Limits::new(D::LinearDensity, "0.000001 dtex", "100000 dtex")),
        "Mass over length of one fibre, instead of its diameter.",
        "fibre_linear_density = \"1.7 dtex\"",
    );
    FIBRE_DENSITY = Key::new(
        "fibre_density",
        Accepts::Uncertain(Limits::new(D::Density, "300 kg/m3", "23000 kg/m3")),
        "Density of the solid fibre; of the polymer if absent.",
        "fibre_density = \"910 kg/m3\"",
    );
    POLYMER = Key::new(
        "polymer",
        Accepts::Text,
        "What the fibre is made of; gives its density and permittivity.",
        "polymer = \"polypropylene\"",
    );
    AIR_PERMEABILITY = Key::new(
        "air_permeability",
        Accepts::UncertainPair(VELOCITY, PRESSURE),
        "Measured velocity through one sheet at a pressure drop.",
        "air_permeability = \"350 mm/s at 200 Pa\"",
    );
    PRESSURE_DROP = Key::new(
        "pressure_drop",
        Accepts::UncertainPair(PRESSURE, VELOCITY),
        "Measured pressure drop of one sheet at a face velocity.",
        "pressure_drop = \"24 Pa at 10 cm/s\"",
    );
    SURFACE_CHARGE = Key::new(
        "surface_charge",
        Accepts::Uncertain(Limits::new(D::SurfaceCharge, "0 uC/m2", "1000 uC/m2")),
        "Amplitude of the charge on the fibres (webs); 0 where there is none.",
        "surface_charge = \"70 uC/m2\"",
    )
    .or("0 uC/m2");
    UNEVENNESS = Key::new(
        "unevenness",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "0", "0.95")),
        "Coefficient of variation of the local basis weight, beyond that of usual webs (webs).",
        "unevenness = 0.2",
    )
    .or("0");
    INHOMOGENEITY = Key::new(
        "inhomogeneity",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "1", "3")),
        "What capture and drag of an ideal cell are divided by for a real web; not applied to lee-liu (webs).",
        "inhomogeneity = 1.4",
    )
    .or("1");
    WARP = Key::new(
        "warp",
        Accepts::Uncertain(THREADS),
        "Ends per length (weaves); wales of a knit.",
        "warp = \"30 /cm\"",
    );
    WEFT = Key::new(
        "weft",
        Accepts::Uncertain(THREADS),
        "Picks per length (weaves); courses of a knit.",
        "weft = \"28 /cm\"",
    );
    YARN_LINEAR_DENSITY = Key::new(
        "yarn_linear_density",
        Accepts::Uncertain(Limits::new(D::LinearDensity, "0.01 tex", "20000 tex")),
        "Mass over length of the yarn (weaves, knits).",
        "yarn_linear_density = \"20 tex\"",
    );
    YARN_WIDTH = Key::new(
        "yarn_width",
        Accepts::Uncertain(Limits::new(D::Length, "1 um", "10 mm")),
        "Width of the flattened yarn as seen from above (weaves, knits).",
        "yarn_width = \"0.25 mm\"",
    );
    HAIRS = Key::new(
        "hairs",
        Accepts::UncertainNumber(Limits::new(D::Fraction, "0", "0.1")),
        "Solidity of the hairs and nap across the pores (weaves, knits); an unknown that a bench tells.",
        "hairs = 0.003",
    )
    .or("0.003");
    VARIES = Key::new(
        "varies",
        Accepts::Table(&Varies::SECTION),
        "How pieces of the material differ from one another; as its class if absent.",
        "varies = { basis_weight = { lot = \"10 %\", sheet = \"3 %\" } }",
    );
});

section!(Swatch, "swatch", "a weighed piece of cloth: its mass and its size.", {
    MASS = Key::new(
        "mass",
        Accepts::Uncertain(Limits::new(D::Mass, "0.01 mg", "100 kg")),
        "Mass of all sheets together.",
        "mass = \"1.80 g\"",
    );
    WIDTH = Key::new("width", Accepts::Quantity(SHEET_SIDE), "Width of one sheet.", "width = \"10 cm\"");
    LENGTH = Key::new("length", Accepts::Quantity(SHEET_SIDE), "Length of one sheet.", "length = \"15 cm\"");
    DIAMETER = Key::new(
        "diameter",
        Accepts::Quantity(SHEET_SIDE),
        "Diameter of a round piece, instead of width and length.",
        "diameter = \"11.3 cm\"",
    );
    SHEETS = Key::new(
        "sheets",
        Accepts::Count { lowest: 1, highest: 1000 },
        "How many sheets were weighed together.",
        "sheets = 1",
    )
    .or("1");
});

section!(Thickness, "thickness", "the thickness of several sheets together.", {
    VALUE = Key::new(
        "value",
        Accepts::Uncertain(THICKNESS_LIMITS),
        "Thickness of all sheets together.",
        "value = \"4.4 mm\"",
    );
    SHEETS = Key::new(
        "sheets",
        Accepts::Count { lowest: 1, highest: 1000 },
        "How many sheets were measured together.",
        "sheets = 4",
    )
    .or("1");
});

section!(FibreDiameter, "fibre_diameter", "a lognormal spread of diameters inside one material.", {
    MEDIAN =
        Key::new("median", Accepts::Uncertain(FIBRE_LIMITS), "Length-weighted median.", "median = \"18 um\"");
    GSD = Key::new(
        "gsd",
        Accepts::Number { lowest: 1.0, highest: 5.0 },
        "Geometric standard deviation, 1 for one diameter.",
        "gsd = 1.3",
    )
    .or("1");
});

section!(Stack, "[[stack]]", "layers one behind the other.", {
    NAME = Key::new(
        "name",
        NAME,
        "Name of the stack; its layers if absent.",
        "name = \"felt between sheeting\"",
    );
    LAYERS = Key::new(
        "layers",
        Accepts::Spellings("a material's name or { of = \"needled felt\", times = 3 }, or a list of such"),
        "Materials, upstream first, one entry a sheet.",
        "layers = [\"sheeting\", \"needled felt\", \"sheeting\"]",
    );
});

section!(Layer, "a layer", "several sheets of one material.", {
    OF = Key::new("of", NAME, "Name of the material.", "of = \"needled felt\"");
    TIMES = Key::new("times", Accepts::Count { lowest: 1, highest: 100 }, "How many sheets.", "times = 3")
        .or("1");
});

section!(Use, "[use]", "velocities, flow and area of use.", {
    FACE_VELOCITIES = Key::new(
        "face_velocities",
        Accepts::Quantities(VELOCITY),
        "Face velocities (flow over area) to predict at.",
        "face_velocities = [\"5.3 cm/s\", \"10 cm/s\"]",
    )
    .or("5.3 cm/s and 10 cm/s");
    POINTS = Key::new("points", Accepts::Texts, "Named operating points.", "points = [\"mask at rest\"]");
    FLOW = Key::new(
        "flow",
        Accepts::Quantity(FLOW),
        "Flow through the device; with the area, one more face velocity and the breathing resistance.",
        "flow = \"85 L/min\"",
    )
    .or("85 L/min");
    AREA = Key::new(
        "area",
        Accepts::Quantity(AREA),
        "Filtering area of the device; operating points of masks use it too.",
        "area = \"150 cm2\"",
    )
    .or("150 cm2");
    DIRECTION = Key::new(
        "direction",
        Accepts::Choice(DIRECTIONS),
        "Which way the air flows; particles settle across, with or against it.",
        "direction = \"horizontal\"",
    )
    .or("horizontal");
});

section!(Aerosol, "[[aerosol]]", "an aerosol to average efficiency over.", {
    NAME = Key::new("name", NAME, "Name of the aerosol.", "name = \"wood smoke\"");
    KIND = Key::new(
        "kind",
        Accepts::Choice(WEIGHTINGS),
        "What its medians and shares are of.",
        "kind = \"number\"",
    )
    .or("number");
    WEIGHTED_BY = Key::new(
        "weighted_by",
        Accepts::Choice(WEIGHTINGS),
        "What an efficiency against it is averaged over; as `kind` if absent.",
        "weighted_by = \"mass\"",
    );
    DIAMETER = Key::new(
        "diameter",
        Accepts::Choice(DIAMETERS),
        "Which diameter its sizes are.",
        "diameter = \"mobility\"",
    )
    .or("mobility");
    MODES = Key::new(
        "modes",
        Accepts::Table(&Mode::SECTION),
        "Lognormal modes.",
        "modes = [{ median = \"0.15 um\", gsd = 1.6 }]",
    );
    BINS = Key::new(
        "bins",
        Accepts::Table(&Bin::SECTION),
        "Shares in bins, instead of modes.",
        "bins = [{ from = \"0.3 um\", to = \"0.5 um\", share = 1 }]",
    );
});

section!(Mode, "a mode", "one lognormal mode of an aerosol.", {
    MEDIAN = Key::new("median", Accepts::Quantity(PARTICLE_SIZE), "Median diameter.", "median = \"0.15 um\"");
    GSD = Key::new(
        "gsd",
        Accepts::Number { lowest: 1.01, highest: 10.0 },
        "Geometric standard deviation.",
        "gsd = 1.6",
    );
    SHARE = Key::new("share", SHARE, "Part of the whole; only ratios matter.", "share = 0.8").or("1");
});

section!(Bin, "a bin", "one bin of an aerosol, even over the logarithm of diameter.", {
    FROM = Key::new("from", Accepts::Quantity(PARTICLE_SIZE), "Lower edge.", "from = \"0.3 um\"");
    TO = Key::new("to", Accepts::Quantity(PARTICLE_SIZE), "Upper edge.", "to = \"0.5 um\"");
    SHARE = Key::new("share", SHARE, "Part of the whole; only ratios matter.", "share = 0.2");
});

section!(Channel, "[[channel]]", "a counter channel to average efficiency over.", {
    NAME = Key::new("name", NAME, "Name of the channel.", "name = \"0.3-0.5 um\"");
    FROM = Key::new("from", Accepts::Quantity(PARTICLE_SIZE), "Lower edge.", "from = \"0.3 um\"");
    TO = Key::new(
        "to",
        Accepts::Quantity(PARTICLE_SIZE),
        "Upper edge; without it, everything above `from`.",
        "to = \"0.5 um\"",
    );
    DIAMETER = Key::new(
        "diameter",
        Accepts::Choice(DIAMETERS),
        "Which diameter the edges are.",
        "diameter = \"optical\"",
    )
    .or("optical");
    AEROSOL = Key::new(
        "aerosol",
        NAME,
        "The aerosol counted; without it, equal numbers in equal steps of the logarithm of diameter.",
        "aerosol = \"wood smoke\"",
    );
});
