use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use geo::{Coord, MultiPolygon, Polygon};
use resvg::tiny_skia::{ColorU8, Pixmap};

use super::paper::{MapPaper, Room};
use super::svg::{Svg, escaped, parts, path};
use super::{MARGIN, Map, TITLE, furniture, legend};
use crate::landing::{OnGround, Verdict, verdict};
use crate::plan::Plan;
use crate::report::ReportError;

/// Where what lands is off its rate: their words, and their color. Light to dark in this order, so
/// that a gray print tells them apart too.
const KINDS: [(&str, [u8; 3]); 5] = [
    ("within 10 % of the rate", [0xec, 0xf0, 0xe4]),
    ("over the field's edge", [0xc9, 0xc9, 0xc9]),
    ("too little", [0xe0, 0x9c, 0x4a]),
    ("too much", [0x4a, 0x62, 0x9e]),
    ("on a keep-out", [0x7d, 0x12, 0x2c]),
];
/// Pixels of the picture for each of the page.
const FINE: f64 = 2.0;
/// Height of the row that says what the colors are.
const LEGEND: f64 = 30.0;
/// Less than this share of the highest rate is nothing to be shown beside the zones.
const SHOWN: f64 = 0.01;

/// Where what lands is off its rate, as a picture by itself.
///
/// # Errors
/// When a position of the plan has no place on the map.
pub fn landed_svg(plan: &Plan, landed: OnGround<'_>) -> Result<String, ReportError> {
    let map = Map::new(plan, f64::INFINITY)?;
    let (width, height) = (map.paper.width, map.paper.height);
    let top = TITLE + furniture::ABOVE;
    let foot = top + height + furniture::BELOW + 14.0;
    let whole = foot + LEGEND + 2.0 * MARGIN;
    let mut svg = Svg::default();
    let name = escaped(&legend::cut(&plan.settings.job, width - 150.0, 22.0, &map.letters));
    svg.add(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w:.0} {whole:.0}\" width=\"{w:.0}\" \
         height=\"{whole:.0}\" role=\"img\" aria-label=\"Where what lands is off its rate: {name}\" \
         font-family=\"'DejaVu Sans', Verdana, sans-serif\" fill=\"#111\">\n\
         <path d=\"M0 0h{w:.1}v{whole:.1}H0z\" fill=\"#fff\"/>\n\
         <g transform=\"translate({MARGIN} {MARGIN})\">\n<text y=\"22\" font-size=\"22\">What lands: {name}</text>\n\
         <g transform=\"translate(0 {top})\">",
        w = width + 2.0 * MARGIN,
    ));
    map.landed(&mut svg, landed)?;
    svg.add(format_args!("</g>\n<g transform=\"translate(0 {foot:.1})\" font-size=\"13\">"));
    explain(&mut svg, &map);
    svg.add(format_args!("</g>\n</g>\n</svg>"));
    Ok(svg.into_text())
}

/// The same, small, for a page that says the rest and what the colors are.
///
/// # Errors
/// When a position of the plan has no place on the map.
pub fn small_landed_map(plan: &Plan, landed: OnGround<'_>) -> Result<String, ReportError> {
    let boundary = &plan.field.boundary;
    let paper = MapPaper::for_field(boundary, &ROOM)
        .ok_or_else(|| ReportError::new("the field has no extent"))?;
    let zones = plan.zones.iter().map(|zone| &zone.polygon);
    let zones = paper.polygons(boundary, zones).map_err(ReportError::new)?;
    let unspread = plan.unspread.iter().map(|piece| &piece.polygon);
    let unspread = paper.polygons(boundary, unspread).map_err(ReportError::new)?;
    let field = paper.parts(boundary.local());
    let mut svg = Svg::default();
    svg.add(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0} {:.0}\" role=\"img\" \
         aria-label=\"Where what lands is off its rate\" \
         font-family=\"'DejaVu Sans', Verdana, sans-serif\" fill=\"#111\">",
        paper.width,
        paper.height + furniture::BELOW
    ));
    draw(&mut svg, &paper, landed, [&zones, &unspread], &field)?;
    furniture::frame(&mut svg, &paper);
    furniture::scale_bar(&mut svg, &paper, plan.settings.system);
    svg.add(format_args!("</svg>"));
    Ok(svg.into_text())
}

/// The room of the small map.
const ROOM: Room = Room { width: 340.0, height: (150.0, 270.0), free: 14.0 };

