//! The map of a farm: its fields with their rates, piles and entrances, for whoever drives there.

use geo::{Area as _, BoundingRect, Coord, CoordsIter, LineString, MultiPolygon, Polygon};

use super::entrance;
use super::hatching::Grounds;
use super::labels::{Kind, MOST_LETTERS, Page, Subject};
use super::paper::{Paper, Room};
use super::piles::PileSign;
use super::svg::{Svg, escaped, path};
use super::{BESIDE, WIDTH, furniture, marks, piles};
use crate::farm::{FarmTotals, FieldMap, Figures};
use crate::geometry::Frame;
use crate::report::ReportError;
use crate::report::letters::Letters;
use crate::report::text::shortened;
use crate::soil::Tier;
use crate::units::{Area, Mass, Quantity, Rate};

/// The least and the greatest height: the tables share the page with it.
const HEIGHT: (f64, f64) = (180.0, 430.0);

/// A planned field on paper.
struct FieldOnPaper<'a> {
    figures: &'a Figures,
    map: FieldMap,
}

/// The map of a farm's fields; none where nothing is planned, or the fields lie too far from each other
/// for one sheet.
///
/// # Errors
/// When the letters are damaged.
pub fn farm_map(totals: &FarmTotals) -> Result<Option<String>, ReportError> {
    let Some((paper, fields)) = on_paper(totals) else { return Ok(None) };
    let letters = Letters::new()?;
    let grounds = MultiPolygon(all_grounds(&fields).cloned().collect());
    let signs: Vec<PileSign> = fields.iter().flat_map(|field| pile_signs(field, totals)).collect();
    let entrances: Vec<Coord<f64>> = fields.iter().filter_map(|field| field.map.entrance).collect();
    let dots: Vec<Coord<f64>> = piles::dots(&signs).chain(entrances.iter().copied()).collect();
    let mut page = Page::new((paper.width, paper.height), &grounds, &dots, &letters);
    let subjects = fields.iter().filter_map(|field| {
        let polygons = field.map.zones.iter().flat_map(|zone| &zone.ground);
        let ground = polygons.max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
        Some(Subject {
            kind: Kind::Field,
            text: shortened(&field.figures.job, MOST_LETTERS),
            ground,
        })
    });
    page.label(&subjects.collect::<Vec<_>>());
    let labels = page.into_labels();

    let mut svg = Svg::default();
    let (width, height) = (paper.width, furniture::ABOVE + paper.height + furniture::BELOW);
    svg.add(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" \
         width=\"{width:.0}\" height=\"{height:.0}\" role=\"img\" aria-labelledby=\"zones-title zones-told\" \
         font-family=\"'DejaVu Sans', Verdana, sans-serif\" fill=\"#111\">\n\
         <title id=\"zones-title\">Map of the fields of {}</title>\n\
         <desc id=\"zones-told\">{}</desc>",
        escaped(&shortened(&totals.farm, 120)),
        escaped(&told(&fields, totals)),
    ));
    Grounds::of_tiers(&tiers(totals)).define(&mut svg);
    svg.add(format_args!("<g transform=\"translate(0 {})\">", furniture::ABOVE));
    svg.add(format_args!(
        "<g stroke=\"#222\" stroke-width=\".7\" stroke-linejoin=\"round\" fill-rule=\"evenodd\">"
    ));
    for field in &fields {
        for zone in &field.map.zones {
            let tier = zone.tier.and_then(|tier| farm_tier(field.figures, tier, totals));
            let fill = tier.map_or_else(|| "url(#ground-0)".to_owned(), Grounds::fill);
            svg.add(format_args!("<path d=\"{}\" fill=\"{fill}\"/>", path(&zone.ground)));
        }
    }
    svg.add(format_args!("</g>"));
    marks::labels(&mut svg, &labels.placed, &letters);
    piles::draw(&mut svg, &signs);
    for at in entrances {
        entrance::draw(&mut svg, at);
    }
    furniture::frame(&mut svg, &paper);
    furniture::north(&mut svg, &paper);
    furniture::scale_bar(&mut svg, &paper, totals.system);
    svg.add(format_args!("</g>\n</svg>"));
    Ok(Some(svg.into_text()))
}

