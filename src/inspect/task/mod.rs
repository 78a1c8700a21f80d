//! ISO 11783-10 task data.

mod grid;
mod grid_element;
mod rates;
mod shape;
mod structure;

use geo::{MultiPolygon, Polygon};

use self::rates::{Treatment, treatments};
use super::report::{Inspection, SeenZone};
use super::tiling::tiling;
use crate::geometry::geodesic_area;
use crate::read::taskdata::{
    Element, Files, MAIN, ROOT, TaskDataError, find, merge_external, parse, unpack,
};
use crate::units::{Area, Quantity};

/// Looks at task data in a ZIP archive.
///
/// # Errors
/// When the archive cannot be unpacked safely, or what is in it cannot be read as task data.
pub fn archive(name: &str, bytes: &[u8]) -> Result<Inspection, TaskDataError> {
    folder(name, &unpack(name, bytes)?)
}

/// Looks at the files of a task-data folder; `name` is the folder's.
///
/// # Errors
/// When there is no `TASKDATA.XML`, or it cannot be read as task data.
pub fn folder(name: &str, files: &Files) -> Result<Inspection, TaskDataError> {
    let Some((found, bytes)) = find(files, MAIN) else {
        return Err(TaskDataError::new(name, format!("found no file {MAIN}")));
    };
    let mut root = parse(found, bytes)?;
    if root.name != ROOT {
        let reason = format!("found <{}>, expected <{}>", root.name, ROOT);
        return Err(TaskDataError::new(found, reason));
    }
    let mut report = Inspection {
        file: name.to_owned(),
        crs: "WGS 84 longitude and latitude, as ISO 11783-10 has it".to_owned(),
        ..Inspection::default()
    };
    if found != MAIN {
        report.departures.push(format!("the file is called {found}, expected {MAIN}"));
    }
    merge_external(&mut root, files, &mut report.departures);
    structure::check(&root, &mut report.departures);
    let version = |attribute| root.get(attribute).unwrap_or("?");
    report.format = format!(
        "ISO 11783-10 task data, version {}.{}",
        version("VersionMajor"),
        version("VersionMinor")
    );
    for (word, tag) in [("customer", "CTR"), ("farm", "FRM"), ("product", "PDT")] {
        let names: Vec<&str> = root.all(tag).filter_map(|element| element.get("B")).collect();
        if !names.is_empty() {
            report.facts.push((word, names.join(", ")));
        }
    }
    let tasks: Vec<&Element> = root.all("TSK").collect();
    if tasks.is_empty() {
        report.departures.push("there is no task".into());
    }
    if tasks.len() > 1 {
        report.notes.push(format!("there are {} tasks; all are listed", tasks.len()));
    }
    for task in tasks {
        Task { root: &root, element: task, files }.look(&mut report);
    }
    Ok(report)
}

/// One task, with all that it may refer to.
struct Task<'a> {
    root: &'a Element,
    element: &'a Element,
    files: &'a Files,
}

impl Task<'_> {
    fn look(&self, report: &mut Inspection) {
        let name = self.element.get("B").or(self.element.get("A")).unwrap_or("?");
        report.facts.push(("task", name.to_owned()));
        let field = self.field(report);
        let treatments = treatments(self.root, self.element, report);
        self.special_zones(&treatments, report);
        let mut drawn: Vec<(String, Polygon<f64>)> = Vec::new();
        for treatment in treatments.iter().filter(|treatment| treatment.shaped) {
            let parts = treatment.polygons.len();
            let area: Area = treatment.polygons.iter().map(geodesic_area).sum();
            let zone = |part: &Polygon<f64>| (format!("zone {}", treatment.code), part.clone());
            drawn.extend(treatment.polygons.iter().map(zone));
            report.zones.push(seen(treatment, parts, area));
        }
        let grids: Vec<&Element> = self.element.all("GRD").collect();
        if grids.len() > 1 {
            report.departures.push(format!("the task has {} grids, expected one", grids.len()));
        }
        if let Some(grid) = grids.first() {
            grid::look(grid, &treatments, field.as_ref(), self.files, report);
        } else if drawn.is_empty() {
            report.departures.push("the task has neither a zone with a polygon nor a grid".into());
        }
        let tiling = tiling(&drawn, field.as_ref());
        report.departures.extend(tiling.departures);
        report.notes.extend(tiling.notes);
    }

    /// The boundary of the field that the task is for.
    fn field(&self, report: &mut Inspection) -> Option<MultiPolygon<f64>> {
        let Some(reference) = self.element.get("E") else {
            report.departures.push("the task is for no field (TSK E)".into());
            return None;
        };
        let field = self.root.all("PFD").find(|field| field.get("A") == Some(reference))?;
        report.facts.push(("field", field.get("C").unwrap_or("?").to_owned()));
        let mut parts = Vec::new();
        for outline in field.all("PLN").filter(|outline| outline.get("A") == Some("1")) {
            parts.extend(shape::polygons("field boundary", outline, &mut report.departures)?);
        }
        if parts.is_empty() {
            report.departures.push("the field has no boundary (PLN of type 1)".into());
            return None;
        }
        let area: Area = parts.iter().map(geodesic_area).sum();
        let said = field.get("D").and_then(|area| area.parse().ok()).map(Area::square_metres);
        // A square meter for rounding, a thousandth for other ways to measure.
        let near = |said: Area| (said - area).si().abs() <= 1.0 + 1e-3 * area.si();
        if let Some(said) = said.filter(|said| !near(*said)) {
            report.departures.push(format!(
                "the field's area (PFD D) is {:.0} m2, its boundary has {:.0} m2",
                said.si(),
                area.si()
            ));
        }
        Some(MultiPolygon(parts))
    }

    fn special_zones(&self, treatments: &[Treatment], report: &mut Inspection) {
        for (word, attribute) in
            [("default zone", "H"), ("position-lost zone", "I"), ("out-of-field zone", "J")]
        {
            let Some(code) = self.element.get(attribute) else {
                report.notes.push(format!("the task names no {word} (TSK {attribute})"));
                continue;
            };
            let found = treatments.iter().find(|t| Some(t.code) == code.parse().ok());
            match found {
                Some(treatment) => {
                    let rate =
                        treatment.rate.map_or("no rate".to_owned(), |rate| report.shown(rate));
                    report.facts.push((word, format!("{code}, {rate}")));
                }
                None => report.departures.push(format!(
                    "the {word} (TSK {attribute}) is {code}, which is no treatment zone"
                )),
            }
        }
    }
}

/// A treatment zone as it is listed.
fn seen(treatment: &Treatment, parts: usize, area: Area) -> SeenZone {
    let (code, name) = (treatment.code, &treatment.name);
    let name = if name.is_empty() { code.to_string() } else { format!("{code} {name}") };
    let written = treatment.written.clone();
    SeenZone { name, rate: treatment.rate, written, parts, area: Some(area) }
}
