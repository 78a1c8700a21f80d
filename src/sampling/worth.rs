use geo::Coord;
use rayon::prelude::*;

use super::SamplingError;
use super::coverage::coverage;
use super::ground::Ground;
use super::layout_variance::{Joint, LayoutVariance};
use super::likely_soil::LikelySoil;
use super::misplaced::{Expected, Place};
use crate::certainty::tenth;
use crate::order::Money;
use crate::soil::Tiers;
use crate::units::{Area, Mass, Quantity, Rate};

/// Nodes that layouts are made on, and at most so many of them at which a map is judged.
const NODES: f64 = 2500.0;
const JUDGES: usize = 180;
/// Numbers of samples that are looked at; each fits a field within the limits below.
const COUNTS: [usize; 17] = [4, 6, 8, 10, 12, 15, 20, 25, 32, 40, 50, 65, 85, 110, 150, 200, 250];
/// Fields are not sampled more closely than this, nor more widely.
const CLOSEST: Area = Area::acres(0.2);
const WIDEST: Area = Area::acres(40.0);

/// Prices by which a number of samples is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorthPrices {
    /// Taking a sample.
    pub taking: Money,
    /// What the laboratory asks for it.
    pub laboratory: Money,
    /// Product: a mass and its price. A ton too much costs this, and a ton wanting is taken to cost
    /// the grower as much.
    pub product: (Mass, Money),
}

/// What is expected of a map by some number of samples, for one soil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// The share of the ground in its right tier, 0 to 1.
    pub right: f64,
    /// What is wanting and what is too much, together.
    pub misplaced: Mass,
    /// Half the range that will be stated for the field's tons, to hold them in four of five fields.
    pub half_range: Mass,
    /// Samples, laboratory, and what is misplaced.
    pub cost: Option<Money>,
}

/// What a number of samples is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct WorthRow {
    /// How many samples; none for one rate all over, by one mixed sample of the whole field.
    pub samples: Option<usize>,
    /// For each likely soil, in their order.
    pub outcomes: Vec<Outcome>,
    /// The mean over the likely soils.
    pub mean: Outcome,
}

/// How many samples pay on a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// The soils that it was judged by.
    pub soils: Vec<LikelySoil>,
    /// The area that is sampled.
    pub area: Area,
    /// One rate for the whole field, that of its mean CEC.
    pub flat: WorthRow,
    /// Numbers of samples, rising.
    pub rows: Vec<WorthRow>,
    /// With prices: where it costs least.
    pub best: Option<Best>,
}

/// Where all costs together are least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Best {
    /// The samples after which another costs more than it saves, by the mean of the likely soils;
    /// none where one rate all over costs less than any map.
    pub samples: Option<usize>,
    /// The same for single likely soils: the number that a tenth of them stay below, and that a tenth
    /// exceed; 1 where one rate all over is best.
    pub range: (usize, usize),
    /// The share of the likely soils for which one rate all over is best, 0 to 1.
    pub flat: f64,
}

impl Worth {
    /// What numbers of samples are worth on a field, by likely soils and the rates on them.
    ///
    /// Samples lie by spatial coverage, and the map is kriged from them by the soil's own variogram:
    /// truth and map are then jointly normal at every place, and the odds of each pair of tiers
    /// follow. "Truth" is what a new sample from the place would show. What a plan reaches is up to a
    /// point or so below, since it has to find the variogram first. The range of tons is that of the
    /// difference estimator with samples as good as independent ([`crate::certainty::MassRange`]).
    ///
    /// # Errors
    /// When there is no soil, or its variogram makes no sense.
    pub fn new(
        ground: &Ground,
        soils: Vec<LikelySoil>,
        tiers: &Tiers,
        prices: Option<WorthPrices>,
    ) -> Result<Self, SamplingError> {
        let coarse = ground.by_nodes(NODES)?;
        let area = ground.area();
        let counts: Vec<usize> = COUNTS
            .into_iter()
            .filter(|count| {
                let each = area / *count as f64;
                each >= CLOSEST && each <= WIDEST
            })
            .collect();
        let every = coarse.nodes().len().div_ceil(JUDGES).max(1);
        let judges: Vec<Coord<f64>> = coarse.nodes().iter().step_by(every).copied().collect();
        let layouts: Vec<Vec<Coord<f64>>> =
            counts.iter().map(|count| coverage(&coarse, *count, &[])).collect();
        let pairs: Vec<(usize, usize)> = (0..layouts.len())
            .flat_map(|layout| (0..soils.len()).map(move |soil| (layout, soil)))
            .collect();
        let outcome = |(layout, soil): &(usize, usize)| {
            let (Some(places), Some(soil)) = (layouts.get(*layout), soils.get(*soil)) else {
                return Err(SamplingError::Surface(crate::surface::SurfaceError::NoSamples));
            };
            let expected = expected(places, soil, tiers, &judges)?;
            Ok(outcome_of(&expected, places.len(), places.len(), area, prices))
        };
        let outcomes: Vec<Outcome> = pairs.par_iter().map(outcome).collect::<Result<_, _>>()?;
        let row = |(samples, outcomes): (&usize, &[Outcome])| {
            WorthRow::new(Some(*samples), outcomes.to_vec(), &soils)
        };
        let rows: Vec<WorthRow> =
            counts.iter().zip(outcomes.chunks(soils.len().max(1))).map(row).collect();
        let flat = |soil: &LikelySoil| {
            let truth = soil.variogram.sill();
            let place = Place { mean: soil.mean, truth, map: 0.0, together: 0.0 };
            outcome_of(&place.expected(tiers), 1, 1, area, prices)
        };
        let flat = WorthRow::new(None, soils.iter().map(flat).collect(), &soils);
        let best = prices.map(|_| Best::of(&flat, &rows, &soils));
        Ok(Self { soils, area, flat, rows, best })
    }
}

