use geo::Area as _;

use crate::geometry::{Coverage, Face};
use crate::soil::{TierIndex, Tiers};
use crate::tonnage::AREA_DECIMALS;
use crate::units::{Area, Mass, Quantity, System, apportion};
use crate::zones::{ClassOfGround, Joined, Partition};

/// What the clean-up did to the zones, measured on the field's own projection.
#[derive(Clone, Debug, PartialEq)]
pub struct CleanedUp {
    /// How many zones there were before.
    pub zones_before: usize,
    /// The area and mass of each tier before and after, from the lowest.
    pub tiers: Vec<TierChange>,
    /// The islands that joined the tier around them.
    pub islands: Joined,
}

/// What the clean-up did to a tier.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TierChange {
    /// How much larger it is after it.
    pub area: Area,
    /// How much more material it takes.
    pub mass: Mass,
}

impl CleanedUp {
    pub(super) fn new(before: &Coverage, after: &Partition, tiers: &Tiers) -> Self {
        let area_of = |coverage: &Coverage, tier: TierIndex| -> Area {
            let is_of = |face: &&Face| ClassOfGround::of(face.class) == ClassOfGround::Tier(tier);
            let faces = coverage.faces.iter().filter(is_of);
            faces
                .map(|face| Area::square_metres(coverage.plane_polygon(face).unsigned_area()))
                .sum()
        };
        let change = tiers.tiers().iter().enumerate().map(|(index, tier)| {
            let index = TierIndex::of(index);
            let area = area_of(&after.coverage, index) - area_of(before, index);
            TierChange { area, mass: tier.rate * area }
        });
        let spread = before.faces.iter().filter(|face| ClassOfGround::of(face.class).by_surface());
        Self { zones_before: spread.count(), tiers: change.collect(), islands: after.islands }
    }

    /// The areas that the tiers gained or lost, as printed: what one gains others lose.
    #[must_use]
    pub fn printed_areas(&self, system: System) -> Vec<f64> {
        let areas: Vec<f64> = self.tiers.iter().map(|tier| tier.area.value_in(system)).collect();
        apportion(&areas, areas.iter().sum(), AREA_DECIMALS)
    }

    /// How much more material the field takes.
    #[must_use]
    pub fn mass(&self) -> Mass {
        self.tiers.iter().map(|tier| tier.mass).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each rounded by itself, 1.00 more and 0.99 less.
    #[test]
    fn what_one_tier_gains_others_lose() {
        let change = |acres| TierChange { area: Area::acres(acres), mass: Mass::ZERO };
        for acres in [[1.0, -0.494, -0.506], [1.0, -0.496, -0.504], [0.004, 0.004, -0.008]] {
            let tiers = acres.map(change).to_vec();
            let done = CleanedUp { zones_before: 3, tiers, islands: Joined::default() };
            let printed = done.printed_areas(System::Us);
            let hundredths = printed.iter().map(|area| (area * 100.0).round()).sum::<f64>();
            assert_eq!(hundredths, 0.0, "{printed:?}");
        }
    }
}
