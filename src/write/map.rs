//! `zones.svg`: a map of the zones to look at: rates, samples, scale and legend.

use std::fmt::Write as _;

use geo::{Area as _, BoundingRect, Coord, CoordsIter, InteriorPoint, LineString, Polygon};

use super::zone_row::{ZoneRow, rate_unit};
use super::{FormatError, OutputFile};
use crate::plan::{Plan, Zone};
use crate::projection::CrsError;
use crate::units::{Area, Length, Mass, Quantity, System};

/// The larger side of the drawn field, in pixels.
const SIDE: f64 = 560.0;
/// Room around the field, in pixels.
const MARGIN: f64 = 24.0;
/// Height of a line of the legend, in pixels.
const LINE: f64 = 22.0;
/// Zones smaller than this, in square pixels, carry no rate: it would not fit.
const LABELLED: f64 = 900.0;

/// The map.
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    Ok(vec![OutputFile::new("zones.svg", draw(plan)?)])
}

/// From the field's metres to pixels, north up.
struct Paper {
    west: f64,
    north: f64,
    scale: f64,
}

impl Paper {
    fn place(&self, at: Coord<f64>) -> Coord<f64> {
        Coord {
            x: MARGIN + (at.x - self.west) * self.scale,
            y: MARGIN + (self.north - at.y) * self.scale,
        }
    }
}

#[expect(clippy::needless_pass_by_value, reason = "the form that map_err takes")]
fn fault(reason: impl ToString) -> FormatError {
    FormatError { file: "zones.svg", reason: reason.to_string() }
}

fn draw(plan: &Plan) -> Result<String, FormatError> {
    let bounds = plan.field.boundary.local().bounding_rect();
    let bounds = bounds.ok_or_else(|| fault("the field has no extent"))?;
    let scale = SIDE / bounds.width().max(bounds.height());
    let paper = Paper { west: bounds.min().x, north: bounds.max().y, scale };
    let width = (bounds.width() * scale).max(340.0) + 2.0 * MARGIN;
    let map_height = bounds.height() * scale + 2.0 * MARGIN;
    let height = map_height + LINE * (plan.tiers.len() as f64 + 3.0);
    let title = escaped(&plan.settings.job);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" \
         width=\"{width:.0}\" height=\"{height:.0}\" role=\"img\" font-family=\"sans-serif\" \
         font-size=\"14\">\n<title>{title}: rate zones</title>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n"
    );
    let polygons = on_paper(plan, &paper).map_err(fault)?;
    for (zone, polygon) in plan.zones.iter().zip(&polygons) {
        let fill = fill(zone.tier, plan.tiers.len());
        let _ = writeln!(
            svg,
            "<path d=\"{}\" fill=\"{fill}\" fill-rule=\"evenodd\" stroke=\"#333\" stroke-width=\"0.8\"/>",
            path(polygon)
        );
    }
    for sample in plan.field.samples.iter() {
        let Coord { x, y } = paper.place(sample.position);
        let _ = writeln!(
            svg,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"1.8\" fill=\"#000\"><title>CEC {}</title></circle>",
            sample.cec
        );
    }
    for pile in plan.stockpile.iter().flat_map(|stockpile| &stockpile.piles) {
        let Coord { x, y } = paper.place(pile.spot.position);
        let _ = writeln!(
            svg,
            "<path d=\"M{:.1} {:.1}l9 16h-18z\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\">\
             <title>pile {}</title></path>",
            x,
            y - 10.0,
            pile.number
        );
    }
    for (zone, polygon) in plan.zones.iter().zip(&polygons) {
        let rate = ZoneRow::of(plan, zone).rate;
        if let Some(at) = polygon.interior_point().filter(|_| polygon.unsigned_area() > LABELLED) {
            let _ = writeln!(
                svg,
                "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" font-weight=\"bold\" stroke=\"#fff\" \
                 stroke-width=\"3\" paint-order=\"stroke\">{}</text>",
                at.x(),
                at.y() + 5.0,
                short(rate)
            );
        }
    }
    legend(plan, map_height, &mut svg);
    scale_bar(plan.settings.system, scale, width, map_height, &mut svg);
    svg.push_str("</svg>\n");
    Ok(svg)
}

