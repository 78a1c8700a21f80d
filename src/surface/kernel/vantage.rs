//! Where the distances of samples are measured from, for a vector of places at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::Simd;

use crate::surface::Point;

/// Where distances are measured from, for a vector of places at once.
pub(super) trait Vantage<S: Simd>: Copy {
    /// The squared distances of a sample.
    fn squared(self, simd: S, point: &Point) -> S::f64s;
}

/// Single nodes.
#[derive(Clone, Copy)]
pub(super) struct Nodes<S: Simd> {
    pub east: S::f64s,
    pub north: S::f64s,
}

impl<S: Simd> Vantage<S> for Nodes<S> {
    #[inline(always)]
    fn squared(self, simd: S, point: &Point) -> S::f64s {
        let east = simd.sub_f64s(self.east, simd.splat_f64s(point.easting));
        let north = simd.sub_f64s(self.north, simd.splat_f64s(point.northing));
        simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north))
    }
}

/// The corners of rectangles that are farthest from the sample: no node in them is farther.
#[derive(Clone, Copy)]
pub(super) struct Corners<S: Simd> {
    pub centres: Nodes<S>,
    pub half_east: S::f64s,
    pub half_north: S::f64s,
}

impl<S: Simd> Vantage<S> for Corners<S> {
    #[inline(always)]
    fn squared(self, simd: S, point: &Point) -> S::f64s {
        let east = simd.sub_f64s(self.centres.east, simd.splat_f64s(point.easting));
        let north = simd.sub_f64s(self.centres.north, simd.splat_f64s(point.northing));
        let east = simd.add_f64s(simd.abs_f64s(east), self.half_east);
        let north = simd.add_f64s(simd.abs_f64s(north), self.half_north);
        simd.add_f64s(simd.mul_f64s(east, east), simd.mul_f64s(north, north))
    }
}
