//! SVG to PNG, with the embedded font and no other.

use std::sync::Arc;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use super::text::FONT;
use crate::PlotError;

/// Widest and highest bitmap that is made (px).
const MOST_PIXELS: u32 = 10_000;

/// The PNG of an SVG at a width in pixels; the height follows.
pub(super) fn png(svg: &str, width: u32) -> Result<Vec<u8>, PlotError> {
    let mut options = Options { font_family: "DejaVu Sans".to_owned(), ..Options::default() };
    options.fontdb_mut().load_font_source(fontdb::Source::Binary(Arc::new(FONT)));
    let tree = Tree::from_str(svg, &options).map_err(|source| PlotError::Png { source: Box::new(source) })?;
    let scale = width as f32 / tree.size().width();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast saturates, then is checked"
    )]
    let height = (tree.size().height() * scale).round() as u32;
    let size = PlotError::PngSize { width, height };
    if ![width, height].iter().all(|length| (1..=MOST_PIXELS).contains(length)) {
        return Err(size);
    }
    let mut bitmap = Pixmap::new(width, height).ok_or(size)?;
    // The height is rounded: the last row may reach below the sheet.
    bitmap.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut bitmap.as_mut());
    bitmap.encode_png().map_err(|source| PlotError::Png { source: Box::new(source) })
}
