//! Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.
//!
//! The corridor: [`read`] gives a checked [`field::Field`]; [`plan::plan`] interpolates its CEC
//! ([`surface`]), classes it into tiers ([`soil`]), traces [`zones`] and adds up [`tonnage`];
//! [`mod@write`] turns the plan into files. Nothing between reading and writing touches a file, the
//! clock, or anything global.

pub mod cautions;
pub mod certainty;
pub mod farm;
pub mod field;
pub mod geometry;
pub mod inspect;
pub mod job;
pub mod order;
pub mod plan;
pub mod projection;
pub mod read;
pub mod reconcile;
pub mod report;
pub mod soil;
pub mod spreader;
pub mod stockpile;
pub mod surface;
pub mod tonnage;
pub mod units;
pub mod warning;
pub mod work;
pub mod write;
mod written;
pub mod zones;
