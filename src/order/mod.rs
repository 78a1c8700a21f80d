//! From the map to the order: tons of product, deliveries, loads of the spreader, hours, money.
//!
//! Masses stay exact here; what is rounded up to whole trucks is rounded once, for a field or for
//! the sum of several ([`deliveries`]).

mod basis;
mod deliveries;
mod hours;
mod loads;
mod money;
mod tons;

pub use basis::{Product, RateBasis};
pub use deliveries::{AtPile, Delivery, deliveries, whole_loads};
use deliveries::{at_piles, send};
pub use hours::{Driving, HOUR_DECIMALS, Hours};
pub use loads::{Bound, Fill, FirstLoads, Loads};
pub use money::{Cost, Money, Prices, SpreadingPer};
pub use tons::{Extra, Need};

use crate::units::{Area, Length, Mass};

/// What an order is made by.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OrderSettings {
    /// What the tiers' rates are tons of, as the job writes them.
    pub basis: RateBasis,
    /// What is in the product, if it is known.
    pub product: Option<Product>,
    /// What is ordered beside what is spread.
    pub extra: Extra,
    /// The legal payload of a road truck.
    pub delivery: Option<Mass>,
    /// How the spreader is filled.
    pub fill: Option<Fill>,
    /// How it is driven.
    pub driving: Option<Driving>,
    /// What it costs.
    pub prices: Prices,
}

/// What is to be spread on a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The product as planned.
    pub mass: Mass,
    /// The area that takes any.
    pub area: Area,
    /// The least and the most that all ground at the rate its soil calls for would take, with 80 % probability.
    pub range: Option<[Mass; 2]>,
    /// The product at one rate for the whole field.
    pub flat_mass: Mass,
    /// The area that takes any of that.
    pub flat_area: Area,
    /// The product of each zone, by number.
    pub zones: Vec<Mass>,
    /// The product that is spread from each pile, by number; empty where no piles are placed.
    pub piles: Vec<Mass>,
    /// How wide each part of the field is across the passes.
    pub across: Vec<Length>,
}

/// The order of a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// For the map as planned.
    pub planned: Need,
    /// For the least and the most that all ground at the rate its soil calls for would take.
    pub range: Option<[Need; 2]>,
    /// The trucks for the map as planned; none without a payload.
    pub deliveries: Vec<Delivery>,
    /// What the trucks bring to each pile, by number; empty without trucks or piles.
    pub piles: Vec<AtPile>,
    /// The fills of the spreader.
    pub loads: Option<Loads>,
    /// The time that spreading takes.
    pub hours: Option<Hours>,
    /// What the map costs, if there are prices.
    pub variable: Option<Cost>,
    /// What one rate for the whole field costs, if there are prices.
    pub flat: Option<Cost>,
}

impl Order {
    /// The order for what is to be spread.
    #[must_use]
    pub fn new(spread: &Spread, settings: &OrderSettings) -> Self {
        let need = |mass: Mass| Need::new(mass, settings.extra);
        let planned = need(spread.mass);
        let payload = settings.delivery;
        let mut deliveries =
            payload.map_or_else(Vec::new, |load| deliveries(planned.ordered, load));
        send(&mut deliveries, &spread.piles);
        let piles = at_piles(&deliveries, &spread.piles, settings.extra.loss);
        let loads = settings.fill.map(|fill| Loads::new(fill, spread.mass, &spread.zones));
        let hours = settings
            .driving
            .zip(loads.as_ref())
            .map(|(driving, loads)| Hours::new(driving, spread.area, &spread.across, loads.count));
        let cost = |mass, area| Cost::new(settings.prices, &need(mass), area);
        Self {
            range: spread.range.map(|ends| ends.map(need)),
            variable: cost(spread.mass, spread.area),
            flat: cost(spread.flat_mass, spread.flat_area),
            planned,
            deliveries,
            piles,
            loads,
            hours,
        }
    }

    /// What all trucks bring; nothing without a payload.
    #[must_use]
    pub fn delivered(&self) -> Mass {
        self.deliveries.iter().map(|delivery| delivery.mass).sum()
    }
}

#[cfg(test)]
mod tests;