/// The farm's tiers, as its table of rates lists them.
fn tiers(totals: &FarmTotals) -> Vec<Tier> {
    let unit = Rate::unit(totals.system).si;
    let tier =
        |label: &str, rate: f64| Tier { label: label.to_owned(), rate: Rate::from_si(rate * unit) };
    totals.tiers.iter().map(|of| tier(&of.label, of.rate)).collect()
}

/// Which of the farm's tiers a field's is.
fn farm_tier(figures: &Figures, tier: usize, totals: &FarmTotals) -> Option<usize> {
    let own = figures.tiers.get(tier)?;
    totals.tiers.iter().position(|of| of.label == own.label && of.rate == own.rate)
}

fn pile_signs<'a>(
    field: &'a FieldOnPaper<'_>,
    totals: &'a FarmTotals,
) -> impl Iterator<Item = PileSign> + use<'a> {
    let unit = Mass::unit(totals.system).plural();
    field.map.piles.iter().map(move |pile| PileSign {
        at: pile.at,
        radius: 0.0,
        text: format!("{}, pile {}: {:.0} {unit}", field.figures.job, pile.number, pile.mass),
    })
}

/// The map in words, for who cannot see it.
fn told(fields: &[FieldOnPaper<'_>], totals: &FarmTotals) -> String {
    let (area, mass) = (Area::unit(totals.system).plural(), Mass::unit(totals.system).plural());
    let of = |field: &FieldOnPaper<'_>| {
        let Figures { job, area: on, mass: tons, .. } = field.figures;
        format!("{job}: {tons:.2} {mass} on {on:.2} {area}")
    };
    format!("{}.", fields.iter().map(of).collect::<Vec<_>>().join("; "))
}

fn all_grounds<'a>(fields: &'a [FieldOnPaper<'_>]) -> impl Iterator<Item = &'a Polygon<f64>> {
    fields.iter().flat_map(|field| &field.map.zones).flat_map(|zone| &zone.ground)
}

/// Puts the fields on paper, in pixels; none where there are none, or one is out of reach.
fn on_paper(totals: &FarmTotals) -> Option<(Paper, Vec<FieldOnPaper<'_>>)> {
    let planned = totals.fields.iter().filter_map(|field| {
        let figures = field.figures.as_ref().ok().filter(|_| !field.map.zones.is_empty())?;
        Some((figures, &field.map))
    });
    let planned: Vec<(&Figures, &FieldMap)> = planned.collect();
    let extent = |maps: &[&FieldMap]| {
        let zones = maps.iter().flat_map(|map| &map.zones);
        let places = zones.flat_map(|zone| zone.ground.coords_iter());
        places.collect::<LineString<f64>>().bounding_rect()
    };
    let maps: Vec<&FieldMap> = planned.iter().map(|(_, map)| *map).collect();
    let frame = Frame::around(extent(&maps)?.center());
    let local = |map: &FieldMap| map.moved(|at| frame.to_local(at).ok());
    let maps = maps.into_iter().map(local).collect::<Option<Vec<FieldMap>>>()?;
    let room = Room { width: WIDTH, height: HEIGHT, free: BESIDE };
    let paper = Paper::for_extent(extent(&maps.iter().collect::<Vec<_>>())?, &room)?;
    let figures = planned.into_iter().map(|(figures, _)| figures);
    let fields = figures.zip(maps).filter_map(|(figures, map)| {
        let mut map = map.moved(|at| Some(paper.at(at)))?;
        map.entrance = map.entrance.filter(|at| paper.holds(*at));
        Some(FieldOnPaper { figures, map })
    });
    Some((paper, fields.collect()))
}
