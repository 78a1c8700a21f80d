//! The twelfth smallest distance of many, the default count, and the thirteenth, where a taper ends,
//! by sorting twelve at a time.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::Simd;

use super::selection::Selection;
use super::vantage::Vantage;
use crate::surface::Point;

/// Twelve distances, for a vector of places at once.
type Twelve<S> = [<S as Simd>::f64s; 12];

/// So few distances are cheaper to let sink into place one by one than to sort.
const SINK_AT_MOST: usize = 4;

/// Sorts twelve samples' distances, then merges the next twelve into them, and so on. The thirteenth
/// (`NEXT`) is the smallest of all that were ever left out.
pub(super) struct TwelveSmallest<const NEXT: bool>;

/// Puts pairs of numbers in order, pair after pair.
macro_rules! order {
    ($simd:ident, $list:ident, $([$low:literal, $high:literal])+) => {$(
        let (low, high) = ($list[$low], $list[$high]);
        $list[$low] = $simd.min_f64s(low, high);
        $list[$high] = $simd.max_f64s(low, high);
    )+};
}

/// Sorts with the fewest comparisons known for twelve numbers (G. Shapiro and M. W. Green; D. E.
/// Knuth, *The Art of Computer Programming* 3, 2nd edition, section 5.3.4).
#[inline(always)]
fn sort<S: Simd>(simd: S, list: &mut Twelve<S>) {
    order!(simd, list,
        [0, 8] [1, 7] [2, 6] [3, 11] [4, 10] [5, 9]
        [0, 1] [2, 5] [3, 4] [6, 9] [7, 8] [10, 11]
        [0, 2] [1, 6] [5, 10] [9, 11]
        [0, 3] [1, 2] [4, 6] [5, 7] [8, 11] [9, 10]
        [1, 4] [3, 5] [6, 8] [7, 10]
        [1, 3] [2, 5] [6, 9] [8, 10]
        [2, 3] [4, 5] [6, 7] [8, 9]
        [4, 6] [5, 7]
        [3, 4] [5, 6] [7, 8]
    );
}

/// Keeps the twelve smallest of two sorted lists; they then first rise and then fall, or the other
/// way round (K. E. Batcher, "Sorting networks and their applications", 1968). With `NEXT`, gives the
/// smallest of those left out, or what it was before.
#[inline(always)]
fn keep_smaller<S: Simd, const NEXT: bool>(
    simd: S,
    kept: &mut Twelve<S>,
    other: &Twelve<S>,
    mut left_out: S::f64s,
) -> S::f64s {
    for (held, other) in kept.iter_mut().zip(other.iter().rev()) {
        if NEXT {
            left_out = simd.min_f64s(left_out, simd.max_f64s(*held, *other));
        }
        *held = simd.min_f64s(*held, *other);
    }
    left_out
}

/// Sorts what [`keep_smaller`] leaves.
#[inline(always)]
fn sort_bitonic<S: Simd>(simd: S, list: &mut Twelve<S>) {
    order!(simd, list,
        [0, 6] [1, 7] [2, 8] [3, 9] [4, 10] [5, 11]
        [0, 3] [1, 4] [2, 5] [6, 9] [7, 10] [8, 11]
        [0, 1] [3, 4] [6, 7] [9, 10]
        [1, 2] [4, 5] [7, 8] [10, 11]
        [0, 1] [3, 4] [6, 7] [9, 10]
    );
}

/// The largest of twelve.
#[inline(always)]
fn largest<S: Simd>(simd: S, list: &Twelve<S>) -> S::f64s {
    let [first, rest @ ..] = list;
    let mut largest = *first;
    for other in rest {
        largest = simd.max_f64s(largest, *other);
    }
    largest
}

/// The distances of up to twelve samples, the rest infinite.
#[inline(always)]
fn distances<S: Simd, V: Vantage<S>>(simd: S, from: V, points: &[Point]) -> Twelve<S> {
    let mut list = [simd.splat_f64s(f64::INFINITY); 12];
    for (place, point) in list.iter_mut().zip(points) {
        *place = from.squared(simd, point);
    }
    list
}

impl<S: Simd, const NEXT: bool> Selection<S> for TwelveSmallest<NEXT> {
    #[inline(always)]
    fn among<V: Vantage<S>>(&mut self, simd: S, from: V, points: &[Point]) -> [S::f64s; 2] {
        let (first, others) = points.split_at(points.len().min(12));
        let (batches, rest) = others.as_chunks::<12>();
        let mut kept = distances(simd, from, first);
        sort(simd, &mut kept);
        let mut left_out = simd.splat_f64s(f64::INFINITY);
        let sink = rest.len() <= SINK_AT_MOST;
        for batch in batches {
            let mut batch = distances(simd, from, batch);
            sort(simd, &mut batch);
            left_out = keep_smaller::<S, NEXT>(simd, &mut kept, &batch, left_out);
            sort_bitonic(simd, &mut kept);
        }
        let nth = if sink {
            for point in rest {
                let mut sinking = from.squared(simd, point);
                for held in &mut kept {
                    let larger = simd.max_f64s(*held, sinking);
                    *held = simd.min_f64s(*held, sinking);
                    sinking = larger;
                }
                left_out = simd.min_f64s(left_out, sinking);
            }
            kept[11]
        } else {
            let mut batch = distances(simd, from, rest);
            sort(simd, &mut batch);
            left_out = keep_smaller::<S, NEXT>(simd, &mut kept, &batch, left_out);
            largest(simd, &kept)
        };
        [kept[0], if NEXT { left_out } else { nth }]
    }
}

#[cfg(test)]
mod tests {
    use pulp::Scalar;

    use super::*;

    /// A network that sorts all lists of noughts and ones sorts every list (Knuth, theorem Z).
    #[test]
    fn the_networks_sort() {
        let simd = Scalar::new();
        let sorted = |list: &[f64]| list.is_sorted();
        for bits in 0..1u32 << 12 {
            let mut list: [f64; 12] = std::array::from_fn(|place| f64::from(bits >> place & 1));
            sort(simd, &mut list);
            assert!(sorted(&list), "{bits:b}");
        }
        for (ones, others) in (0..=12).flat_map(|ones| (0..=12).map(move |other| (ones, other))) {
            let ending =
                |ones| std::array::from_fn(|place| f64::from(u8::from(place + ones >= 12)));
            let mut kept: [f64; 12] = ending(ones);
            let left_out = keep_smaller::<_, true>(simd, &mut kept, &ending(others), 1.0);
            assert_eq!(left_out == 0.0, ones + others < 12);
            assert_eq!(kept.iter().sum::<f64>(), (ones + others).saturating_sub(12) as f64);
            sort_bitonic(simd, &mut kept);
            assert!(sorted(&kept), "{ones} {others}");
        }
    }
}
