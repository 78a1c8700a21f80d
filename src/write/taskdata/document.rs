//! `TASKDATA.XML`.

use std::io;

use geo::{Coord, MapCoords, MultiPolygon, Polygon};

use super::elements::Elements;
use super::fault;
use super::raster::Raster;
use super::setpoint::{self, presentation};
use super::settings::TaskSettings;
use super::treatment::{OUTSIDE, Task, Treatment};
use crate::plan::Plan;
use crate::write::FormatError;
use crate::written;

/// The manufacturer that task data is marked with.
const MAKER: &str = env!("CARGO_PKG_NAME");
/// PLN A: the outline of a field.
const FIELD: &str = "1";
/// PLN A: the outline of a treatment zone.
const TREATMENT: &str = "2";

/// The document.
pub fn text(plan: &Plan, settings: &TaskSettings, task: &Task) -> Result<Vec<u8>, FormatError> {
    let MultiPolygon(boundary) = plan.field.boundary.wgs84().map_coords(written::rounded);
    boundary.iter().chain(task.treatments.iter().flat_map(|t| &t.polygons)).try_for_each(check)?;
    let area = plan.field.boundary.area().as_square_metres().round();
    let written = Elements::begin().and_then(|elements| {
        let mut document = Document(elements);
        document.write(plan, settings, task, &boundary, area)?;
        Ok(document.0.end())
    });
    written.map_err(|error| fault(error.to_string()))
}

/// Rings are closed and in degrees.
fn check(polygon: &Polygon<f64>) -> Result<(), FormatError> {
    for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
        if !ring.is_closed() || ring.0.len() < 4 {
            let found = ring.0.len();
            return Err(fault(format!(
                "found an open ring or one of {found} positions, expected closed rings of 4 or more"
            )));
        }
        let outside = |at: &&Coord<f64>| !(at.x.abs() <= 180.0 && at.y.abs() <= 90.0);
        if let Some(at) = ring.0.iter().find(outside) {
            return Err(fault(format!("found the position {}, {}, expected degrees", at.x, at.y)));
        }
    }
    Ok(())
}

struct Document(Elements);

impl Document {
    fn write(
        &mut self,
        plan: &Plan,
        settings: &TaskSettings,
        task: &Task,
        boundary: &[Polygon<f64>],
        area: f64,
    ) -> io::Result<()> {
        let version = env!("CARGO_PKG_VERSION");
        self.0.open(
            "ISO11783_TaskData",
            &[
                ("VersionMajor", &settings.version.major().to_string()),
                ("VersionMinor", "3"),
                ("ManagementSoftwareManufacturer", MAKER),
                ("ManagementSoftwareVersion", version),
                ("TaskControllerManufacturer", MAKER),
                ("TaskControllerVersion", version),
                ("DataTransferOrigin", "1"),
            ],
        )?;
        self.0.empty("CTR", &[("A", "CTR1"), ("B", settings.customer.as_str())])?;
        self.0.empty("FRM", &[("A", "FRM1"), ("B", settings.farm.as_str()), ("I", "CTR1")])?;
        self.field(settings, boundary, area)?;
        let shown = presentation(plan.settings.system);
        self.0.empty(
            "VPN",
            &[
                ("A", "VPN1"),
                ("B", "0"),
                ("C", &shown.scale),
                ("D", &shown.decimals.to_string()),
                ("E", shown.unit),
            ],
        )?;
        self.0.empty("PDT", &[("A", "PDT1"), ("B", settings.product.as_str())])?;
        self.task(settings, task)?;
        self.0.close("ISO11783_TaskData")
    }

    fn field(
        &mut self,
        settings: &TaskSettings,
        boundary: &[Polygon<f64>],
        area: f64,
    ) -> io::Result<()> {
        self.0.open(
            "PFD",
            &[
                ("A", "PFD1"),
                ("C", settings.field.as_str()),
                ("D", &format!("{area:.0}")),
                ("E", "CTR1"),
                ("F", "FRM1"),
            ],
        )?;
        for part in boundary {
            self.0.polygon(FIELD, part)?;
        }
        self.0.close("PFD")
    }

    fn task(&mut self, settings: &TaskSettings, task: &Task) -> io::Result<()> {
        self.0.open(
            "TSK",
            &[
                ("A", "TSK1"),
                ("B", settings.field.as_str()),
                ("C", "CTR1"),
                ("D", "FRM1"),
                ("E", "PFD1"),
                ("G", "1"),
                ("H", &OUTSIDE.to_string()),
                ("I", &task.position_lost.to_string()),
                ("J", &OUTSIDE.to_string()),
            ],
        )?;
        for treatment in &task.treatments {
            self.treatment(treatment)?;
        }
        if let Some(raster) = &task.grid {
            self.grid(raster, task.template)?;
        }
        self.0.close("TSK")
    }

    fn treatment(&mut self, treatment: &Treatment) -> io::Result<()> {
        let code = treatment.code.to_string();
        self.0.open("TZN", &[("A", &code), ("B", treatment.name.as_str())])?;
        for polygon in &treatment.polygons {
            self.0.polygon(TREATMENT, polygon)?;
        }
        let value = treatment.value.to_string();
        self.0
            .empty("PDV", &[("A", setpoint::DDI), ("B", &value), ("C", "PDT1"), ("E", "VPN1")])?;
        self.0.close("TZN")
    }

    fn grid(&mut self, raster: &Raster, template: Option<u8>) -> io::Result<()> {
        let grid = &raster.grid;
        let kind = if template.is_some() { "2" } else { "1" };
        let mut attributes = vec![
            ("A", grid.corner.y.to_string()),
            ("B", grid.corner.x.to_string()),
            ("C", grid.cell.y.to_string()),
            ("D", grid.cell.x.to_string()),
            ("E", grid.columns.to_string()),
            ("F", grid.rows.to_string()),
            ("G", Raster::NAME.to_owned()),
            ("H", raster.bytes().len().to_string()),
            ("I", kind.to_owned()),
        ];
        attributes.extend(template.map(|code| ("J", code.to_string())));
        let attributes: Vec<(&str, &str)> =
            attributes.iter().map(|(name, value)| (*name, value.as_str())).collect();
        self.0.empty("GRD", &attributes)
    }
}

#[cfg(test)]
mod tests {
    use geo::polygon;

    use super::*;

    #[test]
    fn rings_are_closed_and_in_degrees() {
        let sound = polygon![(x: 1.0, y: 1.0), (x: 180.0, y: 1.0), (x: 1.0, y: -90.0)];
        assert!(check(&sound).is_ok());
        let said = |polygon| check(&polygon).unwrap_err().to_string();
        assert_eq!(
            said(polygon![(x: 1.0, y: 1.0), (x: 2.0, y: 1.0)]),
            "TASKDATA/TASKDATA.XML: found an open ring or one of 3 positions, expected closed rings of 4 or more"
        );
        for (x, y) in [(180.5, 1.0), (1.0, 90.5), (1.0, f64::NAN)] {
            assert_eq!(
                said(polygon![(x: 2.0, y: 1.0), (x: x, y: y), (x: 3.0, y: 1.0)]),
                format!("TASKDATA/TASKDATA.XML: found the position {x}, {y}, expected degrees")
            );
        }
    }
}
