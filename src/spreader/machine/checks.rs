use std::collections::BTreeSet;

use super::super::Range;
use super::shown::shown;
use super::{Constant, ConstantKind};
use crate::faults::{self, Faults, fault};
use crate::toml_fault::{Faulty, TomlFault};
use crate::units::{Mass, Quantity, Share, Written};

/// Why a machine file cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MachineError {
    /// Not TOML, an unknown or missing key, or a quantity without its unit.
    #[error("{file}, line {line}: {message}")]
    Toml {
        /// The file.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What the reader found and expected.
        message: String,
    },
    /// A value that cannot be.
    #[error("{file}, {key}: found {found}, expected {expected}; {remedy}")]
    Value {
        /// The file.
        file: String,
        /// The key, with its section.
        key: &'static str,
        /// What is written there.
        found: String,
        /// What can be there.
        expected: String,
        /// What to do.
        remedy: &'static str,
    },
    /// Several faults, each told.
    #[error("{}", faults::lines(.0))]
    Several(Vec<MachineError>),
}

fault!(MachineError::Several);

/// The error for a file with nothing in it.
pub(super) fn nothing(file: &str) -> MachineError {
    let message = "found nothing, expected a machine and its material".to_owned();
    MachineError::Toml { file: file.to_owned(), line: 1, message }
}

/// Checks on the values of one file, which keep what is wrong.
pub(super) struct FileChecks<'a> {
    file: &'a str,
    faults: Faults<MachineError>,
    /// Keys whose values could not be read, which is told.
    told: BTreeSet<String>,
}

impl<'a> FileChecks<'a> {
    pub fn new(file: &'a str) -> Self {
        Self { file, faults: Faults::default(), told: BTreeSet::new() }
    }

    /// The checks on what could be read of a file, after what could not.
    pub fn after<T>(file: &'a str, faulty: Faulty<T>) -> (Option<T>, Self) {
        let Faulty { faults, rest, in_keys } = faulty;
        let mut check = Self { told: in_keys, ..Self::new(file) };
        for TomlFault { line, reason } in faults {
            check.faults.push(MachineError::Toml { file: file.to_owned(), line, message: reason });
        }
        if rest.is_none() {
            // Nothing can be said of a file that is no TOML.
            check.told.extend(["machine", "material"].map(str::to_owned));
        }
        (rest, check)
    }

    /// Everything that was wrong.
    pub fn all(&mut self) -> Result<(), MachineError> {
        std::mem::take(&mut self.faults).all()
    }

    fn fault(
        &mut self,
        key: &'static str,
        found: String,
        expected: impl Into<String>,
        remedy: &'static str,
    ) {
        let (file, expected) = (self.file.to_owned(), expected.into());
        self.faults.push(MachineError::Value { file, key, found, expected, remedy });
    }

    /// A value that there must be.
    pub fn needed<T>(&mut self, key: &'static str, value: Option<T>, expected: &str) -> Option<T> {
        let is_told = || {
            let tables = key.match_indices('.').filter_map(|(at, _)| key.get(..at));
            tables.chain([key]).any(|key| self.told.contains(key))
        };
        if value.is_none() && !is_told() {
            self.fault(key, "nothing".to_owned(), expected, "add it");
        }
        value
    }

    fn written<Q: Quantity>(
        &mut self,
        key: &'static str,
        written: Option<Written<Q>>,
    ) -> Option<Written<Q>> {
        let unit = Q::UNITS.first().map_or("", |unit| unit.symbol());
        self.needed(key, written, &format!("a {} in quotes, such as \"1 {unit}\"", Q::NAME))
    }

    pub fn positive<Q: Quantity>(
        &mut self,
        key: &'static str,
        written: Option<Written<Q>>,
    ) -> Option<Q> {
        let written = self.written(key, written)?;
        if written.value.si() > 0.0 {
            return Some(written.value);
        }
        let found = shown(written.value, written.system);
        self.fault(key, found, "more than zero", "measure it on the machine");
        None
    }

