//! Amounts as `totals.json` has them.

use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::totals::{self, InUnits};
use crate::units::{Area, Mass, Quantity, System, round_to};

/// An area as printed, under whatever key.
pub fn area<K>(area: Area, system: System) -> InUnits<K>
where
    K: totals::Key<Quantity = Area>,
{
    InUnits::new(round_to(area.value_in(system), AREA_DECIMALS), system)
}

/// A mass as printed, under whatever key.
pub fn mass<K>(mass: Mass, system: System) -> InUnits<K>
where
    K: totals::Key<Quantity = Mass>,
{
    InUnits::new(round_to(mass.value_in(system), MASS_DECIMALS), system)
}
