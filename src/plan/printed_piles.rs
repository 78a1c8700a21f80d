//! What lies in each pile as printed.

use super::Plan;
use crate::stockpile::{Pile, Stockpile};
use crate::tonnage::MASS_DECIMALS;
use crate::units::{Mass, Quantity, apportion};

/// The tons of each pile as printed: they add up to the field's.
pub fn printed_tons(plan: &Plan, stockpile: &Stockpile) -> Vec<f64> {
    let system = plan.settings.system;
    let exact: Vec<f64> = stockpile.piles.iter().map(|pile| pile.mass.value_in(system)).collect();
    apportion(&exact, plan.total.printed_mass, MASS_DECIMALS)
}

/// What each zone takes from a pile as printed: it adds up to the pile's tons.
pub fn printed_zones(plan: &Plan, pile: &Pile, tons: f64) -> Vec<(usize, f64)> {
    let value = |(_, mass): &(usize, Mass)| mass.value_in(plan.settings.system);
    let exact: Vec<f64> = pile.zones.iter().map(value).collect();
    let printed = apportion(&exact, tons, MASS_DECIMALS);
    let numbers = pile.zones.iter().filter_map(|(zone, _)| plan.zones.get(*zone));
    numbers.map(|zone| zone.number).zip(printed).collect()
}
