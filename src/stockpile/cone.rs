//! How large a pile is.

use std::f64::consts::PI;

use crate::units::{Angle, Density, Length, Mass, Quantity};

/// What decides how large a pile of some tons is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heap {
    /// Bulk density as dumped.
    pub density: Density,
    /// How steep its sides are: the angle of repose.
    pub repose: Angle,
}

/// Gypsum: 55 lb/ft3 at 37 degrees, from memory.
impl Default for Heap {
    fn default() -> Self {
        Self { density: Density::pounds_per_cubic_foot(55.0), repose: Angle::degrees(37.0) }
    }
}

/// A cone on level ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// From its middle to its edge.
    pub radius: Length,
    /// From the ground to its tip.
    pub height: Length,
}

impl Heap {
    /// The pile of a mass. Its volume is that of a cone, pi r² h / 3, as steep as the material lies:
    /// h = r tan(repose).
    #[must_use]
    pub fn cone(&self, mass: Mass) -> Cone {
        let volume = mass.si() / self.density.si();
        let slope = libm::tan(self.repose.si());
        let radius = libm::cbrt(3.0 * volume / (PI * slope));
        Cone { radius: Length::metres(radius), height: Length::metres(radius * slope) }
    }
}

impl Cone {
    /// No pile.
    pub(super) const NONE: Self = Self { radius: Length::ZERO, height: Length::ZERO };

    /// From edge to edge.
    #[must_use]
    pub fn width(&self) -> Length {
        self.radius * 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 250 ton at 55 lb/ft3 are 500,000 / 55 = 9090.9 ft3; r³ = 3 x 9090.9 / (pi x 0.753554),
    /// r = 22.585 ft, and it is 17.02 ft high.
    #[test]
    fn a_pile_of_250_tons() {
        let cone = Heap::default().cone(Mass::tons(250.0));
        assert!((cone.radius.as_feet() - 22.585).abs() < 0.005, "{}", cone.radius.as_feet());
        assert!((cone.height.as_feet() - 17.02).abs() < 0.005, "{}", cone.height.as_feet());
        assert_eq!(cone.width(), cone.radius * 2.0);
        assert_eq!(Heap::default().cone(Mass::ZERO).radius, Length::ZERO);
    }
}
