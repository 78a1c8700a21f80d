//! The n-th smallest squared distance, for a vector of places at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Simd, WithSimd};

use super::Point;
use super::insertion::Insertion;
use super::tile::Rectangle;
use super::twelve::ByTwelves;

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
    pub fn push(&mut self, place: &Rectangle) {
        let Rectangle { centre, half } = *place;
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

/// Where distances are measured from, for a vector of places at once.
pub(super) trait From<S: Simd>: Copy {
    /// The squared distances of a sample.
    fn squared(self, simd: S, point: &Point) -> S::f64s;
}

/// Single nodes.
#[derive(Clone, Copy)]
struct Nodes<S: Simd> {
    east: S::f64s,
    north: S::f64s,
}

impl<S: Simd> From<S> for Nodes<S> {
    #[inline(always)]
    fn squared(self, simd: S, point: &Point) -> S::f64s {
        let east = simd.sub_f64s(self.east, simd.splat_f64s(point.easting));
        let north = simd.sub_f64s(self.north, simd.splat_f64s(point.northing));
        simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north))
    }
}

/// The corners of rectangles that are farthest from the sample: no node in them is farther.
#[derive(Clone, Copy)]
struct Corners<S: Simd> {
    centres: Nodes<S>,
    half_east: S::f64s,
    half_north: S::f64s,
}

impl<S: Simd> From<S> for Corners<S> {
    #[inline(always)]
    fn squared(self, simd: S, point: &Point) -> S::f64s {
        let east = simd.sub_f64s(self.centres.east, simd.splat_f64s(point.easting));
        let north = simd.sub_f64s(self.centres.north, simd.splat_f64s(point.northing));
        let east = simd.add_f64s(simd.abs_f64s(east), self.half_east);
        let north = simd.add_f64s(simd.abs_f64s(north), self.half_north);
        simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north))
    }
}

/// A way to find the n-th smallest distance.
pub(super) trait Selection<S: Simd> {
    /// The nearest (if it is wanted) and the n-th squared distance of samples, at least n of them.
    fn among<F: From<S>>(&mut self, simd: S, from: F, points: &[Point]) -> [S::f64s; 2];
}

/// Ranks the samples of a list by distance from each place.
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
        // Up to five kept numbers cost less than sorting.
        if self.rank == 12 && from_above > 5 && !self.nearest {
            self.each(simd, ByTwelves);
        } else if from_above < self.rank && !self.nearest {
            self.insert::<S, false>(simd, from_above);
        } else {
            let rank = self.rank;
            self.insert::<S, true>(simd, rank);
        }
    }
}

impl Ranking<'_> {
    #[inline(always)]
    fn insert<S: Simd, const SMALLEST: bool>(self, simd: S, keep: usize) {
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
                self.each(simd, Insertion::<S, SMALLEST> { kept: &mut kept });
            }
        }
    }

    #[inline(always)]
    fn sized<S: Simd, const SMALLEST: bool, const KEEP: usize>(self, simd: S) {
        let mut kept = [simd.splat_f64s(0.0); KEEP];
        self.each(simd, Insertion::<S, SMALLEST> { kept: &mut kept });
    }

    #[inline(always)]
    fn each<S: Simd>(self, simd: S, mut selection: impl Selection<S>) {
        let Self { places, points, .. } = self;
        let (eastings, _) = S::as_simd_f64s(&places.eastings);
        let (northings, _) = S::as_simd_f64s(&places.northings);
        let (half_east, _) = S::as_simd_f64s(&places.half_east);
        let (half_north, _) = S::as_simd_f64s(&places.half_north);
        let (nearest, _) = S::as_mut_simd_f64s(&mut places.nearest);
        let (nth, _) = S::as_mut_simd_f64s(&mut places.nth);
        let nodes = eastings.iter().zip(northings).zip(nearest.iter_mut().zip(nth));
        if half_east.is_empty() {
            for ((&east, &north), (nearest, nth)) in nodes {
                [*nearest, *nth] = selection.among(simd, Nodes { east, north }, points);
            }
            return;
        }
        for (((&east, &north), found), (&half_east, &half_north)) in
            nodes.zip(half_east.iter().zip(half_north))
        {
            let from = Corners { centres: Nodes { east, north }, half_east, half_north };
            [*found.0, *found.1] = selection.among(simd, from, points);
        }
    }
}
