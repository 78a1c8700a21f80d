//! The n-th smallest squared distance, for a vector of places at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Simd, WithSimd};

use super::Point;

/// Places whose distances are ranked: nodes, or rectangles of nodes about a centre.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    /// Centre eastings.
    pub eastings: Vec<f64>,
    /// Centre northings.
    pub northings: Vec<f64>,
    /// Half extents east; none when the places are single nodes.
    pub half_east: Vec<f64>,
    /// Half extents north; as many as `half_east`.
    pub half_north: Vec<f64>,
    /// Found: the squared distance of the nearest sample.
    pub nearest: Vec<f64>,
    /// Found: the squared distance of the n-th nearest sample.
    pub nth: Vec<f64>,
}

impl Places {
    /// Empties the list of places.
    pub fn clear(&mut self) {
        self.eastings.clear();
        self.northings.clear();
        self.half_east.clear();
        self.half_north.clear();
    }

    /// Adds a rectangle.
    pub fn push(&mut self, centre: [f64; 2], half: [f64; 2]) {
        self.eastings.push(centre[0]);
        self.northings.push(centre[1]);
        self.half_east.push(half[0]);
        self.half_north.push(half[1]);
    }

    /// Repeats the last place until the list fills whole vectors, and makes room for the answers.
    pub fn pad(&mut self, lanes: usize) {
        let whole = self.eastings.len().next_multiple_of(lanes);
        for list in
            [&mut self.eastings, &mut self.northings, &mut self.half_east, &mut self.half_north]
        {
            if let Some(&last) = list.last() {
                list.resize(whole, last);
            }
        }
        self.nearest.resize(whole, 0.0);
        self.nth.resize(whole, 0.0);
    }
}

/// Ranks the samples of a list by distance from each place.
///
/// Few numbers are kept sorted for each place while the samples pass by: the `rank` smallest, or,
/// where fewer, the largest ones from the `rank`-th on. No branch depends on a distance.
///
/// The distance to a rectangle is that to its farthest corner, which no node in it exceeds.
pub(super) struct Ranking<'a> {
    pub places: &'a mut Places,
    pub points: &'a [Point],
    pub rank: usize,
    /// Whether `nearest` is wanted too.
    pub nearest: bool,
}

impl WithSimd for Ranking<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let from_above = self.points.len() + 1 - self.rank.min(self.points.len());
        if from_above < self.rank && !self.nearest {
            self.run::<S, false>(simd, from_above);
        } else {
            let rank = self.rank;
            self.run::<S, true>(simd, rank);
        }
    }
}

impl Ranking<'_> {
    #[inline(always)]
    fn run<S: Simd, const SMALLEST: bool>(self, simd: S, keep: usize) {
        match keep {
            1 => self.sized::<S, SMALLEST, 1>(simd),
            2 => self.sized::<S, SMALLEST, 2>(simd),
            3 => self.sized::<S, SMALLEST, 3>(simd),
            4 => self.sized::<S, SMALLEST, 4>(simd),
            5 => self.sized::<S, SMALLEST, 5>(simd),
            6 => self.sized::<S, SMALLEST, 6>(simd),
            7 => self.sized::<S, SMALLEST, 7>(simd),
            8 => self.sized::<S, SMALLEST, 8>(simd),
            9 => self.sized::<S, SMALLEST, 9>(simd),
            10 => self.sized::<S, SMALLEST, 10>(simd),
            11 => self.sized::<S, SMALLEST, 11>(simd),
            12 => self.sized::<S, SMALLEST, 12>(simd),
            _ => {
                let mut kept = vec![simd.splat_f64s(0.0); keep];
                self.each::<S, SMALLEST>(simd, &mut kept);
            }
        }
    }

    #[inline(always)]
    fn sized<S: Simd, const SMALLEST: bool, const KEEP: usize>(self, simd: S) {
        let mut kept = [simd.splat_f64s(0.0); KEEP];
        self.each::<S, SMALLEST>(simd, &mut kept);
    }

    #[inline(always)]
    fn each<S: Simd, const SMALLEST: bool>(self, simd: S, kept: &mut [S::f64s]) {
        let Self { places, points, .. } = self;
        let (eastings, _) = S::as_simd_f64s(&places.eastings);
        let (northings, _) = S::as_simd_f64s(&places.northings);
        let (half_east, _) = S::as_simd_f64s(&places.half_east);
        let (half_north, _) = S::as_simd_f64s(&places.half_north);
        let (nearest, _) = S::as_mut_simd_f64s(&mut places.nearest);
        let (nth, _) = S::as_mut_simd_f64s(&mut places.nth);
        let found = nearest.iter_mut().zip(nth);
        if half_east.is_empty() {
            for ((&east, &north), (nearest, nth)) in eastings.iter().zip(northings).zip(found) {
                start::<S, SMALLEST>(simd, kept);
                for point in points {
                    let east = simd.sub_f64s(east, simd.splat_f64s(point.easting));
                    let north = simd.sub_f64s(north, simd.splat_f64s(point.northing));
                    let squared =
                        simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north));
                    insert::<S, SMALLEST>(simd, kept, squared);
                }
                finish::<S>(kept, nearest, nth);
            }
            return;
        }
        let halves = half_east.iter().zip(half_north);
        for (((&east, &north), (&half_east, &half_north)), (nearest, nth)) in
            eastings.iter().zip(northings).zip(halves).zip(found)
        {
            start::<S, SMALLEST>(simd, kept);
            for point in points {
                let east = simd.sub_f64s(east, simd.splat_f64s(point.easting));
                let north = simd.sub_f64s(north, simd.splat_f64s(point.northing));
                let east = simd.add_f64s(simd.abs_f64s(east), half_east);
                let north = simd.add_f64s(simd.abs_f64s(north), half_north);
                let squared = simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north));
                insert::<S, SMALLEST>(simd, kept, squared);
            }
            finish::<S>(kept, nearest, nth);
        }
    }
}

/// Begins with nothing kept.
#[inline(always)]
fn start<S: Simd, const SMALLEST: bool>(simd: S, kept: &mut [S::f64s]) {
    kept.fill(simd.splat_f64s(if SMALLEST { f64::INFINITY } else { f64::NEG_INFINITY }));
}

/// Lets a value sink to its place among the kept ones; the last one drops out.
#[inline(always)]
fn insert<S: Simd, const SMALLEST: bool>(simd: S, kept: &mut [S::f64s], mut value: S::f64s) {
    for held in kept.iter_mut() {
        let (smaller, larger) = (simd.min_f64s(*held, value), simd.max_f64s(*held, value));
        (*held, value) = if SMALLEST { (smaller, larger) } else { (larger, smaller) };
    }
}

/// Takes the first and the last of the kept ones.
#[inline(always)]
fn finish<S: Simd>(kept: &[S::f64s], nearest: &mut S::f64s, nth: &mut S::f64s) {
    if let (Some(&first), Some(&last)) = (kept.first(), kept.last()) {
        (*nearest, *nth) = (first, last);
    }
}