    pub fn not_negative<Q: Quantity>(
        &mut self,
        key: &'static str,
        written: Option<Written<Q>>,
    ) -> Option<Q> {
        let written = self.written(key, written)?;
        if written.value.si() >= 0.0 {
            return Some(written.value);
        }
        let found = shown(written.value, written.system);
        self.fault(key, found, "zero or more", "correct the sign");
        None
    }

    pub fn range<Q: Quantity>(
        &mut self,
        key: &'static str,
        written: Option<[Written<Q>; 2]>,
    ) -> Option<Range<Q>> {
        let unit = Q::UNITS.first().map_or("", |unit| unit.symbol());
        let expected =
            format!("the least and the most {}, such as [\"1 {unit}\", \"2 {unit}\"]", Q::NAME);
        let [least, most] = self.needed(key, written, &expected)?;
        let (from, to) = (self.positive(key, Some(least))?, self.positive(key, Some(most))?);
        if from.si() <= to.si() {
            return Some(Range::new(from, to));
        }
        let found = format!("{} before {}", shown(from, least.system), shown(to, most.system));
        self.fault(key, found, "the least before the most", "swap the two");
        None
    }

    pub fn share(&mut self, key: &'static str, written: Written<Share>) -> Option<Share> {
        if (0.0..=1.0).contains(&written.value.si()) {
            return Some(written.value);
        }
        let found = shown(written.value, written.system);
        self.fault(key, found, "0 to 100 %", "take it from the supplier's analysis");
        None
    }

    /// A part that something fills of a whole: more than none of it, and no more than all.
    pub fn filled(&mut self, key: &'static str, written: Option<Written<Share>>) -> Option<Share> {
        let written = self.written(key, written)?;
        if written.value.si() > 0.0 && written.value.si() <= 1.0 {
            return Some(written.value);
        }
        let found = shown(written.value, written.system);
        let remedy = "weigh a load and have it worked out (landplaster spreader --weigh)";
        self.fault(key, found, "more than 0 and at most 100 %", remedy);
        None
    }

    pub fn heavier(
        &mut self,
        key: &'static str,
        full: Option<Written<Mass>>,
        empty: Option<Written<Mass>>,
    ) {
        let Some((full, empty)) = full.zip(empty) else { return };
        if full.value > empty.value {
            return;
        }
        let found = format!(
            "full {}, empty {}",
            shown(full.value, full.system),
            shown(empty.value, empty.system)
        );
        let expected = "the full bucket heavier than the empty one";
        self.fault(key, found, expected, "weigh the bucket again");
    }

    /// The density is given in one of two ways.
    pub fn one_density(&mut self, bulk: bool, bucket: bool) {
        let keys = ["material", "material.bulk_density", "material.bucket_test"];
        let found = match (bulk, bucket) {
            (true, true) => "bulk_density and bucket_test",
            (false, false) if !keys.iter().any(|key| self.told.contains(*key)) => "neither",
            _ => return,
        };
        self.fault(
            "material",
            found.to_owned(),
            "either bulk_density or bucket_test",
            "give the density as a number or the three numbers of a bucket test",
        );
    }

    pub fn constant(&mut self, value: Option<f64>, kind: Option<ConstantKind>) -> Option<Constant> {
        let found = match (value, kind) {
            (None, None) => return None,
            (Some(value), Some(kind)) if value.is_finite() && value > 0.0 => {
                return Some(Constant { value, kind });
            }
            (None, Some(_)) => "constant_kind alone".to_owned(),
            (Some(value), None) => format!("{value} without constant_kind"),
            (Some(value), Some(_)) => value.to_string(),
        };
        let keys = ["machine.controller_constant", "machine.constant_kind"];
        if !keys.iter().any(|key| self.told.contains(*key)) {
            self.fault(
                "machine.controller_constant",
                found,
                "a number above zero with constant_kind",
                "add constant_kind = \"mass-per-pulse\" or \"pulses-per-mass\" beside it",
            );
        }
        None
    }
}
