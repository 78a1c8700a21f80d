//! Quantities that carry their unit: a plain number never crosses a module border as a length, an
//! area or a rate.
//!
//! Each quantity is held in its SI unit, is built by a constructor that names the unit
//! (`Length::feet(60.0)`), is read from text with its unit (`"60 ft"`), and prints in either
//! [`System`]. Definitions: international foot 0.3048 m, international acre 4046.8564224 m²,
//! avoirdupois pound 0.45359237 kg, short ton 2000 lb (NIST Handbook 44, appendix C).

mod apportion;
mod count;
mod date;
mod parse;
mod quantity;
mod system;
mod told_apart;

pub use apportion::{apportion, percentages, round_to};
pub use count::count;
pub use date::Date;
pub use parse::{UnitError, Written};
pub use quantity::{
    Angle, Area, Density, Haul, Length, Mass, MassFlow, Quantity, Rate, Share, Speed, Time,
    Turning, Unit, Volume, VolumeFlow,
};
pub use system::System;
pub use told_apart::told_apart;
