//! The n-th smallest distance of many, by keeping a few of them sorted.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::Simd;

use super::selection::Selection;
use super::vantage::Vantage;
use crate::surface::Point;

/// Few numbers are kept sorted for each place while the samples pass by: the smallest ones up to the
/// wanted one, or, where fewer, the largest ones from it on. No branch depends on a distance.
pub(super) struct Insertion<'a, S: Simd, const SMALLEST: bool> {
    pub kept: &'a mut [S::f64s],
}

impl<S: Simd, const SMALLEST: bool> Selection<S> for Insertion<'_, S, SMALLEST> {
    #[inline(always)]
    fn among<V: Vantage<S>>(&mut self, simd: S, from: V, points: &[Point]) -> [S::f64s; 2] {
        let beyond = if SMALLEST { f64::INFINITY } else { f64::NEG_INFINITY };
        self.kept.fill(simd.splat_f64s(beyond));
        for point in points {
            let mut value = from.squared(simd, point);
            for held in self.kept.iter_mut() {
                let (smaller, larger) = (simd.min_f64s(*held, value), simd.max_f64s(*held, value));
                (*held, value) = if SMALLEST { (smaller, larger) } else { (larger, smaller) };
            }
        }
        let beyond = simd.splat_f64s(beyond);
        [self.kept.first().copied().unwrap_or(beyond), self.kept.last().copied().unwrap_or(beyond)]
    }
}
