//! From a job as written to the settings of a plan.

use super::plausible_rate::Bound;
use super::range::{NotApplied, fault, within};
use super::{Job, JobError, PileEntry};
use crate::field::MOST_REACH;
use crate::order::OrderSettings;
use crate::plan::Settings;
use crate::soil::{RateLimits, Tiers, high_tiers};
use crate::spreader::Machine;
use crate::units::{Length, Quantity, Rate, System, Written};
use crate::warning::Warning;

/// The narrowest swath of a machine.
const NARROWEST_SWATH: Length = Length::feet(5.0);
/// The widest swath of a machine.
const WIDEST_SWATH: Length = Length::feet(200.0);
/// The most bytes of a name: a folder's has 255 on every common system, five of which are for what
/// stands beside it while it is replaced.
const LONGEST_NAME: usize = 250;

impl Job {
    /// What the job comes to. `file` is the job file's name for messages, `name` what the job is
    /// called unless it says, `machine` what its spreader file holds.
    ///
    /// # Errors
    /// When tiers, limits or other settings make no sense or do not go together, or units are mixed
    /// without saying which.
    pub fn settings(
        &self,
        file: &str,
        name: &str,
        machine: Option<&Machine>,
    ) -> Result<Settings, JobError> {
        let system = self.system(file)?;
        if self.spreader.is_none() {
            let written = [("weigh_tests", self.weigh_tests.is_some())];
            NotApplied { file, when: "without a spreader" }.check(written)?;
        }
        let order = self.order(file, system, machine)?;
        let bound = Bound::of(self, file)?;
        let tiers = self.tiers(file, &bound)?;
        let tiers = as_spread(tiers, order.as_ref());
        bound.check_product(&tiers, system)?;
        let product = order.as_ref().and_then(OrderSettings::pure);
        let pure = |rate: Rate| product.map(|product| product.pure(rate));
        let (tiers, mut warnings) = self.limits(file, &bound)?.hold(tiers, pure);
        warnings.extend(high_tiers(&tiers, pure));
        let flat = self.flat_rate(file, &bound)?;
        let swath = self.swath(file)?;
        if let Some(machine) = machine {
            warnings.extend(machine.warnings.iter().cloned());
            warnings.extend(other_swath(swath, machine));
        }
        let distances = Length::ZERO..=Length::feet(5280.0);
        let expected = "0 ft to 5,280 ft (0 m to 1609 m)";
        within(file, "hole_setback", self.hole_setback, distances, expected)?;
        let loaded = machine.map(|machine| machine.material.density);
        for (number, keep_out) in (1..).zip(&self.keep_out) {
            keep_out.check(file, &keep_out.called("keep_out", number))?;
        }
        Ok(Settings {
            job: self.checked_name(file, name)?,
            about: self.about(file)?,
            system,
            tiers,
            flat: flat.map(|flat| product.map_or(flat, |product| product.as_spread(flat))),
            surface: self.surface.settings(file)?,
            grid: self.surface.grid(file)?,
            clean_up: self.zones.clean_up(file, swath)?,
            rows: self.zones.rows(file, swath)?,
            unspread: self.zones.unspread,
            order,
            sodic: self.sodic.layer(file)?,
            piles: self.pile.as_ref().map(|pile| pile.asked(file, loaded)).transpose()?,
            warnings,
        })
    }

    /// How far outside the boundary samples count, if the job says it.
    ///
    /// # Errors
    /// When it is below 0 or over a mile.
    pub fn samples_within(&self, file: &str) -> Result<Option<Length>, JobError> {
        let expected = "0 ft to 5,280 ft (0 m to 1609 m)";
        within(file, "samples_within", self.samples_within, Length::ZERO..=MOST_REACH, expected)
    }

    /// The order's settings, if the job says anything that an order is made by.
    fn order(
        &self,
        file: &str,
        system: System,
        machine: Option<&Machine>,
    ) -> Result<Option<OrderSettings>, JobError> {
        if self.order.is_none() && self.prices.is_none() && machine.is_none() {
            return Ok(None);
        }
        let entry = self.order.clone().unwrap_or_default();
        let spreading = entry.spreading(file, machine)?;
        let (product, extra) = (entry.product(file, machine)?, entry.extra(file)?);
        Ok(Some(OrderSettings {
            basis: entry.basis,
            product,
            extra,
            delivery: entry.payload(file)?,
            least_margin: entry.least_margin(file, extra)?,
            variation: entry.variation(file, extra, product)?,
            fill: spreading.map(|(fill, _)| fill),
            driving: spreading.map(|(_, driving)| driving),
            prices: self.prices.unwrap_or_default().prices(file, system)?,
        }))
    }

