//! A pile's place as it is written.

use geo::Coord;

use super::{Spot, StockpileError};
use crate::field::{Field, Site};
use crate::units::Length;
use crate::written::{COORDINATE_DECIMALS, rounded};

/// How many steps of the written positions are looked at on each side.
const STEPS: i32 = 3;

/// The place as written: among the written positions around it the nearest at which a pile may lie.
/// Plain rounding might put a place on the field's edge just outside it.
pub fn written(
    field: &Field,
    site: &Site,
    radius: Length,
    at: Coord<f64>,
) -> Result<Spot, StockpileError> {
    let frame = field.boundary.frame();
    let middle = rounded(frame.to_wgs84(at)?);
    let step = 0.1_f64.powi(COORDINATE_DECIMALS.cast_signed());
    let mut around = Vec::new();
    for (east, north) in (-STEPS..=STEPS).flat_map(|i| (-STEPS..=STEPS).map(move |j| (i, j))) {
        let shift = Coord { x: f64::from(east), y: f64::from(north) } * step;
        let wgs84 = rounded(middle + shift);
        let position = frame.to_local(wgs84)?;
        let apart = position - at;
        around.push((libm::hypot(apart.x, apart.y), wgs84, position));
    }
    around.sort_by(|a, b| a.0.total_cmp(&b.0));
    let spot =
        |&(_, wgs84, position): &(f64, _, _)| Spot::of(field, site, radius, (wgs84, position));
    let mut spots = around.iter().map(spot);
    let nearest = spots.next().unwrap_or_else(|| Spot::of(field, site, radius, (middle, at)));
    if nearest.is_allowed() {
        return Ok(nearest);
    }
    Ok(spots.find(Spot::is_allowed).unwrap_or(nearest))
}
