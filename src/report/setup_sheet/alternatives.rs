use std::fmt::Write;

use super::{Setup, belt, gate};
use crate::spreader::gate::{BeltState, NoOpening};
use crate::units::Quantity;

pub(super) fn write(text: &mut String, setup: &Setup, found: &NoOpening) {
    let system = setup.machine.system;
    let _ = writeln!(
        text,
        "  no single opening works; at {}, which comes nearest:",
        gate(found.nearest, setup.machine.system)
    );
    for broken in &found.breaks {
        let range = setup.machine.belt_speed;
        let (how, end) = match broken.state {
            BeltState::TooSlow => ("under its slowest", range.least),
            _ => ("over its fastest", range.most),
        };
        let _ = writeln!(
            text,
            "    {} ({}) at {} needs a belt speed of {}, {how} {}",
            broken.tier.label,
            broken.tier.rate.show(system, 2),
            broken.ground_speed.show(system, 1),
            belt(broken.belt_speed, setup.machine.system),
            belt(end, setup.machine.system)
        );
    }
    let other = &found.alternatives;
    let _ = writeln!(text, "  what works instead:");
    let mut any = false;
    if let Some(windows) = &other.windows {
        any = true;
        let _ = writeln!(
            text,
            "  - one opening, {}, and a ground speed for each tier:",
            gate(windows.opening, setup.machine.system)
        );
        for (tier, window) in &windows.tiers {
            let (label, rate) = (&tier.label, tier.rate.show(system, 2));
            let _ = writeln!(text, "      {label} ({rate}): {}", window.show(system, 1));
        }
        if let Some(common) = windows.common {
            let _ = writeln!(text, "      all tiers alike: {}", common.show(system, 1));
        }
    }
    if let Some(half) = &other.half_rates {
        any = true;
        let at = gate(half.recommendation.opening, setup.machine.system);
        let twice: Vec<String> = half
            .tiers
            .iter()
            .rev()
            .take(half.halved)
            .map(|tier| format!("{} at {} each time", tier.label, tier.rate.show(system, 2)))
            .collect();
        let _ = writeln!(text, "  - one opening, {at}, two passes over {}", twice.join(", "));
    }
    if let Some(two) = &other.two_openings {
        any = true;
        let passes = [&two.light, &two.heavy].map(|(tiers, found)| {
            let labels: Vec<&str> = tiers.iter().map(|tier| tier.label.as_str()).collect();
            format!("{} at {}", labels.join(", "), gate(found.opening, setup.machine.system))
        });
        let _ = writeln!(
            text,
            "  - two passes over the field, the gate reset between them: {}",
            passes.join("; then ")
        );
    }
    if !any {
        let _ = writeln!(
            text,
            "  - nothing within this machine's limits: change the rates, the swath or the ground speeds"
        );
    }
}
