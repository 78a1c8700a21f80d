use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::odds::tier_odds;
use super::{Odds, Place};
use crate::soil::Tiers;
use crate::surface::{ErrorBasis, ErrorModel, Truth};
use crate::units::{Mass, Quantity as _};

/// What the field would take if all ground got the rate its soil calls for, and what this one does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassRange {
    /// The lower end: in one of ten fields all ground at the rate its soil calls for would take less.
    pub low: Mass,
    /// What the map takes.
    pub planned: Mass,
    /// The upper end: in one of ten fields all ground at the rate its soil calls for would take more.
    pub high: Mass,
}

impl MassRange {
    pub(super) fn new(
        places: &[(Place, Truth)],
        odds: &[Odds],
        errors: &ErrorModel,
        tiers: &Tiers,
    ) -> Self {
        let rate = |place: &Place| tiers.rate_of(place.tier);
        let planned: Mass = places.iter().map(|(place, _)| rate(place) * place.area).sum();
        let (low, high) = match errors.basis() {
            ErrorBasis::Local => corrected(places, odds, errors, tiers),
            ErrorBasis::Constant => all_one_way(places, tiers),
        };
        Self { low, planned, high }
    }

    /// The same with what is spread whatever the soil calls for.
    #[must_use]
    pub fn with(self, set: Mass) -> Self {
        Self { low: self.low + set, planned: self.planned + set, high: self.high + set }
    }
}

/// The mass that is expected by the odds of all places, corrected by what the samples show, less and
/// more what holds the true one in four of five fields.
///
/// Each sample is compared with what is expected at its place without it: its rate less that rate,
/// times the area that lies nearest to it, is added up. So whatever the error model gets wrong (CEC
/// that is not normal, a sharp border between two soils) is put right on average, and the spread of
/// these differences says how far the sum may be off. This is the difference estimator of survey
/// sampling (C.-E. Särndal, B. Swensson, J. Wretman, *Model Assisted Survey Sampling*, 1992, 6.3 and
/// 6.8), with the samples' own areas as weights, so that crowded samples count for less. Differences
/// count as independent: what near samples have in common is in the expectation already.
fn corrected(
    places: &[(Place, Truth)],
    odds: &[Odds],
    errors: &ErrorModel,
    tiers: &Tiers,
) -> (Mass, Mass) {
    let rates: Vec<f64> =
        tiers.tiers().iter().map(|tier| tier.rate.as_kilograms_per_hectare()).collect();
    let expected =
        |odds: &[f64]| rates.iter().zip(odds).map(|(rate, share)| rate * share).sum::<f64>();
    let sum: f64 = (places.iter().zip(odds))
        .map(|((place, _), odds)| place.area.as_square_metres() * expected(&odds.tiers))
        .sum();
    let samples = errors.left_out();
    let areas = nearest_areas(places, samples.iter().map(|(at, _)| [at.easting, at.northing]));
    let differences: Vec<(f64, f64)> = (samples.iter().zip(areas))
        .map(|((sample, truth), area)| {
            let shown = tiers.rate(sample.value).as_kilograms_per_hectare();
            (area, shown - expected(&tier_odds(*truth, tiers)))
        })
        .collect();
    let total: f64 = differences.iter().map(|(area, _)| area).sum();
    let squares: f64 = differences.iter().map(|(area, _)| area * area).sum();
    let correction: f64 = differences.iter().map(|(area, off)| area * off).sum();
    let mean = correction / total;
    let about: f64 = differences.iter().map(|(area, off)| (area * (off - mean)).powi(2)).sum();
    // As many samples of one area would tell as much.
    let count = total * total / squares;
    let free = (count - 1.0).max(1.0);
    let deviation = (about * count / free).sqrt();
    let rates = || tiers.tiers().iter().map(|tier| tier.rate.as_kilograms_per_hectare());
    let all: f64 = places.iter().map(|(place, _)| place.area.as_square_metres()).sum();
    let least = all * rates().fold(f64::INFINITY, f64::min);
    let most = all * rates().fold(0.0, f64::max);
    let end = |sign: f64| {
        let mass = sum + correction + sign * tenth(free) * deviation;
        // kg/ha times square meters.
        Mass::tonnes(1e-7 * mass.max(least).min(most))
    };
    (end(-1.0), end(1.0))
}

/// How many standard deviations above the mean a tenth of Student's distribution lies (M. Abramowitz,
/// I. A. Stegun, *Handbook of Mathematical Functions*, 26.7.5, the first two terms).
#[must_use]
pub fn tenth(degrees_of_freedom: f64) -> f64 {
    const NORMAL: f64 = 1.281_551_6;
    NORMAL + (NORMAL.powi(3) + NORMAL) / (4.0 * degrees_of_freedom)
}

/// The area of the places that are nearer to each sample than to any other, square meters.
fn nearest_areas(places: &[(Place, Truth)], samples: impl Iterator<Item = [f64; 2]>) -> Vec<f64> {
    let entries: Vec<_> =
        samples.enumerate().map(|(number, at)| GeomWithData::new(at, number)).collect();
    let mut areas = vec![0.0; entries.len()];
    let tree = RTree::bulk_load(entries);
    for (place, _) in places {
        let nearest = tree.nearest_neighbor(&[place.easting, place.northing]);
        if let Some(area) = nearest.and_then(|nearest| areas.get_mut(nearest.data)) {
            *area += place.area.as_square_metres();
        }
    }
    areas
}

/// Errors that all go the same way: as far off as a normal variable may be, in small steps, each with
/// the mass that the field would then take; of these, the tenths at both ends are left out.
fn all_one_way(places: &[(Place, Truth)], tiers: &Tiers) -> (Mass, Mass) {
    /// Four standard deviations to either side, in hundredths.
    const HUNDREDTHS: std::ops::RangeInclusive<i16> = -400..=400;
    let mut masses: Vec<(Mass, f64)> = HUNDREDTHS
        .map(|hundredths| {
            let off = f64::from(hundredths) / 100.0;
            let mass = |(place, truth): &(Place, Truth)| {
                tiers.rate(truth.mean + off * truth.sd) * place.area
            };
            (places.iter().map(mass).sum(), libm::exp(-0.5 * off * off))
        })
        .collect();
    masses.sort_by(|(one, _), (other, _)| one.si().total_cmp(&other.si()));
    let all: f64 = masses.iter().map(|(_, weight)| weight).sum();
    let at = |share: f64| {
        let mut sum = 0.0;
        let reached = masses.iter().find(|(_, weight)| {
            sum += weight;
            sum >= share * all
        });
        reached.map_or(Mass::ZERO, |(mass, _)| *mass)
    };
    (at(0.1), at(0.9))
}
