//! The map of the planning page: the same drawing as on the field sheet, in layers that are shown or
//! hidden by name.

use std::sync::OnceLock;

use geo::{Coord, Polygon};
use serde::Serialize;

use super::certainty::{Grid, bands, define as define_certainty, shares};
use super::labels::LabelKind;
use super::palette::Colour;
use super::paper::Room;
use super::svg::{Svg, escaped, parts, path};
use super::{GROUND, Grounds, Map, entrance, marks, near, piles};
use crate::geometry::rings_above;
use crate::plan::Plan;
use crate::report::ReportError;

/// As much as a screen beside the breaks has room for.
const ROOM: Room = Room { width: 900.0, height: (420.0, 760.0), free: 34.0 };
/// The CEC's bands: at most so many.
const MOST_BANDS: f64 = 9.0;
/// Low CEC: pale sand; high: dark loam. Lightness alone orders them.
const SAND: Colour = Colour { lightness: 0.95, chroma: 0.03, hue: 85.0 };
const LOAM: Colour = Colour { lightness: 0.42, chroma: 0.06, hue: 50.0 };
/// What a finger hits, in pixels.
const TOUCH: f64 = 13.0;

/// Pictures that lie one on another.
#[derive(Clone, Debug, Serialize)]
pub struct PlanningMap {
    /// The width of all of them, in pixels.
    pub width: f64,
    /// Their height.
    pub height: f64,
    /// Pixels for a meter.
    pub scale: f64,
    /// The layers, the lowest first.
    pub layers: Vec<MapLayer>,
    /// The color of each tier.
    pub rates: Vec<String>,
    /// What the bands of the CEC mean.
    pub cec: Vec<LegendEntry>,
    /// What the bands of certainty mean, with their shares of the field.
    pub sure: Vec<LegendEntry>,
    #[serde(skip)]
    paper: super::MapPaper,
}

/// A layer: what lies under one name may be several layers.
#[derive(Clone, Debug, Serialize)]
pub struct MapLayer {
    /// What it is of.
    pub name: &'static str,
    /// The marks, as SVG without its root.
    pub svg: String,
}

/// The layer of the CEC, the same for all plans on a surface.
#[derive(Clone, Debug)]
pub struct DrawnSurface {
    svg: String,
    legend: Vec<LegendEntry>,
}

/// A color or pattern and what it means.
#[derive(Clone, Debug, Serialize)]
pub struct LegendEntry {
    /// Its color.
    pub color: String,
    /// Its meaning.
    pub text: String,
}

impl PlanningMap {
    /// Draws a plan. What the surface looks like is drawn into `surface` the first time, and taken from
    /// there for every plan on the same one; how sure a place is, only where it is wanted.
    ///
    /// # Errors
    /// When a position of the plan has no place on the map.
    pub fn new(
        plan: &Plan,
        surface: &OnceLock<DrawnSurface>,
        with_certainty: bool,
    ) -> Result<Self, ReportError> {
        let map = Map::in_room(plan, ROOM)?;
        let surface = surface.get_or_init(|| DrawnSurface::new(&map));
        let layers = [
            ("rates", drawn(|svg| zones(svg, &map))),
            ("cec", surface.svg.clone()),
            (
                "sure",
                if with_certainty { drawn(|svg| certainty(svg, &map)) } else { String::new() },
            ),
            ("keep-outs", drawn(|svg| keep_outs(svg, &map))),
            ("piles", drawn(|svg| pile_ground(svg, &map))),
            ("passes", drawn(|svg| passes(svg, &map))),
            ("outline", drawn(|svg| map.draw_outline(svg))),
            ("near", drawn(|svg| near::draw(svg, plan, &map.paper))),
            ("samples", samples(&map)?),
            ("samples", labels(&map, &[LabelKind::Cec])),
            ("rates", labels(&map, &[LabelKind::Rate])),
            ("keep-outs", labels(&map, &[LabelKind::KeepOut])),
            ("piles", labels(&map, &[LabelKind::Pile]) + &drawn(|svg| pile_signs(svg, &map))),
            ("frame", furniture(&map)?),
        ];
        let layers = layers.into_iter().map(|(name, svg)| MapLayer { name, svg });
        let grounds = Grounds::of(plan);
        let sure = plan.certainty.as_ref().map(shares).unwrap_or_default();
        let sure = sure.into_iter().map(|share| LegendEntry {
            color: share.color,
            text: format!("{}: {:.0} % of the field", share.name, share.percent),
        });
        Ok(Self {
            width: map.paper.width,
            height: map.paper.height,
            scale: map.paper.scale,
            layers: layers.filter(|layer| !layer.svg.is_empty()).collect(),
            rates: (0..plan.tiers.len()).map(|tier| grounds.colour(tier).hex()).collect(),
            cec: surface.legend.clone(),
            sure: sure.collect(),
            paper: map.paper,
        })
    }

