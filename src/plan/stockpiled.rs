use super::Plan;
use crate::geometry::Coverage;
use crate::order::{Need, whole_loads};
use crate::stockpile::{Spot, Stockpile, StockpileError, Supply, place};
use crate::units::Mass;
use crate::warning::Warning;

/// The piles that a plan's settings ask for. Zone `i` is the coverage's face `faces[i]`.
pub(super) fn stockpile(
    plan: &Plan,
    faces: &[usize],
    coverage: &Coverage,
) -> Result<Option<Stockpile>, StockpileError> {
    let Some(asked) = &plan.settings.piles else { return Ok(None) };
    let site = plan.field.site.clone().unwrap_or_default();
    let polygons = faces.iter().filter_map(|face| coverage.faces.get(*face));
    let polygons = polygons.map(|face| coverage.plane_polygon(face));
    let masses = plan.zones.iter().map(|zone| zone.amount.mass);
    let zones: Vec<_> = polygons.zip(masses).collect();
    let supply = supply(plan);
    place(&plan.field, &site, &zones, asked, &supply, plan.settings.system).map(Some)
}

/// What is brought to the field: what is ordered, in whole trucks; without an order what is spread.
fn supply(plan: &Plan) -> Supply {
    let spread = plan.total.mass;
    let Some(order) = &plan.settings.order else { return Supply { mass: spread, truck: None } };
    let ordered = Need::new(spread, order.extra).ordered;
    let brought = |truck: Mass| truck * whole_loads(ordered, truck) as f64;
    Supply { mass: order.delivery.map_or(ordered, brought), truck: order.delivery }
}

/// That there is no place for a pile, or that a named one is not allowed.
pub(super) fn warnings(plan: &Plan) -> Vec<Warning> {
    let Some(stockpile) = &plan.stockpile else { return Vec::new() };
    let faults = |spot: &Spot| spot.faults(plan.settings.system);
    let named = stockpile.named.iter().map(|named| &named.spot);
    let refused = named.filter(|spot| !spot.is_allowed()).map(|spot| {
        let best_used = !stockpile.piles.is_empty();
        Warning::PilePlaceRefused { faults: faults(spot), best_used }
    });
    let nowhere =
        stockpile.nearest_miss.iter().map(|spot| Warning::NoPilePlace { faults: faults(spot) });
    refused.chain(nowhere).collect()
}
