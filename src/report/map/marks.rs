//! How samples and labels look.

use geo::Coord;

use super::labels::{DIGIT, Label, LabelKind};
use super::svg::{Svg, escaped};
use crate::report::letters::Letters;

/// Samples as dots with a white rim, which is seen on every ground.
pub fn samples(svg: &mut Svg, places: &[Coord<f64>]) {
    svg.add(format_args!("<g stroke=\"#fff\" stroke-width=\"1\">"));
    for at in places {
        svg.add(format_args!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.6\"/>", at.x, at.y));
    }
    svg.add(format_args!("</g>"));
}

/// Labels with their leader lines, the lines under all of them.
pub fn labels(svg: &mut Svg, labels: &[Label], letters: &Letters) {
    for (at, end) in labels.iter().filter_map(|label| label.leader.map(|end| (label.at, end))) {
        leader(svg, at, end);
    }
    for label in labels {
        self::label(svg, label, letters);
    }
}

/// An arrow: a dot at its end would be taken for a sample.
fn leader(svg: &mut Svg, at: Coord<f64>, end: Coord<f64>) {
    const LONG: f64 = 8.0;
    const HALF: f64 = 3.0;
    let way = end - at;
    let along = way / libm::hypot(way.x, way.y).max(1e-9);
    let (base, across) = (end - along * LONG, Coord { x: -along.y, y: along.x } * HALF);
    let (one, other) = (base + across, base - across);
    svg.add(format_args!(
        "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"#fff\" stroke-width=\"3\"/>\
         <path d=\"M{0:.1} {1:.1}L{2:.1} {3:.1}\" stroke=\"#111\"/>\
         <path d=\"M{:.1} {:.1}L{:.1} {:.1}L{:.1} {:.1}z\" stroke=\"#fff\" paint-order=\"stroke\"/>",
        at.x, at.y, base.x, base.y, end.x, end.y, one.x, one.y, other.x, other.y
    ));
}

/// A label's letters are as wide as its box has room for, whatever letters the viewer has.
fn label(svg: &mut Svg, label: &Label, letters: &Letters) {
    let Label { kind, text, at, half, size, .. } = label;
    let width = letters.width(text, *size, kind.is_bold());
    // Viewers differ in how they set text at its middle or end and stretch it: it begins here.
    let (left, base) = (at.x - width / 2.0, at.y + DIGIT / 2.0 * size);
    if *kind == LabelKind::Cec {
        svg.add(format_args!(
            "<text x=\"{left:.1}\" y=\"{base:.1}\" font-size=\"{size}\" textLength=\"{width:.1}\" \
             lengthAdjust=\"spacingAndGlyphs\" stroke=\"#fff\" \
             stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            escaped(text)
        ));
        return;
    }
    let weight = if kind.is_bold() { "bold" } else { "normal" };
    svg.add(format_args!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" rx=\"{:.1}\" fill=\"#fff\"{}/>\
         <text x=\"{left:.1}\" y=\"{base:.1}\" font-size=\"{size}\" font-weight=\"{weight}\" \
         textLength=\"{width:.1}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
        at.x - half.x,
        at.y - half.y,
        2.0 * half.x,
        2.0 * half.y,
        0.25 * size,
        if label.leader.is_some() { " stroke=\"#111\" stroke-width=\".8\"" } else { "" },
        escaped(text)
    ));
}
