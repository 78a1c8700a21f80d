use crate::units::Length;

/// A distance for a message, in feet and meters: the reader of a message has no system of units.
pub(super) fn show(metres: f64) -> String {
    Length::metres(metres).in_feet_and_metres()
}
