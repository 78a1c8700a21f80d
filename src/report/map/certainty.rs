//! The second map: how probable the planned tier is at each place, and the samples that deserve a
//! second look.

use std::fmt::Write as _;

use geo::{Coord, MultiPolygon};

use super::furniture::{BELOW, frame, scale_bar};
use super::labels::{Kind, Page};
use super::marks::labels;
use super::palette::Colour;
use super::paper::{Paper, Room};
use super::svg::{Svg, parts, path};
use crate::certainty::{Certainty, Odds, ZoneCertainty};
use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::letters::Letters;
use crate::report::text::shortened;
use crate::units::percentages;

const ROOM: Room = Room { width: 340.0, height: (150.0, 270.0), free: 30.0 };

/// A band of probabilities and how it is drawn: from bare paper to dark rust with a net, so that
/// what is doubtful stands out.
struct Band {
    name: &'static str,
    /// It begins above this.
    over: f64,
    ground: Colour,
    lines: &'static str,
}

const BANDS: [Band; 3] = [
    Band {
        name: "over 80 %",
        over: ZoneCertainty::SURE,
        ground: Colour { lightness: 0.97, chroma: 0.012, hue: 80.0 },
        lines: "",
    },
    Band {
        name: "50 to 80 %",
        over: 0.5,
        ground: Colour { lightness: 0.83, chroma: 0.07, hue: 70.0 },
        lines: "M3 0v6",
    },
    Band {
        name: "under 50 %",
        over: -1.0,
        ground: Colour { lightness: 0.55, chroma: 0.11, hue: 45.0 },
        lines: "M3 0v6M0 3h6",
    },
];

/// A band's share of the field.
#[derive(Clone, Debug)]
pub struct BandShare {
    /// The probabilities, in words.
    pub name: &'static str,
    /// What it is filled with, where the map stands in the same document.
    pub fill: String,
    /// Its percentage of what is spread, whole; all together they are 100.
    pub percent: f64,
}

/// The bands' shares, from the surest.
pub fn shares(certainty: &Certainty) -> Vec<BandShare> {
    let area = |number: usize| {
        let of_band = certainty.places.iter().filter(|odds| band_of(odds) == number);
        of_band.map(|odds| odds.place.area.as_square_metres()).sum()
    };
    let areas: Vec<f64> = (0..BANDS.len()).map(area).collect();
    let share = |(number, (band, percent)): (usize, (&Band, f64))| BandShare {
        name: band.name,
        fill: format!("url(#sure-{number})"),
        percent,
    };
    BANDS.iter().zip(percentages(&areas, 0)).enumerate().map(share).collect()
}

fn band_of(odds: &Odds) -> usize {
    BANDS.iter().position(|band| odds.own > band.over).unwrap_or(BANDS.len() - 1)
}

/// The map, where the plan says how sure it is.
pub fn certainty_map(plan: &Plan) -> Result<Option<String>, ReportError> {
    let Some(certainty) = &plan.certainty else { return Ok(None) };
    let boundary = &plan.field.boundary;
    let paper = Paper::for_field(boundary, &ROOM)
        .ok_or_else(|| ReportError::new("the field has no extent"))?;
    let field = paper.parts(boundary.local());
    let zones = plan.zones.iter().map(|zone| &zone.polygon);
    let zones = paper.polygons(boundary, zones).map_err(ReportError::new)?;
    let mut svg = Svg::default();
    let (width, height) = (paper.width, paper.height + BELOW);
    svg.add(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" \
         aria-labelledby=\"sure-title\" font-family=\"'DejaVu Sans', Verdana, sans-serif\" fill=\"#111\">\n\
         <title id=\"sure-title\">Map of how probable the planned tier is at each place</title>"
    ));
    define(&mut svg, &field);
    cells(&mut svg, certainty, &paper);
    svg.add(format_args!(
        "<path d=\"{}\" fill=\"none\" stroke=\"#222\" stroke-width=\".7\"/>\n\
         <path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"1.6\"/>",
        path(&zones),
        parts(&field)
    ));
    second_looks(&mut svg, plan, &paper, &field)?;
    frame(&mut svg, &paper);
    scale_bar(&mut svg, &paper, plan.settings.system);
    svg.add(format_args!("</svg>"));
    Ok(Some(svg.into_text()))
}

