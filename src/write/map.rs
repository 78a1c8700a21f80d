//! `zones.svg`: a map of the zones to look at: rates, samples, scale and legend.

use std::fmt::Write as _;

use geo::{Area as _, BoundingRect, Coord, InteriorPoint, MapCoords, Polygon};

use super::zone_row::rate_unit;
use super::{FormatError, OutputFile};
use crate::plan::Plan;
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
    let fault = |reason: String| FormatError { file: "zones.svg", reason };
    let svg = draw(plan).ok_or_else(|| fault("the field has no extent".into()))?;
    Ok(vec![OutputFile::new("zones.svg", svg)])
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

fn draw(plan: &Plan) -> Option<String> {
    let bounds = plan.field.boundary.local().bounding_rect()?;
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
    for zone in &plan.zones {
        let polygon = on_paper(plan, &zone.polygon, &paper)?;
        let fill = fill(zone.tier, plan.tiers.len());
        let _ = writeln!(
            svg,
            "<path d=\"{}\" fill=\"{fill}\" fill-rule=\"evenodd\" stroke=\"#333\" stroke-width=\"0.8\"/>",
            path(&polygon)
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
    for zone in &plan.zones {
        let polygon = on_paper(plan, &zone.polygon, &paper)?;
        let rate = plan.tiers.get(zone.tier)?.0.rate.value_in(plan.settings.system);
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
    Some(svg)
}

fn on_paper(plan: &Plan, polygon: &Polygon<f64>, paper: &Paper) -> Option<Polygon<f64>> {
    let frame = plan.field.boundary.frame();
    polygon.try_map_coords(|at| frame.to_local(at).map(|at| paper.place(at))).ok()
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
    let mix = |pale: f64, dark: f64| pale + share * (dark - pale);
    let [red, green, blue] = [mix(246.0, 122.0), mix(232.0, 82.0), mix(190.0, 60.0)];
    format!(
        "#{red:02x}{green:02x}{blue:02x}",
        red = red as u8,
        green = green as u8,
        blue = blue as u8
    )
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
