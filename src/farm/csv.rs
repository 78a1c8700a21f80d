//! `farm.csv`: the same figures for a spreadsheet.

use super::{FarmTotals, TierFigures};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::write::{FormatError, OutputFile, amount_names, rate_unit};

type Row = [String; 11];

/// A row a tier and a row for each field, or why it failed; then the same for the farm.
pub(super) fn file(totals: &FarmTotals) -> Result<OutputFile, FormatError> {
    let [area, mass] = amount_names(totals.system);
    let (low, high, flat) =
        (format!("{mass}_low"), format!("{mass}_high"), format!("flat_rate_{mass}"));
    let header =
        ["level", "field", "label", "rate", "rate_unit", "zones", area, mass, &low, &high, &flat];
    let unit = rate_unit(totals.system);
    let mut rows: Vec<Row> = vec![header.map(str::to_owned)];
    for field in &totals.fields {
        match &field.figures {
            Ok(figures) => {
                rows.extend(figures.tiers.iter().map(|t| tier("tier", &figures.job, t, unit)));
                let amounts = (figures.area, figures.mass, figures.range, figures.flat);
                rows.push(whole("field", &figures.job, figures.zones, amounts));
            }
            Err(error) => {
                let mut row = Row::default();
                [row[0], row[1], row[2]] = ["failed".into(), field.file.clone(), error.clone()];
                rows.push(row);
            }
        }
    }
    rows.extend(totals.tiers.iter().map(|t| tier("farm tier", "", t, unit)));
    let zones = totals.tiers.iter().map(|tier| tier.zones).sum();
    rows.push(whole("farm", "", zones, (totals.area, totals.mass, totals.range, totals.flat)));
    written(&rows).map_err(|reason| FormatError { file: "farm.csv", reason })
}

fn written(rows: &[Row]) -> Result<OutputFile, String> {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).map_err(|error| error.to_string())?;
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    Ok(OutputFile { name: "farm.csv".to_owned(), bytes })
}

fn area(value: f64) -> String {
    format!("{value:.*}", AREA_DECIMALS as usize)
}

fn mass(value: f64) -> String {
    format!("{value:.*}", MASS_DECIMALS as usize)
}

fn tier(level: &str, field: &str, tier: &TierFigures, unit: &str) -> Row {
    let none = String::new;
    [
        level.to_owned(),
        field.to_owned(),
        tier.label.clone(),
        tier.rate.to_string(),
        unit.to_owned(),
        tier.zones.to_string(),
        area(tier.area),
        mass(tier.mass),
        none(),
        none(),
        none(),
    ]
}

/// Area, mass, range and flat rate's mass.
type Amounts = (f64, f64, Option<[f64; 2]>, f64);

fn whole(level: &str, field: &str, zones: u64, amounts: Amounts) -> Row {
    let none = String::new;
    let (spread_on, spread, range, flat) = amounts;
    let [low, high] = range.map_or([none(), none()], |ends| ends.map(mass));
    [
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
