use geo::Area as _;

use crate::geometry::{Coverage, Face};
use crate::soil::{TierIndex, Tiers};
use crate::units::{Area, Mass};
use crate::zones::ClassOfGround;

/// What the clean-up did to the zones, measured on the field's own projection.
#[derive(Clone, Debug, PartialEq)]
pub struct CleanedUp {
    /// How many zones there were before.
    pub zones_before: usize,
    /// The area and mass of each tier before and after, from the lowest.
    pub tiers: Vec<TierChange>,
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
    pub(super) fn new(before: &Coverage, after: &Coverage, tiers: &Tiers) -> Self {
        let area_of = |coverage: &Coverage, tier: TierIndex| -> Area {
            let is_of = |face: &&Face| ClassOfGround::of(face.class) == ClassOfGround::Tier(tier);
            let faces = coverage.faces.iter().filter(is_of);
            faces
                .map(|face| Area::square_metres(coverage.plane_polygon(face).unsigned_area()))
                .sum()
        };
        let change = tiers.tiers().iter().enumerate().map(|(index, tier)| {
            let index = TierIndex::of(index);
            let area = area_of(after, index) - area_of(before, index);
            TierChange { area, mass: tier.rate * area }
        });
        let spread = before.faces.iter().filter(|face| ClassOfGround::of(face.class).is_spread());
        Self { zones_before: spread.count(), tiers: change.collect() }
    }

    /// How much more material the field takes.
    #[must_use]
    pub fn mass(&self) -> Mass {
        self.tiers.iter().map(|tier| tier.mass).sum()
    }
}
