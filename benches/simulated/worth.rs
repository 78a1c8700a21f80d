//! What was promised of a number of samples against what came, and what twenty more samples gain by
//! where they are taken.

use geo::{Coord, polygon};
use landplaster::field::Boundary;
use landplaster::sampling::{
    Aim, Ground as Field, LikelySoil, NextSamples, coverage, expected, own_variogram,
};
use landplaster::soil::Tiers;
use landplaster::surface::{
    Interpolator, Kriging, Point, Search, Surface, Variogram, VariogramShape, choose,
};
use landplaster::units::{Area, Length, System};
use rayon::prelude::*;

use super::ground::{DRAWS, Form, Ground, Kind, Make, SIDE, SILL, STEP, Sequence, place};

/// The share of ground in its right tier, and the tons misplaced.
#[derive(Clone, Copy, Debug, Default)]
pub struct Came {
    pub right: f64,
    pub tons: f64,
}

impl Came {
    pub fn mean(all: &[Self]) -> Self {
        let count = all.len() as f64;
        let mean = |pick: fn(&Self) -> f64| all.iter().map(pick).sum::<f64>() / count;
        Self { right: mean(|came| came.right), tons: mean(|came| came.tons) }
    }
}

/// What was promised and what came, the mean of many fields.
#[derive(Clone, Copy, Debug)]
pub struct Promised {
    /// Before the samples, by the soil's true variogram and mean; none where a variogram alone does not
    /// say how the ground was made.
    pub before: Option<Came>,
    /// By the samples themselves.
    pub after: Came,
    /// By kriging and by inverse distance, as a plan finds them.
    pub kriging: Came,
    pub distance: Came,
}

/// A square field of the simulated ground.
pub fn field() -> Field {
    let (east, north) = (STEP * SIDE as f64 / 85_394.0, STEP * SIDE as f64 / 111_035.0);
    let (x, y) = (-85.2, 40.0);
    let square = polygon![
        (x: x, y: y), (x: x + east, y: y), (x: x + east, y: y + north), (x: x, y: y + north),
    ];
    let boundary = Boundary::new(square.into(), "square").expect("a square");
    Field::new(&boundary, &[], &[], Length::ZERO, System::Us).expect("all of it is free")
}

/// The variogram of a kind of ground.
fn variogram(kind: &Kind) -> Option<Variogram> {
    matches!((kind.make, kind.form), (Make::Normal, Form::Exponential)).then(|| Variogram {
        shape: VariogramShape::Exponential,
        nugget: SILL * kind.nugget,
        partial_sill: SILL * (1.0 - kind.nugget),
        range: kind.range / 3.0,
    })
}

