//! How often the true tons lie in the range that is stated for them.

use std::sync::Arc;

use landplaster::certainty::{Place, certainty};
use landplaster::soil::Tiers;
use landplaster::surface::{
    ErrorModel, Interpolator, Kriging, Search, Surface, Truth, Variogram, choose,
};
use landplaster::units::Area;
use rayon::prelude::*;

use super::ground::{DRAWS, Drawn, Ground, SIDE, STEP, Sequence, place};

/// What came of many fields of one kind.
#[derive(Clone, Copy, Debug, Default)]
pub struct Coverage {
    /// The share of fields whose true tons lie in the range.
    pub covered: f64,
    /// The mean of the true tons less the middle of the range.
    pub off: f64,
    /// The root of the mean square of that.
    pub spread: f64,
    /// The mean half width of the range, tons.
    pub half: f64,
}

/// By inverse distance and by kriging.
pub fn coverage(ground: &Ground, samples: usize, fields: u64) -> [Coverage; 2] {
    let each = |number: u64| {
        let mut sequence = Sequence(7919 * number + samples as u64);
        judged(&ground.draw(samples, &mut sequence))
    };
    let found: Vec<[Found; 2]> = (0..fields).into_par_iter().map(each).collect();
    let by = |pick: fn(&[Found; 2]) -> Found| {
        let mut sum = Coverage::default();
        for (low, tons, high) in found.iter().map(pick) {
            let off = tons - 0.5 * (low + high);
            sum.covered += f64::from(u8::from(low <= tons && tons <= high));
            sum.off += off;
            sum.spread += off * off;
            sum.half += 0.5 * (high - low);
        }
        let count = fields as f64;
        Coverage {
            covered: sum.covered / count,
            off: sum.off / count,
            spread: (sum.spread / count).sqrt(),
            half: sum.half / count,
        }
    };
    [by(|[one, _]| *one), by(|[_, other]| *other)]
}

/// The lower end, the truth and the upper end, in tons.
type Found = (f64, f64, f64);

/// What is found by either method.
fn judged(drawn: &Drawn) -> [Found; 2] {
    let tiers = Tiers::common_practice();
    let area = Area::square_metres(STEP * STEP);
    let share = area.as_acres() / DRAWS as f64;
    let tons: f64 = drawn.cec.iter().map(|cec| tiers.rate(*cec).as_tons_per_acre() * share).sum();
    let samples = &drawn.samples;
    let fitted = Variogram::fit(samples).expect("enough samples");
    let judge = |surface: Arc<dyn Interpolator>| {
        let errors = ErrorModel::new(Arc::clone(&surface), Some(&fitted.cautious.variogram))
            .expect("enough samples");
        let stands = |number: usize| {
            let (easting, northing) = place(number);
            let value = surface.at(easting, northing);
            let tier = tiers.tier_of(value);
            let at = Place { easting, northing, area, zone: 1, tier, value };
            (at, errors.truth_at(easting, northing, value))
        };
        let places: Vec<(Place, Truth)> = (0..SIDE * SIDE).map(stands).collect();
        let range = certainty(&places, &errors, &tiers).tons;
        (range.low.as_tons(), tons, range.high.as_tons())
    };
    let choice = choose(samples, &Search::default()).expect("sound samples");
    let distance = Surface::new(samples.clone(), choice.idw).expect("sound samples");
    let kriging = Kriging::new(samples, fitted.nearest.variogram).expect("sound samples");
    [judge(Arc::new(distance)), judge(Arc::new(kriging))]
}
