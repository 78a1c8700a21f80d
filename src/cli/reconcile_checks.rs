//! What is refused and what is told of tickets and records as a whole.

use std::path::Path;

use landplaster::path_text::shown;
use landplaster::read::ApplicationRecord;
use landplaster::reconcile::{LEAST_COVER, PlannedField, Reconciliation, Ticket, lies_swapped};
use landplaster::units::{Area, Mass, Quantity};

use super::failure::Failure;
use super::reconcile_record::FileRecord;

/// How much more than the ground itself overlapping polygons may have unsaid: what rounding and
/// the joints of a log make (common practice, no source).
const OVERLAP: f64 = 1.01;

/// Says which tickets are of other fields; a name that is nearly one of these is refused, so that
/// no load is lost by a slip of the pen.
pub fn of_others(file: &Path, tickets: &[Ticket], names: &[&str]) -> Result<Vec<String>, Failure> {
    const NEARLY: usize = 2;
    let mut others: Vec<&str> = Vec::new();
    let mut own = 0;
    for ticket in tickets {
        let written = ticket.field.trim().to_lowercase();
        let nearest = names
            .iter()
            .map(|name| (strsim::osa_distance(&written, &name.to_lowercase()), *name))
            .min();
        match nearest {
            Some((0, _)) => own += 1,
            Some((near, name)) if near <= NEARLY => {
                return Err(Failure::Input(format!(
                    "{}: found the field \"{}\", did you mean \"{name}\"?",
                    ticket.place, ticket.field
                )));
            }
            _ => others.push(&ticket.field),
        }
    }
    others.sort_unstable();
    others.dedup();
    if own == 0 && !others.is_empty() {
        return Err(Failure::Input(format!(
            "{}: found tickets of \"{}\" only, expected some of \"{}\"; check the folders and the names in the column \"field\"",
            shown(file),
            others.join("\", \""),
            names.join("\", \"")
        )));
    }
    Ok(others
        .iter()
        .map(|other| format!("tickets of \"{other}\" ignored: not one of these fields"))
        .collect())
}

/// Refuses more left than delivered.
pub fn left_of_delivered(of: &Reconciliation) -> Result<(), Failure> {
    let mass = Mass::unit(of.system).plural();
    let wrong = of.fields.iter().find(|field| field.left > field.delivered);
    wrong.map_or(Ok(()), |field| {
        Err(Failure::Input(format!(
            "--left: found {:.2} {mass} left of \"{}\", expected at most the {:.2} {mass} delivered; check the mass and its unit",
            field.left, field.field, field.delivered
        )))
    })
}

/// Refuses a record of which nothing lies on these fields.
pub fn on_the_zones(
    file: &Path,
    fields: &[(PlannedField, Mass)],
    record: &FileRecord,
    of: &Reconciliation,
) -> Result<(), Failure> {
    let file = shown(file);
    let applied = match record {
        FileRecord::Rows(record) => &record.rows,
        _ if of.fields.iter().any(|field| field.applied.is_some()) => return Ok(()),
        _ => {
            return Err(Failure::Input(format!(
                "{file}: found nothing spread on the zones of these fields in the logs, expected something; check the folders, and whether it is the task data of these fields"
            )));
        }
    };
    if applied.is_empty() {
        return Err(Failure::Input(format!(
            "{file}: found no row with a place and a number, expected a record of the application; check the column"
        )));
    }
    if of.off.rows < applied.len() {
        return Ok(());
    }
    let why = if lies_swapped(fields, applied) {
        "longitude and latitude have changed places: swap them"
    } else {
        "check the folders and the coordinate system"
    };
    let all = match applied.len() {
        1 => "the one row".to_owned(),
        rows => format!("all {rows} rows"),
    };
    Err(Failure::Input(format!(
        "{file}: found {all} off the zones of these fields, expected some on them; {why}"
    )))
}

/// A record that makes less than half or more than twice of its targets is doubted.
const DOUBTED: [f64; 2] = [0.5, 2.0];
/// One that makes less than a tenth or more than ten times, and would fit in another unit, is in
/// that unit.
const REFUSED: [f64; 2] = [0.1, 10.0];
/// What a record may make of its targets and fit (common practice, no source).
const FITS: [f64; 2] = [0.7, 1.4];

/// Refuses a record that is in another unit than it was read in, or says that it may be.
pub fn unit(
    file: &Path,
    record: &FileRecord,
    of: &Reconciliation,
) -> Result<Option<String>, Failure> {
    let recorded = || of.fields.iter().filter_map(|field| Some((field.applied?, field.on_target)));
    let (applied, target) = recorded().fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let made = applied / target;
    let within = |[least, most]: [f64; 2], ratio: f64| (least..=most).contains(&ratio);
    if !made.is_finite() || within(DOUBTED, made) {
        return Ok(None);
    }
    let (file, percent) = (shown(file), short(100.0 * made));
    let FileRecord::Rows(record) = record else {
        return Ok(Some(format!(
            "{file}: the logs make {percent} % of what the zones were to get; check whether they are of this product and this plan"
        )));
    };
    let ApplicationRecord { column, unit, .. } = record;
    let said = format!(
        "{file}: \"{column}\", read in {unit}, makes {percent} % of what the zones were to get"
    );
    let mut fitting: Vec<(&str, f64)> = record.other_units();
    fitting.retain(|(_, factor)| within(FITS, made * factor));
    let Some((first, _)) = fitting.first() else {
        return Ok(Some(format!("{said}, and no other unit would fit; check the column")));
    };
    let each = fitting.iter().map(|(unit, factor)| (unit, short(100.0 * made * factor)));
    let fits = each.map(|(unit, percent)| format!("{unit} it is {percent} %"));
    let fits = fits.collect::<Vec<_>>().join(", in ");
    if within(REFUSED, made) {
        return Ok(Some(format!("{said}; in {fits}: check its unit")));
    }
    Err(Failure::Input(format!(
        "{said}, expected about all of it; in {fits}: say the unit (--unit \"{first}\", or in the header's brackets)"
    )))
}

/// A percentage with as many digits as it takes to see it.
fn short(percent: f64) -> String {
    if percent < 1.0 { format!("{percent:.2}") } else { format!("{percent:.0}") }
}

/// What there is to tell of a record: what lies off the zones, what it lacks, what it has twice.
pub fn record(of: &Reconciliation, rows: usize) -> Vec<String> {
    let (area, mass) = (Area::unit(of.system).plural(), Mass::unit(of.system).plural());
    let mut lines = Vec::new();
    if of.off.rows > 0 {
        lines.push(format!(
            "{} of the record's {rows} rows {} on no zone of these fields",
            of.off.rows,
            if of.off.rows == 1 { "lies" } else { "lie" },
        ));
    }
    if of.off.area > 0.0 || of.off.applied > 0.0 {
        lines.push(format!(
            "{:.2} {mass} on {:.2} {area} of the record lie off the zones: they count in no field, but for the controller's constant",
            of.off.applied, of.off.area
        ));
    }
    for field in of.fields.iter().filter(|field| field.applied.is_some()) {
        let name = &field.field;
        if field.recorded < LEAST_COVER * field.to_spread {
            lines.push(format!(
                "{name}: the record covers {:.2} of the {:.2} {area} to be spread; its tons are not to be relied on",
                field.recorded, field.to_spread
            ));
        }
        if field.driven.is_none() && field.summed > OVERLAP * field.recorded {
            lines.push(format!(
                "{name}: the record's polygons overlap: {:.2} {area} on {:.2} {area} of ground; the tons of all count",
                field.summed, field.recorded
            ));
        }
    }
    lines
}