    /// The place of a pixel, in the field's meters.
    #[must_use]
    pub fn place(&self, x: f64, y: f64) -> Coord<f64> {
        self.paper.place(Coord { x, y })
    }

    /// The pixel of a place in the field's meters.
    #[must_use]
    pub fn pixel(&self, place: Coord<f64>) -> Coord<f64> {
        self.paper.at(place)
    }
}

fn drawn(draw: impl FnOnce(&mut Svg)) -> String {
    let mut svg = Svg::default();
    draw(&mut svg);
    svg.into_text()
}

fn zones(svg: &mut Svg, map: &Map) {
    Grounds::of(map.plan).define(svg);
    svg.add(format_args!("{GROUND}"));
    map.draw_zones(svg);
    svg.add(format_args!("</g>"));
}

fn keep_outs(svg: &mut Svg, map: &Map) {
    svg.add(format_args!("{GROUND}"));
    map.draw_unspread(svg);
    svg.add(format_args!("</g>"));
}

fn certainty(svg: &mut Svg, map: &Map) {
    let Some(certainty) = &map.plan.certainty else { return };
    define_certainty(svg, &map.field);
    bands(svg, map.plan, certainty, &map.zones, &map.paper);
}

impl DrawnSurface {
    fn new(map: &Map) -> Self {
        let (svg, legend) = cec(map);
        Self { svg, legend }
    }
}

/// The surface in bands of CEC, and what they mean.
fn cec(map: &Map) -> (String, Vec<LegendEntry>) {
    let places = map.plan.certainty.as_ref().map(|certainty| certainty.places.as_slice());
    let Some(places) = places.filter(|places| !places.is_empty()) else {
        return Default::default();
    };
    let Some(grid) = Grid::of(places) else { return Default::default() };
    let values = grid.values(places, |odds| Some(odds.place.value));
    let known = || values.iter().copied().filter(|value| value.is_finite());
    let (low, high) = (known().fold(f64::INFINITY, f64::min), known().fold(0.0, f64::max));
    let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
    let needed = |step: f64| (high / step).floor() - (low / step).floor() + 1.0;
    let step = steps.into_iter().find(|step| needed(*step) <= MOST_BANDS).unwrap_or(50.0);
    let first = (low / step).floor();
    let count = needed(step);
    let mut svg = Svg::default();
    let mut legend = Vec::new();
    svg.add(format_args!(
        "<clipPath id=\"cec-field\"><path d=\"{}\" clip-rule=\"evenodd\"/></clipPath><g clip-path=\"url(#cec-field)\">",
        parts(&map.field)
    ));
    let mut band = 0.0;
    while band < count {
        let share = if count > 1.0 { band / (count - 1.0) } else { 0.3 };
        let mix = |pale: f64, deep: f64| pale + share * (deep - pale);
        let color = Colour {
            lightness: mix(SAND.lightness, LOAM.lightness),
            chroma: mix(SAND.chroma, LOAM.chroma),
            hue: mix(SAND.hue, LOAM.hue),
        }
        .hex();
        let from = (first + band) * step;
        let d = if band == 0.0 {
            parts(&map.field)
        } else {
            grid.rounded(&rings_above(&values, grid.columns, from), &map.paper)
        };
        svg.add(format_args!(
            "<path d=\"{d}\" fill=\"{color}\" fill-rule=\"evenodd\" stroke=\"#5b4a36\" stroke-width=\".5\"/>"
        ));
        let decimals = usize::from(step < 1.0);
        let text = format!("{from:.decimals$} to {:.decimals$}", from + step);
        legend.push(LegendEntry { color, text });
        band += 1.0;
    }
    svg.add(format_args!("</g>"));
    (svg.into_text(), legend)
}

/// Where piles may lie.
fn pile_ground(svg: &mut Svg, map: &Map) {
    let Some(stockpile) = &map.plan.stockpile else { return };
    let boundary = &map.plan.field.boundary;
    let allowed: Result<Vec<Polygon<f64>>, _> =
        map.paper.polygons(boundary, stockpile.allowed.0.iter());
    let Ok(allowed) = allowed else { return };
    svg.add(format_args!(
        "<path d=\"{}\" fill=\"#ffd54a\" fill-opacity=\".28\" fill-rule=\"evenodd\" stroke=\"#7a4a00\" \
         stroke-width=\"1.4\" stroke-dasharray=\"3 3\"><title>Ground where a pile may lie</title></path>",
        path(&allowed)
    ));
}

