//! What is near the field: ditches, wells and ponds that are kept from, and the line that road trucks
//! reach.

use std::fmt::Write as _;

use geo::Coord;

use super::paper::Paper;
use super::svg::{Svg, escaped};
use crate::geometry::Feature;
use crate::plan::{Layer, Plan, access, layers};
use crate::report::text::shortened;

/// The radius of a point's sign, in pixels.
const POINT: f64 = 5.0;

/// Whether anything is kept from that is drawn.
pub fn has_layers(plan: &Plan) -> bool {
    !layers(plan).is_empty()
}

/// Whether it is known where road trucks stand.
pub fn has_access(plan: &Plan) -> bool {
    access(plan).is_some()
}

/// What labels keep clear of at wells and other points.
pub fn dots(plan: &Plan, paper: &Paper) -> Vec<Coord<f64>> {
    let layers = layers(plan);
    let features = layers.iter().flat_map(|layer| &layer.features);
    let points = features.filter(|feature| !feature.filled).flat_map(|feature| &feature.lines);
    let alone = points.filter_map(|line| line.first().filter(|_| line.len() == 1));
    alone.map(|place| paper.at(*place)).filter(|at| paper.holds(*at)).collect()
}

/// The names of layers that no keep-out tells, and where they are.
pub fn names(plan: &Plan, paper: &Paper) -> Vec<(String, Coord<f64>)> {
    let named = layers(plan).into_iter().filter(|layer| !layer.is_kept_out).filter_map(|layer| {
        let vertices = layer.features.iter().flat_map(|feature| feature.lines.iter().flatten());
        let shown: Vec<Coord<f64>> =
            vertices.map(|place| paper.at(*place)).filter(|at| paper.holds(*at)).collect();
        Some((layer.why.to_owned(), *shown.get(shown.len() / 2)?))
    });
    named.collect()
}

/// Draws them as far as the frame goes.
pub fn draw(svg: &mut Svg, plan: &Plan, paper: &Paper) {
    svg.add(format_args!(
        "<clipPath id=\"zones-frame\"><path d=\"M0 0H{:.1}V{:.1}H0z\"/></clipPath>\
         <g clip-path=\"url(#zones-frame)\" fill=\"none\" stroke-linejoin=\"round\">",
        paper.width, paper.height
    ));
    for layer in layers(plan) {
        draw_layer(svg, &layer, paper);
    }
    if let Some(access) = access(plan) {
        let text = path(&access.features.iter().collect::<Vec<_>>(), paper);
        svg.add(format_args!(
            "<path d=\"{text}\" stroke=\"#fff\" stroke-width=\"6\"/>\
             <path d=\"{text}\" stroke=\"#7a4a00\" stroke-width=\"3\" stroke-dasharray=\"9 4\"/>"
        ));
    }
    svg.add(format_args!("</g>"));
}

fn draw_layer(svg: &mut Svg, layer: &Layer<'_>, paper: &Paper) {
    let (filled, open): (Vec<&Feature>, Vec<&Feature>) =
        layer.features.iter().copied().partition(|feature| feature.filled);
    svg.add(format_args!("<g><title>{}</title>", escaped(&shortened(layer.why, 120))));
    for (features, fill) in [(filled, "#9ec5e8"), (open, "none")] {
        let text = path(&features, paper);
        if !text.is_empty() {
            svg.add(format_args!(
                "<path d=\"{text}\" fill=\"{fill}\" fill-rule=\"evenodd\" stroke=\"#fff\" stroke-width=\"5\"/>\
                 <path d=\"{text}\" stroke=\"#0b5394\" stroke-width=\"2.2\"/>"
            ));
        }
    }
    let lines = layer.features.iter().flat_map(|feature| &feature.lines);
    for place in lines.filter(|line| line.len() == 1).flatten() {
        let at = paper.at(*place);
        svg.add(format_args!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{POINT}\" fill=\"#fff\" stroke=\"#0b5394\" stroke-width=\"2.2\"/>\
             <circle cx=\"{0:.1}\" cy=\"{1:.1}\" r=\"1.6\" fill=\"#0b5394\"/>",
            at.x, at.y
        ));
    }
    svg.add(format_args!("</g>"));
}

/// The lines of features as the `d` of a path; rings are closed, points left out.
fn path(features: &[&Feature], paper: &Paper) -> String {
    let mut text = String::new();
    for feature in features {
        for line in feature.lines.iter().filter(|line| line.len() > 1) {
            for (i, place) in line.iter().enumerate() {
                let at = paper.at(*place);
                let _ = write!(text, "{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, at.x, at.y);
            }
            text.push_str(if feature.filled { "z" } else { "" });
        }
    }
    text
}
