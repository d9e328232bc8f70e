//! The figures of one fibre in its cell, and of the verdict on closed forms.

use std::collections::BTreeSet;

use moteweir::report::VerdictReport;
use moteweir::resolve::CellPicture;

use crate::figure::{Figure, numbered};
use crate::figures::{CellScene, FormOverSolved, cell_picture, forms_over_solved};

/// The picture of a cell; `caption` says what is in it.
pub fn cell_figure(picture: &CellPicture, caption: &str) -> Figure {
    let field = picture.concentration.as_ref();
    let scene = CellScene {
        caption: caption.to_owned(),
        edge_radius: picture.edge_radius,
        contact_radius: picture.contact_radius,
        streamlines: picture.streamlines.clone(),
        caught: picture.caught.clone(),
        passing: picture.passing.clone(),
        radii: field.map(|f| f.radii.clone()).unwrap_or_default(),
        bearings: field.map(|f| f.bearings.clone()).unwrap_or_default(),
        concentration: field.map(|f| f.values.clone()).unwrap_or_default(),
    };
    Figure { name: "cell".to_owned(), chart: cell_picture(&scene) }
}

/// One figure for each thing that closed forms stand for.
pub fn verdict_figures(report: &VerdictReport) -> Vec<Figure> {
    let mut seen = BTreeSet::new();
    let terms: Vec<&str> = report.forms.iter().map(|f| f.term).filter(|term| seen.insert(*term)).collect();
    let of = |(n, term): (usize, &str)| {
        let forms = || report.forms.iter().filter(|form| form.term == term);
        let group = forms().next().map_or("", |form| form.curve.group);
        let curves: Vec<FormOverSolved> = forms()
            .map(|form| FormOverSolved {
                name: form.name.to_owned(),
                at: form.curve.at.clone(),
                ratio: form.curve.ratio.clone(),
            })
            .collect();
        let name = format!("verdict-{}", numbered(n, term));
        Figure { name, chart: forms_over_solved(term, group, &curves) }
    };
    terms.into_iter().enumerate().map(of).collect()
}
