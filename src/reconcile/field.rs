use super::cells::{Cell, mass};
use super::{PlannedField, Ticket};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::units::{Area, Mass, Quantity, Rate, System, apportion, round_to};

/// How far from its target a rate may be and count as met (common practice, no source).
const NEAR: f64 = 0.1;
/// What rounding may take from a rate that is just near enough, as a share of it.
const ROUNDING: f64 = 1e-9;

/// A field's record, as printed in one system: acres and tons, or hectares and tonnes.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldRecord {
    /// The job's name.
    pub field: String,
    /// What it was to be spread on.
    pub area: f64,
    /// What was planned.
    pub planned: f64,
    /// How many loads came.
    pub loads: usize,
    /// The days of the first and the last.
    pub days: Option<[String; 2]>,
    /// What came.
    pub delivered: f64,
    /// What of it was not spread.
    pub left: f64,
    /// What of it was spread.
    pub spread: f64,
    /// What the controller says was spread, if its record has anything on this field.
    pub applied: Option<f64>,
    /// Each zone, in the plan's order, if there is a record.
    pub zones: Vec<ZoneRecord>,
    /// The share of the acres to be spread that got within 10 % of their target, in percent, by the
    /// same record.
    pub near: Option<f64>,
}

/// A zone's record.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneRecord {
    /// Its number.
    pub zone: String,
    /// What its tier is called.
    pub label: String,
    /// Its rate, ton/ac or t/ha.
    pub target: f64,
    /// Its area.
    pub area: f64,
    /// How much of it the record covers.
    pub recorded: f64,
    /// What was planned.
    pub planned: f64,
    /// What the controller says was spread.
    pub applied: f64,
    /// How much of it got within 10 % of the target.
    pub near: f64,
}

impl FieldRecord {
    pub(super) fn new(
        field: &PlannedField,
        tickets: &[&Ticket],
        left: Mass,
        cells: &[Vec<Cell>],
        system: System,
    ) -> Self {
        let tons = |mass: Mass| round_to(mass.value_in(system), MASS_DECIMALS);
        let delivered = tons(tickets.iter().map(|ticket| ticket.mass).sum());
        let left = tons(left);
        let mut days: Vec<&String> = tickets.iter().map(|ticket| &ticket.date).collect();
        days.sort();
        let days = days.first().zip(days.last()).map(|(a, b)| [(*a).clone(), (*b).clone()]);
        let recorded = cells.iter().any(|cells| !cells.is_empty());
        let masses: Vec<f64> = cells.iter().map(|cells| mass(cells).value_in(system)).collect();
        let applied = recorded.then(|| round_to(masses.iter().sum(), MASS_DECIMALS));
        let masses = apportion(&masses, applied.unwrap_or(0.0), MASS_DECIMALS);
        let zones: Vec<ZoneRecord> = (field.zones.iter().zip(cells).zip(masses))
            .filter(|_| recorded)
            .map(|((zone, cells), applied)| {
                let acres = |area: Area| round_to(area.value_in(system), AREA_DECIMALS);
                ZoneRecord {
                    zone: zone.number.clone(),
                    label: zone.label.clone(),
                    target: round_to(zone.rate.value_in(system), 4),
                    area: acres(zone.area),
                    recorded: acres(cells.iter().map(|cell| cell.area).sum()),
                    planned: tons(zone.mass),
                    applied,
                    near: acres(near(cells, zone.rate)),
                }
            })
            .collect();
        let to_spread = |zone: &&ZoneRecord| zone.target > 0.0;
        let near: f64 = zones.iter().filter(to_spread).map(|zone| zone.near).sum();
        let area: f64 = zones.iter().filter(to_spread).map(|zone| zone.area).sum();
        Self {
            field: field.name.clone(),
            area: round_to(field.area.value_in(system), AREA_DECIMALS),
            planned: tons(field.mass),
            loads: tickets.len(),
            days,
            delivered,
            left,
            spread: round_to(delivered - left, MASS_DECIMALS),
            applied,
            near: (recorded && area > 0.0).then(|| round_to(100.0 * near / area, 1)),
            zones,
        }
    }
}

/// The area that got within 10 % of its target.
fn near(cells: &[Cell], target: Rate) -> Area {
    let off = |cell: &&Cell| (cell.rate - target).si().abs() <= (NEAR + ROUNDING) * target.si();
    cells.iter().filter(off).map(|cell| cell.area).sum()
}
