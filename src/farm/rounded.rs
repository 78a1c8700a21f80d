use crate::totals::{InUnits, Key};
use crate::units::{System, round_to};

/// A figure in a system's unit, as it is printed.
pub(super) fn rounded<K: Key>(figure: &InUnits<K>, system: System, decimals: u32) -> f64 {
    round_to(figure.value_in(system), decimals)
}
