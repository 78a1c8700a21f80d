//! What the logs of the machines say, as JSON.

use landplaster::reconcile::{FieldDriven, GroundPiece, MachineDriven};
use landplaster::units::{Area, Mass, Quantity, System, round_to};
use serde_json::{Value, json};

/// A field's figures.
pub fn field(of: &FieldDriven, system: System) -> Value {
    let area = |area: Area| round_to(area.value_in(system), 2);
    let mass = |mass: Mass| round_to(mass.value_in(system), 2);
    let speed = |speed: landplaster::units::Speed| round_to(speed.value_in(system), 2);
    let piece = |piece: &GroundPiece| {
        let [latitude, longitude] = [piece.at.y, piece.at.x].map(|at| round_to(at, 5));
        json!({"area": area(piece.area), "latitude": latitude, "longitude": longitude})
    };
    let pieces = |pieces: &[GroundPiece]| pieces.iter().map(piece).collect::<Vec<_>>();
    let [slow, fast] = of.speeds.usual.map(speed);
    json!({
        "machines": of.machines,
        "logs": of.logs,
        "days": of.days,
        "done": area(of.done),
        "done_twice": area(of.twice),
        "left_out": area(of.left_out),
        "largest_left_out": pieces(&of.pieces_left_out),
        "largest_done_twice": pieces(&of.pieces_twice),
        "area_on_rate_0": area(of.on_nothing.0),
        "applied_on_rate_0": mass(of.on_nothing.1),
        "set": of.set.map(mass),
        "applied_by_rate": mass(of.applied),
        "applied_by_count": of.counted.map(mass),
        "driven_over": area(of.driven),
        "driven_over_by_count": of.worked.map(area),
        "speed": speed(of.speeds.mean),
        "speed_usual": [slow, fast],
    })
}

/// A machine's figures.
pub fn machine(of: &MachineDriven, system: System) -> Value {
    let second = |seconds: f64| round_to(seconds, 2);
    json!({
        "machine": of.number + 1,
        "sections": of.sections,
        "width": round_to(of.width.value_in(system), 2),
        "set_behind_map_s": of.lag.set.map(second),
        "actual_behind_map_s": of.lag.actual.map(second),
        "rate_change_delay_s": of.lag.delay().map(second),
        "changes_of_rate": of.lag.changes,
        "latency_s": of.latency.map(|latency| second(latency.as_seconds())),
        "pauses": of.gaps.0,
        "way_in_pauses": round_to(of.gaps.1.value_in(system), 0),
    })
}
