//! Pictures of a plan, by itself and on the field sheet, all by one writer.

mod certainty;
mod entrance;
mod farm_map;
mod free;
mod furniture;
mod hatching;
mod labels;
mod landed;
mod legend;
mod marks;
mod near;
mod palette;
mod paper;
mod piles;
mod planning;
mod pole;
mod sampling;
mod svg;

use geo::{Area as _, Coord, MultiPolygon, Polygon};

pub use certainty::{certainty_map, shares};
pub use farm_map::{FarmMap, farm_map};
pub use hatching::Grounds;
pub use landed::{landed_colors, landed_svg, small_landed_map};
pub use near::{has_access, has_layers};
pub use planning::{DrawnSurface, LegendEntry, MapLayer, PlanningMap};
pub use sampling::{SamplingMap, sampling_map};

use super::ReportError;
use super::letters::Letters;
use super::text::{kept_distance, short_rate, shortened};
use crate::field::Sample;
use crate::plan::{Plan, UnspreadPiece, ZoneRow};
use crate::soil::TierIndex;
use crate::units::{Area, Quantity, Rate, count};
use labels::{LabelKind, LabeledGround, Labels, Occupied};
use paper::{MapPaper, Room};
use piles::PileSign;
use svg::{Svg, escaped, parts, path};

/// As wide as a page's text, in pixels.
const WIDTH: f64 = 720.0;
/// The least and the greatest height.
const HEIGHT: (f64, f64) = (260.0, 520.0);
/// The least that a map takes with what stands above and below it.
pub const LEAST_HEIGHT: f64 = HEIGHT.0 + furniture::ABOVE + furniture::BELOW;
/// Room around the field, for labels on leader lines.
const BESIDE: f64 = 40.0;
/// How the ground of zones is drawn.
const GROUND: &str =
    "<g stroke=\"#222\" stroke-width=\"1\" stroke-linejoin=\"round\" fill-rule=\"evenodd\">";
/// Room around a map that is sent by itself, and for its title.
const MARGIN: f64 = 20.0;
const TITLE: f64 = 34.0;

/// The map with its title and legend, as SVG.
///
/// # Errors
/// When a position of the plan has no place on the map.
pub fn map_svg(plan: &Plan) -> Result<String, ReportError> {
    Map::new(plan, f64::INFINITY)?.by_itself()
}

/// The map of the zones, laid out.
pub struct Map<'a> {
    plan: &'a Plan,
    paper: MapPaper,
    field: MultiPolygon<f64>,
    zones: Vec<Polygon<f64>>,
    unspread: Vec<Polygon<f64>>,
    samples: Vec<Coord<f64>>,
    piles: Vec<PileSign>,
    entrance: Option<Coord<f64>>,
    labels: Labels,
    letters: Letters,
}

impl<'a> Map<'a> {
    /// Lays the map out, at most about so many pixels high with what stands around it.
    pub fn new(plan: &'a Plan, most: f64) -> Result<Self, ReportError> {
        let most = (most - furniture::ABOVE - furniture::BELOW).clamp(HEIGHT.0, HEIGHT.1);
        Self::in_room(plan, Room { width: WIDTH, height: (HEIGHT.0, most), free: BESIDE })
    }

