//! `farm.csv`: the same figures for a spreadsheet.

use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::csv_cell::no_formula;
use crate::farm::printed::{area, mass, of_farm, of_field};
use crate::farm::{FarmTotals, TierFigures};
use crate::units::{Quantity, Rate};

/// The columns of an order beside its mass: those of money are in whatever money the prices are in.
const ORDER: [&str; 6] = ["trucks", "loads", "hours_least", "hours_most", "cost", "flat_rate_cost"];

/// A row; what it lacks to the length of the first is empty.
type Row = Vec<String>;

/// A row a tier and a row for each field, or why it failed; then the same for the farm.
pub(super) fn file(totals: &FarmTotals) -> Result<OutputFile, FormatError> {
    let [area, mass] = amount_names(totals.system);
    let mut header = ["level", "field", "label", "rate", "rate_unit", "zones", area, mass]
        .map(str::to_owned)
        .to_vec();
    header.extend(["low", "high"].map(|end| format!("{mass}_{end}")));
    header.push(format!("flat_rate_{mass}"));
    header.extend(["ordered", "ordered_low", "ordered_high"].map(|what| format!("{mass}_{what}")));
    header.extend(ORDER.map(str::to_owned));
    let unit = Rate::unit(totals.system).symbol();
    let mut rows: Vec<Row> = vec![header];
    for field in &totals.fields {
        match &field.figures {
            Ok(figures) => {
                rows.extend(figures.tiers.iter().map(|t| tier("tier", &figures.job, t, unit)));
                let amounts = (figures.area, figures.mass, figures.range, figures.flat);
                let mut row = whole("field", &figures.job, figures.zones, amounts);
                row.extend(figures.order.iter().flat_map(of_field));
                rows.push(row);
            }
            Err(error) => rows.push(vec!["failed".into(), field.file.clone(), error.clone()]),
        }
    }
    rows.extend(totals.tiers.iter().map(|t| tier("farm tier", "", t, unit)));
    let zones = totals.tiers.iter().map(|tier| tier.zones).sum();
    let amounts = (totals.area, totals.mass, totals.range, totals.flat);
    let mut row = whole("farm", "", zones, amounts);
    row.extend(totals.order.iter().flat_map(of_farm));
    rows.push(row);
    written(rows).map_err(|reason| FormatError { file: "farm.csv", reason })
}

fn written(rows: Vec<Row>) -> Result<OutputFile, String> {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    let columns = rows.first().map_or(0, Vec::len);
    for mut row in rows {
        row.resize(columns, String::new());
        writer
            .write_record(row.iter().map(|cell| no_formula(cell).into_owned()))
            .map_err(|error| error.to_string())?;
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    Ok(OutputFile { name: "farm.csv".to_owned(), bytes })
}

fn tier(level: &str, field: &str, tier: &TierFigures, unit: &str) -> Row {
    vec![
        level.to_owned(),
        field.to_owned(),
        tier.label.clone(),
        tier.rate.to_string(),
        unit.to_owned(),
        tier.zones.to_string(),
        area(tier.area),
        mass(tier.mass),
    ]
}

/// Area, mass, range and flat rate's mass.
type Amounts = (f64, f64, Option<[f64; 2]>, f64);

fn whole(level: &str, field: &str, zones: usize, amounts: Amounts) -> Row {
    let none = String::new;
    let (spread_on, spread, range, flat) = amounts;
    let [low, high] = range.map_or([none(), none()], |ends| ends.map(mass));
    vec![
        level.to_owned(),
        field.to_owned(),
        none(),
        none(),
        none(),
        zones.to_string(),
        area(spread_on),
        mass(spread),
        low,
        high,
        mass(flat),
    ]
}
