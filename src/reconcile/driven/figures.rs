//! The figures of a field and of a machine.

use geo::Coord;

use super::ground::FieldSquares;
use super::lag::{Lag, lag};
use super::lay::{LaidOnField, LaidOnZone};
use super::pieces::pieces;
use super::{known_by, latency};
use crate::geometry::Frame;
use crate::reconcile::PlannedZone;
use crate::timelog::Drive;
use crate::timelog::MassSource;
use crate::units::{Area, Length, Mass, Rate, Speed, Time};

/// How many pieces are told of.
const PIECES: usize = 3;
/// The least ground of a piece: a tenth of an acre (common practice, no source).
const LEAST: Area = Area::acres(0.1);

/// What the logs say of a field.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldDriven {
    /// How many machines and logs, and the days, as year-month-day.
    pub machines: usize,
    /// How many logs.
    pub logs: usize,
    /// The days.
    pub days: Vec<String>,
    /// Ground of the zones that are spread on that got anything, each place once.
    pub done: Area,
    /// What of it got something more than once.
    pub twice: Area,
    /// What of the ground to be spread got nothing.
    pub left_out: Area,
    /// The largest pieces of what was left out and of what was done twice.
    pub pieces_left_out: Vec<GroundPiece>,
    /// The largest pieces done twice.
    pub pieces_twice: Vec<GroundPiece>,
    /// Ground of zones that get nothing that got something, and how much.
    pub on_nothing: (Area, Mass),
    /// What was set and what was measured where both are known.
    pub set: Option<Mass>,
    /// By rate and ground.
    pub applied: Mass,
    /// By the counts of mass, if there are any.
    pub counted: Option<Mass>,
    /// The same by zone.
    pub counted_by_zone: Vec<Mass>,
    /// The ground driven over, places done twice counted twice, and by the machine's own count.
    pub driven: Area,
    /// By the counts of ground, if there are any.
    pub worked: Option<Area>,
    /// Ground speeds while spreading.
    pub speeds: Speeds,
}

/// A piece of ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundPiece {
    /// How much.
    pub area: Area,
    /// A place in it: longitude and latitude in WGS84, degrees.
    pub at: Coord<f64>,
}

/// Speeds over the ground, by the time that they were driven.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Speeds {
    /// The mean.
    pub mean: Speed,
    /// What one twentieth of the time was slower than, and one twentieth faster.
    pub usual: [Speed; 2],
}

/// What the logs say of a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct MachineDriven {
    /// Its number in the task data.
    pub number: usize,
    /// How many sections it has.
    pub sections: usize,
    /// How wide they are together, as far as it does not change.
    pub width: Length,
    /// What its mass is known by.
    pub by: Vec<MassSource>,
    /// How late its rates were.
    pub lag: Lag,
    /// What it says itself of how long it takes to apply a new rate.
    pub latency: Option<Time>,
    /// How often it went on without a record while it spread, and how far in all.
    pub gaps: (usize, Length),
}

