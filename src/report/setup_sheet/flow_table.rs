use super::Setup;
use crate::report::table::{Table, number};
use crate::spreader::gate::BeltState;
use crate::units::{Length, MassFlow, Quantity, Rate, Speed, System, VolumeFlow};

/// The table of tiers and ground speeds under the recommended opening, or the nearest.
#[must_use]
pub fn setup_table(setup: &Setup) -> Table {
    table(setup, &setup.ends_and_middle())
}

pub(super) fn table(setup: &Setup, speeds: &[Speed]) -> Table {
    let system = setup.machine.system;
    let mut table = Table::new([
        ("tier", ""),
        ("rate", Rate::unit(system).symbol()),
        ("ground speed", Speed::unit(system).symbol()),
        ("mass flow", MassFlow::unit(system).symbol()),
        ("volume flow", VolumeFlow::unit(system).symbol()),
        ("belt speed", belt_unit(system)),
        ("of range", "%"),
        ("belt", ""),
    ]);
    for row in setup.rows(speeds) {
        let state = match row.state {
            BeltState::Within => "within".to_owned(),
            BeltState::TooSlow => format!("too slow, lands {}", row.landed.show(system, 2)),
            BeltState::TooFast => format!("too fast, lands {}", row.landed.show(system, 2)),
        };
        table.row([
            row.tier.label.clone(),
            number(row.tier.rate, system, 2),
            number(row.ground_speed, system, 1),
            number(row.mass_flow, system, 0),
            number(row.volume_flow, system, 1),
            belt_number(row.belt_speed, system),
            format!("{:.0}", row.share_of_range.as_percent()),
            state,
        ]);
    }
    table
}

pub fn belt_unit(system: System) -> &'static str {
    match system {
        System::Us => "ft/min",
        System::Metric => "m/min",
    }
}

pub fn belt_number(speed: Speed, system: System) -> String {
    match system {
        System::Us => format!("{:.1}", speed.as_feet_per_minute()),
        System::Metric => format!("{:.2}", speed.as_metres_per_minute()),
    }
}

/// A belt speed in feet or meters a minute: belts are slower than what counts in mph.
pub fn belt(speed: Speed, system: System) -> String {
    format!("{} {}", belt_number(speed, system), belt_unit(system))
}

/// A gate opening in inches or centimeters.
pub fn gate(opening: Length, system: System) -> String {
    match system {
        System::Us => format!("{:.2} in", opening.as_inches()),
        System::Metric => format!("{:.1} cm", opening.as_centimetres()),
    }
}
