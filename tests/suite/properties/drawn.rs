//! Fields of CEC drawn from a known Gaussian process, so that the truth is known everywhere.

use landplaster::surface::{Point, Variogram, VariogramShape};

/// A quarter mile, in meters: fields of 40 acres.
pub const SIDE: f64 = 402.336;
/// Samples and map places stand in square cells, one at random in each.
const SAMPLE_ROWS: usize = 8;
const PLACE_ROWS: usize = 20;
const MEAN: f64 = 12.5;

/// Uniform and normal numbers from a seed: SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast
/// splittable pseudorandom number generators", OOPSLA 2014) and the method of Box and Muller.
pub struct Dice(pub u64);

impl Dice {
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((bits ^ (bits >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// Samples of a field and the truth at the places of its map.
pub struct Drawn {
    pub samples: Vec<Point>,
    /// With what a new sample would show there as value.
    pub places: Vec<Point>,
}

/// Fields on one layout of samples and places, one after the other.
pub struct Fields {
    places: Vec<[f64; 2]>,
    /// The lower triangle of the Cholesky factor of their covariances.
    factor: Vec<Vec<f64>>,
}

impl Fields {
    pub fn new(variogram: &Variogram, dice: &mut Dice) -> Self {
        // Samples keep to the middle 60 % of their cells, as a sampler with a grid does.
        let mut places = scattered(SAMPLE_ROWS, 0.6, dice);
        places.extend(scattered(PLACE_ROWS, 1.0, dice));
        let factor = cholesky(places.len(), |i, j| {
            let apart = (places[i][0] - places[j][0]).hypot(places[i][1] - places[j][1]);
            let own = if i == j { variogram.nugget } else { 0.0 };
            own + variogram.partial_sill * likeness(variogram, apart)
        });
        Self { places, factor }
    }

    pub fn draw(&self, dice: &mut Dice) -> Drawn {
        let noise: Vec<f64> = self.places.iter().map(|_| dice.normal()).collect();
        let value = |row: &Vec<f64>| MEAN + row.iter().zip(&noise).map(|(a, b)| a * b).sum::<f64>();
        let point = |(place, row): (&[f64; 2], &Vec<f64>)| Point {
            easting: place[0],
            northing: place[1],
            value: value(row),
        };
        let mut samples: Vec<Point> = self.places.iter().zip(&self.factor).map(point).collect();
        let places = samples.split_off(SAMPLE_ROWS * SAMPLE_ROWS);
        Drawn { samples, places }
    }
}

/// One place in each of `rows` by `rows` cells, within the middle part of it.
fn scattered(rows: usize, part: f64, dice: &mut Dice) -> Vec<[f64; 2]> {
    let cell = SIDE / rows as f64;
    let mut along = |number: usize| cell * (number as f64 + 0.5 + part * (dice.uniform() - 0.5));
    (0..rows * rows).map(|number| [along(number % rows), along(number / rows)]).collect()
}

/// The models as the textbooks have them, apart from the library's own code.
fn likeness(variogram: &Variogram, apart: f64) -> f64 {
    let part = apart / variogram.range;
    match variogram.shape {
        VariogramShape::Exponential => (-part).exp(),
        VariogramShape::Spherical if part < 1.0 => 1.0 - 1.5 * part + 0.5 * part.powi(3),
        VariogramShape::Spherical => 0.0,
    }
}

fn cholesky(count: usize, covariance: impl Fn(usize, usize) -> f64) -> Vec<Vec<f64>> {
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for i in 0..count {
        let mut row = Vec::with_capacity(i + 1);
        for (j, above) in rows.iter().enumerate() {
            let done: f64 = row.iter().zip(above).map(|(a, b)| a * b).sum();
            row.push((covariance(i, j) - done) / above[j]);
        }
        let done: f64 = row.iter().map(|a| a * a).sum();
        row.push((covariance(i, i) - done).sqrt());
        rows.push(row);
    }
    rows
}
