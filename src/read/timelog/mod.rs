//! The time logs of ISO 11783-10 task data: what the machines of a task recorded while they drove.
//!
//! A task (TSK) names its logs (TLG); each is a header in XML, which says what a record holds, and a
//! binary file of records. Values are numbers of the data dictionary, ISO 11783-11, that belong to an
//! element of a machine; the device description (DVC) says what that element is, how wide it is and
//! where it sits. Names of people, farms and machines are left where they are.

mod connections;
mod device;
mod dictionary;
mod header;
mod machines;
mod records;

use std::collections::BTreeSet;

use super::ReadError;
use super::budget::Budget;
use super::taskdata::{Element, Files, TREE, find, parse, root};
use crate::timelog::{Log, Stamp};
use crate::warning::Warning;
use device::Device;
use header::Header;

/// The logs of task data, with the machines that spread in each; `name` is what messages call it.
/// Of several products that a machine logs, `product` is the element to take, such as `DET-3`.
///
/// A log that is cut or broken gives the records before that, and a warning says how much it is.
///
/// # Errors
/// When there is no task data, no log with a mass in it, or several products and none chosen.
pub fn logs(
    name: &str,
    files: &Files,
    product: Option<&str>,
) -> Result<(Vec<Log>, Vec<Warning>), ReadError> {
    let mut budget = Budget::of(files.values().map(Vec::len).sum());
    let of_xml = |name: &String| name.to_ascii_lowercase().ends_with(".xml");
    let xml: usize = files.iter().filter(|(name, _)| of_xml(name)).map(|(_, xml)| xml.len()).sum();
    budget.take(name, xml.saturating_mul(TREE))?;
    let (root, mut warnings) = root(name, files)?;
    let devices = device::devices(&root);
    let mut seen = BTreeSet::new();
    let (mut logs, mut without) = (Vec::new(), BTreeSet::new());
    for task in root.all("TSK") {
        let joints = connections::of(task);
        for reference in task.all("TLG") {
            let file = reference.get("A").unwrap_or("");
            if !seen.insert(file.to_ascii_uppercase()) {
                let reason = format!("the log {file} is named twice; read once");
                warnings.push(Warning::TaskDataIncomplete { place: name.to_owned(), reason });
                continue;
            }
            let place = format!("{name}, {file}");
            match Found::of(&place, reference, files, &mut warnings)? {
                None => {}
                Some(Found { header, bytes }) => {
                    let whole = records::whole(&header, bytes);
                    budget.take(name, whole.size())?;
                    // What the task says of the length tells of a file cut between two records.
                    let said = reference.get("B").and_then(|length| length.trim().parse().ok());
                    let length = bytes.len().max(said.unwrap_or(0));
                    if whole.bytes < length {
                        warnings.push(Warning::LogCut {
                            place: place.clone(),
                            records: whole.stamps.len(),
                            share: whole.bytes as f64 / length as f64,
                        });
                    }
                    let log = log(place, &header, whole, &devices, &joints, product)?;
                    if log.machines.is_empty() {
                        without.extend(header.values.iter().filter_map(|value| value.ddi));
                        continue;
                    }
                    warnings.extend(positions(&log));
                    logs.push(log);
                }
            }
        }
    }
    if logs.is_empty() {
        return Err(none(name, &seen, &without));
    }
    Ok((logs, warnings))
}

/// A log of whole records.
fn log(
    name: String,
    header: &Header,
    whole: records::WholeRecords,
    devices: &[Device],
    joints: &[connections::Joint],
    product: Option<&str>,
) -> Result<Log, ReadError> {
    let fixed = header.fixed();
    let mut first = [None; 256];
    for change in fixed.iter().chain(&whole.changes) {
        if let Some(slot) = first.get_mut(usize::from(change.channel)) {
            slot.get_or_insert(change.value);
        }
    }
    let machines = machines::machines(&name, header, &first, devices, joints, product)?;
    let records::WholeRecords { stamps, changes, .. } = whole;
    Ok(Log { name, stamps, fixed, changes, machines })
}

/// The two files of a log.
struct Found<'a> {
    header: Header,
    bytes: &'a [u8],
}

impl<'a> Found<'a> {
    /// A name that is not of the standard's form is not followed; that and whatever else stands in
    /// the way is warned of.
    fn of(
        place: &str,
        reference: &Element,
        files: &'a Files,
        warnings: &mut Vec<Warning>,
    ) -> Result<Option<Self>, ReadError> {
        let file = reference.get("A").unwrap_or("");
        let mut tell = |reason: String| {
            warnings.push(Warning::TaskDataIncomplete { place: place.to_owned(), reason });
            Ok(None)
        };
        let digits = file.get(..3).filter(|letters| letters.eq_ignore_ascii_case("TLG"));
        let digits = digits.and_then(|_| file.get(3..)).unwrap_or("");
        if digits.len() != 5 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            return tell(format!(
                "a log is called {file:?}, expected TLG and five digits; it is not looked for"
            ));
        }
        let Some((xml, header)) = find(files, &format!("{file}.XML")) else {
            return tell(format!("there is no file {file}.XML; the log is left out"));
        };
        let Some((_, bytes)) = find(files, &format!("{file}.BIN")) else {
            return tell(format!("there is no file {file}.BIN; the log is left out"));
        };
        match parse(xml, header).map_err(|error| error.to_string()).and_then(|tim| Header::of(&tim))
        {
            Ok(header) => Ok(Some(Self { header, bytes })),
            Err(reason) => tell(format!("{reason}; the log is left out")),
        }
    }
}

/// What there is to tell of a log's positions.
fn positions(log: &Log) -> Option<Warning> {
    let records = log.stamps.iter().filter(|stamp| stamp.at.is_none()).count();
    (records > 0).then(|| Warning::LogWithoutPositions {
        place: log.name.clone(),
        records,
        all: log.stamps.len(),
    })
}

/// Why there is no log.
fn none(name: &str, seen: &BTreeSet<String>, without: &BTreeSet<u16>) -> ReadError {
    let (found, expected) = if seen.is_empty() {
        (
            "no time log in any task (TLG)".to_owned(),
            "the task data that came back from the machine, with its TLG files",
        )
    } else if without.is_empty() {
        ("no log that can be read".to_owned(), "one with its header (.XML) and its records (.BIN)")
    } else {
        let known: Vec<String> = without.iter().map(u16::to_string).collect();
        (
            format!(
                "no mass in the logs, only the entries {} of the data dictionary",
                known.join(", ")
            ),
            "a rate in mass per area (6, 7), a mass flow (42) or a mass (75, 81, 352)",
        )
    };
    ReadError::Unexpected { place: name.to_owned(), found, expected: expected.to_owned() }
}

/// The memory that records take.
impl records::WholeRecords {
    fn size(&self) -> usize {
        self.stamps.len() * size_of::<Stamp>() + size_of_val(self.changes.as_slice())
    }
}

#[cfg(test)]
mod tests;
