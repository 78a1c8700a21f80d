//! What the pages for people have in common: the frame (`page.html`), how it looks (`page.css`), and
//! the numbers at its head.
//!
//! A page stands by itself: no other file, no network, no script. Text from input files is escaped by
//! the template and kept from turning the line around it (`bdi`).

use geo::Coord;

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

/// A place as a phone takes it: latitude, then longitude, in degrees.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    pub latitude: String,
    pub longitude: String,
}

impl Position {
    pub fn of(wgs84: Coord<f64>) -> Self {
        let degrees = |value: f64| format!("{value:.5}");
        Self { latitude: degrees(wgs84.y), longitude: degrees(wgs84.x) }
    }
}
