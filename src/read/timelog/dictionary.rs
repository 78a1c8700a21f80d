//! Entries of the data dictionary, ISO 11783-11 (its public data base, isobus.net), that a record of
//! spreading is read by, and types of elements of a machine, ISO 11783-10.

/// Setpoint mass per area application rate, mg/m².
pub(super) const SET: u16 = 6;
/// Actual mass per area application rate, mg/m².
pub(super) const ACTUAL: u16 = 7;
/// Actual mass per time application rate, mg/s.
pub(super) const FLOW: u16 = 42;
/// Actual working width, mm.
pub(super) const WIDTH: u16 = 67;
/// Default and maximum working width, mm: for want of the actual one.
pub(super) const OTHER_WIDTHS: [u16; 2] = [68, 70];
/// Actual mass content, g: it falls as the machine spreads.
pub(super) const CONTENT: u16 = 75;
/// Application total mass in kg.
pub(super) const TOTAL: u16 = 81;
/// Total area, m².
pub(super) const AREA: u16 = 116;
/// Offsets of an element from the machine's reference point, mm: X ahead, Y to the right, as the
/// leftmost section of a driven machine has the least Y.
pub(super) const AHEAD: u16 = 134;
pub(super) const RIGHT: u16 = 135;
/// Actual work state: 0 off, 1 on, 2 error, 3 undefined.
pub(super) const STATE: u16 = 141;
/// Physical setpoint time latency, ms.
pub(super) const LATENCY: u16 = 142;
/// Actual condensed work state of sections 1 to 16; those after it, of 16 more each.
pub(super) const CONDENSED: u16 = 161;
/// Application total mass in g.
pub(super) const TOTAL_GRAMS: u16 = 352;
/// Actual speed, mm/s, below 0 in reverse.
pub(super) const SPEED: u16 = 397;

/// How many sections one condensed work state has.
pub(super) const IN_ONE: usize = 16;

/// Types of elements (DET C).
pub(super) const BIN: u8 = 3;
pub(super) const SECTION: u8 = 4;
pub(super) const UNIT: u8 = 5;
pub(super) const NAVIGATION: u8 = 7;
