//! One piece of a material, from the layer of its mean sheet.

use moteweir_physics::layer::Layer;
use moteweir_physics::web::Web;
use moteweir_units::{Length, Solidity};

use crate::case::Piece;

/// The layer of a piece; `None` where it would be denser than a solid.
///
/// Of a web all follows. Of a fabric thickness, yarn volume and fibre diameter follow, at the counts and pores of the
/// mean cloth: how pores differ from piece to piece is not known.
pub(super) fn piece_of(mean: &Layer, piece: &Piece) -> Option<Layer> {
    match mean {
        Layer::Web(web) => Some(Layer::Web(Web {
            solidity: Solidity::new(web.solidity.fraction() * piece.solidity)?,
            thickness: web.thickness * piece.thickness,
            fibres: web.fibres.scaled(piece.fibre_diameter),
            electret: moteweir_physics::single_fibre::electrostatic::Electret {
                surface_charge: web.electret.surface_charge * piece.surface_charge,
                ..web.electret
            },
            ..web.clone()
        })),
        Layer::Weave(weave) => {
            let mut cloth = weave.clone();
            let thicker = |length: Length, factor: f64| length * factor;
            for fabric in std::iter::once(&mut cloth.fabric).chain(&mut cloth.ends) {
                fabric.thickness = thicker(fabric.thickness, piece.thickness);
                fabric.yarn_bulk = thicker(fabric.yarn_bulk, piece.basis_weight);
            }
            cloth.fibre_diameter = thicker(cloth.fibre_diameter, piece.fibre_diameter);
            Some(Layer::Weave(cloth))
        }
    }
}
