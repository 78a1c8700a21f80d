//! `points.csv`, and `laboratory.csv` for the laboratory to fill in.

use crate::csv_cell::no_formula;
use crate::report::sampling::depth;
use crate::sampling::SamplingPlan;

/// The table for the laboratory.
pub const LABORATORY: &str = "laboratory.csv";

/// The columns of it that are filled in beforehand.
const KNOWN: [&str; 4] = ["Sample ID", "Field", "Depth", "Cores"];
/// The columns for the laboratory: what a plan makes use of.
const RESULTS: [&str; 7] =
    ["CEC (meq/100 g)", "Ca (ppm)", "Mg (ppm)", "K (ppm)", "Na (ppm)", "H (meq/100 g)", "pH"];

/// The samples in walking order.
pub fn points(plan: &SamplingPlan) -> Result<Vec<u8>, csv::Error> {
    let rows = (1..).zip(&plan.samples).map(|(walk, sample): (usize, _)| {
        let degrees = |value: f64| format!("{value:.8}");
        let place = [degrees(sample.wgs84.y), degrees(sample.wgs84.x)];
        [no_formula(&sample.id).into_owned(), walk.to_string()].into_iter().chain(place).collect()
    });
    written(&["id", "walk", "latitude", "longitude"], rows)
}

/// A row a sample, with nothing under the results.
pub fn laboratory(plan: &SamplingPlan) -> Result<Vec<u8>, csv::Error> {
    let header: Vec<&str> = KNOWN.into_iter().chain(RESULTS).collect();
    let rows = plan.samples.iter().map(|sample| {
        let id = no_formula(&sample.id).into_owned();
        let field = no_formula(&plan.field.name).into_owned();
        let cores = plan.field.taking.cores.to_string();
        let known = [id, field, depth(plan.field.taking, plan.field.system), cores];
        known.into_iter().chain(RESULTS.map(|_| String::new())).collect()
    });
    written(&header, rows)
}

/// Whether somebody has written results into a table for the laboratory, or something else that a
/// fresh one does not have.
#[must_use]
pub fn has_results(table: &[u8]) -> bool {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(table);
    let is_ours = |header: &csv::StringRecord| header.iter().eq(KNOWN.into_iter().chain(RESULTS));
    if !reader.headers().is_ok_and(is_ours) {
        return true;
    }
    reader.records().any(|row| {
        row.map_or(true, |row| row.iter().skip(KNOWN.len()).any(|cell| !cell.trim().is_empty()))
    })
}

fn written(
    header: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(header)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_filled_table_is_known() {
        let header = KNOWN.into_iter().chain(RESULTS).collect::<Vec<_>>().join(",");
        let fresh = format!("{header}\nHL01,home-lane,0-6 in,10,,,,,,,\n");
        assert!(!has_results(fresh.as_bytes()));
        assert!(has_results(fresh.replace("10,,", "10,12.4,").as_bytes()));
        assert!(has_results(b"id,cec\nHL01,9\n"));
    }
}
