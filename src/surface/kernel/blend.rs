//! The weighted mean, for a vector of nodes at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Simd, WithSimd};

use super::power::{Weight, inverse};
use crate::surface::Point;
use crate::surface::evaluate::SOUND_SUM;

/// Blends samples at nodes: those within each node's limit, or all of them when there is none.
///
/// A sample that does not count adds a weight of zero, and the others follow in canonical order:
/// each lane adds up the same numbers in the same order as [`crate::surface::evaluate::blend`]. A node at a
/// sample, or with sums out of range, is left as NaN.
pub(super) struct Blend<'a, W> {
    pub weight: W,
    pub points: &'a [Point],
    pub eastings: &'a [f64],
    pub northings: &'a [f64],
    /// The largest squared distance that counts at each node.
    pub limits: Option<&'a [f64]>,
    /// Whether weights fall to nothing there.
    pub tapered: bool,
    pub values: &'a mut [f64],
}

impl<W: Weight> WithSimd for Blend<'_, W> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let (eastings, _) = S::as_simd_f64s(self.eastings);
        let (northings, _) = S::as_simd_f64s(self.northings);
        let (values, _) = S::as_mut_simd_f64s(self.values);
        let nodes = eastings.iter().zip(northings).zip(values);
        if let Some(limits) = self.limits {
            let (limits, _) = S::as_simd_f64s(limits);
            for (((&east, &north), value), &limit) in nodes.zip(limits) {
                let taper = self.tapered.then(|| simd.sqrt_f64s(limit));
                *value = some(simd, self.weight, self.points, [east, north], limit, taper);
            }
        } else {
            let extent = self.points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |range, p| {
                (range.0.min(p.value), range.1.max(p.value))
            });
            for ((&east, &north), value) in nodes {
                *value = all(simd, self.weight, self.points, east, north, extent);
            }
        }
    }
}

/// The blend of the samples within a limit.
#[inline(always)]
fn some<S: Simd, W: Weight>(
    simd: S,
    weight: W,
    points: &[Point],
    [east, north]: [S::f64s; 2],
    limit: S::f64s,
    taper: Option<S::f64s>,
) -> S::f64s {
    let zero = simd.splat_f64s(0.0);
    let (mut weights, mut weighted) = (zero, zero);
    let none = (simd.splat_f64s(f64::INFINITY), simd.splat_f64s(f64::NEG_INFINITY));
    let (mut low, mut high) = none;
    for point in points {
        let squared = squared_distance(simd, point, east, north);
        let counts = simd.less_than_or_equal_f64s(squared, limit);
        let share =
            simd.select_f64s(counts, weight.lanes(simd, inverse(simd, squared, taper)), zero);
        let value = simd.splat_f64s(point.value);
        weights = simd.add_f64s(weights, share);
        weighted = simd.add_f64s(weighted, simd.mul_f64s(share, value));
        low = simd.min_f64s(simd.select_f64s(counts, value, none.0), low);
        high = simd.max_f64s(simd.select_f64s(counts, value, none.1), high);
    }
    mean(simd, weights, weighted, low, high)
}

/// The blend of all samples, whose values lie in an extent.
#[inline(always)]
fn all<S: Simd, W: Weight>(
    simd: S,
    weight: W,
    points: &[Point],
    east: S::f64s,
    north: S::f64s,
    extent: (f64, f64),
) -> S::f64s {
    let (mut weights, mut weighted) = (simd.splat_f64s(0.0), simd.splat_f64s(0.0));
    for point in points {
        let share =
            weight.lanes(simd, inverse(simd, squared_distance(simd, point, east, north), None));
        weights = simd.add_f64s(weights, share);
        weighted = simd.add_f64s(weighted, simd.mul_f64s(share, simd.splat_f64s(point.value)));
    }
    mean(simd, weights, weighted, simd.splat_f64s(extent.0), simd.splat_f64s(extent.1))
}

#[inline(always)]
fn squared_distance<S: Simd>(simd: S, point: &Point, east: S::f64s, north: S::f64s) -> S::f64s {
    let east = simd.sub_f64s(east, simd.splat_f64s(point.easting));
    let north = simd.sub_f64s(north, simd.splat_f64s(point.northing));
    simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north))
}

/// The mean within the range of the values, or NaN where the sums are out of range.
#[inline(always)]
fn mean<S: Simd>(
    simd: S,
    weights: S::f64s,
    weighted: S::f64s,
    low: S::f64s,
    high: S::f64s,
) -> S::f64s {
    let inside = simd.min_f64s(simd.max_f64s(simd.div_f64s(weighted, weights), low), high);
    let nan = simd.splat_f64s(f64::NAN);
    let enough = simd.greater_than_or_equal_f64s(weights, simd.splat_f64s(SOUND_SUM.start));
    let finite = simd.less_than_f64s(weights, simd.splat_f64s(SOUND_SUM.end));
    simd.select_f64s(enough, simd.select_f64s(finite, inside, nan), nan)
}
