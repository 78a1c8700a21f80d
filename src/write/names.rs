//! What attributes and columns are called.

use crate::units::System;

/// What the area and mass columns are called.
pub fn amount_names(system: System) -> [&'static str; 2] {
    match system {
        System::Us => ["acres", "tons"],
        System::Metric => ["hectares", "tonnes"],
    }
}
