//! Ranges outside which a value is more likely a slip than a machine (common practice, no source).

use super::Machine;
use super::shown::{number_in, shown, unit_for};
use crate::units::{Density, Length, Mass, Quantity, Share, Speed, System, Time, Turning, Volume};
use crate::warning::Warning;

/// Bulk densities of spread gypsum, damp or dry, in lb/ft3.
const DENSITY: [f64; 2] = [30.0, 110.0];

struct Plausible<'a> {
    file: &'a str,
    system: System,
    warnings: Vec<Warning>,
}

impl Plausible<'_> {
    fn check<Q: Quantity>(&mut self, key: &str, value: Q, least: Q, most: Q) {
        if value.si() < least.si() || value.si() > most.si() {
            let unit = unit_for(value, self.system);
            let [least, most] = [least, most].map(|bound| number_in(bound, unit));
            self.warnings.push(Warning::MachineImplausible {
                place: format!("{}, {key}", self.file),
                found: shown(value, self.system),
                expected: format!("{least} to {most} {}", unit.symbol()),
            });
        }
    }

    fn check_range<Q: Quantity>(&mut self, key: &str, range: super::Range<Q>, least: Q, most: Q) {
        self.check(key, range.least, least, most);
        if range.most.si() != range.least.si() {
            self.check(key, range.most, least, most);
        }
    }
}

/// A warning for each value outside its plausible range.
pub(super) fn warnings(file: &str, machine: &Machine) -> Vec<Warning> {
    let mut at = Plausible { file, system: machine.system, warnings: Vec::new() };
    let feet = Length::feet;
    let inches = Length::inches;
    let belt = Speed::feet_per_minute;
    at.check("machine.swath", machine.swath, feet(10.0), feet(120.0));
    at.check("machine.belt_width", machine.belt_width, inches(8.0), inches(96.0));
    at.check_range("machine.belt_speed", machine.belt_speed, belt(0.2), belt(300.0));
    at.check_range("machine.gate_opening", machine.gate_opening, inches(0.25), inches(36.0));
    let hopper = machine.hopper_volume;
    at.check("machine.hopper_volume", hopper, Volume::cubic_feet(20.0), Volume::cubic_feet(2000.0));
    at.check("machine.legal_load", machine.legal_load, Mass::tons(0.5), Mass::tons(40.0));
    let turns = Turning::turns_per_minute;
    if let Some(spinners) = machine.spinner_speed {
        at.check_range("machine.spinner_speed", spinners, turns(100.0), turns(1500.0));
    }
    at.check(
        "machine.fill_factor",
        machine.fill_factor,
        Share::percent(30.0),
        Share::percent(100.0),
    );
    let driven = Speed::miles_per_hour;
    at.check_range("machine.ground_speed", machine.ground_speed, driven(1.0), driven(25.0));
    if let Some(delay) = machine.rate_change_delay {
        at.check("machine.rate_change_delay", delay, Time::ZERO, Time::seconds(10.0));
    }
    let material = &machine.material;
    let [light, heavy] = DENSITY.map(Density::pounds_per_cubic_foot);
    let key = if material.bucket_test.is_some() {
        "material.bucket_test, bulk density"
    } else {
        "material.bulk_density"
    };
    at.check(key, material.density, light, heavy);
    let percent = Share::percent;
    if let Some(moisture) = material.moisture {
        at.check("material.moisture", moisture, Share::ZERO, percent(40.0));
    }
    if let Some(purity) = material.purity {
        at.check("material.purity", purity, percent(50.0), percent(100.0));
    }
    at.warnings
}
