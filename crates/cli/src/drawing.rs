//! Figures as files: picture, printable picture and the data beside them.

use moteweir_plot::kit::Chart;
use moteweir_plot::{Figure, PlotError};
use rayon::prelude::*;

use crate::outcome::Failure;

/// A file's name and bytes.
pub(crate) type File = (String, Vec<u8>);

/// The files of the figures, and the figures themselves; one that has nothing to draw is left out.
pub(crate) fn drawn(figures: Vec<Figure>) -> Result<(Vec<File>, Vec<Figure>), Failure> {
    let drawn: Vec<Option<_>> = figures
        .into_par_iter()
        .map(|figure| match files_of(&figure) {
            Ok(files) => Ok(Some((files, figure))),
            Err(PlotError::NothingToDraw { .. }) => Ok(None),
            Err(other) => Err(other),
        })
        .collect::<Result<_, PlotError>>()?;
    let (files, figures): (Vec<_>, Vec<_>) = drawn.into_iter().flatten().unzip();
    Ok((files.into_iter().flatten().collect(), figures))
}

fn files_of(figure: &Figure) -> Result<[File; 3], PlotError> {
    let Figure { name, chart } = figure;
    Ok([
        (format!("{name}.svg"), chart.to_svg()?.into_bytes()),
        (format!("{name}.png"), chart.to_png(Chart::PNG_WIDTH)?),
        (format!("{name}.csv"), chart.to_csv().into_bytes()),
    ])
}
