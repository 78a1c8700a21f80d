use crate::units::Length;

/// A distance for a message, in feet and metres: the reader of a message has no system of units.
pub(super) fn show(metres: f64) -> String {
    let feet = Length::metres(metres).as_feet();
    if metres < 10.0 {
        format!("{feet:.1} ft ({metres:.1} m)")
    } else {
        format!("{feet:.0} ft ({metres:.0} m)")
    }
}
