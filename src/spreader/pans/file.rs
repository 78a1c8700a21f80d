use super::cells::{Separator, setting};
use super::settings::{PanSettings, check_swath};
use super::{Pattern, row};
use crate::faults::{self, Faults, fault};
use crate::units::{Length, Mass, Quantity, Rate, Share, System, Unit, count};

/// A catch-pan test, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct PanTest {
    /// The file's name.
    pub name: String,
    /// The units that it is written and printed in: those of the distances.
    pub system: System,
    /// The rate that was asked for, if the file says so.
    pub target: Option<Rate>,
    /// The swath that the machine is driven at, if the file says so.
    pub swath: Option<Length>,
    /// The single-pass pattern, the mean of the runs.
    pub pattern: Pattern,
    /// How far the runs differ in all they caught: standard deviation (n - 1) by mean, with two
    /// runs or more. A high one is a pulsing stream.
    pub between_runs: Option<Share>,
    /// What was filled in, and what is missing.
    pub cautions: Vec<String>,
}

/// Why a catch-pan test cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PanError {
    /// Something is wrong with a line or with the whole.
    #[error("{file}{place}: {reason}", place = line.map(|line| format!(", line {line}")).unwrap_or_default())]
    Fault {
        /// The file.
        file: String,
        /// The line, from 1, if it is one line's fault.
        line: Option<usize>,
        /// What was found, what was expected and what to do.
        reason: String,
    },
    /// Several faults, each told.
    #[error("{}", faults::lines(.0))]
    Several(Vec<PanError>),
}

fault!(PanError::Several);

const COLUMNS: &str =
    "expected columns such as \"distance (ft),catch (g)\", a catch column for each run";

/// No spreader throws so far, in meters, and no pan holds so much, in kilograms.
const FARTHEST_M: f64 = 1000.0;
const HEAVIEST_KG: f64 = 1000.0;

/// Reads a catch-pan test: CSV (commas, semicolons or tabs) with the distance of each pan from the driven line (left negative)
/// and what it caught, one column for each run, the units in the headings. Above it, lines
/// `# key: value`: `pan size` (`20 in x 20 in`) or `pan area`, and, if known, `target`, `swath`,
/// `passes` (how often the machine passed before the pans were weighed), `note`.
///
/// # Errors
/// When the text is not such a file, a catch is negative, nothing was caught at the driven line, or
/// the row is too uneven or cut off on one side.
pub fn read(file: &str, text: &str) -> Result<PanTest, PanError> {
    let fault = |line, reason| PanError::Fault { file: file.to_owned(), line, reason };
    let mut faults = Faults::default();
    let mut settings = PanSettings::default();
    let mut columns: Option<(Separator, &Unit, Vec<&Unit>)> = None;
    let mut pans: Vec<(Length, Vec<Mass>)> = Vec::new();
    for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let at = |reason| fault(Some(i + 1), reason);
        let line = line.trim();
        let cells = |separator: Separator| separator.cells(line);
        if let Some(setting) = setting(line) {
            faults.of(settings.take(&setting).map_err(at));
        } else if let Some((separator, distance, catches)) = &columns {
            // A spreadsheet writes an empty line as separators.
            let cells = cells(*separator);
            if !cells.is_empty() {
                pans.extend(faults.of(pan(&cells, *separator, distance, catches).map_err(at)));
            }
        } else {
            let separator = Separator::of(line);
            let cells = cells(separator);
            if !cells.is_empty() {
                let Some((distance, catches)) = faults.of(headings(&cells).map_err(at)) else {
                    // Without its headings a table says nothing.
                    break;
                };
                columns = Some((separator, distance, catches));
            }
        }
    }
    let whole = |reason: String| fault(None, reason);
    let table = columns.as_ref().map(|(_, distance, _)| *distance);
    if table.is_none() && faults.is_empty() {
        faults.push(whole(format!("found no table, {COLUMNS}")));
    }
    if settings.pan_area.is_none() && !settings.pan_is_told && table.is_some() {
        let expected = "found no pan size, expected a line such as \"# pan size: 20 in x 20 in\"";
        faults.push(whole(format!("{expected}; measure the inside of a pan at its rim")));
    }
    faults.all()?;
    let (Some(distance), Some(area)) = (table, settings.pan_area) else {
        return Err(whole(format!("found no table, {COLUMNS}")));
    };
    let area = area * settings.passes.unwrap_or(1.0);
    let between_runs = between_runs(&pans);
    let mean = |caught: &[Mass]| caught.iter().copied().sum::<Mass>() / caught.len() as f64 / area;
    let rates = pans.iter().map(|(place, caught)| (*place, mean(caught))).collect();
    let (pattern, mut cautions) = row::pattern(rates, distance.system).map_err(whole)?;
    if let Some(swath) = settings.swath {
        check_swath(swath, &pattern, distance.system).map_err(whole)?;
    }
    if settings.target.is_none() {
        cautions.push(
            "target missing: the rate cannot be judged; add a line such as \"# target: 1 ton/ac\""
                .into(),
        );
    }
    if settings.swath.is_none() {
        cautions.push(
            "swath missing: judged at half the row; add a line such as \"# swath: 40 ft\"".into(),
        );
    }
    Ok(PanTest {
        name: file.to_owned(),
        system: distance.system,
        target: settings.target,
        swath: settings.swath,
        pattern,
        between_runs,
        cautions,
    })
}