    fn checked_name(&self, file: &str, otherwise: &str) -> Result<String, JobError> {
        let name = self.name.as_deref().unwrap_or(otherwise).trim();
        let bad = |c: char| matches!(c, '/' | '\\') || c.is_control();
        if name.is_empty()
            || name.len() > LONGEST_NAME
            || name.starts_with('.')
            || name.contains(bad)
        {
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
        let limits = [self.max_rate, self.min_rate, self.flat_rate, self.plausible_rate].map(of);
        let (surface, zones) = (&self.surface, &self.zones);
        let lengths = [
            self.swath,
            self.hole_setback,
            self.samples_within,
            surface.radius,
            surface.grid,
            zones.min_width,
            zones.tolerance,
            zones.cell_length,
            self.sodic.depth,
        ]
        .map(of);
        let distances = self.keep_out.iter().map(|keep_out| Some(keep_out.distance.system));
        let (task, order) = (self.taskdata.as_ref(), self.order.as_ref());
        let single = [
            of(zones.min_zone),
            of(self.sodic.bulk_density),
            of(order.and_then(|order| order.delivery)),
            of(order.and_then(|order| order.road_speed)),
            of(task.and_then(|task| task.cell)),
            of(task.and_then(|task| task.position_lost)),
        ];
        let others = limits.into_iter().chain(lengths).chain(single);
        let piles = self.pile.iter().flat_map(PileEntry::systems);
        let mut written = rates.chain(others).chain(distances).flatten().chain(piles);
        let Some(first) = written.next() else { return Ok(System::default()) };
        if written.any(|other| other != first) {
            return Err(JobError::MixedUnits { file: file.to_owned() });
        }
        Ok(first)
    }

    fn tiers(&self, file: &str, bound: &Bound<'_>) -> Result<Tiers, JobError> {
        if self.tier.is_empty() {
            return Ok(Tiers::common_practice());
        }
        let tiers = Tiers::new(&self.tier)
            .map_err(|error| JobError::Tiers { file: file.to_owned(), error })?;
        for (number, (tier, written)) in (1..).zip(tiers.tiers().iter().zip(&self.tier)) {
            bound.check(&format!("tier {number}, {}, rate", tier.label), written.rate)?;
        }
        Ok(tiers)
    }

    fn limits(&self, file: &str, bound: &Bound<'_>) -> Result<RateLimits, JobError> {
        for (setting, limit) in [("max_rate", self.max_rate), ("min_rate", self.min_rate)] {
            limit.map_or(Ok(()), |limit| bound.check(setting, limit))?;
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

    fn flat_rate(&self, file: &str, bound: &Bound<'_>) -> Result<Option<Rate>, JobError> {
        let Some(written) = self.flat_rate else { return Ok(None) };
        bound.check("flat_rate", written)?;
        if written.value < Rate::ZERO {
            let found = written.value.show(written.system, 2);
            return Err(fault(file, "flat_rate", found, "a rate of 0 or more"));
        }
        Ok(Some(written.value))
    }

    fn swath(&self, file: &str) -> Result<Option<Length>, JobError> {
        let expected = "5 ft to 200 ft (1.5 m to 61 m)";
        within(file, "swath", self.swath, NARROWEST_SWATH..=WIDEST_SWATH, expected)
    }
}

/// The tiers with rates of product, whatever they are written in.
fn as_spread(mut tiers: Tiers, order: Option<&OrderSettings>) -> Tiers {
    if let Some(product) = order.and_then(OrderSettings::pure) {
        tiers.change_rates(|pure| product.as_spread(pure));
    }
    tiers
}

/// A warning if the job's swath is not the spreader's, beyond a rounding to the inch.
fn other_swath(swath: Option<Length>, machine: &Machine) -> Option<Warning> {
    let swath = swath?;
    let apart = (swath - machine.swath).as_inches().abs();
    (apart > 1.0).then_some(Warning::SwathDiffers { job: swath, spreader: machine.swath })
}

/// The system that something is written in.
fn of<Q>(written: Option<Written<Q>>) -> Option<System> {
    written.map(|written| written.system)
}

#[cfg(test)]
mod tests;
