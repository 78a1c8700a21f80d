//! What stands around every map: the frame with the coordinates of its corners, north, the scale.

use geo::Coord;

use super::paper::MapPaper;
use super::svg::Svg;
use crate::geometry::{Frame, OutOfReach};
use crate::report::letters::Letters;
use crate::units::{Length, Quantity, System};

/// Height of the strip above the frame, in pixels.
pub const ABOVE: f64 = 30.0;
/// Height of the strip below it.
pub const BELOW: f64 = 30.0;
/// The size of the coordinates' letters.
const SMALL: f64 = 11.0;
/// The longest scale bar.
const LONGEST: f64 = 170.0;

/// The frame's line, and a tick at each corner.
pub fn frame(svg: &mut Svg, paper: &MapPaper) {
    let MapPaper { width, height, .. } = *paper;
    svg.add(format_args!(
        "<path d=\"M1 1H{:.1}V{:.1}H1z\" fill=\"none\" stroke=\"#444\"/>",
        width - 1.0,
        height - 1.0
    ));
}

/// The corners' longitude and latitude, to a meter.
pub fn corners(
    svg: &mut Svg,
    paper: &MapPaper,
    frame: &Frame,
    letters: &Letters,
) -> Result<(), OutOfReach> {
    let (right, bottom) = (paper.width, paper.height);
    for (x, y) in [(0.0, 0.0), (right, 0.0), (0.0, bottom), (right, bottom)] {
        let text = degrees(frame.to_wgs84(paper.place(Coord { x, y }))?);
        let width = letters.width(&text, SMALL, false);
        let left = if x == 0.0 { 0.0 } else { right - width };
        let base = if y == 0.0 { -9.0 } else { bottom + 18.0 };
        svg.add(format_args!(
            "<text class=\"corner\" x=\"{left:.1}\" y=\"{base:.1}\" font-size=\"{SMALL}\" \
             textLength=\"{width:.1}\" lengthAdjust=\"spacingAndGlyphs\">{text}</text>"
        ));
    }
    Ok(())
}

/// A position as it is typed into a phone, with its hemispheres.
fn degrees(place: Coord<f64>) -> String {
    let side = |value: f64, [up, down]: [char; 2]| if value < 0.0 { down } else { up };
    format!(
        "{:.5}\u{b0}{} {:.5}\u{b0}{}",
        place.y.abs(),
        side(place.y, ['N', 'S']),
        place.x.abs(),
        side(place.x, ['E', 'W'])
    )
}

/// An arrow to true north, over the middle of the frame.
pub fn north(svg: &mut Svg, paper: &MapPaper) {
    let x = paper.width / 2.0;
    svg.add(format_args!(
        "<path d=\"M{:.1} -5l7-20 7 20-7-5z\" fill=\"#111\"/>\
         <text x=\"{:.1}\" y=\"-8\" font-size=\"15\" font-weight=\"bold\">N</text>",
        x - 14.0,
        x + 5.0
    ));
}

/// A bar of a round length under the middle of the frame, half of it black.
pub fn scale_bar(svg: &mut Svg, paper: &MapPaper, system: System) {
    let unit = Length::unit(system);
    let pixels = unit.si * paper.scale;
    let length = round_length(LONGEST / pixels);
    let bar = length * pixels;
    let (left, top) = (paper.width / 2.0 - bar / 2.0 - 12.0, paper.height + 9.0);
    svg.add(format_args!(
        "<path d=\"M{left:.1} {top:.1}h{bar:.1}v7h-{bar:.1}z\" fill=\"#fff\" stroke=\"#111\"/>\
         <path d=\"M{left:.1} {top:.1}h{:.1}v7h-{:.1}z\" fill=\"#111\"/>\
         <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"12\">{length} {}</text>",
        bar / 2.0,
        bar / 2.0,
        left + bar + 6.0,
        top + 8.0,
        unit.symbol(),
    ));
}

/// The greatest of 1, 2 and 5 times a power of ten that is not over a length.
fn round_length(most: f64) -> f64 {
    let power = libm::pow(10_f64, libm::log10(most).floor());
    let rounds = [5.0, 2.0, 1.0].map(|lead| lead * power);
    rounds.into_iter().find(|length| *length <= most).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_round() {
        for (most, length) in [(1.0, 1.0), (1.9, 1.0), (4.99, 2.0), (730.0, 500.0), (0.3, 0.2)] {
            assert!((round_length(most) - length).abs() < 1e-12, "{most}");
        }
    }

    #[test]
    fn degrees_have_their_hemispheres() {
        assert_eq!(degrees(Coord { x: -85.1, y: 40.0 }), "40.00000\u{b0}N 85.10000\u{b0}W");
        assert_eq!(degrees(Coord { x: 1.0, y: -2.5 }), "2.50000\u{b0}S 1.00000\u{b0}E");
    }
}
