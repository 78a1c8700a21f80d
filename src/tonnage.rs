//! Acres and tons: per zone, per tier, for the field, with printed figures that add up.

use crate::units::{Area, Mass, Quantity, Rate, System, apportion, round_to};

/// Decimals of a printed area: 0.01 ac or ha.
pub const AREA_DECIMALS: u32 = 2;
/// Decimals of a printed mass: 0.01 ton or t.
pub const MASS_DECIMALS: u32 = 2;
/// Decimals of a written rate: under a pound an acre.
pub const RATE_DECIMALS: u32 = 4;

/// An area and what is spread on it, exact and as printed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amount {
    /// The area on the ellipsoid.
    pub area: Area,
    /// The material for it.
    pub mass: Mass,
    /// The area as printed, in acres or hectares.
    pub printed_area: f64,
    /// The mass as printed, in tons or tonnes.
    pub printed_mass: f64,
}

/// The amounts of a field, each level adding up to the one above it as printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Tonnage {
    /// Per zone, in the order given.
    pub zones: Vec<Amount>,
    /// Per tier, from the lowest.
    pub tiers: Vec<Amount>,
    /// For the field.
    pub total: Amount,
}

/// Adds up zones, given as (tier, area), at the tiers' rates.
///
/// The field's printed figures are its exact ones rounded; the tiers' are apportioned to those, and
/// each tier's zones to the tier's, by largest remainder.
#[must_use]
pub fn tonnage(zones: &[(usize, Area)], rates: &[Rate], system: System) -> Tonnage {
    let rate = |tier: usize| rates.get(tier).copied().unwrap_or(Rate::ZERO);
    let mut zone_amounts: Vec<Amount> = zones
        .iter()
        .map(|&(tier, area)| Amount { area, mass: rate(tier) * area, ..Amount::default() })
        .collect();
    let of_tier =
        |tier: usize| move |(i, &(t, _)): (usize, &(usize, Area))| (t == tier).then_some(i);
    let members: Vec<Vec<usize>> = (0..rates.len())
        .map(|tier| zones.iter().enumerate().filter_map(of_tier(tier)).collect())
        .collect();
    let mut tiers: Vec<Amount> = members
        .iter()
        .map(|members| sum(members.iter().filter_map(|&i| zone_amounts.get(i))))
        .collect();
    let mut total = sum(tiers.iter());
    total.printed_area = round_to(total.area.value_in(system), AREA_DECIMALS);
    total.printed_mass = round_to(total.mass.value_in(system), MASS_DECIMALS);
    share(&mut tiers.iter_mut().collect::<Vec<_>>(), &total, system);
    for (members, tier) in members.iter().zip(&tiers) {
        let mut parts: Vec<&mut Amount> = Vec::new();
        for (i, amount) in zone_amounts.iter_mut().enumerate() {
            if members.binary_search(&i).is_ok() {
                parts.push(amount);
            }
        }
        share(&mut parts, tier, system);
    }
    Tonnage { zones: zone_amounts, tiers, total }
}

fn sum<'a>(amounts: impl Iterator<Item = &'a Amount> + Clone) -> Amount {
    Amount {
        area: amounts.clone().map(|amount| amount.area).sum(),
        mass: amounts.map(|amount| amount.mass).sum(),
        ..Amount::default()
    }
}

/// Prints the parts so that they add up to the printed whole.
fn share(parts: &mut [&mut Amount], whole: &Amount, system: System) {
    let areas: Vec<f64> = parts.iter().map(|part| part.area.value_in(system)).collect();
    let masses: Vec<f64> = parts.iter().map(|part| part.mass.value_in(system)).collect();
    let areas = apportion(&areas, whole.printed_area, AREA_DECIMALS);
    let masses = apportion(&masses, whole.printed_mass, MASS_DECIMALS);
    for ((part, area), mass) in parts.iter_mut().zip(areas).zip(masses) {
        part.printed_area = area;
        part.printed_mass = mass;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printed_figures_add_up() {
        let third = Area::acres(10.0 / 3.0);
        let rates = [Rate::tons_per_acre(0.5), Rate::tons_per_acre(1.0)];
        let amounts = tonnage(&[(0, third), (1, third), (0, third)], &rates, System::Us);
        assert_eq!(amounts.total.printed_area, 10.0);
        assert_eq!(amounts.total.printed_mass, 6.67);
        let areas: Vec<f64> = amounts.tiers.iter().map(|tier| tier.printed_area).collect();
        assert_eq!(areas, [6.67, 3.33]);
        let zones: Vec<f64> = amounts.zones.iter().map(|zone| zone.printed_area).collect();
        assert_eq!(zones, [3.34, 3.33, 3.33]);
    }

    #[test]
    fn a_quarter_section_at_half_a_ton() {
        let amounts = tonnage(&[(0, Area::acres(160.0))], &[Rate::tons_per_acre(0.5)], System::Us);
        assert_eq!((amounts.total.printed_area, amounts.total.printed_mass), (160.0, 80.0));
    }
}
