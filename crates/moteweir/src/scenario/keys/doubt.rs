//! Keys of what is not known about a value, and of what differs from piece to piece.

use moteweir_units::text::Dimension as D;

use super::super::key::{Accepts, Key, Limits, Section};

/// What is possible of a coefficient of variation.
const COEFFICIENT: Limits = Limits::new(D::Fraction, "0 %", "99 %");

const SCALES: &[&str] = &["log", "linear"];

section!(
    Unsure,
    "what is known of a value",
    "a value that you do not know exactly, in place of the value.",
    {
        BETWEEN = Key::new(
            "between",
            Accepts::Spellings("two values of the key, the lower first"),
            "Somewhere between two values; a prediction takes the middle on the scale.",
            "between = [\"8 um\", \"20 um\"]",
        );
        SCALE = Key::new(
            "scale",
            Accepts::Choice(SCALES),
            "What `between` is uniform in: the logarithm of the value or the value itself.",
            "scale = \"linear\"",
        )
        .or("log");
        ABOUT = Key::new(
            "about",
            Accepts::Spellings("a value of the key"),
            "Normal about this value, cut off where the impossible begins; a prediction takes the value itself.",
            "about = \"14 um\"",
        );
        GIVE_OR_TAKE = Key::new(
            "give_or_take",
            Accepts::Spellings("a value of the key"),
            "Standard deviation of `about`.",
            "give_or_take = \"3 um\"",
        );
    }
);

section!(Varies, "[material.varies]", "how pieces of a material differ from one another.", {
    BASIS_WEIGHT = Key::new(
        "basis_weight",
        Accepts::Table(&Variation::SECTION),
        "Of the basis weight; a heavier sheet is denser where a thickness is measured, else thicker.",
        "basis_weight = { lot = \"10 %\", sheet = \"3 %\" }",
    );
    THICKNESS = Key::new(
        "thickness",
        Accepts::Table(&Variation::SECTION),
        "Of the thickness, whatever the weight: a thicker sheet is less solid.",
        "thickness = { sheet = \"4 %\" }",
    );
    FIBRE_DIAMETER = Key::new(
        "fibre_diameter",
        Accepts::Table(&Variation::SECTION),
        "Of the fibre diameter, at the same weight.",
        "fibre_diameter = { lot = \"3 %\" }",
    );
    SURFACE_CHARGE = Key::new(
        "surface_charge",
        Accepts::Table(&Variation::SECTION),
        "Of the charge on the fibres (webs).",
        "surface_charge = { lot = \"15 %\", sheet = \"5 %\" }",
    );
});

section!(Variation, "a variation", "coefficients of variation from piece to piece, lognormal about 1.", {
    LOT = Key::new(
        "lot",
        Accepts::Quantity(COEFFICIENT),
        "From lot to lot: shared by all sheets of the material in a stack.",
        "lot = \"10 %\"",
    )
    .or("0 %");
    SHEET = Key::new(
        "sheet",
        Accepts::Quantity(COEFFICIENT),
        "From sheet to sheet inside a lot: each sheet its own.",
        "sheet = \"3 %\"",
    )
    .or("0 %");
});