/// What the colors are: their words and what a swatch is filled with.
pub fn landed_colors() -> impl Iterator<Item = (&'static str, String)> {
    KINDS
        .into_iter()
        .map(|(words, [red, green, blue])| (words, format!("#{red:02x}{green:02x}{blue:02x}")))
}

/// What the colors are, in a row.
fn explain(svg: &mut Svg, map: &Map<'_>) {
    let mut x = 0.0;
    for (words, fill) in landed_colors() {
        svg.add(format_args!(
            "<path d=\"M{x:.1} 3h18v14h-18z\" fill=\"{fill}\" stroke=\"#444\"/>\
             <text x=\"{:.1}\" y=\"15\">{words}</text>",
            x + 24.0
        ));
        x += 24.0 + map.letters.width(words, 13.0, false) + 16.0;
    }
}

impl Map<'_> {
    fn landed(&self, svg: &mut Svg, landed: OnGround<'_>) -> Result<(), ReportError> {
        draw(svg, &self.paper, landed, [&self.zones, &self.unspread], &self.field)?;
        furniture::frame(svg, &self.paper);
        let frame = self.plan.field.boundary.frame();
        furniture::corners(svg, &self.paper, frame, &self.letters).map_err(ReportError::new)?;
        furniture::north(svg, &self.paper);
        furniture::scale_bar(svg, &self.paper, self.plan.settings.system);
        Ok(())
    }
}

/// What lands, with the outlines of zones, of what is not spread, and of the field.
fn draw(
    svg: &mut Svg,
    paper: &MapPaper,
    landed: OnGround<'_>,
    [zones, unspread]: [&[Polygon<f64>]; 2],
    field: &MultiPolygon<f64>,
) -> Result<(), ReportError> {
    let (width, height) = (paper.width, paper.height);
    let pixels = STANDARD.encode(pixels(paper, landed)?);
    svg.add(format_args!(
        "<image width=\"{width:.0}\" height=\"{height:.0}\" preserveAspectRatio=\"none\" \
         style=\"image-rendering:pixelated\" href=\"data:image/png;base64,{pixels}\"/>"
    ));
    svg.add(format_args!(
        "<path d=\"{}\" fill=\"none\" stroke=\"#222\" stroke-width=\"0.8\" stroke-linejoin=\"round\"/>\n\
         <path d=\"{}\" fill=\"none\" stroke=\"#7d122c\" stroke-width=\"1.2\" stroke-dasharray=\"5 3\"/>\n\
         <path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"2\" stroke-linejoin=\"round\"/>",
        path(zones),
        path(unspread),
        parts(field)
    ));
    Ok(())
}

/// The field in a page's frame, as a PNG.
fn pixels(paper: &MapPaper, landed: OnGround<'_>) -> Result<Vec<u8>, ReportError> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a page's width and height"
    )]
    let size = |length: f64| (length * FINE).round() as u32;
    let (columns, rows) = (size(paper.width), size(paper.height));
    let mut pixels =
        Pixmap::new(columns, rows).ok_or_else(|| ReportError::new("the picture has no size"))?;
    let ledger = landed.ledger();
    let OnGround { ground, cells } = landed;
    let rates = ground.patches().iter().map(|patch| patch.rate);
    let trace = SHOWN * rates.fold(0.0, f64::max);
    for (i, pixel) in (0u32..).zip(pixels.pixels_mut()) {
        let at = Coord {
            x: (f64::from(i % columns) + 0.5) / FINE,
            y: (f64::from(i / columns) + 0.5) / FINE,
        };
        let place = ground.turned().from_plane(paper.place(at));
        let Some(cell) = cells.at(place) else { continue };
        let got = cells.rate_at(place);
        let patch = ledger.patch(cell).and_then(|number| ground.patches().get(number));
        let kind = match patch {
            Some(patch) if patch.rate > 0.0 => match verdict(got / patch.rate) {
                Verdict::Within => 0,
                Verdict::TooLittle => 2,
                Verdict::TooMuch => 3,
            },
            _ if got <= trace => continue,
            Some(_) => 4,
            None => 1,
        };
        if let Some((_, [red, green, blue])) = KINDS.get(kind) {
            *pixel = ColorU8::from_rgba(*red, *green, *blue, 255).premultiply();
        }
    }
    pixels.encode_png().map_err(ReportError::new)
}
