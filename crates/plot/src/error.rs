//! What can go wrong between a chart and a picture.

use std::error::Error;

/// Why a chart could not be drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PlotError {
    /// No panel, or a panel in which no point can stand on its axes.
    #[error("the panel \"{panel}\" of the chart \"{chart}\" has nothing to draw")]
    NothingToDraw {
        /// Title of the chart.
        chart: String,
        /// Title of the panel, or of its y axis where it has none.
        panel: String,
    },
    /// An axis range that is empty, not finite, or not positive on a logarithmic axis.
    #[error("the axis \"{axis}\" cannot run from {low:?} to {high:?}")]
    Range {
        /// Label of the axis.
        axis: String,
        /// Lower end as asked for.
        low: f64,
        /// Upper end as asked for.
        high: f64,
    },
    /// A picture without room for its panels: the margins and labels take all of the width or height.
    #[error("{width} by {height} pixels leave no room for the panels")]
    NoRoom {
        /// Width of the picture in pixels.
        width: f64,
        /// Height of a panel in pixels.
        height: f64,
    },
    /// The embedded font could not be read: a damaged build.
    #[error("the embedded font cannot be read")]
    Font,
    /// The SVG writer failed.
    #[error("the SVG could not be written")]
    Svg {
        /// What the writer said.
        #[source]
        source: Box<dyn Error + Send + Sync>,
    },
    /// The SVG could not be turned into a bitmap.
    #[error("the PNG could not be made")]
    Png {
        /// What the renderer said.
        #[source]
        source: Box<dyn Error + Send + Sync>,
    },
    /// A bitmap of no size or of more than 10 000 pixels a side.
    #[error("a PNG of {width} x {height} pixels is outside 1..=10000 a side")]
    PngSize {
        /// Width asked for in pixels.
        width: u32,
        /// Height asked for in pixels.
        height: u32,
    },
}
