//! Rates held against what can be meant: a unit is soon mistaken, and a map of 1,000 ton/ac is an
//! order of trucks.

use super::range::fault;
use super::{Job, JobError};
use crate::soil::{PLAUSIBLE_MOST, Tier, Tiers};
use crate::units::{Quantity, Rate, System, Written};

/// The highest bound that a job may set: a layer of gypsum some 8 in deep.
const MOST_BOUND: Rate = Rate::tons_per_acre(1000.0);

/// Equal rates in two units differ by rounding.
const ROUNDING: f64 = 1.0 + 1e-9;

/// What rates are held against.
pub(super) struct RateBound<'a> {
    file: &'a str,
    most: Rate,
}

impl<'a> RateBound<'a> {
    /// The job's own, or what is plausible.
    pub fn of(job: &Job, file: &'a str) -> Result<Self, JobError> {
        let Some(Written { value, system }) = job.plausible_rate else {
            return Ok(Self { file, most: PLAUSIBLE_MOST });
        };
        if value > Rate::ZERO && value.si() <= MOST_BOUND.si() * ROUNDING {
            return Ok(Self { file, most: value });
        }
        let expected = format!("a rate above 0 and at most {}", MOST_BOUND.show(system, 0));
        Err(fault(file, "plausible_rate", value.show(system, 2), expected))
    }

    /// Refuses a rate as written above the bound.
    pub fn check(&self, setting: &str, written: Written<Rate>) -> Result<(), JobError> {
        let Written { value, system } = written;
        self.refuse(setting, value, system, "as written")
    }

    /// Refuses tiers that come to more as product than the bound.
    pub fn check_product(&self, tiers: &Tiers, system: System) -> Result<(), JobError> {
        for (number, Tier { label, rate }) in (1..).zip(tiers.all()) {
            self.refuse(&format!("tier {number}, {label}, rate"), *rate, system, "of product")?;
        }
        Ok(())
    }

    fn refuse(
        &self,
        setting: &str,
        rate: Rate,
        system: System,
        what: &str,
    ) -> Result<(), JobError> {
        if rate.si() <= self.most.si() * ROUNDING {
            return Ok(());
        }
        let small = match system {
            System::Us => "lb/ac",
            System::Metric => "kg/ha",
        };
        let lift = if rate.si() <= MOST_BOUND.si() * ROUNDING {
            let rate = rate.show(system, 2);
            format!(" If not, set plausible_rate = \"{rate}\"")
        } else {
            String::new()
        };
        let expected = format!(
            "at most {} (common practice, no source); is {small} meant?{lift}",
            self.most.show(system, 2)
        );
        Err(fault(self.file, setting, format!("{} {what}", rate.show(system, 2)), expected))
    }
}
