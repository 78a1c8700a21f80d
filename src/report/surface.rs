//! How the surface was made, in words.

use crate::plan::{Method, SurfaceReport};
use crate::surface::{Idw, Neighbors};

/// The method with its settings.
pub fn method(report: &SurfaceReport) -> String {
    match report.method {
        Method::InverseDistance => format!("inverse distance, {}", setting(&report.choice.idw)),
        Method::Kriging => "kriging".to_owned(),
    }
}

/// The power and the samples that count.
pub fn setting(idw: &Idw) -> String {
    let neighbors = match idw.neighbors() {
        Neighbors::Nearest(count) => format!("the {count} nearest samples"),
        Neighbors::All => "all samples".to_owned(),
    };
    format!("power {}, {neighbors}", idw.power())
}