    /// Lays the map out in some room.
    fn in_room(plan: &'a Plan, room: Room) -> Result<Self, ReportError> {
        let boundary = &plan.field.boundary;
        let paper = MapPaper::for_field(boundary, &room)
            .ok_or_else(|| ReportError::new("the field has no extent"))?;
        let letters = Letters::new().map_err(ReportError::new)?;
        let field = paper.parts(boundary.local());
        let zones = plan.zones.iter().map(|zone| &zone.polygon);
        let zones = paper.polygons(boundary, zones).map_err(ReportError::new)?;
        let unspread = plan.unspread.iter().map(|piece| &piece.polygon);
        let unspread = paper.polygons(boundary, unspread).map_err(ReportError::new)?;
        // A sample may lie outside the field, even outside the frame.
        let shown = |sample: &&Sample| paper.holds(paper.at(sample.position));
        let shown: Vec<&Sample> = plan.field.samples.iter().filter(shown).collect();
        let samples: Vec<Coord<f64>> =
            shown.iter().map(|sample| paper.at(sample.position)).collect();
        let piles = piles::piles(plan, &paper);
        let entrance = entrance(plan, &paper)?;
        let others = piles::dots(&piles).chain(near::dots(plan, &paper)).chain(entrance);
        let dots: Vec<Coord<f64>> = samples.iter().copied().chain(others).collect();
        let mut page = Occupied::new((paper.width, paper.height), &field, &dots, &letters);
        let rates = plan.zones.iter().zip(&zones).map(|(zone, ground)| LabeledGround {
            kind: LabelKind::Rate,
            text: short_rate(ZoneRow::of(plan, zone).rate),
            ground,
        });
        let keep_outs = largest(plan, &unspread);
        page.label(&rates.chain(keep_outs).collect::<Vec<_>>());
        if let Some(at) = entrance {
            page.point_to(LabelKind::Pile, "entrance".to_owned(), at, 10.0);
        }
        page.keep_off(near::lines(plan, &paper).chain(piles.iter().flat_map(PileSign::edge)));
        for pile in &piles {
            page.point_to(LabelKind::Pile, pile.text.clone(), pile.at, pile.clear_of());
        }
        for (name, at) in near::names(plan, &paper) {
            page.point_to(LabelKind::KeepOut, shortened(&name, labels::MOST_LETTERS), at, 0.0);
        }
        let cecs: Vec<String> = shown.iter().map(|sample| format!("{:.1}", sample.cec)).collect();
        page.write_beside(&cecs);
        let labels = page.into_labels();
        Ok(Self { plan, paper, field, zones, unspread, samples, piles, entrance, labels, letters })
    }

    /// How many zones carry no rate, because there is room neither in them nor beside the field.
    pub fn without_label(&self) -> usize {
        self.labels.without
    }

    /// The map for a page that says the rest.
    pub fn on_a_page(&self) -> Result<String, ReportError> {
        let height = furniture::ABOVE + self.paper.height + furniture::BELOW;
        let mut svg = self.opened(self.paper.width, height);
        svg.add(format_args!("<g transform=\"translate(0 {})\">", furniture::ABOVE));
        self.draw(&mut svg)?;
        svg.add(format_args!("</g>\n</svg>"));
        Ok(svg.into_text())
    }

    /// The map with title and legend.
    fn by_itself(&self) -> Result<String, ReportError> {
        let MapPaper { width, height, .. } = self.paper;
        let map = TITLE + furniture::ABOVE;
        let legend = map + height + furniture::BELOW + 14.0;
        let whole = legend
            + legend::height(self.plan, width, self.labels.without, &self.letters)
            + 2.0 * MARGIN;
        let mut svg = self.opened(width + 2.0 * MARGIN, whole);
        let name = legend::cut(&self.plan.settings.job, width, 22.0, &self.letters);
        svg.add(format_args!(
            "<path d=\"M0 0h{:.1}v{whole:.1}H0z\" fill=\"#fff\"/>\n<g transform=\"translate({MARGIN} {MARGIN})\">\n\
             <text y=\"22\" font-size=\"22\">{}</text>\n<g transform=\"translate(0 {map})\">",
            width + 2.0 * MARGIN,
            escaped(&name)
        ));
        self.draw(&mut svg)?;
        svg.add(format_args!("</g>\n<g transform=\"translate(0 {legend:.1})\">"));
        legend::draw(&mut svg, self.plan, width, self.labels.without, &self.letters);
        svg.add(format_args!("</g>\n</g>\n</svg>"));
        Ok(svg.into_text())
    }

    fn opened(&self, width: f64, height: f64) -> Svg {
        let title = format!("Map of the rate zones of {}", shortened(&self.plan.settings.job, 120));
        let mut svg = Svg::opened([width, height], "zones", &title, &self.told());
        Grounds::of(self.plan).define(&mut svg);
        svg
    }

