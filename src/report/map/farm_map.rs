//! The map of a farm: its fields with their rates, piles and entrances, for whoever drives there.

use geo::{
    Area as _, BoundingRect, Coord, CoordsIter, Intersects, LineString, MultiPolygon, Polygon, Rect,
};

use super::entrance;
use super::hatching::Grounds;
use super::labels::{LabelKind, LabeledGround, MOST_LETTERS, Occupied};
use super::paper::{MapPaper, Room};
use super::piles::PileSign;
use super::svg::{Svg, path};
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

/// How many times larger than the ways between them fields are drawn, as far as there is room.
const TIMES: [f64; 9] = [12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0];
/// Room between fields, in pixels, for their names.
const APART: f64 = 26.0;

/// The map of a farm.
pub struct FarmMap {
    pub svg: String,
    /// How many times larger than the ways between them the fields are drawn.
    pub times: f64,
}

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
pub fn farm_map(totals: &FarmTotals) -> Result<Option<FarmMap>, ReportError> {
    let Some((paper, fields, times)) = on_paper(totals) else { return Ok(None) };
    let letters = Letters::new()?;
    let grounds = MultiPolygon(all_grounds(&fields).cloned().collect());
    let signs: Vec<PileSign> = fields.iter().flat_map(|field| pile_signs(field, totals)).collect();
    let entrances: Vec<Coord<f64>> = fields.iter().filter_map(|field| field.map.entrance).collect();
    let dots: Vec<Coord<f64>> = piles::dots(&signs).chain(entrances.iter().copied()).collect();
    let mut page = Occupied::new((paper.width, paper.height), &grounds, &dots, &letters);
    let subjects = fields.iter().filter_map(|field| {
        let polygons = field.map.zones.iter().flat_map(|zone| &zone.ground);
        let ground = polygons.max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
        Some(LabeledGround {
            kind: LabelKind::Field,
            text: shortened(&field.figures.job, MOST_LETTERS),
            ground,
        })
    });
    page.label(&subjects.collect::<Vec<_>>());
    let labels = page.into_labels();

    let height = furniture::ABOVE + paper.height + furniture::BELOW;
    let title = format!("Map of the fields of {}", shortened(&totals.farm, 120));
    let mut svg = Svg::opened([paper.width, height], "zones", &title, &told(&fields, totals));
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
    Ok(Some(FarmMap { svg: svg.into_text(), times }))
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
fn on_paper(totals: &FarmTotals) -> Option<(MapPaper, Vec<FieldOnPaper<'_>>, f64)> {
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
    let paper = MapPaper::for_extent(extent(&maps.iter().collect::<Vec<_>>())?, &room)?;
    let maps = maps.iter().map(|map| map.moved(|at| Some(paper.at(at))));
    let maps = maps.collect::<Option<Vec<FieldMap>>>()?;
    let boxes = maps.iter().map(|map| extent(&[map])).collect::<Option<Vec<Rect<f64>>>>()?;
    let times = TIMES.into_iter().find(|times| has_room(&boxes, *times, &paper)).unwrap_or(1.0);
    let figures = planned.into_iter().map(|(figures, _)| figures);
    let fields = figures.zip(maps).zip(boxes).filter_map(|((figures, map), area)| {
        let middle = area.center();
        let mut map = map.moved(|at| Some(middle + (at - middle) * times))?;
        map.entrance = map.entrance.filter(|at| paper.holds(*at));
        Some(FieldOnPaper { figures, map })
    });
    Some((paper, fields.collect(), times))
}

/// Whether fields so many times as large leave each other and the frame room.
fn has_room(boxes: &[Rect<f64>], times: f64, paper: &MapPaper) -> bool {
    let grown = |area: &Rect<f64>| {
        let half = Coord { x: area.width(), y: area.height() } * (times / 2.0);
        let half = half + Coord { x: APART / 2.0, y: APART / 2.0 };
        Rect::new(area.center() - half, area.center() + half)
    };
    let boxes: Vec<Rect<f64>> = boxes.iter().map(grown).collect();
    let inside = |area: &Rect<f64>| paper.holds(area.min()) && paper.holds(area.max());
    let apart = |(number, one): (usize, &Rect<f64>)| {
        boxes.iter().skip(number + 1).all(|other| !one.intersects(other))
    };
    boxes.iter().all(inside) && boxes.iter().enumerate().all(apart)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: boxes of 10 by 10 whose middles are 100 apart, with 26 between them, grow to 74.
    #[test]
    fn fields_grow_until_they_would_meet() {
        let square = |x: f64| {
            let (at, half) = (Coord { x, y: 200.0 }, Coord { x: 5.0, y: 5.0 });
            Rect::new(at - half, at + half)
        };
        let frame = Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 640.0, y: 350.0 });
        let room = Room { width: WIDTH, height: HEIGHT, free: BESIDE };
        let paper = MapPaper::for_extent(frame, &room).unwrap();
        let boxes = [square(300.0), square(400.0)];
        assert!(has_room(&boxes, 7.0, &paper) && !has_room(&boxes, 8.0, &paper));
        assert!(!has_room(&[square(20.0)], 5.0, &paper), "the frame");
    }
}
