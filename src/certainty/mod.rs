//! How sure a map is: whether each place is in its right tier, and what that means in tons.
//!
//! What a new sample would show at a place has a mean and a standard deviation
//! ([`crate::surface::ErrorModel`]). Taken as normal, it gives every tier a probability there; rates and areas turn these into
//! tons. "True" is what a new soil sample from the place would show. So the assumptions are: normal
//! errors, one variogram for the whole field, a scale that comes from cross-validation, and the
//! sample-to-sample scatter (the nugget) included. The field's tons do not rest on these: they are
//! corrected by what the samples show ([`MassRange`]).
//!
//! Rates need not rise with CEC.

mod odds;
mod tons;
mod zones;

use std::collections::BTreeMap;

pub use odds::{Odds, tier_odds};
pub use tons::{MassRange, tenth};
pub use zones::ZoneCertainty;

use crate::soil::{TierIndex, Tiers};
use crate::surface::{ErrorBasis, ErrorModel, Truth};
use crate::units::Area;

/// A place of the map and the area that it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Meters east, as the surface has it.
    pub easting: f64,
    /// Meters north.
    pub northing: f64,
    /// The area that it stands for.
    pub area: Area,
    /// The number of its zone.
    pub zone: usize,
    /// The tier that the map gives it.
    pub tier: TierIndex,
    /// The CEC that the surface has there, meq/100 g.
    pub value: f64,
}

/// How sure a map is.
#[derive(Clone, Debug, PartialEq)]
pub struct Certainty {
    /// What the errors rest on.
    pub basis: ErrorBasis,
    /// For each place, in the order given.
    pub places: Vec<Odds>,
    /// For each zone, by number.
    pub zones: Vec<ZoneCertainty>,
    /// For the field.
    pub tons: MassRange,
}

