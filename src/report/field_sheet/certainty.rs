use super::CutList;
use crate::plan::{MoreSamples, Plan};
use crate::report::ReportError;
use crate::report::map::{certainty_map, shares};
use crate::report::text::shortened;
use crate::report::tons_if_certain::tons_if_certain;
use crate::units::Quantity;

/// Longer names of samples are cut.
const LONGEST_ID: usize = 40;

/// How sure the map is.
pub struct CertaintyPart {
    pub map: String,
    pub bands: Vec<CertaintyBand>,
    pub tons: String,
    /// What more samples would bring, where it is worth a line.
    pub more_samples: Option<String>,
}

/// A band of probabilities and its part of the field.
pub struct CertaintyBand {
    pub fill: String,
    pub name: &'static str,
    pub percent: String,
}

/// A sample that does not fit its neighbors.
pub struct SecondLookRow {
    pub id: String,
    pub cec: String,
    pub neighbors_say: String,
    pub mass: String,
}

/// None where the samples are too few to say.
pub fn certainty_part(
    plan: &Plan,
    more: Option<MoreSamples>,
) -> Result<Option<CertaintyPart>, ReportError> {
    let (Some(certainty), Some(map)) = (&plan.certainty, certainty_map(plan)?) else {
        return Ok(None);
    };
    let system = plan.settings.system;
    let bands = shares(certainty).into_iter().map(|share| CertaintyBand {
        fill: share.fill,
        name: share.name,
        percent: format!("{:.0}", share.percent),
    });
    let tons =
        tons_if_certain(certainty.tons.low, certainty.tons.high, plan.total.printed_mass, system);
    let more_samples = more_samples(plan, more);
    Ok(Some(CertaintyPart { map, bands: bands.collect(), tons, more_samples }))
}

/// Whether the soil test was enough, where ten more samples would put a hundredth of the tons right.
fn more_samples(plan: &Plan, more: Option<MoreSamples>) -> Option<String> {
    let more = more.filter(|more| more.matter(plan.total.mass))?;
    let system = plan.settings.system;
    Some(format!(
        "Was this soil test enough? {} more samples, where they pay most, would put about {} of the {} right that lie on ground that calls for another rate (landplaster sample, --add {0}).",
        MoreSamples::COUNT,
        (more.now - more.then).show(system, 1),
        more.now.show(system, 1),
    ))
}

/// The samples that deserve a second look.
pub fn second_looks(plan: &Plan) -> CutList<SecondLookRow> {
    let system = plan.settings.system;
    let looks = plan.second_looks.iter().map(|look| SecondLookRow {
        id: shortened(&look.id, LONGEST_ID),
        cec: format!("{:.1}", look.cec),
        neighbors_say: format!("{:.1}", look.neighbors_say),
        mass: format!("{:+.2}", look.mass.value_in(system)),
    });
    CutList::of(looks, 5)
}