/// The mean over some judging places of what is expected of a map that is kriged from samples at
/// others, on a soil whose variogram is known.
///
/// # Errors
/// When there is no sample, or the soil's variogram makes no sense.
pub fn expected(
    places: &[Coord<f64>],
    soil: &LikelySoil,
    tiers: &Tiers,
    judges: &[Coord<f64>],
) -> Result<Expected, SamplingError> {
    let layout = LayoutVariance::new(places.to_vec(), soil.variogram)?;
    let mut all = Expected::default();
    for judge in judges {
        let Joint { truth, kriged, together } = layout.at(*judge);
        let place = Place { mean: soil.mean, truth, map: kriged, together };
        all.add(&place.expected(tiers), 1.0 / judges.len() as f64);
    }
    Ok(all)
}

fn outcome_of(
    expected: &Expected,
    samples: usize,
    paid: usize,
    area: Area,
    prices: Option<WorthPrices>,
) -> Outcome {
    let misplaced = expected.off() * area;
    let free = (samples as f64 - 1.0).max(1.0);
    let deviation = (expected.variance / samples as f64).sqrt();
    let half_range = Rate::from_si(tenth(free) * deviation) * area;
    let cost = prices.map(|prices| {
        let (each, price) = prices.product;
        let of_samples = (prices.taking.0 + prices.laboratory.0) * paid as f64;
        Money(of_samples + price.0 * (misplaced / each))
    });
    Outcome { right: expected.right, misplaced, half_range, cost }
}

impl WorthRow {
    fn new(samples: Option<usize>, outcomes: Vec<Outcome>, soils: &[LikelySoil]) -> Self {
        let all: f64 = soils.iter().map(|soil| soil.weight).sum();
        let mean = |of: &dyn Fn(&Outcome) -> f64| {
            let parts = outcomes.iter().zip(soils);
            parts.map(|(outcome, soil)| of(outcome) * soil.weight).sum::<f64>() / all
        };
        let cost = outcomes.iter().all(|outcome| outcome.cost.is_some());
        let mean = Outcome {
            right: mean(&|outcome| outcome.right),
            misplaced: Mass::from_si(mean(&|outcome| outcome.misplaced.si())),
            half_range: Mass::from_si(mean(&|outcome| outcome.half_range.si())),
            cost: cost.then(|| Money(mean(&|outcome| outcome.cost.unwrap_or_default().0))),
        };
        Self { samples, outcomes, mean }
    }

    /// The least and the greatest of something over the likely soils.
    #[must_use]
    pub fn ends(&self, of: impl Fn(&Outcome) -> f64) -> (f64, f64) {
        let values = || self.outcomes.iter().map(&of);
        (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
    }
}

impl Best {
    fn of(flat: &WorthRow, rows: &[WorthRow], soils: &[LikelySoil]) -> Self {
        let all = || std::iter::once(flat).chain(rows);
        let least = |cost: &dyn Fn(&WorthRow) -> f64| {
            all().min_by(|a, b| cost(a).total_cmp(&cost(b))).and_then(|row| row.samples)
        };
        let of = |outcome: Option<&Outcome>| {
            outcome.and_then(|outcome| outcome.cost).map_or(f64::INFINITY, |cost| cost.0)
        };
        let samples = least(&|row| of(Some(&row.mean)));
        let mut each: Vec<(usize, f64)> = soils
            .iter()
            .enumerate()
            .map(|(soil, likely)| {
                (least(&|row| of(row.outcomes.get(soil))).unwrap_or(1), likely.weight)
            })
            .collect();
        each.sort_by_key(|(samples, _)| *samples);
        let whole: f64 = each.iter().map(|(_, weight)| weight).sum();
        let at = |share: f64| {
            let mut sum = 0.0;
            let reached = each.iter().find(|(_, weight)| {
                sum += weight;
                sum >= share * whole
            });
            reached.or(each.last()).map_or(1, |(samples, _)| *samples)
        };
        let flat: f64 = each.iter().filter(|(samples, _)| *samples == 1).map(|(_, w)| w).sum();
        Self { samples, range: (at(0.1), at(0.9)), flat: flat / whole }
    }
}
