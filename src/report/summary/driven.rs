//! What the logs of the machines say, in words: of a field, and of a machine.

use crate::reconcile::{FieldDriven, FieldRecord, GroundPiece, Lag, MachineDriven};
use crate::timelog::MassSource;
use crate::units::{Area, Length, Mass, Quantity, System, Time, count};

/// The lines of a field under its table.
pub(super) fn field_lines(record: &FieldRecord, system: System) -> Vec<String> {
    let Some(of) = &record.driven else { return Vec::new() };
    let area = |area: Area| area.show(system, 2);
    let share = |part: Area| format!("{:.1} %", 100.0 * part.value_in(system) / record.to_spread);
    let mut lines = vec![
        format!("  From the log, {}:", who(of)),
        format!(
            "  - done {}, {} of the {:.2} to be spread",
            area(of.done),
            share(of.done),
            record.to_spread
        ),
        format!(
            "  - done twice {}, {}{}",
            area(of.twice),
            share(of.twice),
            places(&of.pieces_twice, system)
        ),
        format!(
            "  - left out {}, {}{}",
            area(of.left_out),
            share(of.left_out),
            places(&of.pieces_left_out, system)
        ),
    ];
    let (ground, mass) = of.on_nothing;
    if ground.value_in(system) >= 0.005 {
        lines.push(format!(
            "  - spread on ground that gets nothing: {}, {}; look at the edges of the keep-outs",
            area(ground),
            mass.show(system, 2)
        ));
    }
    lines.push(format!("  - tons: {}", masses(of, system)));
    let ground = of.worked.map_or_else(String::new, |worked| {
        format!(", {} by the machine's own count", area(worked))
    });
    lines.push(format!(
        "  - driven over {}{ground}, places done twice counted twice",
        area(of.driven)
    ));
    let [slow, fast] = of.speeds.usual.map(|speed| speed.value_in(system));
    lines.push(format!(
        "  - speed while spreading {} on average, from {slow:.1} to {fast:.1} in 9 tenths of the time",
        of.speeds.mean.show(system, 1)
    ));
    lines
}

/// Who spread and when.
fn who(of: &FieldDriven) -> String {
    let machines = count(of.machines, "machine", "machines");
    let days = match of.days.as_slice() {
        [day] => format!("on {day}"),
        [first, .., last] => {
            format!("on {} from {first} to {last}", count(of.days.len(), "day", "days"))
        }
        [] => String::new(),
    };
    format!("{machines} in {} {days}", count(of.logs, "log", "logs"))
}

/// The masses side by side.
fn masses(of: &FieldDriven, system: System) -> String {
    let unit = Mass::unit(system).plural();
    let two = |mass: Mass| format!("{:.2}", mass.value_in(system));
    let set = of.set.map(|set| format!("{} set", two(set)));
    let applied = Some(format!("{} by rate and ground", two(of.applied)));
    let counted = of.counted.map(|counted| format!("{} by the machine's own count", two(counted)));
    let parts: Vec<String> = [set, applied, counted].into_iter().flatten().collect();
    format!("{} ({unit})", parts.join(", "))
}

/// The largest pieces and where they are.
fn places(pieces: &[GroundPiece], system: System) -> String {
    let place = |piece: &GroundPiece| {
        format!("{} at {:.5}, {:.5}", piece.area.show(system, 2), piece.at.y, piece.at.x)
    };
    match pieces {
        [] => ", in no piece of a tenth of an acre".to_owned(),
        all => format!("; the largest: {}", all.iter().map(place).collect::<Vec<_>>().join("; ")),
    }
}

/// The lines of a machine.
pub(super) fn machine_lines(of: &MachineDriven, machines: usize, system: System) -> Vec<String> {
    let called =
        if machines > 1 { format!("Machine {}", of.number + 1) } else { "Machine".to_owned() };
    let mut lines = vec![format!(
        "{called}: {}{}; tons from {}.",
        count(of.sections, "section", "sections"),
        if of.width > Length::ZERO {
            format!(", {}", of.width.show(system, 1))
        } else {
            String::new()
        },
        of.by.iter().map(|by| known_by(*by)).collect::<Vec<_>>().join(" and ")
    )];
    lines.extend(lag_lines(&of.lag));
    if let Some(latency) = of.latency {
        lines.push(format!(
            "  It says of itself that a new rate takes {}.",
            latency.show(system, 1)
        ));
    }
    let (gaps, far) = of.gaps;
    if gaps > 0 {
        lines.push(format!(
            "  {} of over 30 s in the log while it was spreading, {} in all: what was spread there is in no figure.",
            count(gaps, "pause", "pauses"),
            far.show(system, 0)
        ));
    }
    lines
}

fn known_by(by: MassSource) -> &'static str {
    match by {
        MassSource::Rate => "the measured rate and the ground",
        MassSource::Flow => "the measured flow, as it logs no rate",
        MassSource::Totals => "its own count, as it logs neither rate nor flow",
        MassSource::Set => "the rate that was set, as it logs nothing measured",
    }
}

fn lag_lines(lag: &Lag) -> Vec<String> {
    let seconds = |value: f64| format!("{:.1} s", value.abs());
    let side = |value: f64| if value < 0.0 { "before" } else { "after" };
    let said = |what: &str, lag: Option<f64>| {
        lag.map(|lag| format!("{what} {} {} the border", seconds(lag), side(lag)))
    };
    let parts: Vec<String> =
        [said("set", lag.set), said("measured", lag.actual)].into_iter().flatten().collect();
    if parts.is_empty() {
        let changes = count(lag.changes, "change", "changes");
        return vec![format!(
            "  How late the rates are does not show: {changes} of rate on the way, and the rates do not follow the map closely enough."
        )];
    }
    let mut lines = vec![format!(
        "  A new rate is {} of its zone, to half of the change ({} on the way).",
        parts.join(", "),
        count(lag.changes, "change", "changes")
    )];
    let delay = lag.delay().or(lag.actual).filter(|delay| *delay >= 0.05);
    lines.extend(delay.map(|delay| {
        let delay = Time::seconds(delay).show(System::Us, 1);
        format!("  For the machine file: rate_change_delay = \"{delay}\"")
    }));
    lines
}
