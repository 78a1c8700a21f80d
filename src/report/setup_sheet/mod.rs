//! The setup sheet: what is printed and carried to the machine.

mod alternatives;
mod checklist;
mod constant;
mod flow_table;

use std::fmt::Write;

pub use checklist::CHECKLIST;
pub use constant::ConstantState;
pub use flow_table::setup_table;
pub(super) use flow_table::{belt, belt_number, belt_unit, gate};

use super::table::{Table, number};
use super::warnings::line;
use crate::spreader::flow::change_distance;
use crate::spreader::gate::{FlowRow, GateTier, Limits, MARGIN, Solution, rows};
use crate::spreader::machine::Machine;
use crate::units::{Area, Length, Mass, Quantity, Rate, Speed};

/// All that a setup sheet is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// The machine, with the fill factor to use.
    pub machine: Machine,
    /// The tiers, in the order to print them.
    pub tiers: Vec<GateTier>,
    /// What the solver found.
    pub solution: Solution,
    /// What is known of the controller's constant.
    pub constant: ConstantState,
}

impl Setup {
    pub(super) fn opening(&self) -> Length {
        match &self.solution {
            Solution::Opening(found) => found.opening,
            Solution::NoOpening(found) => found.nearest,
        }
    }

    pub(super) fn ends_and_middle(&self) -> [Speed; 3] {
        let driven = self.machine.ground_speed;
        [driven.least, (driven.least + driven.most) / 2.0, driven.most]
    }

    pub(super) fn rows(&self, speeds: &[Speed]) -> Vec<FlowRow> {
        rows(&Limits::from(&self.machine), &self.tiers, self.opening(), speeds)
    }
}

/// The setup sheet, as text.
#[must_use]
pub fn setup_sheet(setup: &Setup) -> String {
    let (machine, system) = (&setup.machine, setup.machine.system);
    let material = &machine.material;
    let mut text = String::new();
    let _ = writeln!(text, "Setup of {} for {}", machine.name, material.name);
    let _ = writeln!(
        text,
        "  swath {}, ground speed {}, bulk density {}{}",
        machine.swath.show(system, 1),
        machine.ground_speed.show(system, 1),
        material.density.show(system, 1),
        if material.bucket_test.is_some() { " (bucket test)" } else { "" },
    );
    let gypsum =
        material.gypsum().map(|share| format!(": {:.0} % of it is gypsum", share.as_percent()));
    let _ = writeln!(text, "  rates are of material as spread{}", gypsum.unwrap_or_default());
    if let Some(delay) = machine.rate_change_delay {
        let lag = change_distance(delay, machine.ground_speed);
        let _ = writeln!(text, "  a change of rate takes effect {} later", lag.show(system, 0));
    }
    for warning in &machine.warnings {
        let _ = writeln!(text, "  {}", line(warning, machine.system));
    }
    constant::write(&mut text, machine, &setup.constant);
    write_gate(&mut text, setup);
    let _ = write!(
        text,
        "\nFlow and belt at {}\n{}",
        gate(setup.opening(), setup.machine.system),
        setup_table(setup).text()
    );
    write_loads(&mut text, setup);
    let _ = writeln!(text, "\nOn the day");
    for (i, line) in CHECKLIST.iter().enumerate() {
        let _ = writeln!(text, "  {}. {line}", i + 1);
    }
    text
}

fn write_gate(text: &mut String, setup: &Setup) {
    let _ = writeln!(text, "\nGate");
    match &setup.solution {
        Solution::Opening(found) => {
            let _ = writeln!(
                text,
                "  set {}: every tier at every speed keeps the belt within {} to {}",
                gate(found.opening, setup.machine.system),
                belt(setup.machine.belt_speed.least, setup.machine.system),
                belt(setup.machine.belt_speed.most, setup.machine.system)
            );
            let _ = writeln!(
                text,
                "  any opening from {} to {} works; {:.0} % of the top belt speed kept in reserve",
                gate(found.serves.least, setup.machine.system),
                gate(found.serves.most, setup.machine.system),
                found.margin.as_percent()
            );
            if found.margin < MARGIN * (1.0 - 1e-9) {
                let wanted = MARGIN.as_percent();
                let _ = writeln!(
                    text,
                    "  caution: less than {wanted:.0} %, and no opening leaves that and still works: \
                     keep to the ground speeds"
                );
            }
        }
        Solution::NoOpening(found) => alternatives::write(text, setup, found),
    }
}

fn write_loads(text: &mut String, setup: &Setup) {
    let (machine, system) = (&setup.machine, setup.machine.system);
    let load = machine.load();
    let full = machine.hopper_volume.si() * machine.material.density.si();
    let bound = if load.si() < full { "the legal load" } else { "a level hopper" };
    let _ = writeln!(text, "\nLoads of {} ({bound})", load.show(system, 1));
    let area = Area::unit(system).plural();
    let mass = Mass::unit(system).plural();
    let mapped = setup.tiers.iter().any(|tier| tier.area.is_some());
    let mut columns =
        vec![("tier", ""), ("rate", Rate::unit(system).symbol()), ("a load covers", area)];
    if mapped {
        columns.extend([("area", area), ("takes", mass), ("fills", "loads")]);
    }
    let mut table = Table::new(columns);
    for tier in setup.tiers.iter().filter(|tier| tier.rate.si() > 0.0) {
        let covers = number(Area::from_si(load.si() / tier.rate.si()), system, 1);
        let mut cells = vec![tier.label.clone(), number(tier.rate, system, 2), covers];
        if mapped {
            cells.extend([
                tier.area.map_or_else(String::new, |area| number(area, system, 2)),
                tier.mass().map_or_else(String::new, |mass| number(mass, system, 1)),
                tier.mass().map_or_else(String::new, |mass| format!("{:.1}", mass / load)),
            ]);
        }
        table.row(cells);
    }
    text.push_str(&table.text());
    if let Some(said) = system.tons_are() {
        let _ = writeln!(text, "  {said}");
    }
}
