use std::collections::BTreeMap;

use super::{Odds, Place};
use crate::soil::Tiers;
use crate::surface::ErrorModel;
use crate::units::{Mass, Rate};

/// What the field would take if all ground got the rate its soil calls for, and what this one does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassRange {
    /// The lower end: in at most one of ten fields all ground at the rate its soil calls for would take less.
    pub low: Mass,
    /// What the map takes.
    pub planned: Mass,
    /// The upper end: in at most one of ten fields all ground at the rate its soil calls for would take more.
    pub high: Mass,
}

/// Of a normal distribution, 80 % is within so many standard deviations of the mean.
const EIGHTY_PERCENT: f64 = 1.2816;
/// Cells for which errors are compared pair by pair, in some milliseconds.
const MOST_CELLS: usize = 256;

impl MassRange {
    /// The mean of the mass that all ground at the rate its soil calls for would take, less and more 1.2816 standard
    /// deviations, within what the tiers allow at all, widened to include the planned mass.
    ///
    /// The variance of the mass is that of a sum over places. Errors at two places go together with
    /// a known correlation; rates, being steps of the CEC, go together no closer than that: of two
    /// normal variables no functions have a correlation beyond the variables' own
    /// (H. Gebelein, "Das statistische Problem der Korrelation als Variations- und
    /// Eigenwertproblem", *Zeitschrift für angewandte Mathematik und Mechanik* 21, 1941, 364-379;
    /// H. O. Lancaster, "Some properties of the bivariate normal distribution", *Biometrika* 44,
    /// 1957, 289-292). So the range is no narrower than it should be.
    ///
    /// More than 256 places are put together by a square lattice of at most 256 cells over them;
    /// errors within a cell count as one, at the mean of its places.
    pub(super) fn new(places: &[Place], odds: &[Odds], errors: &ErrorModel, tiers: &Tiers) -> Self {
        let masses = |pick: fn(Rate, Rate) -> Rate| -> Mass {
            let rates = tiers.tiers().iter().map(|tier| tier.rate);
            let rate = rates.reduce(pick).unwrap_or(Rate::ZERO);
            places.iter().map(|place| rate * place.area).sum()
        };
        let least = masses(|one, other| if other < one { other } else { one });
        let most = masses(|one, other| if other > one { other } else { one });
        let rate = |place: &Place| tiers.tiers().get(place.tier).map_or(Rate::ZERO, |t| t.rate);
        let planned: Mass = places.iter().map(|place| rate(place) * place.area).sum();
        let mut mean = Mass::ZERO;
        let spreads: Vec<Mass> = places
            .iter()
            .zip(odds)
            .map(|(place, odds)| {
                let expected: Rate = odds.rates(tiers).map(|(rate, share)| rate * share).sum();
                mean = mean + expected * place.area;
                spread(odds, expected, tiers) * place.area
            })
            .collect();
        let off = deviation(&cells(places, &spreads), errors) * EIGHTY_PERCENT;
        let (mut low, mut high) = (mean - off, mean + off);
        for end in [&mut low, &mut high] {
            *end = if *end < least { least } else { *end };
            *end = if *end > most { most } else { *end };
        }
        Self {
            low: if planned < low { planned } else { low },
            planned,
            high: if planned > high { planned } else { high },
        }
    }
}

/// The standard deviation of a place's rate.
fn spread(odds: &Odds, expected: Rate, tiers: &Tiers) -> Rate {
    let variance = odds.rates(tiers).map(|(rate, probability)| {
        let off = (rate - expected).as_kilograms_per_hectare();
        probability * off * off
    });
    Rate::kilograms_per_hectare(variance.sum::<f64>().sqrt())
}

/// Places whose errors count as one.
#[derive(Clone, Copy, Default)]
struct Cell {
    places: f64,
    easting: f64,
    northing: f64,
    /// The standard deviation of its mass.
    spread: Mass,
}

/// Each place, or cells of a lattice when they are too many.
fn cells(places: &[Place], spreads: &[Mass]) -> Vec<Cell> {
    let least = |along: fn(&Place) -> f64| places.iter().map(along).fold(f64::INFINITY, f64::min);
    let (west, south) = (least(|place| place.easting), least(|place| place.northing));
    let east = -least(|place| -place.easting) - west;
    let north = -least(|place| -place.northing) - south;
    let side = side(east, north);
    let mut cells: BTreeMap<(u64, u64), Cell> = BTreeMap::new();
    for (number, (place, spread)) in places.iter().zip(spreads).enumerate() {
        let key = if places.len() > MOST_CELLS {
            let key = |offset: f64| whole(offset / side);
            (key(place.northing - south), key(place.easting - west))
        } else {
            (number as u64, 0)
        };
        let cell = cells.entry(key).or_default();
        cell.places += 1.0;
        cell.easting += place.easting;
        cell.northing += place.northing;
        cell.spread = cell.spread + *spread;
    }
    cells.into_values().filter(|cell| cell.spread > Mass::ZERO).collect()
}

/// The side of the smallest square cells of which [`MOST_CELLS`] cover a rectangle.
fn side(east: f64, north: f64) -> f64 {
    let mut side =
        (east * north / MOST_CELLS as f64).sqrt().max(east.max(north) / MOST_CELLS as f64);
    let count = |side: f64| (whole(east / side) + 1).saturating_mul(whole(north / side) + 1);
    while side > 0.0 && count(side) > MOST_CELLS as u64 {
        side *= 1.02;
    }
    side
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not below 0, and saturates"
)]
fn whole(number: f64) -> u64 {
    number as u64
}

/// No less than the standard deviation of the cells' mass.
fn deviation(cells: &[Cell], errors: &ErrorModel) -> Mass {
    let places: Vec<(f64, f64)> = cells
        .iter()
        .map(|cell| (cell.easting / cell.places, cell.northing / cell.places))
        .collect();
    let covariances = errors.covariances(&places);
    let rows = || covariances.chunks_exact(cells.len().max(1)).zip(cells).enumerate();
    let sds: Vec<f64> = rows()
        .map(|(number, (row, _))| row.get(number).copied().unwrap_or(0.0).max(0.0).sqrt())
        .collect();
    let mut variance = 0.0;
    for (number, (row, cell)) in rows() {
        let sd = sds.get(number).copied().unwrap_or(0.0);
        for ((covariance, other), other_sd) in row.iter().zip(cells).zip(&sds) {
            let both = sd * other_sd;
            // A place without error has no spread of its own: it counts as going with all others.
            let correlation = if both > 0.0 { (covariance / both).abs().min(1.0) } else { 1.0 };
            variance += correlation * cell.spread.as_tonnes() * other.spread.as_tonnes();
        }
    }
    Mass::tonnes(variance.sqrt())
}
