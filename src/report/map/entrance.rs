//! Where trucks drive in.

use geo::Coord;

use super::svg::Svg;

/// Half the width of the sign, in pixels.
const HALF: f64 = 6.5;

/// Draws an entrance as a brown diamond with a white rim.
pub fn draw(svg: &mut Svg, at: Coord<f64>) {
    svg.add(format_args!(
        "<path d=\"M{:.1} {:.1}l{HALF} {HALF}l-{HALF} {HALF}l-{HALF}-{HALF}z\" fill=\"#7a4a00\" \
         stroke=\"#fff\" stroke-width=\"1.5\" stroke-linejoin=\"round\"><title>entrance</title></path>",
        at.x,
        at.y - HALF
    ));
}
