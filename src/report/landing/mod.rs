//! What lands, in words.

mod lines;
mod logged;

pub(super) use lines::{driven, for_the_sheet, lands};
pub use lines::{in_brief, lines};
pub use logged::logged;

use crate::units::Area;

/// A heading as people say it, whole degrees clockwise from north, under half a turn: passes run both
/// ways.
fn heading(radians: f64) -> String {
    let degrees = radians.to_degrees().rem_euclid(180.0).round();
    let degrees = if degrees >= 180.0 { 0.0 } else { degrees };
    let way = match degrees {
        0.0 => "north and south",
        90.0 => "east and west",
        _ => "clockwise from north",
    };
    format!("{degrees:.0}° ({way})")
}

fn area(square_metres: f64) -> Area {
    Area::square_metres(square_metres)
}
