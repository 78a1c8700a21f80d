use super::super::Range;
use super::file::said;
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
        expected: &'static str,
        /// What to do.
        remedy: &'static str,
    },
}

/// Checks on the values of one file.
pub(super) struct In<'a> {
    pub file: &'a str,
}

impl In<'_> {
    fn fault(
        &self,
        key: &'static str,
        found: String,
        expected: &'static str,
        remedy: &'static str,
    ) -> MachineError {
        MachineError::Value { file: self.file.to_owned(), key, found, expected, remedy }
    }

    pub fn positive<Q: Quantity>(
        &self,
        key: &'static str,
        written: Written<Q>,
    ) -> Result<Q, MachineError> {
        if written.value.si() > 0.0 {
            return Ok(written.value);
        }
        let found = said(written.value, written.system);
        Err(self.fault(key, found, "more than zero", "measure it on the machine"))
    }

    pub fn not_negative<Q: Quantity>(
        &self,
        key: &'static str,
        written: Written<Q>,
    ) -> Result<Q, MachineError> {
        if written.value.si() >= 0.0 {
            return Ok(written.value);
        }
        let found = said(written.value, written.system);
        Err(self.fault(key, found, "zero or more", "correct the sign"))
    }

    /// Zero where nothing is written.
    pub fn absent_or_not_negative<Q: Quantity>(
        &self,
        key: &'static str,
        written: Option<Written<Q>>,
    ) -> Result<Q, MachineError> {
        written.map_or(Ok(Q::from_si(0.0)), |written| self.not_negative(key, written))
    }

    pub fn range<Q: Quantity>(
        &self,
        key: &'static str,
        [least, most]: [Written<Q>; 2],
    ) -> Result<Range<Q>, MachineError> {
        let range = Range::new(self.positive(key, least)?, self.positive(key, most)?);
        if range.least.si() <= range.most.si() {
            return Ok(range);
        }
        let found =
            format!("{} before {}", said(range.least, least.system), said(range.most, most.system));
        Err(self.fault(key, found, "the least before the most", "swap the two"))
    }

    pub fn share(&self, key: &'static str, written: Written<Share>) -> Result<Share, MachineError> {
        if (0.0..=1.0).contains(&written.value.si()) {
            return Ok(written.value);
        }
        let found = said(written.value, written.system);
        Err(self.fault(key, found, "0 to 100 %", "take it from the supplier's analysis"))
    }

    /// A part that something fills of a whole: more than none of it, and no more than all.
    pub fn filled(
        &self,
        key: &'static str,
        written: Written<Share>,
    ) -> Result<Share, MachineError> {
        if written.value.si() > 0.0 && written.value.si() <= 1.0 {
            return Ok(written.value);
        }
        let found = said(written.value, written.system);
        let remedy = "weigh a load and have it worked out (landplaster spreader --weigh)";
        Err(self.fault(key, found, "more than 0 and at most 100 %", remedy))
    }

    pub fn heavier(
        &self,
        key: &'static str,
        full: Written<Mass>,
        empty: Written<Mass>,
    ) -> Result<(), MachineError> {
        if full.value > empty.value {
            return Ok(());
        }
        let found = format!(
            "full {}, empty {}",
            said(full.value, full.system),
            said(empty.value, empty.system)
        );
        let expected = "the full bucket heavier than the empty one";
        Err(self.fault(key, found, expected, "weigh the bucket again"))
    }

    pub fn one_density(&self, given: bool) -> MachineError {
        let found = if given { "bulk_density and bucket_test" } else { "neither" };
        self.fault(
            "material",
            found.to_owned(),
            "either bulk_density or bucket_test",
            "give the density as a number or the three numbers of a bucket test",
        )
    }

    pub fn bad_constant(&self, value: Option<f64>, kind: bool) -> MachineError {
        let found = match value {
            None => "constant_kind alone".to_owned(),
            Some(value) if !kind => format!("{value} without constant_kind"),
            Some(value) => value.to_string(),
        };
        self.fault(
            "machine.controller_constant",
            found,
            "a number above zero with constant_kind",
            "add constant_kind = \"mass-per-pulse\" or \"pulses-per-mass\" beside it",
        )
    }
}
