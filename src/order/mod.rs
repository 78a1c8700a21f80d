//! From the map to the order: tons of product, deliveries, loads of the spreader, hours, money.
//!
//! Masses stay exact here; what is rounded up to whole trucks is rounded once, for a field or for
//! the sum of several ([`Trucks`]).

mod basis;
mod deliveries;
mod hours;
mod loads;
mod money;
mod tons;
mod trucks;
mod variation;

pub use basis::{Product, RateBasis};
pub use deliveries::{AtPile, Delivery, whole_loads};
use deliveries::{at_piles, deliveries, send};
pub use hours::{Driving, HOUR_DECIMALS, Hours};
pub use loads::{Fill, FillLimit, FirstLoads, Loads};
pub use money::{Cost, Money, Prices, SpreadingPer};
pub use tons::{Need, OrderExtra};
pub use trucks::Trucks;
pub use variation::Variation;

use crate::units::{Area, Length, Mass, Share};

/// What an order is made by.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OrderSettings {
    /// What the tiers' rates are tons of, as the job writes them.
    pub basis: RateBasis,
    /// What is in the product, if it is known.
    pub product: Option<Product>,
    /// What is ordered beside what is spread.
    pub extra: OrderExtra,
    /// The legal payload of a road truck.
    pub delivery: Option<Mass>,
    /// The margin that is enough to do with one truck less; trucks bring all that is ordered when none.
    pub least_margin: Option<Share>,
    /// How far machine and material stray.
    pub variation: Variation,
    /// How the spreader is filled.
    pub fill: Option<Fill>,
    /// How it is driven.
    pub driving: Option<Driving>,
    /// What it costs.
    pub prices: Prices,
}

impl OrderSettings {
    /// The product, where the job's rates are pure gypsum.
    #[must_use]
    pub fn pure(&self) -> Option<Product> {
        self.product.filter(|_| self.basis == RateBasis::PureGypsum)
    }

    /// The trucks for a need; none without a payload.
    #[must_use]
    pub fn trucks(&self, need: &Need) -> Option<Trucks> {
        self.delivery.map(|payload| Trucks::new(need, payload, self.least_margin))
    }
}

/// What is to be spread on a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The product as planned.
    pub mass: Mass,
    /// The area that takes any.
    pub area: Area,
    /// The product at one rate for the whole field.
    pub flat_mass: Mass,
    /// The whole field but what is kept out.
    pub field: Area,
    /// The product of each zone, by number.
    pub zones: Vec<Mass>,
    /// The product that is spread from each pile, by number; empty where no piles are placed.
    pub piles: Vec<Mass>,
    /// How far a ton is carried from its pile on average, where piles have places.
    pub way: Option<Length>,
    /// How wide each part of the field is across the passes.
    pub across: Vec<Length>,
}

/// The order of a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// For the map as planned.
    pub planned: Need,
    /// What this map takes, at the least and at the most (4 in 5), by what is known of machine and
    /// material; no margin is in it.
    pub range: Option<[Need; 2]>,
    /// How many trucks, and what one less would leave; none without a payload.
    pub trucks: Option<Trucks>,
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
    /// What the map's tons cost spread evenly over the whole field, if there are prices.
    pub even: Option<Cost>,
}

impl Order {
    /// The order for what is to be spread.
    #[must_use]
    pub fn new(spread: &Spread, settings: &OrderSettings) -> Self {
        let need = |mass: Mass| Need::new(mass, settings.extra);
        let planned = need(spread.mass);
        let trucks = settings.trucks(&planned);
        let mut deliveries = trucks
            .zip(settings.delivery)
            .map_or_else(Vec::new, |(trucks, payload)| deliveries(trucks.count, payload));
        send(&mut deliveries, &spread.piles);
        let piles = at_piles(&deliveries, &spread.piles, settings.extra.loss);
        let loads = settings.fill.map(|fill| Loads::new(fill, spread.mass, &spread.zones));
        let hours = settings.driving.zip(loads.as_ref()).map(|(driving, loads)| {
            Hours::new(driving, spread.area, &spread.across, loads.count, spread.way)
        });
        let fills = loads.as_ref().map_or(1, |loads| loads.count);
        let range = settings.variation.ends(spread.mass, settings.extra, settings.product, fills);
        let cost = |mass, area| Cost::new(settings.prices, &need(mass), area);
        // Nothing is driven over for a rate of 0.
        let driven = |mass| if mass > Mass::ZERO { spread.field } else { Area::ZERO };
        Self {
            range,
            variable: cost(spread.mass, spread.area),
            flat: cost(spread.flat_mass, driven(spread.flat_mass)),
            even: cost(spread.mass, driven(spread.mass)),
            planned,
            trucks,
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