/// Samples at the simulated places nearest to some places: the first of the draws there. The field's
/// meters are from its middle.
fn sampled(places: &[Coord<f64>], cec: &[f64]) -> Vec<Point> {
    let half = 0.5 * SIDE as f64;
    let along = |at: f64| ((at / STEP + half).floor().max(0.0) as usize).min(SIDE - 1);
    let mut numbers: Vec<usize> =
        places.iter().map(|at| along(at.y) * SIDE + along(at.x)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let sample = |number: usize| {
        let (easting, northing) = place(number);
        let value = cec.get(DRAWS * number).copied().unwrap_or(f64::NAN).max(0.1);
        Point { easting: easting - half * STEP, northing: northing - half * STEP, value }
    };
    numbers.into_iter().map(sample).collect()
}

/// What came of a surface: held against the other draws.
fn came(surface: &dyn Interpolator, cec: &[f64]) -> Came {
    let tiers = Tiers::common_practice();
    let each = Area::square_metres(STEP * STEP).as_acres() / (DRAWS - 1) as f64;
    let half = 0.5 * SIDE as f64 * STEP;
    let (mut right, mut all, mut tons) = (0_usize, 0_usize, 0.0);
    for number in 0..SIDE * SIDE {
        let (easting, northing) = place(number);
        let shown = surface.at(easting - half, northing - half);
        let rate = tiers.rate(shown).as_tons_per_acre();
        for truth in cec.iter().skip(DRAWS * number + 1).take(DRAWS - 1) {
            right += usize::from(tiers.class(*truth) == tiers.class(shown));
            all += 1;
            tons += each * (tiers.rate(*truth).as_tons_per_acre() - rate).abs();
        }
    }
    Came { right: right as f64 / all as f64, tons }
}

fn kriged(samples: &[Point]) -> Kriging {
    let fitted = Variogram::fit(samples).expect("enough samples");
    Kriging::new(samples, fitted.nearest.variogram).expect("sound samples")
}

/// The promise of a number of samples against what came.
pub fn promised(ground: &Ground, samples: usize, fields: u64) -> Promised {
    let field = field();
    let tiers = Tiers::common_practice();
    let places = coverage(&field, samples, &[]);
    let judges: Vec<Coord<f64>> = field.nodes().iter().step_by(101).copied().collect();
    let promise = |places: &[Coord<f64>], soils: &[LikelySoil]| {
        let all: f64 = soils.iter().map(|soil| soil.weight).sum();
        let mut sum = Came::default();
        for soil in soils {
            let found = expected(places, soil, &tiers, &judges).expect("a sound soil");
            let tons = found.off().as_tons_per_acre() * field.area().as_acres();
            sum.right += soil.weight / all * found.right;
            sum.tons += soil.weight / all * tons;
        }
        sum
    };
    let each = |number: u64| {
        let mut sequence = Sequence(15_485_863 * number + samples as u64);
        let drawn = ground.draw(4, &mut sequence);
        let samples = sampled(&places, &drawn.cec);
        let own = LikelySoil::of_samples(&samples).expect("enough samples");
        let choice = choose(&samples, &Search::default()).expect("sound samples");
        let distance = Surface::new(samples.clone(), choice.idw).expect("sound samples");
        let at = |point: &Point| Coord { x: point.easting, y: point.northing };
        let taken: Vec<Coord<f64>> = samples.iter().map(at).collect();
        [promise(&taken, &own), came(&kriged(&samples), &drawn.cec), came(&distance, &drawn.cec)]
    };
    let found: Vec<[Came; 3]> = (0..fields).into_par_iter().map(each).collect();
    let of = |pick: usize| {
        let all: Vec<Came> = found.iter().filter_map(|each| each.get(pick).copied()).collect();
        Came::mean(&all)
    };
    // The ground's mean is anywhere from 9 to 16.
    let means = (0..14).map(|step| 9.25 + 0.5 * f64::from(step));
    let before = variogram(&ground.kind).map(|variogram| {
        let soils: Vec<LikelySoil> =
            means.map(|mean| LikelySoil { variogram, mean, weight: 1.0 }).collect();
        promise(&places, &soils)
    });
    Promised { before, after: of(0), kriging: of(1), distance: of(2) }
}

/// What comes of 36 samples, of 20 more by tons, by variance and by coverage, and of a new layout of
/// 56, all by kriging.
pub fn more(ground: &Ground, fields: u64) -> [Came; 5] {
    let field = field();
    let tiers = Tiers::common_practice();
    let places = coverage(&field, 36, &[]);
    let between = coverage(&field, 20, &places);
    let anew = coverage(&field, 56, &[]);
    let each = |number: u64| {
        let mut sequence = Sequence(32_452_843 * number + 1);
        let cec = ground.draw(4, &mut sequence).cec;
        let first = sampled(&places, &cec);
        let with = |more: &[Coord<f64>]| {
            let all: Vec<Coord<f64>> = places.iter().chain(more).copied().collect();
            came(&kriged(&sampled(&all, &cec)), &cec)
        };
        let variogram = own_variogram(&first).expect("enough samples");
        let next = NextSamples::new(&field, &first, variogram, &tiers).expect("sound samples");
        let by = |aim| {
            let chosen: Vec<Coord<f64>> =
                next.chosen(20, aim).iter().map(|sample| sample.place).collect();
            with(&chosen)
        };
        [
            with(&[]),
            by(Aim::Tons),
            by(Aim::Variance),
            with(&between),
            came(&kriged(&sampled(&anew, &cec)), &cec),
        ]
    };
    let found: Vec<[Came; 5]> = (0..fields).into_par_iter().map(each).collect();
    [0, 1, 2, 3, 4].map(|pick: usize| {
        let all: Vec<Came> = found.iter().filter_map(|each| each.get(pick).copied()).collect();
        Came::mean(&all)
    })
}
