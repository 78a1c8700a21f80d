//! What the logs of the machines say of fields: what each zone got, by mass per area and by the
//! machine's counts; what was done, done twice and left out; how late rates were and how fast the
//! machine drove.

mod figures;
mod ground;
mod lag;
mod lay;
mod pieces;

use geo::MultiPolygon;

use super::cells::{Recorded, RecordedOnZone, is_near};
use super::{PlannedField, PlannedZone};
use crate::geometry::Frame;
use crate::timelog::{Drive, Log, LoggedMachine, MassSource, Number, Pose, way};
use crate::units::{Area, Length, Mass, Quantity, Rate, Time};
use ground::FieldSquares;
use lay::{LaidOnField, StepsLeft, lay};

pub use figures::{FieldDriven, GroundPiece, MachineDriven, Speeds};
pub use lag::Lag;

/// What the logs say, in the order of the fields and of the machines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Driven {
    /// Each field; none where nothing was spread on it.
    pub fields: Vec<Option<FieldDriven>>,
    /// Each machine that spread.
    pub machines: Vec<MachineDriven>,
}

/// Whether a machine of the logs needs a swath, as none of its widths is logged or described.
#[must_use]
pub fn needs_swath(logs: &[Log]) -> bool {
    let sections =
        |machine: &LoggedMachine| machine.sections.iter().any(|s| s.width == Number::default());
    logs.iter().flat_map(|log| &log.machines).any(sections)
}

/// Lays the logs on the fields; `swath` is for machines whose width is not in the log.
pub(super) fn driven(
    fields: &[&PlannedField],
    frame: &Frame,
    logs: &[Log],
    swath: Option<Length>,
) -> (Recorded, Driven) {
    let ways: Vec<Vec<Pose>> = logs.iter().map(|log| way(log, frame)).collect();
    let mut drives: Vec<(usize, Drive)> = Vec::new();
    for (number, (log, poses)) in logs.iter().zip(&ways).enumerate() {
        let all = log.machines.iter().filter_map(|machine| Drive::new(log, machine, poses, swath));
        drives.extend(all.map(|drive| (number, drive)));
    }
    let mut rests: Vec<StepsLeft> = drives.iter().map(|(_, drive)| StepsLeft::of(drive)).collect();
    let mut recorded =
        Recorded { zones: vec![], rows_off: 0, mass_off: Mass::ZERO, area_off: Area::ZERO };
    let mut said = Driven::default();
    let mut grounds = Vec::new();
    for field in fields {
        let local: Vec<MultiPolygon<f64>> =
            field.zones.iter().map(|zone| super::cells::in_metres(&zone.polygons, frame)).collect();
        let mut ground = FieldSquares::of(&local);
        let mut laid = LaidOnField {
            zones: vec![lay::LaidOnZone::default(); field.zones.len()],
            ..LaidOnField::default()
        };
        for ((number, drive), rest) in drives.iter().zip(&mut rests) {
            lay(drive, *number, &mut ground, &mut laid, rest);
        }
        recorded.zones.extend(on_zones(&field.zones, &ground, &laid));
        said.fields.push(figures::field(&field.zones, &ground, &laid, frame));
        grounds.push(ground);
    }
    for rest in &rests {
        let [area, mass] = rest.off();
        recorded.area_off = recorded.area_off + Area::square_metres(area);
        recorded.mass_off = recorded.mass_off + Mass::kilograms(mass);
    }
    let planned = |at| {
        fields.iter().zip(&grounds).find_map(|(field, ground)| {
            let zone = field.zones.get(ground.zone_at(at)?)?;
            Some(zone.rate.si())
        })
    };
    let mut numbers: Vec<usize> = drives.iter().map(|(_, drive)| drive.machine.number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    for number in numbers {
        let own = drives.iter().map(|(_, drive)| drive);
        let own: Vec<&Drive> = own.filter(|drive| drive.machine.number == number).collect();
        said.machines.push(figures::machine(number, &own, planned));
    }
    (recorded, said)
}

/// What the record has on each zone, as any other record would say it.
fn on_zones(
    zones: &[PlannedZone],
    ground: &FieldSquares,
    laid: &LaidOnField,
) -> Vec<RecordedOnZone> {
    let (mut covered, mut near) = (vec![0_usize; zones.len()], vec![0_usize; zones.len()]);
    for (_, square) in ground.in_zones().filter(|(_, square)| square.times > 0) {
        let target = zones.get(square.zone).map_or(Rate::ZERO, |zone| zone.rate);
        // What is kept as seven digits is compared as such.
        let is_near = is_near(Rate::from_si(square.landed), target);
        for (counts, counted) in [(&mut covered, true), (&mut near, is_near)] {
            if let Some(slot) = counts.get_mut(square.zone).filter(|_| counted) {
                *slot += 1;
            }
        }
    }
    let counts = covered.into_iter().zip(near).zip(&ground.squares);
    (zones.iter().zip(counts).zip(&laid.zones))
        .map(|((zone, ((covered, near), squares)), on)| {
            let of_zone = |part: usize| zone.area * (part as f64 / (*squares).max(1) as f64);
            RecordedOnZone {
                any: on.area > 0.0,
                mass: Mass::kilograms(on.mass),
                covered: of_zone(covered),
                summed: Area::square_metres(on.area),
                near: of_zone(near),
            }
        })
        .collect()
}

/// What a mass is known by, in the order of how much it says.
fn known_by(drives: &[&Drive]) -> Vec<MassSource> {
    let mut by: Vec<MassSource> = drives.iter().map(|drive| drive.by).collect();
    by.sort_unstable();
    by.dedup();
    by
}

/// What a machine says of its latency.
fn latency(drives: &[&Drive]) -> Option<Time> {
    drives.iter().find_map(|drive| drive.machine.latency)
}
