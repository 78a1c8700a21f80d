//! How large piles are that are still to be placed: their tons follow from their places, and where
//! they may lie from their tons.

use crate::units::Length;

/// More room than was needed, so that a second look is enough: a tenth of the radius is a third of the
/// tons.
const ROOM: f64 = 0.1;
/// After so many looks every size is allowed for.
const LOOKS: usize = 4;

/// Less is rounding, in meters: a hundredth of a millimeter.
const ROUNDING: Length = Length::metres(1e-5);

/// The radii that are allowed for: reach is by the least, setbacks by the most.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    pub least: Length,
    pub most: Length,
    /// That of a pile of everything.
    whole: Length,
    looks: usize,
}

impl Sizes {
    /// All piles alike.
    pub fn equal(radius: Length, whole: Length) -> Self {
        Self { least: radius, most: radius, whole, looks: 1 }
    }

    /// Whether piles are of these sizes.
    pub fn hold(&self, radii: &[Length]) -> bool {
        let allowed = self.least - ROUNDING..=self.most + ROUNDING;
        radii.iter().all(|radius| allowed.contains(radius))
    }

    /// Room for these piles too.
    pub fn widened(self, radii: &[Length]) -> Self {
        let looks = self.looks + 1;
        if looks >= LOOKS {
            return Self { least: Length::ZERO, most: self.whole, looks, ..self };
        }
        let (mut least, mut most) = (self.least, self.most);
        for radius in radii {
            let (small, large) = (*radius * (1.0 - ROOM), *radius * (1.0 + ROOM));
            least = if *radius < least { small } else { least };
            most = if *radius > most { large } else { most };
        }
        let most = if most > self.whole { self.whole } else { most };
        Self { least, most, looks, ..self }
    }
}
