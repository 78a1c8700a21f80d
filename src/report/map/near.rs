//! What is near the field: ditches, wells and ponds that are kept from, and the line that road trucks
//! reach.

use std::fmt::Write as _;

use geo::{Coord, Line, Rect};

use super::paper::MapPaper;
use super::svg::{Svg, escaped};
use crate::geometry::Feature;
use crate::plan::{DrawnLayer, Plan, access, layers};
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
pub fn dots(plan: &Plan, paper: &MapPaper) -> Vec<Coord<f64>> {
    let layers = layers(plan);
    let features = layers.iter().flat_map(|layer| &layer.features);
    let points = features.filter(|feature| !feature.filled).flat_map(|feature| &feature.lines);
    let alone = points.filter_map(|line| line.first().filter(|_| line.len() == 1));
    alone.map(|place| paper.at(*place)).filter(|at| paper.holds(*at)).collect()
}

/// The lines that labels keep off: ditches, shores, and where road trucks stand, as far as the frame
/// goes.
pub fn lines<'a>(plan: &'a Plan, paper: &MapPaper) -> impl Iterator<Item = Line<f64>> + use<'a> {
    let paper = *paper;
    let near = layers(plan).into_iter().flat_map(|layer| layer.features);
    let access = access(plan).into_iter().flat_map(|access| &access.features);
    let frame = Rect::new(Coord::zero(), Coord { x: paper.width, y: paper.height });
    near.chain(access)
        .flat_map(|feature| &feature.lines)
        .flat_map(|line| line.windows(2))
        .filter_map(|pair| match pair {
            [a, b] => Some(Line::new(*a, *b)),
            _ => None,
        })
        .filter_map(move |line| within(Line::new(paper.at(line.start), paper.at(line.end)), frame))
}

/// The part of a line in a frame (Liang and Barsky, 1984, from memory).
fn within(line: Line<f64>, frame: Rect<f64>) -> Option<Line<f64>> {
    let (from, way) = (line.start, line.delta());
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    let sides = [
        (-way.x, from.x - frame.min().x),
        (way.x, frame.max().x - from.x),
        (-way.y, from.y - frame.min().y),
        (way.y, frame.max().y - from.y),
    ];
    for (step, room) in sides {
        if step == 0.0 && room < 0.0 {
            return None;
        }
        if step < 0.0 {
            first = first.max(room / step);
        } else if step > 0.0 {
            last = last.min(room / step);
        }
    }
    (first <= last).then(|| Line::new(from + way * first, from + way * last))
}

/// The names of layers that no keep-out tells, and where they are.
pub fn names(plan: &Plan, paper: &MapPaper) -> Vec<(String, Coord<f64>)> {
    let named = layers(plan).into_iter().filter(|layer| !layer.is_kept_out).filter_map(|layer| {
        let vertices = layer.features.iter().flat_map(|feature| feature.lines.iter().flatten());
        let shown: Vec<Coord<f64>> =
            vertices.map(|place| paper.at(*place)).filter(|at| paper.holds(*at)).collect();
        Some((layer.why.to_owned(), *shown.get(shown.len() / 2)?))
    });
    named.collect()
}

/// Draws them as far as the frame goes.
pub fn draw(svg: &mut Svg, plan: &Plan, paper: &MapPaper) {
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

fn draw_layer(svg: &mut Svg, layer: &DrawnLayer<'_>, paper: &MapPaper) {
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
fn path(features: &[&Feature], paper: &MapPaper) -> String {
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