/// None where nothing was spread on the field.
pub(super) fn field(
    zones: &[PlannedZone],
    ground: &FieldSquares,
    laid: &LaidOnField,
    frame: &Frame,
) -> Option<FieldDriven> {
    if laid.machines.is_empty() {
        return None;
    }
    let [columns, rows] = ground.shape();
    let [mut left_out, mut twice] = [(); 2].map(|()| vec![false; columns * rows]);
    let [mut done, mut doubled, mut left, mut wrong] = [Area::ZERO; 4];
    // A zone's squares share its area as it is printed.
    let shares: Vec<Area> = (zones.iter().zip(&ground.squares))
        .map(|(zone, squares)| zone.area / (*squares).max(1) as f64)
        .collect();
    for (place, square) in ground.in_zones() {
        let spread = zones.get(square.zone).is_some_and(|zone| zone.rate > Rate::ZERO);
        let share = shares.get(square.zone).copied().unwrap_or(Area::ZERO);
        let mark = |marks: &mut Vec<bool>| marks.get_mut(place).into_iter().for_each(|m| *m = true);
        match (spread, square.times) {
            (true, 0) => {
                left = left + share;
                mark(&mut left_out);
            }
            (true, times) => {
                done = done + share;
                if times > 1 {
                    doubled = doubled + share;
                    mark(&mut twice);
                }
            }
            (false, 0) => {}
            (false, _) => wrong = wrong + share,
        }
    }
    let area = |squares: usize| Area::square_metres(squares as f64 * ground.square());
    let largest = |marks: &[bool]| {
        let all = pieces(ground, marks).into_iter().map(|piece| {
            let at = frame.to_wgs84(ground.middle(piece.middle)).unwrap_or(frame.centre());
            GroundPiece { area: area(piece.squares), at }
        });
        all.filter(|piece| piece.area >= LEAST).take(PIECES).collect::<Vec<_>>()
    };
    let sum = |pick: fn(&LaidOnZone) -> f64| laid.zones.iter().map(pick).sum::<f64>();
    let nothing = zones.iter().zip(&laid.zones).filter(|(zone, _)| zone.rate <= Rate::ZERO);
    let some = |value: f64| (value > 0.0).then_some(value);
    let whole = sum(|on| on.area);
    Some(FieldDriven {
        machines: laid.machines.len(),
        logs: laid.logs.len(),
        days: laid.days.iter().cloned().collect(),
        done,
        twice: doubled,
        left_out: left,
        pieces_left_out: largest(&left_out),
        pieces_twice: largest(&twice),
        on_nothing: (wrong, Mass::kilograms(nothing.map(|(_, on)| on.mass).sum())),
        // Said only where it is of nearly all.
        set: (sum(|on| on.set_area) >= 0.99 * whole).then(|| Mass::kilograms(sum(|on| on.set))),
        applied: Mass::kilograms(sum(|on| on.mass)),
        counted: some(sum(|on| on.counted)).map(Mass::kilograms),
        counted_by_zone: laid.zones.iter().map(|on| Mass::kilograms(on.counted)).collect(),
        driven: Area::square_metres(whole),
        worked: some(sum(|on| on.worked)).map(Area::square_metres),
        speeds: speeds(&laid.speeds),
    })
}

fn speeds(all: &[(f64, f64)]) -> Speeds {
    let mut sorted = all.to_vec();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    let seconds_in_all: f64 = sorted.iter().map(|(_, seconds)| seconds).sum();
    if seconds_in_all <= 0.0 {
        return Speeds::default();
    }
    let way: f64 = sorted.iter().map(|(speed, seconds)| speed * seconds).sum();
    let at = |share: f64| {
        let mut passed = 0.0;
        let found = sorted.iter().find(|(_, seconds)| {
            passed += seconds;
            passed >= share * seconds_in_all
        });
        Speed::metres_per_second(found.or(sorted.last()).map_or(0.0, |(speed, _)| *speed))
    };
    Speeds { mean: Speed::metres_per_second(way / seconds_in_all), usual: [at(0.05), at(0.95)] }
}

pub(super) fn machine(
    number: usize,
    own: &[&Drive],
    planned: impl Fn(Coord<f64>) -> Option<f64>,
) -> MachineDriven {
    let mut gaps = (0, Length::ZERO);
    for drive in own {
        drive.steps(|step| {
            if let Some(gap) = step.gap {
                gaps = (gaps.0 + 1, gaps.1 + Length::metres(gap));
            }
        });
    }
    let first = own.first().map(|drive| drive.machine);
    let sections = first.map_or(&[][..], |machine| &machine.sections);
    MachineDriven {
        number,
        sections: sections.len(),
        width: sections.iter().filter_map(|section| section.width.otherwise).sum(),
        by: known_by(own),
        lag: lag(own, planned),
        latency: latency(own),
        gaps,
    }
}
