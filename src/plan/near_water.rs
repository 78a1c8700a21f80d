use crate::field::{Field, SpreadOver};
use crate::warning::Warning;

/// What can spoil a well or a ditch.
pub(super) fn warnings(field: &Field, has_piles: bool) -> Vec<Warning> {
    let over = |SpreadOver { called, why, points, length, area }| Warning::SetbackSpreadOver {
        called,
        why,
        points,
        length,
        area,
    };
    let mut warnings: Vec<Warning> = field.spread_over().into_iter().map(over).collect();
    let holes = field.bare_holes();
    if !holes.is_empty() {
        let holes = holes.into_iter().map(|hole| (hole.area, [hole.at.x, hole.at.y])).collect();
        warnings.push(Warning::HoleNotKeptOff { holes });
    }
    if has_piles && field.site.as_ref().is_none_or(crate::field::Site::knows_no_water) {
        warnings.push(Warning::PileUnchecked);
    }
    warnings
}