fn define(svg: &mut Svg, field: &MultiPolygon<f64>) {
    svg.add(format_args!(
        "<defs><clipPath id=\"sure-field\"><path d=\"{}\" clip-rule=\"evenodd\"/></clipPath>",
        parts(field)
    ));
    for (number, band) in BANDS.iter().enumerate() {
        svg.add(format_args!(
            "<pattern id=\"sure-{number}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><path d=\"M0 0h6v6H0z\" fill=\"{}\"/>\
             <path d=\"{}\" stroke=\"{}\" stroke-width=\"1.1\"/></pattern>",
            band.ground.hex(),
            band.lines,
            band.ground.ink().hex()
        ));
    }
    svg.add(format_args!("</defs>"));
}

/// The places as squares, those of one band that follow each other in a row as one.
fn cells(svg: &mut Svg, certainty: &Certainty, paper: &Paper) {
    let spacing = spacing(&certainty.places);
    let side = spacing * paper.scale;
    let mut paths = BANDS.map(|_| String::new());
    let mut places = certainty.places.iter().peekable();
    while let Some(first) = places.next() {
        let band = band_of(first);
        let mut last = first;
        while let Some(next) = places.next_if(|next| follows(last, next, spacing, band)) {
            last = next;
        }
        let at = paper.at(Coord { x: first.place.easting, y: first.place.northing });
        let length = (last.place.easting - first.place.easting) * paper.scale + side;
        if let Some(path) = paths.get_mut(band) {
            // A tenth wider, so that rows meet.
            let (x, y) = (at.x - side / 2.0, at.y - side / 2.0);
            let (length, side) = (length + 0.1, side + 0.1);
            let _ = write!(path, "M{x:.1} {y:.1}h{length:.1}v{side:.1}h-{length:.1}z");
        }
    }
    svg.add(format_args!("<g clip-path=\"url(#sure-field)\">"));
    for (number, path) in paths.iter().enumerate() {
        svg.add(format_args!("<path d=\"{path}\" fill=\"url(#sure-{number})\"/>"));
    }
    svg.add(format_args!("</g>"));
}

fn follows(last: &Odds, next: &Odds, spacing: f64, band: usize) -> bool {
    let apart = next.place.easting - last.place.easting;
    next.place.northing == last.place.northing
        && (apart - spacing).abs() < 0.01 * spacing
        && band_of(next) == band
}

/// The distance between places of the lattice that they stand on, row by row.
fn spacing(places: &[Odds]) -> f64 {
    let pairs = places.iter().zip(places.iter().skip(1));
    let in_row = pairs.filter(|(a, b)| a.place.northing == b.place.northing);
    let apart = in_row.map(|(a, b)| b.place.easting - a.place.easting);
    let least = apart.filter(|apart| *apart > 0.0).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

/// A ring around each sample that does not fit its neighbors, its name on a line.
fn second_looks(
    svg: &mut Svg,
    plan: &Plan,
    paper: &Paper,
    field: &MultiPolygon<f64>,
) -> Result<(), ReportError> {
    let letters = Letters::new().map_err(ReportError::new)?;
    let sample = |id: &String| plan.field.samples.iter().find(|sample| sample.id == *id);
    let found: Vec<(Coord<f64>, &String)> = plan
        .second_looks
        .iter()
        .filter_map(|look| sample(&look.id).map(|sample| (paper.at(sample.position), &look.id)))
        .collect();
    let places: Vec<Coord<f64>> = found.iter().map(|(at, _)| *at).collect();
    let mut page = Page::new((paper.width, paper.height), field, &places, &letters);
    for (at, id) in &found {
        page.point_to(Kind::Sample, shortened(id, 14), *at, 7.0);
    }
    for at in &places {
        svg.add(format_args!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4.5\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"2\"/>",
            at.x, at.y
        ));
    }
    labels(svg, &page.into_labels().placed, &letters);
    Ok(())
}
