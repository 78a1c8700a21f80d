//! Fields whose CEC is known everywhere: random ground of a stated kind, and soil tests taken on it.

use landplaster::surface::Point;
use nalgebra::{Cholesky, DMatrix, DVector};

/// The field: 40 by 40 places, 20 m apart, about 160 acres.
pub const SIDE: usize = 40;
pub const STEP: f64 = 20.0;
/// New samples drawn at each place: the scatter from sample to sample is then no part of the sum.
pub const DRAWS: usize = 16;

/// How the likeness of two places falls with the distance between them.
#[derive(Clone, Copy, Debug)]
pub enum Form {
    /// `exp(-h/a)`: rough.
    Exponential,
    /// `exp(-(h/a)^2)`: as smooth as can be.
    Gaussian,
}

/// What the ground is made of.
#[derive(Clone, Copy, Debug)]
pub enum Make {
    /// Normal.
    Normal,
    /// Its logarithm is normal.
    LogNormal,
    /// Two soils 8 apart with a straight, sharp border somewhere, each normal.
    TwoSoils,
}

/// A kind of ground.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    pub form: Form,
    /// The distance at which a twentieth of the likeness is left, in meters.
    pub range: f64,
    /// The part of the sill that is nugget: it differs from sample to sample at one place.
    pub nugget: f64,
    pub make: Make,
}

impl Kind {
    /// What it is called in tables.
    pub fn name(&self) -> String {
        let Self { form, range, nugget, make } = self;
        format!("{make:?}, {form:?}, {range} m, nugget {nugget}")
    }
}

/// The sill, (meq/100 g)².
pub const SILL: f64 = 16.0;

/// Numbers from a fixed sequence (splitmix64; S. Vigna, public domain).
pub struct Sequence(pub u64);

impl Sequence {
    /// In [0, 1).
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Standard normal (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.share()).cos()
    }
}

/// Ground of a kind, ready to be drawn from.
pub struct Ground {
    pub kind: Kind,
    root: DMatrix<f64>,
}

/// One field.
pub struct Drawn {
    /// What new samples show, [`DRAWS`] at each place, row after row from the south.
    pub cec: Vec<f64>,
    /// The soil test.
    pub samples: Vec<Point>,
}

/// Where a place is, in meters from the south-western corner.
pub fn place(number: usize) -> (f64, f64) {
    let middle = |count: usize| (count as f64 + 0.5) * STEP;
    (middle(number % SIDE), middle(number / SIDE))
}

impl Ground {
    pub fn new(kind: Kind) -> Self {
        let likeness = |one: usize, other: usize| {
            let ((x, y), (u, v)) = (place(one), place(other));
            let parts = (x - u).hypot(y - v) / kind.range;
            match kind.form {
                Form::Exponential => (-3.0 * parts).exp(),
                // A hair on the diagonal, without which rounding makes it indefinite.
                Form::Gaussian if one == other => 1.0 + 1e-6,
                Form::Gaussian => (-3.0 * parts * parts).exp(),
            }
        };
        let matrix = DMatrix::from_fn(SIDE * SIDE, SIDE * SIDE, likeness);
        let root = Cholesky::new(matrix).expect("a covariance").unpack();
        Self { kind, root }
    }

    /// A field and its soil test: about so many samples, one somewhere in each square of a grid.
    pub fn draw(&self, samples: usize, sequence: &mut Sequence) -> Drawn {
        let Kind { nugget, make, .. } = self.kind;
        let white = DVector::from_fn(SIDE * SIDE, |_, _| sequence.normal());
        let structured = (&self.root * white) * (1.0 - nugget).sqrt();
        let mean = 9.0 + 7.0 * sequence.share();
        let turn = std::f64::consts::TAU * sequence.share();
        let off = 500.0 * (sequence.share() - 0.5);
        let soil = |number: usize, normal: f64| {
            let (x, y) = place(number);
            let middle = 0.5 * SIDE as f64 * STEP;
            let across = (x - middle) * turn.cos() + (y - middle) * turn.sin() - off;
            match make {
                Make::Normal => mean + SILL.sqrt() * normal,
                Make::LogNormal => 11.0 * (0.4 * normal).exp(),
                Make::TwoSoils => 8.0 + 8.0 * f64::from(u8::from(across > 0.0)) + 1.5 * normal,
            }
        };
        let mut shown = |number: usize| {
            let below = structured.get(number).copied().unwrap_or(f64::NAN);
            soil(number, below + nugget.sqrt() * sequence.normal())
        };
        let cec: Vec<f64> = (0..SIDE * SIDE * DRAWS).map(|draw| shown(draw / DRAWS)).collect();
        let side = (samples as f64).sqrt().round() as usize;
        // The jitter of each field is its own.
        let mut jitter = Sequence(cec.first().map_or(0, |first| first.to_bits()));
        let mut chosen: Vec<usize> = Vec::new();
        for cell in 0..side * side {
            let mut along = |index: usize| {
                let from = index as f64 + 0.15 + 0.7 * jitter.share();
                ((from * SIDE as f64 / side as f64) as usize).min(SIDE - 1)
            };
            let (column, row) = (along(cell % side), along(cell / side));
            chosen.push(row * SIDE + column);
        }
        chosen.sort_unstable();
        chosen.dedup();
        let sample = |number: usize| {
            let (easting, northing) = place(number);
            Point { easting, northing, value: shown(number).max(0.1) }
        };
        Drawn { cec, samples: chosen.into_iter().map(sample).collect() }
    }
}
