use super::cells::cells;
use super::{Applied, FieldRecord, PlannedField, PlannedZone, Ticket};
use crate::spreader::machine::Constant;
use crate::units::{Mass, System};

/// Fields held against their records.
#[derive(Clone, Debug, PartialEq)]
pub struct Reconciliation {
    /// The units of all figures.
    pub system: System,
    /// The fields, in the order given.
    pub fields: Vec<FieldRecord>,
    /// How many rows of the record lie on no zone.
    pub off_the_zones: usize,
    /// What the scale says about the controller's constant, if it was given and some field has
    /// both tickets and a record.
    pub correction: Option<Correction>,
}

/// What the scale says about a controller's constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// How much was spread for each unit that the controller counted.
    pub ratio: f64,
    /// The constant in use.
    pub was: Constant,
    /// The constant that would have counted what the scale says.
    pub suggested: Constant,
}

/// Holds fields, each with what of its loads was left, against weigh tickets and the record of the
/// application. Tickets are those of these fields, by name in whatever letter case.
#[must_use]
pub fn reconcile(
    fields: &[(PlannedField, Mass)],
    tickets: &[Ticket],
    applied: &[Applied],
    constant: Option<Constant>,
    system: System,
) -> Reconciliation {
    let zones: Vec<PlannedZone> =
        fields.iter().flat_map(|(field, _)| field.zones.clone()).collect();
    let (all, off_the_zones) = cells(&zones, applied);
    let mut rest = all.as_slice();
    let records: Vec<FieldRecord> = fields
        .iter()
        .map(|(field, left)| {
            let (own, others) = rest.split_at(field.zones.len().min(rest.len()));
            rest = others;
            let name = field.name.to_lowercase();
            let theirs: Vec<&Ticket> = tickets
                .iter()
                .filter(|ticket| ticket.field.trim().to_lowercase() == name)
                .collect();
            FieldRecord::new(field, &theirs, *left, own, system)
        })
        .collect();
    let correction = constant.and_then(|was| {
        let both = records.iter().filter(|record| record.loads > 0);
        let (spread, counted) = both
            .filter_map(|record| Some((record.spread, record.applied?)))
            .fold((0.0, 0.0), |(a, b), (spread, applied)| (a + spread, b + applied));
        let ratio = spread / counted;
        let sound = spread > 0.0 && counted > 0.0;
        sound.then(|| Correction { ratio, was, suggested: was.corrected(ratio) })
    });
    Reconciliation { system, fields: records, off_the_zones, correction }
}
