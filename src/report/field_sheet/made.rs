use super::soil::Row;
use super::{Few, InputFile};
use crate::plan::{Method, Plan};
use crate::report::order::flat_rate_briefly;
use crate::report::text::{islands, shortened};
use crate::surface::Neighbors;
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
pub fn rows(plan: &Plan) -> Vec<Row> {
    let system = plan.settings.system;
    let mut rows = vec![Row { name: "CEC between samples", value: surface(plan) }];
    // With prices the order has said it.
    if plan.order.as_ref().is_none_or(|order| order.flat.is_none()) {
        let mass = plan.flat.mass.show(system, 2);
        let value = format!("{mass} ({})", flat_rate_briefly(plan));
        rows.push(Row { name: "One rate instead", value });
    }
    rows.extend(zones(plan).map(|value| Row { name: "Zones", value }));
    let excluded: Vec<&str> = plan.field.excluded.iter().map(|sample| sample.id.as_str()).collect();
    if !excluded.is_empty() {
        let value = shortened(&excluded.join(", "), LONGEST);
        rows.push(Row { name: "Samples left out", value });
    }
    let field = &plan.field;
    let sources = [&field.boundary_coordinates.crs, &field.samples_coordinates.crs];
    match sources {
        [boundary, samples] if boundary == samples => {
            rows.push(Row { name: "Coordinates in", value: shortened(boundary, LONGEST) });
        }
        [boundary, samples] => {
            rows.push(Row { name: "Boundary in", value: shortened(boundary, LONGEST) });
            rows.push(Row { name: "Samples in", value: shortened(samples, LONGEST) });
        }
    }
    rows.push(Row { name: "Areas", value: "geodesic, WGS 84 ellipsoid; north is true".to_owned() });
    rows.push(Row {
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
pub fn inputs(files: &[InputFile]) -> Few<Input> {
    let inputs = files.iter().map(|input| Input {
        name: shortened(&input.name, LONGEST_FILE),
        digits: input.sha256.chars().take(DIGITS).collect(),
    });
    Few::of(inputs, MOST_INPUTS)
}

fn surface(plan: &Plan) -> String {
    if plan.surface.method == Method::Kriging {
        return "kriging".to_owned();
    }
    let idw = &plan.surface.choice.idw;
    let neighbors = match idw.neighbors() {
        Neighbors::Nearest(count) => format!("the {count} nearest samples"),
        Neighbors::All => "all samples".to_owned(),
    };
    format!("inverse distance, power {}, {neighbors}", idw.power())
}

fn zones(plan: &Plan) -> Option<String> {
    let system = plan.settings.system;
    let done = plan.cleaned_up.as_ref()?;
    let islands = islands(&done.islands, system).map(|said| format!("; {said}"));
    let counts =
        format!("{} became {}{}", done.zones_before, plan.zones.len(), islands.unwrap_or_default());
    if let Some(rows) = &plan.settings.rows {
        let (swath, cell) = (rows.swath.show(system, 0), rows.cell.show(system, 0));
        return Some(format!("along the passes, cells {swath} wide and {cell} long; {counts}"));
    }
    let asked = plan.settings.clean_up.as_ref()?;
    let (area, width) = (asked.min_zone.show(system, 2), asked.min_width.show(system, 0));
    Some(format!("at least {area} and {width} wide; {counts}"))
}
