use crate::field::{Field, Hole, SpreadOver};
use crate::units::{Length, Quantity, System, count};

/// As many holes are told by their place.
const MOST_HOLES: usize = 3;

/// What can spoil a well or a ditch: the gravest that there is to say.
pub(super) fn warnings(field: &Field, has_piles: bool, system: System) -> Vec<String> {
    let mut warnings: Vec<String> =
        field.spread_over().iter().map(|layer| spread_over(layer, system)).collect();
    warnings.extend(bare_holes(&field.bare_holes(), system));
    if has_piles && field.site.as_ref().is_none_or(|site| site.knows_no_water()) {
        warnings.push(
            "the pile is not checked: no water is known to keep it from; add a [[pile.setback]] for each well, ditch, drain and pond in the field and near it"
                .to_owned(),
        );
    }
    warnings
}

/// A layer that piles keep from and that is spread over.
fn spread_over(layer: &SpreadOver, system: System) -> String {
    let SpreadOver { called, why, points, length, area } = layer;
    let mut parts = Vec::new();
    if *points > 0 {
        parts.push(count(*points, "point", "points"));
    }
    if *length > Length::ZERO {
        parts.push(length.show(system, 0));
    }
    if area.si() > 0.0 {
        parts.push(area.show(system, 2));
    }
    format!(
        "{why} is spread over: {} of it in the field, where no keep-out covers it; a pile setback holds back the pile only ({called}). Add a [[keep_out]] with the same file and the distance that your rules ask",
        parts.join(", ")
    )
}

/// Holes that the field is spread up to.
fn bare_holes(holes: &[Hole], system: System) -> Option<String> {
    let (first, others) = (holes.get(..MOST_HOLES).unwrap_or(holes), holes.len());
    let told = |hole: &Hole| {
        format!("{} at {:.5}, {:.5}", hole.area.show(system, 2), hole.at.y, hole.at.x)
    };
    let told: Vec<String> = first.iter().map(told).collect();
    let more = others - first.len();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let example = match system {
        System::Us => "35 ft",
        System::Metric => "10 m",
    };
    (!holes.is_empty()).then(|| {
        format!(
            "the map spreads up to the edge of {} in the boundary ({}{more}). Water or a yard? Set hole_setback = \"{example}\" at the top of the job, or whatever your rules ask, or add a [[keep_out]]; \"0\" and the unit if nothing is to be kept off",
            count(others, "hole", "holes"),
            told.join("; "),
        )
    })
}
