use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::ReadError;
use super::columns::{self, ID};
use super::error::quoted;
use super::ids::{IdMatch, IdRule, matched};
use super::table::{Row, Table};
use crate::warning::Warning;

/// Two tables joined by the sample's name.
pub(super) struct Joined<'a> {
    /// The column of the points' names.
    pub points_id: usize,
    /// The laboratory's row for each row of the points: `None` where a point has no result.
    pub rows: Vec<Option<&'a Row>>,
}

/// Joins a laboratory's table to a points table by id: as the ids are or, where that does not do, by
/// one rule for all (`ids`). Ids without a counterpart on either side are named in warnings.
///
/// # Errors
/// When a table has no id column, several pairs of columns would join other rows, an id is there
/// twice, or no id is in both.
pub(super) fn join<'a>(
    (points, points_setting): (&Table, Option<&str>),
    (laboratory, laboratory_setting): (&'a Table, Option<&str>),
    warnings: &mut Vec<Warning>,
) -> Result<Joined<'a>, ReadError> {
    let points_ids = id_columns(points, points_setting)?;
    let laboratory_ids = id_columns(laboratory, laboratory_setting)?;
    let pairs: Vec<(usize, usize)> =
        points_ids.iter().flat_map(|&p| laboratory_ids.iter().map(move |&l| (p, l))).collect();
    let (points_id, laboratory_id, found) = best(points, laboratory, &pairs)?;
    tell(points, laboratory, (points_id, laboratory_id), &found, warnings);
    let row = |at: &Option<usize>| at.and_then(|at| laboratory.rows.get(at));
    Ok(Joined { points_id, rows: found.found.iter().map(row).collect() })
}

/// The columns that may have the ids, which a join cannot do without.
fn id_columns(table: &Table, setting: Option<&str>) -> Result<Vec<usize>, ReadError> {
    if let Some(name) = setting {
        return columns::named(table, ID.what, ID.key, name).map(|column| vec![column]);
    }
    let columns = columns::ids(table);
    if columns.is_empty() {
        let expected = "one such as \"Sample ID\", to join the samples with the laboratory's table";
        return Err(columns::absent(table, "id", expected.to_owned(), String::new()));
    }
    Ok(columns)
}

/// The pair of columns that joins most rows. Another one that joins half as many, and others, makes
/// it unclear.
fn best(
    points: &Table,
    laboratory: &Table,
    pairs: &[(usize, usize)],
) -> Result<(usize, usize, IdMatch), ReadError> {
    let mut matches: Vec<(usize, usize, IdMatch)> = pairs
        .iter()
        .filter_map(|&(p, l)| Some((p, l, matched(&cells(points, p), &cells(laboratory, l))?)))
        .collect();
    matches.sort_by_key(|(_, _, found)| (Reverse(found.count()), found.rule != IdRule::Exact));
    let mut matches = matches.into_iter();
    let Some(best) = matches.next() else {
        return Err(no_match(points, laboratory, pairs));
    };
    let rival = |(_, _, other): &(usize, usize, IdMatch)| {
        let (found, other_found) = (&best.2.found, &other.found);
        let differs =
            found.iter().zip(other_found).any(|(a, b)| a.is_some() && b.is_some() && a != b);
        differs && other.count() * 2 >= best.2.count()
    };
    let Some((p, l, _)) = matches.find(rival) else { return Ok(best) };
    let (table, one, other) =
        if l == best.1 { (points, best.0, p) } else { (laboratory, best.1, l) };
    Err(ReadError::SeveralColumns {
        name: table.name.clone(),
        what: ID.what,
        candidates: [one.min(other), one.max(other)]
            .map(|column| columns::shown(table, column))
            .join(", "),
        key: ID.key,
    })
}

fn cells(table: &Table, column: usize) -> Vec<&str> {
    table.rows.iter().map(|row| row.cell(column)).collect()
}

/// Why nothing joins: an id that is there twice, or none that is in both.
fn no_match(points: &Table, laboratory: &Table, pairs: &[(usize, usize)]) -> ReadError {
    let (p, l) = pairs.first().copied().unwrap_or_default();
    let twice = twice(points, p).or_else(|| twice(laboratory, l));
    twice.unwrap_or_else(|| {
        let some = |table: &Table, id| quoted(cells(table, id).into_iter().take(3));
        ReadError::NoMatch {
            points: points.name.clone(),
            laboratory: laboratory.name.clone(),
            point_ids: some(points, p),
            laboratory_ids: some(laboratory, l),
        }
    })
}

/// The first id that is in a column twice.
fn twice(table: &Table, column: usize) -> Option<ReadError> {
    let mut known: BTreeMap<String, &Row> = BTreeMap::new();
    table.rows.iter().filter(|row| !row.cell(column).is_empty()).find_map(|row| {
        let first = known.insert(row.cell(column).to_lowercase(), row)?;
        Some(ReadError::DuplicateId {
            first: first.place.clone(),
            second: row.place.clone(),
            id: row.cell(column).to_owned(),
        })
    })
}

/// Tells by which rule ids were matched, and which have no counterpart.
fn tell(
    points: &Table,
    laboratory: &Table,
    (points_id, laboratory_id): (usize, usize),
    found: &IdMatch,
    warnings: &mut Vec<Warning>,
) {
    for (table, column) in [(points, points_id), (laboratory, laboratory_id)] {
        let nameless = table.rows.iter().filter(|row| row.cell(column).is_empty());
        warnings.extend(nameless.map(|row| Warning::NoId { place: row.place.clone() }));
    }
    let (ours, theirs) = (cells(points, points_id), cells(laboratory, laboratory_id));
    let names = || (points.name.clone(), laboratory.name.clone());
    let pair = |(our, at): (&&str, &Option<usize>)| {
        Some(((*our).to_owned(), (*theirs.get((*at)?)?).to_owned()))
    };
    if found.rule != IdRule::Exact
        && let Some((point, result)) = ours.iter().zip(&found.found).find_map(pair)
    {
        let (points, laboratory) = names();
        let how = found.rule.words();
        warnings.push(Warning::IdsMatched { points, laboratory, how, point, result });
    }
    let alone = |ids: &mut dyn Iterator<Item = (&str, bool)>| -> Vec<String> {
        ids.filter(|(id, met)| !met && !id.is_empty()).map(|(id, _)| id.to_owned()).collect()
    };
    let ids = alone(&mut ours.iter().zip(&found.found).map(|(id, at)| (*id, at.is_some())));
    if !ids.is_empty() {
        let (points, laboratory) = names();
        warnings.push(Warning::NoResult { points, laboratory, ids });
    }
    let met: BTreeSet<usize> = found.found.iter().flatten().copied().collect();
    let ids = alone(&mut theirs.iter().enumerate().map(|(at, id)| (*id, met.contains(&at))));
    if !ids.is_empty() {
        let (points, laboratory) = names();
        warnings.push(Warning::NoPoint { points, laboratory, ids });
    }
}
