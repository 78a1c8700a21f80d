//! Where the material comes from: the piles.

use std::f64::consts::TAU;

use geo::{Coord, Line};

use super::paper::MapPaper;
use super::svg::Svg;
use crate::plan::Plan;
use crate::units::Quantity;

/// Half the width of a pile's sign, in pixels.
const HALF: f64 = 7.0;

/// A pile on paper.
#[derive(Clone, Debug)]
pub struct PileSign {
    pub at: Coord<f64>,
    /// From its middle to its edge, in pixels: as large as it is.
    pub radius: f64,
    /// What its label says.
    pub text: String,
}

impl PileSign {
    /// How far from its middle the arrow of its label ends.
    pub fn clear_of(&self) -> f64 {
        self.radius.max(HALF) + 3.0
    }

    /// Its ring, as far as labels keep off it.
    pub fn edge(&self) -> impl Iterator<Item = Line<f64>> + use<> {
        const CORNERS: u8 = 16;
        let (at, radius) = (self.at, self.radius.max(HALF));
        let corner = move |number: u8| {
            let (sin, cos) = libm::sincos(f64::from(number) / f64::from(CORNERS) * TAU);
            at + Coord { x: cos, y: sin } * radius
        };
        (0..CORNERS).map(move |number| Line::new(corner(number), corner(number + 1)))
    }
}

/// The piles of a plan.
pub fn piles(plan: &Plan, paper: &MapPaper) -> Vec<PileSign> {
    let placed = plan.stockpile.iter().flat_map(|all| &all.piles);
    placed
        .map(|pile| PileSign {
            at: paper.at(pile.spot.position),
            radius: pile.cone.radius.as_metres() * paper.scale,
            text: format!(
                "pile {}: {}, {} wide",
                pile.number,
                pile.mass.show(plan.settings.system, 0),
                pile.cone.width().show(plan.settings.system, 0)
            ),
        })
        .collect()
}

/// What labels keep clear of at the piles, as dots.
pub fn dots(piles: &[PileSign]) -> impl Iterator<Item = Coord<f64>> {
    let side = HALF / 2.0;
    let around = move |at: Coord<f64>| {
        [(-side, -side), (side, -side), (-side, side), (side, side)]
            .map(|(x, y)| at + Coord { x, y })
    };
    piles.iter().flat_map(move |pile| around(pile.at))
}

/// Draws the piles as black triangles with a white rim, in a ring as large as each of them.
pub fn draw(svg: &mut Svg, piles: &[PileSign]) {
    for PileSign { at, radius, text } in piles {
        svg.add(format_args!(
            "<path d=\"M{:.1} {:.1}l{HALF} {:.1}h-{:.1}z\" fill=\"#111\" stroke=\"#fff\" \
             stroke-width=\"1.5\" stroke-linejoin=\"round\"><title>{text}</title></path>",
            at.x,
            at.y - HALF,
            2.0 * HALF - 1.0,
            2.0 * HALF
        ));
        for (color, line) in [("#111", 3.2), ("#ffd54a", 1.4)] {
            svg.add(format_args!(
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius:.1}\" fill=\"none\" \
                 stroke=\"{color}\" stroke-width=\"{line}\"/>",
                at.x, at.y
            ));
        }
    }
}
