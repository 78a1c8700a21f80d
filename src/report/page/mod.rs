//! What the pages for people have in common: the frame (`page.html`), how it looks (`page.css`), and
//! the numbers at its head.
//!
//! A page stands by itself: no other file, no network, no script. Text from input files is escaped by
//! the template and kept from turning the line around it (`bdi`).

use crate::units::System;

/// What the tons and the area of a page are called at its head.
pub fn to_spread(system: System) -> [&'static str; 2] {
    match system {
        System::Us => ["Tons to spread", "Acres to spread"],
        System::Metric => ["Tonnes to spread", "Hectares to spread"],
    }
}

/// A number to be seen at a glance.
#[derive(Debug)]
pub struct Fact {
    pub name: &'static str,
    pub number: String,
    pub unit: &'static str,
}