/// Tells how sure a map is from places that stand for all of it, each with what a new sample is
/// expected to show there ([`ErrorModel::truth_at`]).
///
/// The map's masses here are the places' areas at their tiers' rates: for the map's own figures the
/// areas of a zone's places must add up to the zone's.
#[must_use]
pub fn certainty(places: &[(Place, Truth)], errors: &ErrorModel, tiers: &Tiers) -> Certainty {
    let odds: Vec<Odds> =
        places.iter().map(|(place, truth)| Odds::new(place, *truth, tiers)).collect();
    let mut zones: BTreeMap<usize, ZoneCertainty> = BTreeMap::new();
    for ((place, _), odds) in places.iter().zip(&odds) {
        zones
            .entry(place.zone)
            .or_insert_with(|| ZoneCertainty::new(place.zone))
            .add(place, odds, tiers);
    }
    Certainty {
        basis: errors.basis(),
        tons: MassRange::new(places, &odds, errors, tiers),
        zones: zones.into_values().collect(),
        places: odds,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::surface::{Idw, Point, Surface, Variogram, VariogramShape};
    use crate::units::Mass;

    /// Two samples 10 and 14, each predicted by the other: an error of 4 everywhere.
    fn surface() -> Surface {
        let point = |easting, value| Point { easting, northing: 0.0, value };
        Surface::new(vec![point(0.0, 10.0), point(100.0, 14.0)], Idw::default()).unwrap()
    }

    fn certainty(places: &[Place], errors: &ErrorModel, tiers: &Tiers) -> Certainty {
        let truth = |place: &Place| errors.truth_at(place.easting, place.northing, place.value);
        let places: Vec<_> = places.iter().map(|place| (*place, truth(place))).collect();
        super::certainty(&places, errors, tiers)
    }

    fn place(value: f64, tier: usize) -> Place {
        let area = Area::acres(2.0);
        Place { easting: 30.0, northing: 5.0, area, zone: 1, tier: TierIndex::of(tier), value }
    }

    /// By hand, from Abramowitz and Stegun, table 26.1: P(0.5) = 0.69146 24613. At 12 with an error
    /// of 4, CEC is under 10 with 0.3085375, over 15 with P(-0.75) = 0.22663; the rates are 0.5, 1
    /// and 2 ton/ac.
    #[test]
    fn tons_wanting_and_too_many() {
        let surface = surface();
        let errors = ErrorModel::new(Arc::new(surface), None).unwrap();
        let found = certainty(&[place(12.0, 1)], &errors, &Tiers::common_practice());
        let zone = found.zones[0];
        assert_eq!((found.basis, zone.clear_share().as_percent()), (ErrorBasis::Constant, 0.0));
        assert!((zone.surplus.as_tons() - 2.0 * 0.5 * 0.308_537_5).abs() < 1e-6);
        assert!((zone.missing.as_tons() - 2.0 * 1.0 * 0.226_627_4).abs() < 1e-6);
        // Either end has more than a tenth.
        assert!((found.tons.low.as_tons() - 1.0).abs() < 1e-12);
        assert!((found.tons.high.as_tons() - 4.0).abs() < 1e-12);
        assert_eq!(found.tons.planned, Mass::tons(2.0));
    }

    /// With the tiers' rates turned round, what was wanting is too much.
    #[test]
    fn rates_may_fall() {
        let falling = |rates: [f64; 3]| {
            let text = |bounds, rate| format!("{bounds}\nrate = \"{rate} ton/ac\"\n");
            let settings = [
                text("under = 10", rates[0]),
                text("from = 10\nto = 15", rates[1]),
                text("over = 15", rates[2]),
            ];
            let settings: Vec<_> =
                settings.iter().map(|text| toml::from_str(text).unwrap()).collect();
            Tiers::new(&settings).unwrap()
        };
        let surface = surface();
        let errors = ErrorModel::new(Arc::new(surface), None).unwrap();
        let up = certainty(&[place(12.0, 1)], &errors, &falling([0.5, 1.0, 1.5])).zones[0];
        let down = certainty(&[place(12.0, 1)], &errors, &falling([1.5, 1.0, 0.5])).zones[0];
        assert!((up.missing.as_tons() - down.surplus.as_tons()).abs() < 1e-12);
        assert!((up.surplus.as_tons() - down.missing.as_tons()).abs() < 1e-12);
    }

    /// Nine samples on a square grid, one of them unlike its neighbors, and the ground around them:
    /// the sum and its spread as the difference estimator has them, term by term.
    #[test]
    fn tons_are_those_of_the_difference_estimator() {
        let cec = [8.0, 9.0, 12.0, 11.0, 16.0, 13.0, 9.0, 14.0, 17.0];
        let at = |number: usize| (30.0 * (number % 3) as f64, 30.0 * (number / 3) as f64);
        let point = |(number, value): (usize, f64)| {
            let (easting, northing) = at(number);
            Point { easting, northing, value }
        };
        let points: Vec<Point> = cec.into_iter().enumerate().map(point).collect();
        let surface = Surface::new(points, Idw::default()).unwrap();
        let variogram = Variogram {
            shape: VariogramShape::Spherical,
            nugget: 2.0,
            partial_sill: 9.0,
            range: 80.0,
        };
        let errors = ErrorModel::new(Arc::new(surface), Some(&variogram)).unwrap();
        assert_eq!(errors.basis(), ErrorBasis::Local);
        let tiers = Tiers::common_practice();
        let places: Vec<Place> = (0..9)
            .map(|number| {
                let (easting, northing) = at(number);
                // One sample stands for twice as much ground as the others.
                let area = Area::acres(if number == 0 { 2.0 } else { 1.0 });
                Place { easting: easting + 3.0, northing: northing - 2.0, area, ..place(12.0, 1) }
            })
            .collect();
        let found = certainty(&places, &errors, &tiers);
        let rates = [0.5, 1.0, 2.0];
        let expected = |odds: &[f64]| -> f64 { odds.iter().zip(rates).map(|(o, r)| o * r).sum() };
        let by_odds: f64 = found
            .places
            .iter()
            .map(|odds| odds.place.area.as_acres() * expected(&odds.tiers))
            .sum();
        let off: Vec<(f64, f64)> = errors
            .left_out()
            .iter()
            .map(|(sample, truth)| {
                let area = if sample.easting == 0.0 && sample.northing == 0.0 { 2.0 } else { 1.0 };
                let shown = tiers.rate(sample.value).as_tons_per_acre();
                (area, shown - expected(&odds::tier_odds(*truth, &tiers)))
            })
            .collect();
        let middle = by_odds + off.iter().map(|(area, off)| area * off).sum::<f64>();
        let mean = off.iter().map(|(area, off)| area * off).sum::<f64>() / 10.0;
        let about: f64 = off.iter().map(|(area, off)| (area * (off - mean)).powi(2)).sum();
        // Areas of 2 and eight of 1 count as 100 / 12 samples; a tenth of Student's distribution with
        // 7 1/3 degrees of freedom is beyond 1.408 (tables have 1.415 for 7 and 1.397 for 8).
        let count: f64 = 100.0 / 12.0;
        let half = 1.408 * (about * count / (count - 1.0)).sqrt();
        let (low, high) = (found.tons.low.as_tons(), found.tons.high.as_tons());
        assert!((0.5 * (low + high) - middle).abs() < 1e-9, "{low} {high}, {middle}");
        assert!((0.5 * (high - low) / half - 1.0).abs() < 0.01, "{low} {high}, {half}");
    }
}
