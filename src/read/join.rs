use std::collections::BTreeMap;

use super::ReadError;
use super::columns::{self, ID};
use super::error::quoted;
use super::table::{Row, Table};
use crate::warning::Warning;

/// The rows of a laboratory's table for the rows of a points table, by id: `None` where a point
/// has no result. Ids are compared without blanks around them and without letter case; `007` and
/// `7` are two ids. Ids without a counterpart on either side are named in warnings.
pub(super) fn join<'a>(
    points: &Table,
    points_id: usize,
    laboratory: &'a Table,
    laboratory_id: usize,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Option<&'a Row>>, ReadError> {
    let point_ids = index(points, points_id, warnings)?;
    let results = index(laboratory, laboratory_id, warnings)?;
    let joined: Vec<Option<&Row>> =
        points.rows.iter().map(|row| results.get(&fold(row.cell(points_id))).copied()).collect();
    if joined.iter().all(Option::is_none) {
        let some = |table: &Table, id| quoted(table.rows.iter().map(|row| row.cell(id)).take(3));
        return Err(ReadError::NoMatch {
            points: points.name.clone(),
            laboratory: laboratory.name.clone(),
            point_ids: some(points, points_id),
            laboratory_ids: some(laboratory, laboratory_id),
        });
    }
    let alone = |of: &Table, id: usize, other: &BTreeMap<String, &Row>| -> Vec<String> {
        let ids = of.rows.iter().map(|row| row.cell(id));
        let alone = ids.filter(|id| !id.is_empty() && !other.contains_key(&fold(id)));
        alone.map(str::to_owned).collect()
    };
    let names = || (points.name.clone(), laboratory.name.clone());
    let ids = alone(points, points_id, &results);
    if !ids.is_empty() {
        let (points, laboratory) = names();
        warnings.push(Warning::NoResult { points, laboratory, ids });
    }
    let ids = alone(laboratory, laboratory_id, &point_ids);
    if !ids.is_empty() {
        let (points, laboratory) = names();
        warnings.push(Warning::NoPoint { points, laboratory, ids });
    }
    Ok(joined)
}

/// The id column, which a join cannot do without.
pub(super) fn id_column(table: &Table, setting: Option<&str>) -> Result<usize, ReadError> {
    columns::find(table, &ID, setting)?.ok_or_else(|| {
        let expected = "one such as \"Sample ID\", to join the samples with the laboratory's table";
        columns::absent(table, "id", expected.to_owned(), String::new())
    })
}

/// Rows by folded id. Rows without id are warned of; an id that comes twice is an error.
fn index<'a>(
    table: &'a Table,
    id: usize,
    warnings: &mut Vec<Warning>,
) -> Result<BTreeMap<String, &'a Row>, ReadError> {
    let mut rows: BTreeMap<String, &Row> = BTreeMap::new();
    for row in &table.rows {
        if row.cell(id).is_empty() {
            warnings.push(Warning::NoId { place: row.place.clone() });
        } else if let Some(first) = rows.insert(fold(row.cell(id)), row) {
            return Err(ReadError::DuplicateId {
                first: first.place.clone(),
                second: row.place.clone(),
                id: row.cell(id).to_owned(),
            });
        }
    }
    Ok(rows)
}

fn fold(id: &str) -> String {
    id.trim().to_lowercase()
}
