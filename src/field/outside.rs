use super::Boundary;
use crate::units::{Area, Length};
use crate::warning::{OutsideSample, SampleReach, Warning};

/// The farthest outside the boundary that a job may have samples count: a mile.
pub const MOST_REACH: Length = Length::feet(5280.0);

/// How far outside the boundary samples count: what the job says or, where it says nothing, about one
/// sample spacing, the side of the square that each of the samples inside has of the field. What lies
/// farther tells more of the neighbor's ground than of this field's.
pub(super) fn reach(asked: Option<Length>, boundary: &Boundary, inside: usize) -> SampleReach {
    let distance = asked.unwrap_or_else(|| spacing(boundary.area(), inside));
    SampleReach { distance, is_set: asked.is_some() }
}

/// About one sample spacing of a field.
pub(super) fn spacing(area: Area, inside: usize) -> Length {
    Length::metres((area.as_square_metres() / inside.max(1) as f64).sqrt())
}

/// Warnings of the samples outside that count, and of those that do not.
pub(super) fn warnings(
    near: Vec<OutsideSample>,
    far: Vec<OutsideSample>,
    reach: SampleReach,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if !near.is_empty() {
        warnings.push(Warning::SamplesOutside { samples: near, reach });
    }
    if !far.is_empty() {
        let farthest = far.iter().map(|one| one.distance.as_feet()).fold(0.0, f64::max);
        // In tens, so that it is more than the distance.
        let enough = Length::feet(10.0 * (farthest / 10.0).floor() + 10.0);
        // What lies farther than twice that is no sample of this field's.
        let enough = (enough <= MOST_REACH && enough <= reach.distance * 2.0).then_some(enough);
        warnings.push(Warning::SamplesTooFar { samples: far, reach, enough });
    }
    warnings
}
