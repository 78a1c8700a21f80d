use crate::order::Hours;
use crate::units::{Length, Quantity, System};

/// From how many hours to how many.
pub fn least_to_most([least, most]: [f64; 2]) -> String {
    format!("{least:.1} to {most:.1}")
}

/// The ways to the pile and back, counted or not.
pub fn ways(hours: &Hours, system: System) -> String {
    let Some(way) = hours.to_pile else {
        return "driving to the pile not included: the job places none".to_owned();
    };
    let speed = hours.driving.road_speed.map_or_else(
        || "as fast as it spreads".to_owned(),
        |speed| format!("at {}", speed.show(system, 1)),
    );
    format!(
        "driving to the pile and back included, {} {speed}, in straight lines",
        far(way, system)
    )
}

/// A long way.
fn far(way: Length, system: System) -> String {
    match system {
        System::Us => format!("{:.1} mi", way.as_miles()),
        System::Metric => format!("{:.1} km", way.as_kilometres()),
    }
}
