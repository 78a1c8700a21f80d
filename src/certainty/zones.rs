use super::{Odds, Place};
use crate::soil::Tiers;
use crate::units::{Area, Mass, Rate, Share, round_to};

/// How sure the map is of a zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZoneCertainty {
    /// Its number.
    pub number: usize,
    /// Its area.
    pub area: Area,
    /// The part of it that is in its right tier with a probability over [`ZoneCertainty::CLEAR`].
    pub clearly_in_tier: Area,
    /// The material that is expected to be wanting where the true tier takes more.
    pub missing: Mass,
    /// The material that is expected to be too much where the true tier takes less.
    pub surplus: Mass,
}

impl ZoneCertainty {
    /// The probability over which a place counts as sure.
    pub const CLEAR: f64 = 0.8;

    pub(super) fn new(number: usize) -> Self {
        let (area, mass) = (Area::ZERO, Mass::ZERO);
        Self { number, area, clearly_in_tier: area, missing: mass, surplus: mass }
    }

    /// The sure part of its area.
    #[must_use]
    pub fn clear_share(&self) -> Share {
        // Shares such as 3 of 16 places are halfway between two printed ones: without the sums' last
        // digits they are printed alike on every system.
        Share::percent(round_to(100.0 * (self.clearly_in_tier / self.area), 9))
    }

    pub(super) fn add(&mut self, place: &Place, odds: &Odds, tiers: &Tiers) {
        self.area = self.area + place.area;
        if odds.own > Self::CLEAR {
            self.clearly_in_tier = self.clearly_in_tier + place.area;
        }
        let planned = tiers.rate_of(place.tier);
        for (rate, probability) in odds.rates(tiers) {
            let mass = |difference: Rate| difference * place.area * probability;
            if rate > planned {
                self.missing = self.missing + mass(rate - planned);
            } else {
                self.surplus = self.surplus + mass(planned - rate);
            }
        }
    }
}
