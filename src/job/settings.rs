//! From a job as written to the settings of a plan.

use super::plausible_rate::RateBound;
use super::range::{NotApplied, fault, within};
use super::{Job, JobError, PileEntry, SetRateEntry};
use crate::faults::Faults;
use crate::field::MOST_REACH;
use crate::file_name;
use crate::order::{OrderSettings, Variation};
use crate::plan::Settings;
use crate::soil::{RateLimits, Tiers, high_tiers};
use crate::spreader::Machine;
use crate::units::{Length, Quantity, Rate, System, Written};
use crate::warning::Warning;

/// The narrowest swath of a machine.
const NARROWEST_SWATH: Length = Length::feet(5.0);
/// The widest swath of a machine.
const WIDEST_SWATH: Length = Length::feet(200.0);

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
        let mut faults = Faults::default();
        if self.spreader.is_none() {
            let written = [("weigh_tests", self.weigh_tests.is_some())];
            faults.see(&NotApplied { file, when: "without a spreader" }.check(written));
        }
        let system = self.system(file);
        faults.see(&system);
        let printed = system.clone().unwrap_or_default();
        let order = self.order(file, printed, machine);
        faults.see(&order);
        let product = order.as_ref().ok().and_then(Option::as_ref).and_then(OrderSettings::pure);
        let tiers = self.held_tiers(file, printed, order.as_ref().ok().and_then(Option::as_ref));
        faults.see(&tiers);
        let flat = RateBound::of(self, file).and_then(|bound| self.flat_rate(file, &bound));
        faults.see(&flat);
        let about = self.about(file);
        faults.see(&about);
        let swath = self.swath(file);
        faults.see(&swath);
        let distances = Length::ZERO..=Length::feet(5280.0);
        let expected = "0 ft to 5,280 ft (0 m to 1609 m)";
        faults.see(&within(file, "hole_setback", self.hole_setback, distances, expected));
        faults.see(&self.samples_within(file));
        for (number, keep_out) in (1..).zip(&self.keep_out) {
            faults.see(&keep_out.check(file, &keep_out.called("keep_out", number)));
        }
        let job = self.checked_name(file, name);
        faults.see(&job);
        let (surface, grid) = (self.surface.settings(file), self.surface.grid(file));
        faults.see(&surface);
        faults.see(&grid);
        // As written: where it is at fault, that is told once.
        let driven = self.swath.map(|swath| swath.value);
        let (clean_up, rows) = (self.zones.clean_up(file, driven), self.zones.rows(file, driven));
        faults.see(&clean_up);
        faults.see(&rows);
        let sodic = self.sodic.layer(file);
        faults.see(&sodic);
        let loaded = machine.map(|machine| machine.material.density);
        let piles = self.pile.as_ref().map(|pile| pile.asked(file, loaded)).transpose();
        faults.see(&piles);
        faults.see(&self.task_data(file, name));
        faults.all()?;
        let (tiers, mut warnings) = tiers?;
        if let Some(machine) = machine {
            warnings.extend(machine.warnings.iter().cloned());
            warnings.extend(other_swath(swath?, machine));
        }
        Ok(Settings {
            job: job?,
            about: about?,
            system: system?,
            tiers,
            flat: flat?.map(|flat| product.map_or(flat, |product| product.as_spread(flat))),
            surface: surface?,
            grid: grid?,
            clean_up: clean_up?,
            rows: rows?,
            unspread: self.zones.unspread,
            order: order?,
            sodic: sodic?,
            piles: piles?,
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

    /// The tiers with rates of product, within the job's lowest and highest rate, and what is to be
    /// told of them.
    fn held_tiers(
        &self,
        file: &str,
        system: System,
        order: Option<&OrderSettings>,
    ) -> Result<(Tiers, Vec<Warning>), JobError> {
        let bound = RateBound::of(self, file)?;
        let mut faults = Faults::default();
        let (tiers, limits) = (self.tiers(file, &bound), self.limits(file, &bound));
        for (number, set) in (1..).zip(&self.set_rate) {
            faults.see(&set.check(file, number, &bound));
        }
        faults.see(&tiers);
        faults.see(&limits);
        faults.all()?;
        let set = self.set_rate.iter().map(SetRateEntry::tier).collect();
        let tiers = as_spread(tiers?.with_set(set), order);
        bound.check_product(&tiers, system)?;
        let product = order.and_then(OrderSettings::pure);
        let pure = |rate: Rate| product.map(|product| product.pure(rate));
        let (tiers, mut warnings) = limits?.hold(tiers, pure);
        warnings.extend(high_tiers(&tiers, pure));
        Ok((tiers, warnings))
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
        let mut faults = Faults::default();
        let spreading = entry.spreading(file, machine);
        faults.see(&spreading);
        let product = entry.product(file, machine);
        faults.see(&product);
        let (extra, delivery) = (entry.extra(file), entry.payload(file));
        faults.see(&extra);
        faults.see(&delivery);
        let prices = self.prices.unwrap_or_default().prices(file, system);
        faults.see(&prices);
        // What is held against these only where these are sound.
        let planned = extra.as_ref().ok().copied();
        let least_margin = planned.map_or(Ok(None), |extra| entry.least_margin(file, extra));
        faults.see(&least_margin);
        let variation = planned
            .zip(product.as_ref().ok())
            .map(|(extra, product)| entry.variation(file, extra, *product));
        let variation = variation.unwrap_or_else(|| Ok(Variation::default()));
        faults.see(&variation);
        faults.all()?;
        let (filled, driving) = spreading?.unzip();
        Ok(Some(OrderSettings {
            basis: entry.basis,
            product: product?,
            extra: extra?,
            delivery: delivery?,
            least_margin: least_margin?,
            variation: variation?,
            fill: filled,
            driving,
            prices: prices?,
        }))
    }

    fn checked_name(&self, file: &str, otherwise: &str) -> Result<String, JobError> {
        let name = self.name.as_deref().unwrap_or(otherwise).trim();
        match file_name::fault(name) {
            Some(why) => Err(JobError::Name { file: file.to_owned(), name: name.to_owned(), why }),
            None => Ok(name.to_owned()),
        }
    }

    /// The units that the job is written in, or those that it asks for. Distances of keep-outs come
    /// from rules and files, and say nothing of it.
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
        let (task, order) = (self.taskdata.as_ref(), self.order.as_ref());
        let single = [
            of(zones.min_zone),
            of(self.sodic.bulk_density),
            of(order.and_then(|order| order.delivery)),
            of(order.and_then(|order| order.road_speed)),
            of(task.and_then(|task| task.cell)),
            of(task.and_then(|task| task.position_lost)),
        ];
        let set = self.set_rate.iter().map(|set| Some(set.rate.system));
        let others = limits.into_iter().chain(lengths).chain(single).chain(set);
        let piles = self.pile.iter().flat_map(PileEntry::systems);
        let mut written = rates.chain(others).flatten().chain(piles);
        let Some(first) = written.next() else { return Ok(System::default()) };
        if written.any(|other| other != first) {
            return Err(JobError::MixedUnits { file: file.to_owned() });
        }
        Ok(first)
    }

    fn tiers(&self, file: &str, bound: &RateBound<'_>) -> Result<Tiers, JobError> {
        if self.tier.is_empty() {
            return Ok(Tiers::common_practice());
        }
        let tiers = Tiers::new(&self.tier)
            .map_err(|error| JobError::Tiers { file: file.to_owned(), error })?;
        let mut faults = Faults::default();
        for (number, (tier, written)) in (1..).zip(tiers.tiers().iter().zip(&self.tier)) {
            let setting = format!("tier {number}, {}, rate", tier.label);
            faults.see(&bound.check(&setting, written.rate));
        }
        faults.all().map(|()| tiers)
    }

    fn limits(&self, file: &str, bound: &RateBound<'_>) -> Result<RateLimits, JobError> {
        let mut faults = Faults::default();
        for (setting, limit) in [("max_rate", self.max_rate), ("min_rate", self.min_rate)] {
            let Some(limit) = limit else { continue };
            faults.see(&bound.check(setting, limit));
            if limit.value <= Rate::ZERO {
                let found = limit.value.show(limit.system, 2);
                faults.push(fault(file, setting, found, "a rate above 0"));
            }
        }
        if let (Some(min), Some(max)) = (self.min_rate, self.max_rate)
            && min.value > max.value
        {
            let expected = format!("at most max_rate, {}", max.value.show(max.system, 2));
            faults.push(fault(file, "min_rate", min.value.show(min.system, 2), expected));
        }
        faults.all()?;
        let value = |limit: Option<Written<Rate>>| limit.map(|limit| limit.value);
        Ok(RateLimits { min: value(self.min_rate), max: value(self.max_rate) })
    }

    fn flat_rate(&self, file: &str, bound: &RateBound<'_>) -> Result<Option<Rate>, JobError> {
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
