//! The second map: how probable the planned tier is at each place, and the samples that deserve a
//! second look.

use std::fmt::Write as _;

use geo::{Coord, LineString, MultiPolygon, Polygon, Simplify as _};

use super::furniture::{BELOW, frame, scale_bar};
use super::labels::{LabelKind, Occupied};
use super::marks::labels;
use super::palette::Colour;
use super::paper::{MapPaper, Room};
use super::svg::{Svg, parts, path};
use crate::certainty::{Certainty, Odds, ZoneCertainty};
use crate::geometry::rings_above;
use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::letters::Letters;
use crate::report::text::shortened;
use crate::soil::TierIndex;
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
        over: ZoneCertainty::CLEAR,
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
    /// The color of that ground.
    pub color: String,
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
        color: band.ground.hex(),
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
    let paper = MapPaper::for_field(boundary, &ROOM)
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
    bands(&mut svg, plan, certainty, &zones, &paper);
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

pub(super) fn define(svg: &mut Svg, field: &MultiPolygon<f64>) {
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

/// The bands of each tier within its zones: the surer one lies on the less sure.
pub(super) fn bands(
    svg: &mut Svg,
    plan: &Plan,
    certainty: &Certainty,
    zones: &[Polygon<f64>],
    paper: &MapPaper,
) {
    let Some(grid) = Grid::of(&certainty.places) else { return };
    svg.add(format_args!(
        "<g clip-path=\"url(#sure-field)\" stroke=\"#222\" stroke-width=\".35\">"
    ));
    for tier in 0..plan.settings.tiers.tiers().len() {
        let own = plan.zones.iter().zip(zones);
        let own = own.filter(|(zone, _)| zone.tier == TierIndex::of(tier));
        let own: Vec<&Polygon<f64>> = own.map(|(_, polygon)| polygon).collect();
        if own.is_empty() {
            continue;
        }
        let ground = path(own);
        svg.add(format_args!(
            "<clipPath id=\"sure-tier-{tier}\"><path d=\"{ground}\" clip-rule=\"evenodd\"/></clipPath>\
             <g clip-path=\"url(#sure-tier-{tier})\">"
        ));
        let odds = grid.values(&certainty.places, |odds| odds.tiers.get(tier).copied());
        for (number, band) in BANDS.iter().enumerate().rev() {
            let drawn = if band.over < 0.0 {
                ground.clone()
            } else {
                grid.rounded(&rings_above(&odds, grid.columns, band.over), paper)
            };
            if !drawn.is_empty() {
                svg.add(format_args!(
                    "<path d=\"{drawn}\" fill=\"url(#sure-{number})\" fill-rule=\"evenodd\"/>"
                ));
            }
        }
        svg.add(format_args!("</g>"));
    }
    svg.add(format_args!("</g>"));
}

/// The lattice that the places stand on.
pub(super) struct Grid {
    corner: Coord<f64>,
    spacing: f64,
    pub columns: usize,
    rows: usize,
}

impl Grid {
    /// None for places that are no lattice.
    pub fn of(places: &[Odds]) -> Option<Self> {
        let spacing = spacing(places);
        if spacing <= 0.0 {
            return None;
        }
        // Places that stand for a zone between the nodes are off the lattice; it begins at a node.
        let pair = places.iter().zip(places.iter().skip(1)).find(|(a, b)| {
            let apart = b.place.easting - a.place.easting;
            a.place.northing == b.place.northing && (apart - spacing).abs() < 1e-6 * spacing
        });
        let node = pair?.0.place;
        let least = |from: f64, of: fn(&Odds) -> f64| {
            let steps = places.iter().map(|odds| ((of(odds) - from) / spacing).round());
            let (low, high) =
                steps.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| (a.min(s), b.max(s)));
            (from + low * spacing, high - low + 1.0)
        };
        let (west, columns) = least(node.easting, |odds| odds.place.easting);
        let (south, rows) = least(node.northing, |odds| odds.place.northing);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "1 to thousands"
        )]
        let [columns, rows] = [columns, rows].map(|count| count as usize);
        Some(Self { corner: Coord { x: west, y: south }, spacing, columns, rows })
    }

    /// What the places have of something, that of the nearest place where there is none, so that level
    /// lines run on over the edge of the field.
    pub fn values(&self, places: &[Odds], of: impl Fn(&Odds) -> Option<f64>) -> Vec<f64> {
        let mut odds = vec![f64::NAN; self.columns * self.rows];
        for place in places {
            let steps = |at: f64, from: f64| (at - from) / self.spacing;
            let column = steps(place.place.easting, self.corner.x);
            let row = steps(place.place.northing, self.corner.y);
            let off = (column - column.round()).abs().max((row - row.round()).abs());
            if off > 1e-3 {
                continue;
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "in the lattice"
            )]
            let node = row.round() as usize * self.columns + column.round() as usize;
            if let (Some(slot), Some(value)) = (odds.get_mut(node), of(place)) {
                *slot = value;
            }
        }
        while let Some(filled) = self.grown(&odds) {
            odds = filled;
        }
        odds
    }

    /// With what is missing beside what is known filled by the mean of that; none where nothing is.
    fn grown(&self, odds: &[f64]) -> Option<Vec<f64>> {
        let mut filled = odds.to_vec();
        let mut more = false;
        for (node, slot) in filled.iter_mut().enumerate().filter(|(_, slot)| slot.is_nan()) {
            let (row, column) = (node / self.columns, node % self.columns);
            let rows = row.saturating_sub(1)..(row + 2).min(self.rows);
            let around = rows.flat_map(|row| {
                (column.saturating_sub(1)..(column + 2).min(self.columns))
                    .filter_map(move |column| odds.get(row * self.columns + column))
            });
            let known = around.filter(|odds| !odds.is_nan());
            let (sum, count) =
                known.fold((0.0, 0.0), |(sum, count), odds| (sum + odds, count + 1.0));
            if count > 0.0 {
                *slot = sum / count;
                more = true;
            }
        }
        more.then_some(filled)
    }

    /// Rings as the `d` of a path on paper, their corners rounded: quadratic curves from the middle of
    /// one side to that of the next, which a corner pulls.
    pub fn rounded(&self, rings: &[Vec<Coord<f64>>], paper: &MapPaper) -> String {
        // What no eye or printer tells.
        const THINNED: f64 = 0.12;
        let mut text = String::new();
        for ring in rings {
            let places = ring.iter().map(|at| paper.at(self.corner + *at * self.spacing));
            let mut line = places.collect::<LineString<f64>>();
            line.close();
            let line = line.simplify(THINNED);
            let sides: Vec<[Coord<f64>; 2]> =
                line.lines().map(|side| [side.start, side.end]).collect();
            let middle = |[from, to]: &[Coord<f64>; 2]| (*from + *to) * 0.5;
            let Some(last) = sides.last().map(middle) else { continue };
            let _ = write!(text, "M{:.1} {:.1}", last.x, last.y);
            for side in &sides {
                let (at, to) = (side[0], middle(side));
                let _ = write!(text, "Q{:.1} {:.1} {:.1} {:.1}", at.x, at.y, to.x, to.y);
            }
            text.push('z');
        }
        text
    }
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
    paper: &MapPaper,
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
    let mut page = Occupied::new((paper.width, paper.height), field, &places, &letters);
    for (at, id) in &found {
        page.point_to(LabelKind::Sample, shortened(id, 14), *at, 7.0);
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