    /// The map in words, for who cannot see it.
    fn told(&self) -> String {
        let system = self.plan.settings.system;
        let tiers = self.plan.tiers.iter().enumerate().map(|(i, (tier, amount))| {
            let zones = self.plan.zones_of(TierIndex::of(i)).count();
            let rate = short_rate(tier.rate.value_in(system));
            let (unit, area) = (Rate::unit(system).symbol(), Area::unit(system).plural());
            let zones = count(zones, "zone", "zones");
            format!("{rate} {unit} in {zones}, {:.2} {area}", amount.printed_area)
        });
        format!("{}.", tiers.collect::<Vec<_>>().join("; "))
    }

    fn draw(&self, svg: &mut Svg) -> Result<(), ReportError> {
        svg.add(format_args!("{GROUND}"));
        self.draw_zones(svg);
        self.draw_unspread(svg);
        svg.add(format_args!("</g>"));
        self.draw_outline(svg);
        near::draw(svg, self.plan, &self.paper);
        marks::samples(svg, &self.samples);
        marks::labels(svg, &self.labels.placed, &self.letters);
        piles::draw(svg, &self.piles);
        if let Some(at) = self.entrance {
            entrance::draw(svg, at);
        }
        self.draw_furniture(svg)
    }

    fn draw_zones(&self, svg: &mut Svg) {
        let system = self.plan.settings.system;
        for (zone, ground) in self.plan.zones.iter().zip(&self.zones) {
            let row = ZoneRow::of(self.plan, zone);
            svg.add(format_args!(
                "<path d=\"{}\" fill=\"{}\"><title>Zone {}: {} {}, {:.2} {}</title></path>",
                path([ground]),
                Grounds::fill(zone.tier.index()),
                row.zone,
                short_rate(row.rate),
                row.rate_unit,
                row.area,
                Area::unit(system).plural(),
            ));
        }
    }

    fn draw_unspread(&self, svg: &mut Svg) {
        for (piece, ground) in self.plan.unspread.iter().zip(&self.unspread) {
            svg.add(format_args!(
                "<path d=\"{}\" fill=\"url(#ground-0)\" stroke=\"#b3261e\" stroke-dasharray=\"5 3\">\
                 <title>Not spread: {}</title></path>",
                path([ground]),
                escaped(&shortened(&keep_out(self.plan, piece), 120)),
            ));
        }
    }

    fn draw_outline(&self, svg: &mut Svg) {
        svg.add(format_args!(
            "<path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"2.4\" stroke-linejoin=\"round\"/>",
            parts(&self.field)
        ));
    }

    fn draw_furniture(&self, svg: &mut Svg) -> Result<(), ReportError> {
        furniture::frame(svg, &self.paper);
        let frame = self.plan.field.boundary.frame();
        furniture::corners(svg, &self.paper, frame, &self.letters).map_err(ReportError::new)?;
        furniture::north(svg, &self.paper);
        furniture::scale_bar(svg, &self.paper, self.plan.settings.system);
        Ok(())
    }
}

/// Where trucks drive in, if it is known and on the map.
fn entrance(plan: &Plan, paper: &MapPaper) -> Result<Option<Coord<f64>>, ReportError> {
    let Some(at) = plan.settings.about.entrance else { return Ok(None) };
    let at = plan.field.boundary.frame().to_local(at).map_err(ReportError::new)?;
    Ok(Some(paper.at(at)).filter(|at| paper.holds(*at)))
}

/// The largest piece of each cause: it alone is labelled.
fn largest<'a>(plan: &Plan, grounds: &'a [Polygon<f64>]) -> Vec<LabeledGround<'a>> {
    let pieces = || plan.unspread.iter().zip(grounds);
    let causes = (0..plan.field.keep_outs.len()).filter_map(|cause| {
        let mine = pieces().filter(|(piece, _)| piece.keep_out == cause);
        mine.max_by(|a, b| a.1.unsigned_area().total_cmp(&b.1.unsigned_area()))
    });
    causes
        .map(|(piece, ground)| LabeledGround {
            kind: LabelKind::KeepOut,
            text: keep_out(plan, piece),
            ground,
        })
        .collect()
}

/// A keep-out in words: its distance, then what it is kept from.
fn keep_out(plan: &Plan, piece: &UnspreadPiece) -> String {
    format!("{} from {}", kept_distance(piece.distance, plan.settings.system), piece.why)
}
