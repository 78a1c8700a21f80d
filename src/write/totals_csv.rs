//! `totals.csv`: the same figures for a spreadsheet, and the order below them.

use super::names::amount_names;
use super::order_csv::order_rows;
use super::{FormatError, OutputFile};
use crate::csv_cell::no_formula;
use crate::plan::{Plan, ZoneRow, written_rate};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::units::{Quantity, Rate};

/// The totals as a table: a row a zone, a row a tier, a row for the field.
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    let fault = |error: String| FormatError { file: "totals.csv", reason: error };
    let system = plan.settings.system;
    let [area, mass] = amount_names(system);
    let figures = |area: f64, mass: f64| {
        [format!("{area:.*}", AREA_DECIMALS as usize), format!("{mass:.*}", MASS_DECIMALS as usize)]
    };
    let mut rows: Vec<[String; 9]> = vec![
        ["level", "zone", "tier", "label", "rate", "rate_unit", area, mass, "cec_mean"]
            .map(str::to_owned),
    ];
    for row in ZoneRow::all(plan) {
        let [area, mass] = figures(row.area, row.mass);
        let [number, tier] = [row.zone, row.tier].map(|number| number.to_string());
        let (label, unit) = (no_formula(row.label).into_owned(), row.rate_unit.to_owned());
        let (rate, cec) = (row.rate.to_string(), row.cec_mean.to_string());
        rows.push(["zone".into(), number, tier, label, rate, unit, area, mass, cec]);
    }
    let none = String::new;
    for (i, (tier, amount)) in plan.tiers.iter().enumerate() {
        let [area, mass] = figures(amount.printed_area, amount.printed_mass);
        let rate = written_rate(tier.rate, system).to_string();
        let (number, label, unit) = (
            (i + 1).to_string(),
            no_formula(&tier.label).into_owned(),
            Rate::unit(system).symbol().to_owned(),
        );
        rows.push(["tier".into(), none(), number, label, rate, unit, area, mass, none()]);
    }
    let [area, mass] = figures(plan.total.printed_area, plan.total.printed_mass);
    rows.push(["field".into(), none(), none(), none(), none(), none(), area, mass, none()]);
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in rows.into_iter().map(Vec::from).chain(order_rows(plan)) {
        writer.write_record(&row).map_err(|error| fault(error.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|error| fault(error.to_string()))?;
    Ok(vec![OutputFile::new("totals.csv", bytes)])
}
