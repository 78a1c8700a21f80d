use geo::Intersects;

use super::cells::{frame, recorded};
use super::correction::correction;
use super::driven::{Driven, MachineDriven, driven};
use super::{
    Application, Applied, Correction, FieldRecord, OffTheZones, PlannedField, PlannedZone,
    RowPlace, Ticket, Unsuggested,
};
use crate::spreader::machine::Constant;
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::units::{Mass, Quantity, System, round_to};

/// Fields held against their records.
#[derive(Clone, Debug, PartialEq)]
pub struct Reconciliation {
    /// The units of all figures.
    pub system: System,
    /// The fields, in the order given.
    pub fields: Vec<FieldRecord>,
    /// What of the record lies on no zone.
    pub off: OffTheZones,
    /// What logs say of each machine that spread.
    pub machines: Vec<MachineDriven>,
    /// What the scale says about the controller's constant, if there is a record and the constant
    /// was given, or why nothing is said.
    pub correction: Option<Result<Correction, Unsuggested>>,
}

/// Holds fields, each with what of its loads was left, against weigh tickets and the record of the
/// application. Tickets are those of these fields, by name in whatever letter case.
#[must_use]
pub fn reconcile(
    fields: &[(PlannedField, Mass)],
    tickets: &[Ticket],
    application: Application,
    constant: Option<Constant>,
    system: System,
) -> Reconciliation {
    let zones: Vec<PlannedZone> =
        fields.iter().flat_map(|(field, _)| field.zones.clone()).collect();
    let (all, mut driven) = match application {
        Application::Unrecorded => (recorded(&zones, &[]), Driven::default()),
        Application::Rows(rows) => (recorded(&zones, rows), Driven::default()),
        Application::Logs { logs, swath } => {
            let fields: Vec<&PlannedField> = fields.iter().map(|(field, _)| field).collect();
            match frame(&zones) {
                Some(frame) => driven(&fields, &frame, logs, swath),
                None => (recorded(&zones, &[]), Driven::default()),
            }
        }
    };
    driven.fields.resize(fields.len(), None);
    let off = OffTheZones {
        rows: all.rows_off,
        area: round_to(all.area_off.value_in(system), AREA_DECIMALS),
        applied: round_to(all.mass_off.value_in(system), MASS_DECIMALS),
    };
    let mut rest = all.zones.as_slice();
    let records: Vec<FieldRecord> = (fields.iter().zip(driven.fields))
        .map(|((field, left), driven)| {
            let (own, others) = rest.split_at(field.zones.len().min(rest.len()));
            rest = others;
            let name = field.name.to_lowercase();
            let theirs: Vec<&Ticket> = tickets
                .iter()
                .filter(|ticket| ticket.field.trim().to_lowercase() == name)
                .collect();
            FieldRecord::new(field, &theirs, *left, own, driven, system)
        })
        .collect();
    let recorded = match application {
        Application::Unrecorded => false,
        Application::Rows(rows) => !rows.is_empty(),
        Application::Logs { logs, .. } => !logs.is_empty(),
    };
    let constant = constant.filter(|_| recorded);
    let correction = constant.map(|was| correction(was, &records, &off, system));
    Reconciliation { system, fields: records, off, machines: driven.machines, correction }
}

/// Whether any place of a record would lie on a zone if its longitude and latitude changed places.
#[must_use]
pub fn lies_swapped(fields: &[(PlannedField, Mass)], applied: &[Applied]) -> bool {
    let zones = || fields.iter().flat_map(|(field, _)| &field.zones);
    let on_a_zone = |at: geo::Coord<f64>| {
        let swapped = geo::Coord { x: at.y, y: at.x };
        zones().any(|zone| zone.polygons.intersects(&swapped))
    };
    applied.iter().any(|row| match &row.place {
        RowPlace::Point(at) => on_a_zone(*at),
        RowPlace::Area(polygons) => {
            let mut corners = polygons.iter().flat_map(|part| part.exterior().coords());
            corners.any(|at| on_a_zone(*at))
        }
    })
}
