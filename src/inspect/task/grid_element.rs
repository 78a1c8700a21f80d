//! The element of a grid, and the file that it names.

use geo::Coord;

use super::rates::{SETPOINT, Treatment};
use crate::geometry::CellGrid;
use crate::inspect::report::Inspection;
use crate::read::taskdata::{Element, Files, find};

/// A grid's element, understood.
pub(super) struct GridElement {
    pub cells: CellGrid,
    pub kind: GridKind,
}

/// What its file holds.
pub(super) enum GridKind {
    /// A zone's code in each cell.
    Codes,
    /// Values in each cell: how many, and which of them is the setpoint.
    Values { each: usize, setpoint: usize },
}

impl GridElement {
    /// Understands a GRD element; what is wrong with it otherwise.
    pub fn of(element: &Element, treatments: &[Treatment]) -> Result<Self, String> {
        let text = |name: &str| element.get(name).unwrap_or("").trim();
        let number = |name: &str, least: f64, most: f64| {
            let value = text(name).parse::<f64>().ok().filter(|v| (least..=most).contains(v));
            value.ok_or_else(|| {
                format!(
                    "GRD {name} is \"{}\", expected a number from {least} to {most}",
                    text(name)
                )
            })
        };
        let count = |name: &str| {
            let value = text(name).parse::<usize>().ok().filter(|count| *count > 0);
            value.ok_or_else(|| format!("GRD {name} is \"{}\", expected 1 or more", text(name)))
        };
        // The finest cell is a hundredth of a millimeter, so that no division overflows.
        let corner = Coord { x: number("B", -180.0, 180.0)?, y: number("A", -90.0, 90.0)? };
        let cell = Coord { x: number("D", 1e-10, 1.0)?, y: number("C", 1e-10, 1.0)? };
        let cells = CellGrid { corner, cell, columns: count("E")?, rows: count("F")? };
        let kind = match text("I") {
            "1" => GridKind::Codes,
            "2" => {
                let template = treatments.iter().find(|t| Some(t.code) == text("J").parse().ok());
                let template = template.ok_or_else(|| {
                    format!(
                        "its treatment zone (GRD J) is \"{}\", which there is none of",
                        text("J")
                    )
                })?;
                let setpoint = template.sets.iter().position(|ddi| *ddi == Some(SETPOINT));
                let each = template.sets.len();
                let setpoint = setpoint.ok_or("its cells hold no mass per area (DDI 0006)")?;
                GridKind::Values { each, setpoint }
            }
            other => return Err(format!("its type (GRD I) is \"{other}\", expected 1 or 2")),
        };
        Ok(Self { cells, kind })
    }
}

/// The grid's file; a name that is not of the standard's form is not followed.
pub(super) fn content<'a>(
    element: &Element,
    files: &'a Files,
    report: &mut Inspection,
) -> Result<&'a [u8], String> {
    let name = element.get("G").unwrap_or("");
    let digits = name.strip_prefix("GRD").unwrap_or("");
    if digits.len() != 5 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(format!(
            "its file is called {name:?}, expected GRD and five digits; it is not looked for"
        ));
    }
    let (_, bytes) = find(files, &format!("{name}.bin"))
        .ok_or_else(|| format!("there is no file {name}.bin"))?;
    if let Some(length) = element.get("H").filter(|length| length.parse() != Ok(bytes.len())) {
        let found = bytes.len();
        report.departures.push(format!("grid: GRD H says {length} bytes, the file has {found}"));
    }
    Ok(bytes)
}
