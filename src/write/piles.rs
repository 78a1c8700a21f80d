//! `piles.geojson`, `pile_area.geojson` and the piles of `totals.json`.

use geojson::{Feature, FeatureCollection, GeoJson, Geometry, GeometryValue, JsonObject};
use serde_json::{Value, json};

use super::geojson::rings;
use super::in_units::area;
use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::geometry::geodesic_area;
use crate::plan::{Plan, printed_tons, printed_zones};
use crate::stockpile::{Clearance, Pile, Spot};
use crate::tonnage::AREA_DECIMALS;
use crate::totals::{self, InUnits};
use crate::units::{Density, Haul, Length, Quantity, System, round_to};

/// The files that say where the material lies, and nothing of what is spread.
pub const PILE_FILES: [&str; 2] = ["piles.geojson", "pile_area.geojson"];

/// Decimals of a written distance: a hundredth of a foot.
const LENGTH_DECIMALS: u32 = 2;
/// Decimals of written travel.
const HAUL_DECIMALS: u32 = 3;

/// The piles and the ground on which they may lie.
#[expect(clippy::unnecessary_wraps, reason = "every format has this type")]
pub(super) fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    Ok(pile_files(plan))
}

/// `piles.geojson` and `pile_area.geojson`; nothing where no piles are asked for.
#[must_use]
pub fn pile_files(plan: &Plan) -> Vec<OutputFile> {
    let Some(stockpile) = &plan.stockpile else { return Vec::new() };
    let tons = printed_tons(plan, stockpile);
    let points = stockpile.piles.iter().zip(tons).map(|(pile, tons)| {
        let coordinates = [pile.spot.wgs84.x, pile.spot.wgs84.y].into();
        feature(GeometryValue::Point { coordinates }, &pile_properties(plan, pile, tons))
    });
    let system = plan.settings.system;
    let areas = stockpile.allowed.iter().map(|polygon| {
        let [name, _] = amount_names(system);
        let area = round_to(geodesic_area(polygon).value_in(system), AREA_DECIMALS);
        feature(rings(polygon), &json!({ name: area }))
    });
    let [of_piles, of_area] = PILE_FILES;
    vec![
        OutputFile::new(of_piles, collection(points.collect())),
        OutputFile::new(of_area, collection(areas.collect())),
    ]
}

pub(super) fn feature(geometry: GeometryValue, properties: &Value) -> Feature {
    let properties: Option<JsonObject> = properties.as_object().cloned();
    Feature { geometry: Some(Geometry::new(geometry)), properties, ..Feature::default() }
}

pub(super) fn collection(features: Vec<Feature>) -> String {
    let collection = FeatureCollection { features, bbox: None, foreign_members: None };
    GeoJson::from(collection).to_string() + "\n"
}

fn pile_properties(plan: &Plan, pile: &Pile, tons: f64) -> Value {
    let system = plan.settings.system;
    let [_, mass] = amount_names(system);
    let nearest = pile.spot.tightest();
    json!({
        "pile": pile.number,
        mass: tons,
        "width": length(pile.cone.width(), system),
        "height": length(pile.cone.height, system),
        "loaded_travel": haul(pile.travel, system),
        "loaded_travel_unit": Haul::unit(system).symbol(),
        "tightest_setback": nearest.map(|clearance| &clearance.why),
        "found": nearest.and_then(|clearance| clearance.found).map(|found| length(found, system)),
        "asked": nearest.map(|clearance| length(clearance.asked, system)),
        "length_unit": Length::unit(system).symbol(),
    })
}

fn length(length: Length, system: System) -> f64 {
    round_to(length.value_in(system), LENGTH_DECIMALS)
}

fn haul(haul: Haul, system: System) -> f64 {
    round_to(haul.value_in(system), HAUL_DECIMALS)
}

/// The piles, where they may lie and what became of a named place; none where none are asked for.
#[must_use]
pub fn pile_totals(plan: &Plan) -> Option<totals::Stockpile> {
    let stockpile = plan.stockpile.as_ref()?;
    let system = plan.settings.system;
    let tons = printed_tons(plan, stockpile);
    let piles = stockpile.piles.iter().zip(tons).map(|(pile, tons)| {
        let zones = printed_zones(plan, pile, tons).into_iter();
        let zones =
            zones.map(|(zone, tons)| totals::PileZone { zone, mass: InUnits::new(tons, system) });
        totals::Pile {
            pile: pile.number,
            mass: InUnits::new(tons, system),
            width: length(pile.cone.width(), system),
            height: length(pile.cone.height, system),
            loaded_travel: haul(pile.travel, system),
            spot: spot(&pile.spot, system),
            zones: zones.collect(),
        }
    });
    let named = stockpile.named.as_ref().map(|named| totals::NamedPlace {
        allowed: named.spot.is_allowed(),
        faults: named.spot.faults(system),
        loaded_travel: haul(named.travel, system),
        loaded_travel_from_best: named.best.map(|best| haul(best, system)),
        spot: spot(&named.spot, system),
    });
    Some(totals::Stockpile {
        heap: heap(plan),
        allowed: totals::Allowed { area: area(stockpile.allowed_area(), system) },
        piles: piles.collect(),
        loaded_travel: haul(stockpile.travel(), system),
        loaded_travel_unit: Haul::unit(system).symbol().to_owned(),
        length_unit: Length::unit(system).symbol().to_owned(),
        named_place: named,
        nearest_miss: stockpile.nearest_miss.as_ref().map(|miss| spot(miss, system)),
    })
}

/// What the size of piles is taken from.
fn heap(plan: &Plan) -> totals::Heap {
    let heap = plan.settings.piles.map(|asked| asked.heap).unwrap_or_default();
    let system = plan.settings.system;
    totals::Heap {
        bulk_density: round_to(heap.density.value_in(system), 2),
        bulk_density_unit: Density::unit(system).symbol().to_owned(),
        repose_degrees: round_to(heap.repose.as_degrees(), 2),
    }
}

fn spot(spot: &Spot, system: System) -> totals::Spot {
    let clearance = |clearance: &Clearance| totals::Clearance {
        why: clearance.why.clone(),
        asked: length(clearance.asked, system),
        found: clearance.found.map(|found| length(found, system)),
        stated: clearance.is_stated,
    };
    totals::Spot {
        longitude: spot.wgs84.x,
        latitude: spot.wgs84.y,
        setbacks: spot.setbacks.iter().map(clearance).collect(),
        access: spot.access.as_ref().map(clearance),
        outside_field: length(spot.outside, system),
        kept_out: spot.kept_out.clone(),
    }
}
