//! The n-th smallest squared distance, for a vector of places at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Simd, WithSimd};

use super::insertion::Insertion;
use super::places::Places;
use super::selection::Selection;
use super::twelve_smallest::TwelveSmallest;
use super::vantage::{Corners, Nodes};
use crate::surface::Point;

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
            self.each(simd, TwelveSmallest::<false>);
        } else if self.rank == 13 && from_above > 5 && !self.nearest {
            self.each(simd, TwelveSmallest::<true>);
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
            13 => self.sized::<S, SMALLEST, 13>(simd),
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
