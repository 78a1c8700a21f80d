//! What leaves the machine: mass flow, volume flow, and the belt that carries it.
//!
//! Mass flow = rate x ground speed x swath. In the trade's units lb/min = lb/ac x mph x swath ft /
//! 495, exactly: 43,560 ft2/ac x 60 min/h / 5,280 ft/mi = 495. The stream on the belt is a
//! rectangle, belt width x gate opening, of which the material fills the fill factor.

use super::Range;
use crate::units::{
    Density, Length, Mass, MassFlow, Quantity, Rate, Share, Speed, Time, Volume, VolumeFlow,
};

/// The mass flow that puts a rate on a swath at a ground speed.
#[must_use]
pub fn mass_flow(rate: Rate, ground_speed: Speed, swath: Length) -> MassFlow {
    MassFlow::from_si(rate.si() * ground_speed.si() * swath.si())
}

/// The volume flow of a mass flow.
#[must_use]
pub fn volume_flow(flow: MassFlow, density: Density) -> VolumeFlow {
    VolumeFlow::from_si(flow.si() / density.si())
}

/// The stream that leaves through the gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// Width of the belt between the hopper sides.
    pub belt_width: Length,
    /// Share of the gate's rectangle that the material fills.
    pub fill_factor: Share,
    /// Bulk density as loaded.
    pub density: Density,
}

impl Stream {
    /// The belt speed that carries a mass flow under a gate opening.
    #[must_use]
    pub fn belt_speed(&self, flow: MassFlow, opening: Length) -> Speed {
        Speed::from_si(flow.si() / (self.mass_on_a_square() * opening.si()))
    }

    /// The mass flow at a belt speed under a gate opening.
    #[must_use]
    pub fn mass_flow(&self, belt: Speed, opening: Length) -> MassFlow {
        MassFlow::from_si(self.mass_on_a_square() * opening.si() * belt.si())
    }

    /// The gate opening under which a belt speed carries a mass flow.
    #[must_use]
    pub fn opening(&self, flow: MassFlow, belt: Speed) -> Length {
        Length::from_si(flow.si() / (self.mass_on_a_square() * belt.si()))
    }

    /// Mass a meter of belt and a meter of opening, in kg/m2.
    fn mass_on_a_square(&self) -> f64 {
        self.density.si() * self.belt_width.si() * self.fill_factor.si()
    }
}

/// One fill of the hopper: as much as it holds, and no more than may be loaded.
#[must_use]
pub fn load(hopper: Volume, density: Density, legal: Mass) -> Mass {
    let full = Mass::from_si(hopper.si() * density.si());
    if full < legal { full } else { legal }
}

/// How far the machine travels before a change of rate takes effect, over its speeds.
#[must_use]
pub fn change_distance(delay: Time, ground_speed: Range<Speed>) -> Range<Length> {
    let travelled = |speed: Speed| Length::from_si(speed.si() * delay.si());
    Range::new(travelled(ground_speed.least), travelled(ground_speed.most))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: 2,000 lb/ac x 10 mph x 40 ft / 495 = 1,616.16 lb/min; at 62 lb/ft3 that is
    /// 26.07 ft3/min; under 4 in on a 30 in belt with 0.9 filled, 0.75 ft2, 34.76 ft/min.
    #[test]
    fn flow_of_a_ton_an_acre() {
        let flow = mass_flow(
            Rate::pounds_per_acre(2000.0),
            Speed::miles_per_hour(10.0),
            Length::feet(40.0),
        );
        assert!((flow.as_pounds_per_minute() - 800_000.0 / 495.0).abs() < 1e-9);
        let density = Density::pounds_per_cubic_foot(62.0);
        let volume = volume_flow(flow, density).as_cubic_feet_per_minute();
        assert!((volume - 26.067_123).abs() < 1e-4, "{volume}");
        let stream =
            Stream { belt_width: Length::inches(30.0), fill_factor: Share::percent(90.0), density };
        let belt = stream.belt_speed(flow, Length::inches(4.0));
        assert!((belt.as_feet_per_minute() - 34.756_164).abs() < 1e-4);
        let back = stream.mass_flow(belt, Length::inches(4.0));
        assert!((back.si() - flow.si()).abs() < 1e-12);
        assert!((stream.opening(flow, belt).as_inches() - 4.0).abs() < 1e-12);
    }

    /// By hand: 300 ft3 x 60 lb/ft3 = 18,000 lb = 9 tons.
    #[test]
    fn a_load_is_the_hopper_or_the_law() {
        let [hopper, density] = [300.0, 60.0];
        let load = |legal| {
            load(
                Volume::cubic_feet(hopper),
                Density::pounds_per_cubic_foot(density),
                Mass::tons(legal),
            )
        };
        assert!((load(12.0).as_tons() - 9.0).abs() < 1e-12);
        assert!((load(8.0).as_tons() - 8.0).abs() < 1e-12);
    }

    /// By hand: 10 mph is 14.667 ft/s; in 2 s it covers 29.33 ft.
    #[test]
    fn a_change_of_rate_lags() {
        let speeds = Range::new(Speed::miles_per_hour(5.0), Speed::miles_per_hour(10.0));
        let distance = change_distance(Time::seconds(2.0), speeds);
        assert!((distance.most.as_feet() - 88.0 / 3.0).abs() < 1e-9);
        assert!((distance.least.as_feet() - 44.0 / 3.0).abs() < 1e-9);
    }
}
