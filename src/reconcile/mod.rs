//! What was spread, held against what was planned: weigh tickets and the record of the application.

mod cells;
mod correction;
mod driven;
mod farm;
mod field;
mod off_the_zones;
mod reach;
pub mod season;
mod statement;

use geo::{Coord, MultiPolygon};

pub use correction::{Correction, LEAST_COVER, Unsuggested};
pub use driven::{Driven, FieldDriven, GroundPiece, Lag, MachineDriven, Speeds, needs_swath};
pub use farm::{Reconciliation, lies_swapped, reconcile};
pub use field::{FieldRecord, ZoneRecord};
pub use off_the_zones::OffTheZones;
pub use statement::statement;

use crate::timelog::Log;
use crate::units::{Area, Length, Mass, Rate, Share};

/// A field as it was planned.
#[derive(Clone, Debug)]
pub struct PlannedField {
    /// The job's name.
    pub name: String,
    /// What is spread on.
    pub area: Area,
    /// What is spread.
    pub mass: Mass,
    /// What the job expects to lose of what leaves the pile.
    pub loss: Share,
    /// The zones, those of rate 0 with them.
    pub zones: Vec<PlannedZone>,
}

/// A zone as it was planned.
#[derive(Clone, Debug)]
pub struct PlannedZone {
    /// Its number.
    pub number: String,
    /// What its tier is called.
    pub label: String,
    /// Its rate.
    pub rate: Rate,
    /// Its area, as printed.
    pub area: Area,
    /// Its material, as printed.
    pub mass: Mass,
    /// WGS84, degrees.
    pub polygons: MultiPolygon<f64>,
}

/// A load that was weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticket {
    /// Where it stands, such as `tickets.csv, row 2`.
    pub place: String,
    /// Its day, as year-month-day.
    pub date: String,
    /// The field, as written.
    pub field: String,
    /// What was delivered.
    pub mass: Mass,
}

/// The record of the application.
#[derive(Clone, Copy, Debug)]
pub enum Application<'a> {
    /// There is none.
    Unrecorded,
    /// Points or polygons.
    Rows(&'a [Applied]),
    /// What the machines logged.
    Logs {
        /// The logs.
        logs: &'a [Log],
        /// The swath, for machines whose width is not in their logs.
        swath: Option<Length>,
    },
}

/// A row of the record of the application.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// Where.
    pub place: RowPlace,
    /// How much.
    pub dose: Dose,
    /// The part of a zone that a point stands for, in proportion to the other points in it.
    pub weight: f64,
}

/// What a row is about, in WGS84, degrees.
#[derive(Clone, Debug, PartialEq)]
pub enum RowPlace {
    /// A position of the machine.
    Point(Coord<f64>),
    /// A piece of ground.
    Area(MultiPolygon<f64>),
}

/// What the controller says was spread there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dose {
    /// A rate.
    Rate(Rate),
    /// A mass.
    Mass(Mass),
}
