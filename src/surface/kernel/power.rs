#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Scalar, Simd};

/// The weight of a sample: one over the distance to a power.
///
/// The same operations run on one number and on a vector of them, so both give the same bits.
pub(in crate::surface) trait Weight: Copy + Send + Sync {
    /// Weights of a vector of samples, from one over the squared distance of each.
    fn lanes<S: Simd>(self, simd: S, inverse: S::f64s) -> S::f64s;

    /// The weight of one squared distance, plain or tapered.
    #[inline(always)]
    fn of(self, squared: f64, taper: Option<f64>) -> f64 {
        let simd = Scalar::new();
        self.lanes(simd, inverse(simd, squared, taper))
    }
}

/// One over squared distances `d^2`; where weights fall to nothing at a distance `R`, of
/// `d / (R - d)` in place of `d`, which makes no other difference than the factor `R` in all weights.
#[inline(always)]
pub(in crate::surface) fn inverse<S: Simd>(
    simd: S,
    squared: S::f64s,
    taper: Option<S::f64s>,
) -> S::f64s {
    let Some(end) = taper else { return simd.div_f64s(simd.splat_f64s(1.0), squared) };
    let left = simd.sub_f64s(end, simd.sqrt_f64s(squared));
    simd.div_f64s(simd.mul_f64s(left, left), squared)
}

/// A power of `HALVES` halves, 1 to 8: square roots and products, exact to the last bit anywhere.
#[derive(Clone, Copy)]
pub(in crate::surface) struct Halves<const HALVES: u8>;

impl<const HALVES: u8> Weight for Halves<HALVES> {
    #[inline(always)]
    fn lanes<S: Simd>(self, simd: S, inverse: S::f64s) -> S::f64s {
        let root = |x| simd.sqrt_f64s(x);
        match HALVES {
            1 => root(root(inverse)),
            2 => root(inverse),
            3 => {
                let one = root(inverse);
                simd.mul_f64s(one, root(one))
            }
            4 => inverse,
            5 => simd.mul_f64s(inverse, root(root(inverse))),
            6 => simd.mul_f64s(inverse, root(inverse)),
            7 => {
                let one = root(inverse);
                simd.mul_f64s(inverse, simd.mul_f64s(one, root(one)))
            }
            _ => simd.mul_f64s(inverse, inverse),
        }
    }
}

/// Any power, by `powf`.
#[derive(Clone, Copy)]
pub(in crate::surface) struct Any(pub f64);

impl Weight for Any {
    #[inline(always)]
    fn lanes<S: Simd>(self, simd: S, inverse: S::f64s) -> S::f64s {
        let mut each = [0.0; 16];
        let (each, _) = each.split_at_mut(S::F64_LANES.min(16));
        simd.partial_store_f64s(each, inverse);
        for value in each.iter_mut() {
            *value = libm::pow(*value, 0.5 * self.0);
        }
        simd.partial_load_f64s(each)
    }
}

/// Runs an expression with the weight that fits a power.
macro_rules! with_weight {
    ($power:expr, $weight:ident => $body:expr) => {
        $crate::surface::kernel::power::with_weight!(@ $power, $weight, $body;
            0.5 => 1, 1.0 => 2, 1.5 => 3, 2.0 => 4, 2.5 => 5, 3.0 => 6, 3.5 => 7, 4.0 => 8)
    };
    (@ $power:expr, $weight:ident, $body:expr; $($known:literal => $halves:literal),+) => {{
        let power: f64 = $power;
        $(if power == $known {
            let $weight = $crate::surface::kernel::power::Halves::<$halves>;
            $body
        } else)+ {
            let $weight = $crate::surface::kernel::power::Any(power);
            $body
        }
    }};
}
pub(in crate::surface) use with_weight;

#[cfg(test)]
mod tests {
    use super::Weight;

    #[test]
    fn every_power_is_one_over_the_distance_to_it() {
        for power in [0.5, 1.0, 1.5, 1.7, 2.0, 2.5, 3.0, 3.5, 4.0, 6.0] {
            let plain = with_weight!(power, weight => weight.of(9.0, None));
            assert!((plain * 3f64.powf(power) - 1.0).abs() < 1e-15, "{power}");
            let tapered = with_weight!(power, weight => weight.of(9.0, Some(5.0)));
            assert!((tapered * 1.5f64.powf(power) - 1.0).abs() < 1e-15, "{power}");
        }
    }
}
