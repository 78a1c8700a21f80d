//! Fields whose CEC is known everywhere: random ground of a stated kind, soil tests taken on it, and
//! what a map made from the test is worth there.

use geo::{Contains, Coord, LineString, MultiPolygon, Point, Polygon};
use landplaster::field::{Boundary, Field, RawSample};
use landplaster::plan::{CleanUp, Plan, Settings, SurfaceSettings, Unspread, plan};
use landplaster::projection::Coordinates;
use landplaster::soil::{SodicLayer, Tiers};
use landplaster::units::{Length, System};
use nalgebra::{Cholesky, DMatrix, DVector};

/// The field: 40 by 40 places, 20 m apart, about 160 acres.
pub const SIDE: usize = 40;
pub const STEP: f64 = 20.0;
const WEST: f64 = -85.2;
const SOUTH: f64 = 40.4;
/// Degrees a meter at 40.4036 degrees north on WGS84 (from memory: 84,861 and 111,035 m a degree;
/// nothing hangs on the last digits).
const EAST: f64 = 1.0 / 84_861.0;
const NORTH: f64 = 1.0 / 111_035.0;

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

/// The sill, (meq/100 g)².
const SILL: f64 = 16.0;

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

/// One field: what is below the nugget at each place, and what a sample there shows.
pub struct Drawn {
    /// What a new sample shows at each place, row after row from the south.
    pub cec: Vec<f64>,
    /// The soil test: the place's number and its CEC.
    pub samples: Vec<(usize, f64)>,
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
        let (turn, off) = (std::f64::consts::TAU * sequence.share(), 500.0 * (sequence.share() - 0.5));
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
        let cec = (0..SIDE * SIDE).map(&mut shown).collect();
        let side = (samples as f64).sqrt().round() as usize;
        let mut chosen: Vec<usize> = Vec::new();
        let mut jitter = Sequence(samples as u64 ^ cec_bits(&cec));
        for cell in 0..side * side {
            let mut along = |index: usize| {
                let from = index as f64 + 0.15 + 0.7 * jitter.share();
                ((from * SIDE as f64 / side as f64) as usize).min(SIDE - 1)
            };
            let (column, row) = (along(cell % side), along(cell / side));
            if !chosen.contains(&(row * SIDE + column)) {
                chosen.push(row * SIDE + column);
            }
        }
        let samples = chosen.into_iter().map(|number| (number, shown(number).max(0.1))).collect();
        Drawn { cec, samples }
    }
}

/// Makes the jitter of each field its own.
fn cec_bits(cec: &Vec<f64>) -> u64 {
    cec.first().map_or(0, |first| first.to_bits())
}

impl Drawn {
    /// The plan from the soil test.
    pub fn plan(&self, surface: SurfaceSettings, clean_up: Option<CleanUp>) -> Plan {
        let degrees = |x: f64, y: f64| Coord { x: WEST + x * EAST, y: SOUTH + y * NORTH };
        let end = SIDE as f64 * STEP;
        let corners = [(0.0, 0.0), (end, 0.0), (end, end), (0.0, end), (0.0, 0.0)];
        let ring = LineString::new(corners.map(|(x, y)| degrees(x, y)).to_vec());
        let boundary = Boundary::new(MultiPolygon(vec![Polygon::new(ring, vec![])]), "simulated");
        let samples = self.samples.iter().map(|&(number, cec)| {
            let (x, y) = place(number);
            RawSample {
                id: number.to_string(),
                place: format!("place {number}"),
                wgs84: degrees(x, y),
                cec: Some(cec),
                cations: None,
                esp: None,
            }
        });
        let wgs84 = || Coordinates { crs: "WGS 84".into(), accuracy: None };
        let field = Field::new(
            (boundary.expect("a sound boundary"), wgs84()),
            (samples.collect(), wgs84()),
            Vec::new(),
        );
        let settings = Settings {
            job: "simulated".into(),
            system: System::Us,
            tiers: Tiers::common_practice(),
            surface,
            grid: Length::metres(10.0),
            clean_up,
            rows: None,
            unspread: Unspread::default(),
            order: None,
            sodic: SodicLayer::default(),
            piles: None,
            warnings: Vec::new(),
        };
        plan(field.expect("sound samples"), settings).expect("a plan")
    }

    /// What all ground would take at the rate its CEC calls for, in tons, and the share of ground
    /// whose tier on the map is that of its CEC.
    pub fn truth(&self, plan: &Plan) -> (f64, f64) {
        let tiers = Tiers::common_practice();
        let acres = plan.total.area.as_acres() / self.cec.len() as f64;
        let tons = self.cec.iter().map(|cec| tiers.rate(*cec).as_tons_per_acre() * acres).sum();
        let right = (0..self.cec.len()).zip(&self.cec).filter(|(number, cec)| {
            let (x, y) = place(*number);
            let at = Point::new(WEST + x * EAST, SOUTH + y * NORTH);
            let zone = plan.zones.iter().find(|zone| zone.polygon.contains(&at));
            zone.is_some_and(|zone| zone.tier == tiers.class(**cec) as usize)
        });
        (tons, right.count() as f64 / self.cec.len() as f64)
    }
}
