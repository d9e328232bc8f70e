//! What a chart holds.

use super::{Axis, Ink, TickText};

/// A picture: one or more panels under one title.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Title, in the top left corner; wrapped where too long.
    pub title: String,
    /// Second, quieter line; may be empty.
    pub subtitle: String,
    /// Panels in reading order; at least one.
    pub panels: Vec<Panel>,
    /// How the panels stand.
    pub arrangement: Arrangement,
    /// Lines below the panels, wrapped.
    pub footnotes: Vec<String>,
    /// Width of the whole picture (px).
    pub width: f64,
    /// Height of each panel, axis texts and key not counted (px).
    pub panel_height: f64,
}

/// How the panels of a chart stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrangement {
    /// Below one another, left edges aligned.
    Column,
    /// Beside one another, in equal widths.
    Row,
}

/// A pair of axes and what is drawn on them.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Title of the panel; may be empty.
    pub title: String,
    /// Horizontal axis.
    pub x: Axis,
    /// Vertical axis; its label stands above the panel, unturned.
    pub y: Axis,
    /// Filled areas between two curves, drawn first.
    pub bands: Vec<Band>,
    /// Curves.
    pub lines: Vec<Line>,
    /// Single points with labels.
    pub markers: Vec<Marker>,
    /// Reference lines across the panel.
    pub guides: Vec<Guide>,
    /// Lying bars, one below the other; a panel has either these or the marks above.
    pub bars: Vec<Bar>,
    /// Lying ranges, one below the other; as the bars, instead of other marks.
    pub spans: Vec<Span>,
    /// Where the names of the curves stand.
    pub key: Key,
}

/// A curve. A point that is not finite, or not positive on a logarithmic axis, leaves a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Name, in the key and in the CSV.
    pub name: String,
    /// What the key says after the name; may be empty.
    pub remark: String,
    /// Points in axis units, in drawing order.
    pub points: Vec<(f64, f64)>,
    /// Look.
    pub ink: Ink,
    /// A mark on every point: for the few points of a count, such as numbers of layers.
    pub dots: bool,
}

/// An area between a lower and an upper curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Name, in the CSV.
    pub name: String,
    /// `(x, lower, upper)` in axis units. On a logarithmic axis an end at or below 0 runs to the edge of the panel.
    pub points: Vec<(f64, f64, f64)>,
    /// Look: its colour, thinned.
    pub ink: Ink,
}

/// A point with a label beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Marker {
    /// Name of the series it belongs to, in the CSV.
    pub series: String,
    /// Place in axis units.
    pub at: (f64, f64),
    /// Label; may be empty.
    pub label: String,
    /// Look.
    pub ink: Ink,
}

/// A thin reference line with a label.
#[derive(Debug, Clone, PartialEq)]
pub enum Guide {
    /// Across the panel at a value of y.
    Horizontal {
        /// Value in axis units.
        at: f64,
        /// Label; may be empty.
        label: String,
    },
    /// Up the panel at a value of x.
    Vertical {
        /// Value in axis units.
        at: f64,
        /// Label; may be empty.
        label: String,
    },
}

/// A lying bar with its name above it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Name, above the bar at the left and in the CSV; cut where it is wider than the panel.
    pub name: String,
    /// Text above the bar at the right; may be empty.
    pub label: String,
    /// Length of the whole bar in axis units.
    pub whole: f64,
    /// Length of its dark part, from the same start.
    pub part: f64,
    /// Ends of a thin line about the end of the whole bar.
    pub spread: Option<(f64, f64)>,
    /// Look.
    pub ink: Ink,
}

/// A range with its name above it: a light one, a dark one on it, and a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// Name, above the range at the left and in the CSV; cut where it is wider than the panel.
    pub name: String,
    /// Text above the range at the right; may be empty.
    pub label: String,
    /// Ends of the light range in axis units; what lies outside the panel is cut off.
    pub light: Option<(f64, f64)>,
    /// Ends of the dark range.
    pub dark: Option<(f64, f64)>,
    /// A mark across the range.
    pub mark: Option<f64>,
    /// Look.
    pub ink: Ink,
}

/// Where the names of the curves of a panel stand. None of the places covers data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// At the right end of each curve, pushed apart where they would touch. Where a name is too long for the margin,
    /// or there are too many curves, all of them stand below instead.
    LineEnds,
    /// In rows below the panel.
    Below,
    /// Nowhere: the panel has one curve, or another panel names them.
    None,
}

impl Chart {
    /// Width of a PNG for print (px): two for each of the sheet, 215 to the inch on a line of 170 mm.
    pub const PNG_WIDTH: u32 = 1440;

    /// Height of a bar with its name (px); a panel of bars takes its number of bars times as much.
    pub const BAR_ROW: f64 = 40.0;

    /// A chart of one panel after another in a column, 720 px wide, without subtitle and footnotes.
    pub fn new(title: impl Into<String>, panels: Vec<Panel>) -> Self {
        Self {
            title: title.into(),
            subtitle: String::new(),
            panels,
            arrangement: Arrangement::Column,
            footnotes: Vec::new(),
            width: 720.0,
            panel_height: 330.0,
        }
    }
}

impl Panel {
    /// An empty panel on two axes, with names at the ends of its curves.
    pub fn new(x: Axis, y: Axis) -> Self {
        Self {
            title: String::new(),
            x,
            y,
            bands: Vec::new(),
            lines: Vec::new(),
            markers: Vec::new(),
            guides: Vec::new(),
            bars: Vec::new(),
            spans: Vec::new(),
            key: Key::LineEnds,
        }
    }

    /// Lying bars along a horizontal axis, the first on top.
    pub fn of_bars(title: impl Into<String>, x: Axis, bars: Vec<Bar>) -> Self {
        let ranks = Axis::linear("", "rank").from_to(0.5, bars.len().max(1) as f64 + 0.5);
        let y = Axis { text: TickText::Nothing, ..ranks };
        Self { title: title.into(), bars, key: Key::None, ..Self::new(x, y) }
    }

    /// Lying ranges along a horizontal axis, the first on top.
    pub fn of_spans(title: impl Into<String>, x: Axis, spans: Vec<Span>) -> Self {
        let ranks = Axis::linear("", "rank").from_to(0.5, spans.len().max(1) as f64 + 0.5);
        let y = Axis { text: TickText::Nothing, ..ranks };
        Self { title: title.into(), spans, key: Key::None, ..Self::new(x, y) }
    }

    /// What the panel is called in errors: its title, or what its vertical axis shows.
    pub(super) fn name(&self) -> &str {
        if self.title.is_empty() { &self.y.label } else { &self.title }
    }
}

impl Span {
    /// Where it reaches and is marked.
    pub(super) fn places(&self) -> impl Iterator<Item = f64> + use<> {
        let ranges = [self.light, self.dark].into_iter().flatten();
        ranges.flat_map(|(low, high)| [low, high]).chain(self.mark)
    }
}

impl Line {
    /// A curve without marks on its points.
    pub fn new(name: impl Into<String>, points: Vec<(f64, f64)>, ink: Ink) -> Self {
        Self { name: name.into(), remark: String::new(), points, ink, dots: false }
    }

    /// A curve with a mark on each point.
    pub fn dotted(name: impl Into<String>, points: Vec<(f64, f64)>, ink: Ink) -> Self {
        Self { dots: true, ..Self::new(name, points, ink) }
    }

    /// The name as the picture has it, with the remark.
    pub(super) fn caption(&self) -> String {
        if self.remark.is_empty() { self.name.clone() } else { format!("{}: {}", self.name, self.remark) }
    }
}
