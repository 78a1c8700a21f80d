use crate::spreader::Range;
use crate::units::{Area, Length, Quantity, Speed, Time};

/// Decimals of printed hours: about half a minute.
pub const HOUR_DECIMALS: u32 = 2;

/// How the spreader is driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driving {
    /// The distance between two passes.
    pub swath: Length,
    /// How fast.
    pub speed: Range<Speed>,
    /// What a turn at the end of a pass takes.
    pub turn: Time,
    /// What filling the hopper takes.
    pub refill: Time,
}

/// The time that spreading a field takes. The way to the pile and back does not count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hours {
    /// How it is driven.
    pub driving: Driving,
    /// The length of all passes together: what is spread, by the swath.
    pub passes: Length,
    /// How many turns: in each part of the field one fewer than the swaths that fit side by side
    /// across the passes, the last one narrower. Ponds and keep-outs make none.
    pub turns: usize,
    /// How often the hopper is filled.
    pub refills: usize,
}

impl Hours {
    /// The time for an area in parts that are so wide across the passes.
    #[must_use]
    pub fn new(driving: Driving, area: Area, across: &[Length], refills: usize) -> Self {
        let turns = across.iter().map(|width| side_by_side(*width, driving.swath) - 1).sum();
        let passes = Length::from_si(area.si() / driving.swath.si());
        Self { driving, passes, turns, refills }
    }

    /// Passes by the speed, and turns and refills by what each takes.
    #[must_use]
    pub fn at(&self, speed: Speed) -> Time {
        let Self { driving, passes, turns, refills } = *self;
        Time::from_si(passes.si() / speed.si())
            + driving.turn * turns as f64
            + driving.refill * refills as f64
    }

    /// The time at the fastest and at the slowest ground speed.
    #[must_use]
    pub fn range(&self) -> Range<Time> {
        Range::new(self.at(self.driving.speed.most), self.at(self.driving.speed.least))
    }
}

/// How many swaths fill a width, at least one. A millionth of a swath, a few hundredths of a
/// millimeter, is the rounding of the boundary.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of passes, not below 1, and saturates"
)]
fn side_by_side(width: Length, swath: Length) -> usize {
    (width / swath - 1e-6).ceil().max(1.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn driving() -> Driving {
        Driving {
            swath: Length::feet(40.0),
            speed: Range::new(Speed::miles_per_hour(6.0), Speed::miles_per_hour(12.0)),
            turn: Time::seconds(30.0),
            refill: Time::minutes(8.0),
        }
    }

    /// By hand: 40 ac = 1,742,400 ft2 by 40 ft are 43,560 ft = 8.25 mi of passes: 1.375 h at 6 mph,
    /// 0.6875 h at 12 mph. 1,320 ft across are 33 passes and 32 turns, 16 min; 9 refills are 72 min.
    /// In all 1.375 + 88 / 60 = 2.8417 h and 2.1542 h.
    #[test]
    fn a_quarter_of_a_quarter() {
        let hours = Hours::new(driving(), Area::acres(40.0), &[Length::feet(1320.0)], 9);
        assert!((hours.passes.as_miles() - 8.25).abs() < 1e-9);
        assert_eq!(hours.turns, 32);
        let range = hours.range();
        assert!((range.most.as_hours() - (1.375 + 88.0 / 60.0)).abs() < 1e-9);
        assert!((range.least.as_hours() - (0.6875 + 88.0 / 60.0)).abs() < 1e-9);
    }

    /// Parts are driven one by one: 3 passes and 1 pass have 2 turns and none.
    #[test]
    fn parts_have_their_own_turns() {
        let across = [Length::feet(100.0), Length::feet(10.0)];
        assert_eq!(Hours::new(driving(), Area::acres(5.0), &across, 1).turns, 2);
    }
}
