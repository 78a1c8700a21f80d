//! How sure a map is: whether each place is in its right tier, and what that means in tons.
//!
//! What a new sample would show at a place has a mean and a standard deviation
//! ([`crate::surface::ErrorModel`]). Taken as normal, it gives every tier a probability there; rates and areas turn these into
//! tons. "True" is what a new soil sample from the place would show. So the assumptions are: normal
//! errors, one variogram for the whole field, a scale that comes from cross-validation, and the
//! sample-to-sample scatter (the nugget) included.
//!
//! Rates need not rise with CEC.

mod odds;
mod tons;
mod zones;

use std::collections::BTreeMap;

use rayon::prelude::*;

pub use odds::Odds;
pub use tons::MassRange;
pub use zones::ZoneCertainty;

use crate::soil::Tiers;
use crate::surface::{Basis, ErrorModel};
use crate::units::Area;

/// A place of the map and the area that it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Metres east, as the surface has it.
    pub easting: f64,
    /// Metres north.
    pub northing: f64,
    /// The area that it stands for.
    pub area: Area,
    /// The number of its zone.
    pub zone: usize,
    /// The tier that the map gives it, from 0.
    pub tier: usize,
    /// The CEC that the surface has there, meq/100 g.
    pub value: f64,
}

/// How sure a map is.
#[derive(Clone, Debug, PartialEq)]
pub struct Certainty {
    /// What the errors rest on.
    pub basis: Basis,
    /// For each place, in the order given.
    pub places: Vec<Odds>,
    /// For each zone, by number.
    pub zones: Vec<ZoneCertainty>,
    /// For the field.
    pub tons: MassRange,
}

/// Tells how sure a map is from places that stand for all of it.
///
/// The map's masses here are the places' areas at their tiers' rates: for the map's own figures the
/// areas of a zone's places must add up to the zone's.
#[must_use]
pub fn certainty(places: &[Place], errors: &ErrorModel, tiers: &Tiers) -> Certainty {
    let odds: Vec<Odds> = places
        .par_iter()
        .map(|place| {
            let truth = errors.truth_at(place.easting, place.northing, place.value);
            Odds::new(place, truth, tiers)
        })
        .collect();
    let mut zones: BTreeMap<usize, ZoneCertainty> = BTreeMap::new();
    for (place, odds) in places.iter().zip(&odds) {
        zones
            .entry(place.zone)
            .or_insert_with(|| ZoneCertainty::new(place.zone))
            .add(place, odds, tiers);
    }
    Certainty {
        basis: errors.basis(),
        tons: MassRange::new(places, &odds, errors, tiers),
        zones: zones.into_values().collect(),
        places: odds,
    }
}