fn pile_signs(svg: &mut Svg, map: &Map) {
    piles::draw(svg, &map.piles);
    let named = map.plan.stockpile.as_ref().and_then(|stockpile| stockpile.named.as_ref());
    if let Some(named) = named.filter(|named| !named.spot.is_allowed()) {
        let at = map.paper.at(named.spot.position);
        svg.add(format_args!(
            "<path d=\"M{:.1} {:.1}m-9 -9l18 18m0 -18l-18 18\" stroke=\"#fff\" stroke-width=\"6\"/>\
             <path d=\"M{0:.1} {1:.1}m-9 -9l18 18m0 -18l-18 18\" stroke=\"#b3261e\" stroke-width=\"3\"/>",
            at.x, at.y
        ));
    }
    if let Some(at) = map.entrance {
        entrance::draw(svg, at);
    }
}

/// The lines between passes, in the field.
fn passes(svg: &mut Svg, map: &Map) {
    let Some((heading, swath)) = map.plan.pass_heading() else { return };
    let (along, across) = (
        Coord { x: libm::sin(heading), y: libm::cos(heading) },
        Coord { x: libm::cos(heading), y: -libm::sin(heading) },
    );
    let local = map.plan.field.boundary.local();
    let reach = |way: Coord<f64>| {
        let at = local.iter().flat_map(Polygon::exterior).map(|at| at.x * way.x + at.y * way.y);
        at.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
    };
    let ((west, east), (low, high), swath) = (reach(across), reach(along), swath.as_metres());
    svg.add(format_args!(
        "<clipPath id=\"passes-field\"><path d=\"{}\" clip-rule=\"evenodd\"/></clipPath>\
         <g clip-path=\"url(#passes-field)\" stroke=\"#111\" stroke-opacity=\".55\" stroke-width=\".7\">",
        parts(&map.field)
    ));
    let mut at = west + swath;
    while at < east && swath > 0.0 {
        let [from, to] = [low, high].map(|end| map.paper.at(across * at + along * end));
        svg.add(format_args!("<path d=\"M{:.1} {:.1}L{:.1} {:.1}\"/>", from.x, from.y, to.x, to.y));
        at += swath;
    }
    svg.add(format_args!("</g>"));
}

/// Samples that count as dots, those that are suspect in a ring, those left out as crosses; each with
/// its name and room for a finger.
fn samples(map: &Map) -> Result<String, ReportError> {
    let Map { plan, paper, .. } = map;
    let mut svg = Svg::default();
    let suspect = |id: &str| plan.second_looks.iter().any(|look| look.id == id);
    for sample in plan.field.samples.iter() {
        let at = paper.at(sample.position);
        if !paper.holds(at) {
            continue;
        }
        open(&mut svg, &sample.id, at);
        if suspect(&sample.id) {
            svg.add(format_args!(
                "<circle r=\"7\" fill=\"none\" stroke=\"#fff\" stroke-width=\"5\"/>\
                 <circle r=\"7\" fill=\"none\" stroke=\"#b3261e\" stroke-width=\"2.4\"/>"
            ));
        }
        svg.add(format_args!("<circle r=\"3\" fill=\"#111\" stroke=\"#fff\"/></g>"));
    }
    for sample in &plan.field.excluded {
        let at = plan.field.boundary.frame().to_local(sample.wgs84).map_err(ReportError::new)?;
        let at = paper.at(at);
        if paper.holds(at) {
            open(&mut svg, &sample.id, at);
            svg.add(format_args!(
                "<path d=\"M-4 -4l8 8m0 -8l-8 8\" stroke=\"#fff\" stroke-width=\"5\"/>\
                 <path d=\"M-4 -4l8 8m0 -8l-8 8\" stroke=\"#111\" stroke-width=\"2\"/></g>"
            ));
        }
    }
    Ok(svg.into_text())
}

fn open(svg: &mut Svg, id: &str, at: Coord<f64>) {
    svg.add(format_args!(
        "<g data-sample=\"{}\" transform=\"translate({:.1} {:.1})\"><circle r=\"{TOUCH}\" fill=\"#fff\" fill-opacity=\"0\"/>",
        escaped(id),
        at.x,
        at.y
    ));
}

fn labels(map: &Map, kinds: &[LabelKind]) -> String {
    let placed = map.labels.placed.iter().filter(|label| kinds.contains(&label.kind));
    let placed: Vec<_> = placed.cloned().collect();
    if placed.is_empty() {
        return String::new();
    }
    drawn(|svg| {
        svg.add(format_args!("<g pointer-events=\"none\">"));
        marks::labels(svg, &placed, &map.letters);
        svg.add(format_args!("</g>"));
    })
}

fn furniture(map: &Map) -> Result<String, ReportError> {
    let mut svg = Svg::default();
    svg.add(format_args!("<g pointer-events=\"none\">"));
    map.draw_furniture(&mut svg)?;
    svg.add(format_args!("</g>"));
    Ok(svg.into_text())
}
