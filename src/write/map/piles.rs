//! Where the material comes from: the piles, and the line that road trucks reach.

use std::fmt::Write as _;

use geo::Coord;

use super::paper::Paper;
use super::svg::Svg;
use crate::field::Nearby;
use crate::plan::Plan;
use crate::units::Quantity;

/// Half the width of a pile's sign, in pixels.
const HALF: f64 = 7.0;

/// A pile on paper.
#[derive(Clone, Debug)]
pub struct PileSign {
    pub at: Coord<f64>,
    /// What its label says.
    pub text: String,
}

/// The piles of a plan.
pub fn piles(plan: &Plan, paper: &Paper) -> Vec<PileSign> {
    let placed = plan.stockpile.iter().flat_map(|all| &all.piles);
    placed
        .map(|pile| PileSign {
            at: paper.at(pile.spot.position),
            text: format!("pile {}: {}", pile.number, pile.mass.show(plan.settings.system, 0)),
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

/// Draws the piles as black heaps with a white rim.
pub fn draw(svg: &mut Svg, piles: &[PileSign]) {
    for PileSign { at, text } in piles {
        svg.add(format_args!(
            "<path d=\"M{:.1} {:.1}l{HALF} {:.1}h-{:.1}z\" fill=\"#111\" stroke=\"#fff\" \
             stroke-width=\"1.5\" stroke-linejoin=\"round\"><title>{text}</title></path>",
            at.x,
            at.y - HALF,
            2.0 * HALF - 1.0,
            2.0 * HALF
        ));
    }
}

/// Whether it is known where road trucks stand.
pub fn has_access(plan: &Plan) -> bool {
    access(plan).is_some()
}

fn access(plan: &Plan) -> Option<&Nearby> {
    plan.field.site.as_ref()?.access.as_ref()
}

/// Draws where road trucks stand, as far as the frame goes.
pub fn draw_access(svg: &mut Svg, plan: &Plan, paper: &Paper) {
    let Some(access) = access(plan) else { return };
    let mut text = String::new();
    for line in access.features.iter().flat_map(|feature| &feature.lines) {
        for (i, place) in line.iter().enumerate() {
            let at = paper.at(*place);
            let _ = write!(text, "{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, at.x, at.y);
        }
    }
    svg.add(format_args!(
        "<clipPath id=\"zones-frame\"><path d=\"M0 0H{:.1}V{:.1}H0z\"/></clipPath>\
         <g clip-path=\"url(#zones-frame)\" fill=\"none\" stroke-linejoin=\"round\">\
         <path d=\"{text}\" stroke=\"#fff\" stroke-width=\"6\"/>\
         <path d=\"{text}\" stroke=\"#7a4a00\" stroke-width=\"3\" stroke-dasharray=\"9 4\"/></g>",
        paper.width, paper.height
    ));
}
