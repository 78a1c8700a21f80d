//! How quantities of a machine file are told.

use crate::units::{Quantity, System, Unit, round_to};

/// How a quantity is said: in the first unit of the system in which it is one or more.
pub(super) fn shown<Q: Quantity>(value: Q, system: System) -> String {
    let unit = unit_for(value, system);
    format!("{} {}", number_in(value, unit), unit.symbol())
}

/// The first unit of a system in which a quantity is one or more, or else the smallest one.
pub(super) fn unit_for<Q: Quantity>(value: Q, system: System) -> &'static Unit {
    let units = || Q::UNITS.iter().filter(|unit| unit.system == system);
    let whole = units().find(|unit| value.si().abs() >= unit.si || value.si() == 0.0);
    let smallest = || units().min_by(|a, b| a.si.total_cmp(&b.si));
    whole.or_else(smallest).unwrap_or_else(|| Q::unit(system))
}

/// The number in a unit, without zeros that say nothing.
pub(super) fn number_in<Q: Quantity>(value: Q, unit: &Unit) -> f64 {
    round_to(value.si() / unit.si, 3)
}
