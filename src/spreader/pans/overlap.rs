use super::Pattern;
use crate::units::{Length, Quantity, Rate};

/// How the field is driven, as far as the overlap goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrivingPattern {
    /// Round and round: neighboring passes in one direction, left side beside right side.
    Race,
    /// Up and down: neighboring passes in opposite directions, like sides beside each other.
    BackAndForth,
}

impl DrivingPattern {
    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Race => "one-way (race track)",
            Self::BackAndForth => "back and forth",
        }
    }
}

/// The rates on the ground when the pattern is driven at a swath, at the places of the pans, from
/// left to right over one period: one swath for one-way driving, two for back and forth. With each
/// its distance from the line of the first pass.
///
/// Every pass that reaches a place counts. Where the swath is a multiple of the spacing and the
/// pans lie evenly about the line, only rates of pans are added; elsewhere the neighboring passes
/// are read straight between pans, as the CRAN package spreval 1.1.0 does. Nothing for
/// a swath under a thousandth of the spacing or over a million of it: no such field is driven.
#[must_use]
pub fn overlap(pattern: &Pattern, swath: Length, driving: DrivingPattern) -> Vec<(Length, Rate)> {
    let (spacing, width) = (pattern.spacing().si(), swath.si());
    if !(1e-3..=1e6).contains(&(width / spacing)) {
        return Vec::new();
    }
    let end = match driving {
        DrivingPattern::Race => width / 2.0,
        DrivingPattern::BackAndForth => width * 1.5,
    };
    // A place on the border between two periods belongs to the left one; 1e-6 of a spacing, far
    // below the width of a pan, keeps the last bits from counting it twice or not at all.
    let hair = spacing * 1e-6;
    let first = pattern.left().si();
    let mut i = ((-width / 2.0 + hair - first) / spacing).ceil();
    let mut rates = Vec::new();
    while first + i * spacing <= end + hair {
        let place = Length::from_si(first + i * spacing);
        rates.push((place, landed(pattern, place, swath, driving)));
        i += 1.0;
    }
    rates
}

/// What all passes together put on a place.
fn landed(pattern: &Pattern, place: Length, swath: Length, driving: DrivingPattern) -> Rate {
    let reach = pattern.left().si().abs().max(pattern.right().si().abs()) + pattern.spacing().si();
    let mut pass = ((place.si() - reach) / swath.si()).ceil();
    let last = ((place.si() + reach) / swath.si()).floor();
    let mut sum = Rate::ZERO;
    while pass <= last {
        let from_line = place - swath * pass;
        let mirrored = driving == DrivingPattern::BackAndForth && pass.rem_euclid(2.0) == 1.0;
        sum = sum + pattern.rate_at(if mirrored { from_line * -1.0 } else { from_line });
        pass += 1.0;
    }
    sum
}
