use super::soil::NamedValue;
use super::{CutList, InputFile};
use crate::plan::Plan;
use crate::report::clean_up::clean_up;
use crate::report::order::flat_rate_briefly;
use crate::report::surface::method;
use crate::report::text::shortened;
use crate::units::Quantity;

/// Longer lists are cut; they stand in full in the totals.
const LONGEST: usize = 160;
/// Digits of a hash: enough that no two files at hand have the same.
const DIGITS: usize = 12;
/// More input files than these are only counted.
const MOST_INPUTS: usize = 16;
/// Longer names of files are cut.
const LONGEST_FILE: usize = 60;

/// By which settings the map was made, and by what program.
pub fn rows(plan: &Plan) -> Vec<NamedValue> {
    let system = plan.settings.system;
    let mut rows = vec![NamedValue { name: "CEC between samples", value: method(&plan.surface) }];
    // With prices the order has said it.
    if plan.order.as_ref().is_none_or(|order| order.flat.is_none()) {
        let mass = plan.flat.mass.show(system, 2);
        let value = format!("{mass} ({})", flat_rate_briefly(plan));
        rows.push(NamedValue { name: "One rate instead", value });
    }
    rows.extend(clean_up(plan).map(|value| NamedValue { name: "Zones", value }));
    let excluded: Vec<&str> = plan.field.excluded.iter().map(|sample| sample.id.as_str()).collect();
    if !excluded.is_empty() {
        let value = shortened(&excluded.join(", "), LONGEST);
        rows.push(NamedValue { name: "Samples left out", value });
    }
    let field = &plan.field;
    let sources = [&field.boundary_coordinates.crs, &field.samples_coordinates.crs];
    match sources {
        [boundary, samples] if boundary == samples => {
            rows.push(NamedValue { name: "Coordinates in", value: shortened(boundary, LONGEST) });
        }
        [boundary, samples] => {
            rows.push(NamedValue { name: "Boundary in", value: shortened(boundary, LONGEST) });
            rows.push(NamedValue { name: "Samples in", value: shortened(samples, LONGEST) });
        }
    }
    rows.push(NamedValue {
        name: "Areas",
        value: "geodesic, WGS 84 ellipsoid; north is true".to_owned(),
    });
    rows.push(NamedValue {
        name: "Program",
        value: format!("{} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION")),
    });
    rows
}

/// An input file and the first digits of the SHA-256 of what was in it.
pub struct Input {
    pub name: String,
    pub digits: String,
}

/// What the map was made from.
pub fn inputs(files: &[InputFile]) -> CutList<Input> {
    let inputs = files.iter().map(|input| Input {
        name: shortened(&input.name, LONGEST_FILE),
        digits: input.sha256.chars().take(DIGITS).collect(),
    });
    CutList::of(inputs, MOST_INPUTS)
}