/// The zones on paper, in their order; all positions are converted in one call.
fn on_paper(plan: &Plan, paper: &Paper) -> Result<Vec<Polygon<f64>>, CrsError> {
    let mut places: Vec<Coord<f64>> =
        plan.zones.iter().flat_map(|zone| zone.polygon.coords_iter()).collect();
    plan.field.boundary.frame().all_to_local(&mut places)?;
    let mut places = places.into_iter().map(|at| paper.place(at));
    let mut ring =
        |line: &LineString<f64>| places.by_ref().take(line.0.len()).collect::<LineString<f64>>();
    let mut polygon = |zone: &Zone| {
        let exterior = ring(zone.polygon.exterior());
        Polygon::new(exterior, zone.polygon.interiors().iter().map(&mut ring).collect())
    };
    Ok(plan.zones.iter().map(&mut polygon).collect())
}

fn path(polygon: &Polygon<f64>) -> String {
    let mut path = String::new();
    for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
        for (i, at) in ring.0.iter().skip(1).enumerate() {
            let _ = write!(path, "{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, at.x, at.y);
        }
        path.push('Z');
    }
    path
}

/// A sequence of our own from pale straw to dark earth: lightness falls evenly with the rate, so
/// that it reads in grey as well.
fn fill(tier: usize, tiers: usize) -> String {
    let share = if tiers > 1 { tier as f64 / (tiers - 1) as f64 } else { 0.5 };
    let mix = |pale: f64, dark: f64| 100.0 * (pale + share * (dark - pale));
    let [red, green, blue] = [mix(0.965, 0.478), mix(0.910, 0.322), mix(0.745, 0.235)];
    format!("rgb({red:.1}%,{green:.1}%,{blue:.1}%)")
}

fn legend(plan: &Plan, top: f64, svg: &mut String) {
    let system = plan.settings.system;
    let (area, mass) = (Area::unit(system).symbol(), Mass::unit(system).symbol());
    for (i, (tier, amount)) in plan.tiers.iter().enumerate() {
        let y = top + LINE * i as f64;
        let _ = writeln!(
            svg,
            "<rect x=\"{MARGIN}\" y=\"{y:.1}\" width=\"24\" height=\"14\" fill=\"{}\" stroke=\"#333\"/>\
             <text x=\"{:.0}\" y=\"{:.1}\">{}: {} {}, {:.2} {area}, {:.2} {mass}</text>",
            fill(i, plan.tiers.len()),
            MARGIN + 34.0,
            y + 12.0,
            escaped(&tier.label),
            short(tier.rate.value_in(system)),
            rate_unit(system),
            amount.printed_area,
            amount.printed_mass,
        );
    }
    let y = top + LINE * plan.tiers.len() as f64 + 12.0;
    let _ = writeln!(
        svg,
        "<text x=\"{MARGIN}\" y=\"{y:.1}\" font-weight=\"bold\">{}: {:.2} {area}, {:.2} {mass}</text>",
        escaped(&plan.settings.job),
        plan.total.printed_area,
        plan.total.printed_mass,
    );
}

/// A bar of a round length, about a quarter of the field, with north above it.
fn scale_bar(system: System, scale: f64, width: f64, map_height: f64, svg: &mut String) {
    let unit = Length::unit(system);
    let longest = SIDE / 4.0 / scale / unit.si;
    let power = 10_f64.powf(longest.log10().floor());
    let round = [5.0, 2.0, 1.0].iter().map(|lead| lead * power).find(|length| *length <= longest);
    let length = round.unwrap_or(power);
    let pixels = length * unit.si * scale;
    let (left, y) = (width - MARGIN - pixels, map_height - 8.0);
    let _ = writeln!(
        svg,
        "<path d=\"M{left:.1} {:.1}v6h{pixels:.1}v-6\" fill=\"none\" stroke=\"#000\"/>\
         <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" font-size=\"12\">{length} {} (north is up)</text>",
        y - 6.0,
        left + pixels / 2.0,
        y + 14.0,
        unit.symbol(),
    );
}

fn short(rate: f64) -> String {
    let text = format!("{rate:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Text from input files, safe inside XML.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
