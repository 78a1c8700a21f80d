use super::Settings;
use super::amounts::ZoneAmounts;
use crate::field::Field;
use crate::geometry::Coverage;
use crate::order::Need;
use crate::stockpile::{Spot, Stockpile, StockpileError, Supply, place};
use crate::units::{Mass, System};
use crate::warning::Warning;

/// The piles that a plan's settings ask for.
pub(super) fn stockpile(
    field: &Field,
    settings: &Settings,
    amounts: &ZoneAmounts,
    coverage: &Coverage,
) -> Result<Option<Stockpile>, StockpileError> {
    let Some(asked) = &settings.piles else { return Ok(None) };
    let site = field.site.clone().unwrap_or_default();
    let polygons = amounts.faces.iter().filter_map(|face| coverage.face(*face));
    let polygons = polygons.map(|face| coverage.plane_polygon(face));
    let masses = amounts.zones.iter().map(|zone| zone.amount.mass);
    let zones: Vec<_> = polygons.zip(masses).collect();
    let supply = supply(settings, amounts.total.mass);
    place(field, &site, &zones, asked, &supply, settings.system).map(Some)
}

/// What is brought to the field: what is ordered, in whole trucks; without an order what is spread.
fn supply(settings: &Settings, spread: Mass) -> Supply {
    let Some(order) = &settings.order else { return Supply { mass: spread, truck: None } };
    let need = Need::new(spread, order.extra);
    let brought = order.trucks(&need).zip(order.delivery);
    let brought = brought.map(|(trucks, payload)| payload * trucks.count as f64);
    Supply { mass: brought.unwrap_or(need.ordered), truck: order.delivery }
}

/// That there is no place for a pile, or that a named one is not allowed.
pub(super) fn warnings(stockpile: &Stockpile, system: System) -> Vec<Warning> {
    let faults = |spot: &Spot| spot.faults(system);
    let named = stockpile.named.iter().map(|named| &named.spot);
    let refused = named.filter(|spot| !spot.is_allowed()).map(|spot| {
        let best_used = !stockpile.piles.is_empty();
        Warning::PilePlaceRefused { faults: faults(spot), best_used }
    });
    let nowhere =
        stockpile.nearest_miss.iter().map(|spot| Warning::NoPilePlace { faults: faults(spot) });
    refused.chain(nowhere).collect()
}
