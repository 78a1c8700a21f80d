//! The last look before anything is written.

use geo::{Geodesic, Length as _, MapCoords};

use super::PlanError;
use super::amounts::ZoneAmounts;
use crate::field::Boundary;
use crate::geometry::{geodesic_area, is_right_way_round, is_sound};
use crate::units::Area;
use crate::written;

/// Every piece must be a sound polygon, and together they must be the field, to one part in a
/// million of the boundary as it is written.
pub(super) fn check(amounts: &ZoneAmounts, boundary: &Boundary) -> Result<(), PlanError> {
    let is_faulty = |polygon| !(is_right_way_round(polygon) && is_sound(polygon));
    if let Some(zone) = amounts.zones.iter().find(|zone| is_faulty(&zone.polygon)) {
        return Err(PlanError::Zones { found: format!("zone {} crosses itself", zone.number) });
    }
    if let Some(piece) = amounts.unspread.iter().find(|piece| is_faulty(&piece.polygon)) {
        return Err(PlanError::Zones {
            found: format!("the keep-out \"{}\" crosses itself", piece.why),
        });
    }
    let written = boundary.wgs84().map_coords(written::rounded);
    let area: Area = written.iter().map(geodesic_area).sum();
    // A small field with long edges may bend by the millimeter that coordinates are written to.
    let around = written.iter().map(|part| Geodesic.length(part.exterior())).sum::<f64>();
    let allowed = (1e-6 * area.as_square_metres()).max(0.001 * around);
    let unspread: Area = amounts.unspread.iter().map(|piece| piece.area).sum();
    let sum = amounts.total.area + unspread;
    if (sum - area).as_square_metres().abs() <= allowed {
        return Ok(());
    }
    let (sum, area) = (sum.as_acres(), area.as_acres());
    Err(PlanError::Zones { found: format!("{sum:.4} ac in zones and {area:.4} ac in the field") })
}