/// The units of the distances and of each column of catches.
fn headings(cells: &[String]) -> Result<(&'static Unit, Vec<&'static Unit>), String> {
    let mut cells = cells.iter().map(String::as_str);
    let distance = unit_of::<Length>(cells.next().unwrap_or_default())?;
    let catches: Vec<&Unit> = cells.map(unit_of::<Mass>).collect::<Result<_, _>>()?;
    if catches.is_empty() {
        return Err(format!("found no catch column, {COLUMNS}"));
    }
    Ok((distance, catches))
}

fn unit_of<Q: Quantity>(heading: &str) -> Result<&'static Unit, String> {
    let written = heading.split_once('(').and_then(|(_, rest)| rest.strip_suffix(')'));
    let known =
        written.and_then(|unit| Q::UNITS.iter().find(|known| known.is_spelled(unit.trim())));
    known.ok_or_else(|| {
        format!("found the heading \"{heading}\" without a {} unit, {COLUMNS}", Q::NAME)
    })
}

fn pan(
    cells: &[String],
    separator: Separator,
    distance: &Unit,
    catches: &[&Unit],
) -> Result<(Length, Vec<Mass>), String> {
    let Some((place, caught)) = cells.split_first().filter(|(_, c)| c.len() == catches.len())
    else {
        let (found, expected) = (count(cells.len(), "cell", "cells"), catches.len() + 1);
        return Err(format!(
            "found {found}, expected {expected}; write 0 where nothing was caught"
        ));
    };
    let number = |text: &str, what: &str| {
        separator.number(text).ok_or_else(|| {
            format!("{what}: found \"{text}\", expected a number without unit; correct it")
        })
    };
    let written = place;
    let place = Length::from_si(number(written, "distance")? * distance.si);
    if place.as_metres().abs() > FARTHEST_M {
        return Err(format!(
            "distance: found {written} {}, expected at most {FARTHEST_M} m from the line; correct it",
            distance.symbol()
        ));
    }
    let caught = caught.iter().zip(catches).map(|(text, unit)| {
        let caught = number(text, "catch")?;
        if caught < 0.0 {
            return Err(format!(
                "catch: found {text} {}, expected zero or more; take the empty pan's weight off once only",
                unit.symbol()
            ));
        }
        let mass = Mass::from_si(caught * unit.si);
        if mass.si() > HEAVIEST_KG {
            return Err(format!(
                "catch: found {text} {}, expected at most {HEAVIEST_KG} kg in a pan; correct it",
                unit.symbol()
            ));
        }
        Ok(mass)
    });
    Ok((place, caught.collect::<Result<_, _>>()?))
}

fn between_runs(pans: &[(Length, Vec<Mass>)]) -> Option<Share> {
    let runs = pans.first()?.1.len();
    let total =
        |run: usize| pans.iter().filter_map(|(_, caught)| caught.get(run)).copied().sum::<Mass>();
    let totals: Vec<f64> = (0..runs).map(|run| total(run).si()).collect();
    let mean = totals.iter().sum::<f64>() / runs as f64;
    let squares: f64 = totals.iter().map(|total| (total - mean).powi(2)).sum();
    (runs > 1 && mean > 0.0).then(|| Share::from_si((squares / (runs - 1) as f64).sqrt() / mean))
}
