//! From a job as written to the settings of a plan.

use super::range::{fault, within};
use super::{Job, JobError, PileEntry};
use crate::plan::Settings;
use crate::soil::{RateLimits, Tiers, high_tiers};
use crate::units::{Length, Quantity, Rate, System, Written};

/// The narrowest swath of a machine.
const NARROWEST_SWATH: Length = Length::feet(5.0);
/// The widest swath of a machine.
const WIDEST_SWATH: Length = Length::feet(200.0);

impl Job {
    /// What the job comes to. `file` is the job file's name for messages, `name` what the job is
    /// called unless it says.
    ///
    /// # Errors
    /// When tiers, limits or other settings make no sense or do not go together, or units are mixed
    /// without saying which.
    pub fn settings(&self, file: &str, name: &str) -> Result<Settings, JobError> {
        let system = self.system(file)?;
        let (tiers, mut warnings) = self.limits(file)?.hold(self.tiers(file)?, system);
        warnings.extend(high_tiers(&tiers, system));
        let swath = self.swath(file)?;
        for (number, keep_out) in (1..).zip(&self.keep_out) {
            keep_out.check(file, &keep_out.called("keep_out", number))?;
        }
        Ok(Settings {
            job: self.checked_name(file, name)?,
            system,
            tiers,
            surface: self.surface.settings(file)?,
            grid: self.surface.grid(file)?,
            clean_up: self.zones.clean_up(file, swath)?,
            rows: self.zones.rows(file, swath)?,
            unspread: self.zones.unspread,
            piles: self.pile.as_ref().map(|pile| pile.asked(file)).transpose()?,
            warnings,
        })
    }

    fn checked_name(&self, file: &str, otherwise: &str) -> Result<String, JobError> {
        let name = self.name.as_deref().unwrap_or(otherwise).trim();
        let bad = |c: char| matches!(c, '/' | '\\') || c.is_control();
        if name.is_empty() || name.starts_with('.') || name.contains(bad) {
            return Err(JobError::Name { file: file.to_owned(), name: name.to_owned() });
        }
        Ok(name.to_owned())
    }

    /// The units that the job is written in, or those that it asks for.
    fn system(&self, file: &str) -> Result<System, JobError> {
        if let Some(asked) = self.units {
            return Ok(asked);
        }
        let rates = self.tier.iter().map(|tier| Some(tier.rate.system));
        let limits = [self.max_rate, self.min_rate].map(of);
        let (surface, zones) = (&self.surface, &self.zones);
        let lengths = [
            self.swath,
            surface.radius,
            surface.grid,
            zones.min_width,
            zones.tolerance,
            zones.cell_length,
        ]
        .map(of);
        let distances = self.keep_out.iter().map(|keep_out| Some(keep_out.distance.system));
        let others = limits.into_iter().chain(lengths).chain([of(zones.min_zone)]);
        let piles = self.pile.iter().flat_map(PileEntry::systems);
        let mut written = rates.chain(others).chain(distances).flatten().chain(piles);
        let Some(first) = written.next() else { return Ok(System::default()) };
        if written.any(|other| other != first) {
            return Err(JobError::MixedUnits { file: file.to_owned() });
        }
        Ok(first)
    }

    fn tiers(&self, file: &str) -> Result<Tiers, JobError> {
        if self.tier.is_empty() {
            return Ok(Tiers::common_practice());
        }
        Tiers::new(&self.tier).map_err(|error| JobError::Tiers { file: file.to_owned(), error })
    }

    fn limits(&self, file: &str) -> Result<RateLimits, JobError> {
        for (setting, limit) in [("max_rate", self.max_rate), ("min_rate", self.min_rate)] {
            if let Some(Written { value, system }) = limit
                && value <= Rate::ZERO
            {
                return Err(fault(file, setting, value.show(system, 2), "a rate above 0"));
            }
        }
        if let (Some(min), Some(max)) = (self.min_rate, self.max_rate)
            && min.value > max.value
        {
            let expected = format!("at most max_rate, {}", max.value.show(max.system, 2));
            return Err(fault(file, "min_rate", min.value.show(min.system, 2), expected));
        }
        let value = |limit: Option<Written<Rate>>| limit.map(|limit| limit.value);
        Ok(RateLimits { min: value(self.min_rate), max: value(self.max_rate) })
    }

    fn swath(&self, file: &str) -> Result<Option<Length>, JobError> {
        let expected = "5 ft to 200 ft (1.5 m to 61 m)";
        within(file, "swath", self.swath, NARROWEST_SWATH..=WIDEST_SWATH, expected)
    }
}

/// The system that something is written in.
fn of<Q>(written: Option<Written<Q>>) -> Option<System> {
    written.map(|written| written.system)
}

#[cfg(test)]
mod tests;
