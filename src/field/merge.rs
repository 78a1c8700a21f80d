use super::{Sample, SampleError};
use crate::warning::Warning;

/// Two positions closer than this are one: no receiver tells them apart.
const SAME_PLACE_M: f64 = 0.01;

/// Merges samples at the same position with the same CEC, with a warning each; different CEC is a
/// fault. Samples come and go in canonical order, by easting first.
pub(super) fn merge(
    samples: Vec<Sample>,
    warnings: &mut Vec<Warning>,
    faults: &mut Vec<SampleError>,
) -> Vec<Sample> {
    let mut kept: Vec<Sample> = Vec::with_capacity(samples.len());
    for sample in samples {
        let twin = kept
            .iter()
            .rev()
            .take_while(|other| sample.position.x - other.position.x <= SAME_PLACE_M)
            .find(|other| {
                let apart = sample.position - other.position;
                apart.x.hypot(apart.y) <= SAME_PLACE_M
            });
        match twin {
            None => kept.push(sample),
            Some(twin) if twin.cec == sample.cec => {
                let (first, second) = (twin.shown(), sample.shown());
                warnings.push(Warning::SameSampleTwice { first, second });
            }
            Some(twin) => faults.push(SampleError::Contradiction {
                first: twin.shown(),
                second: sample.shown(),
                first_cec: twin.cec,
                second_cec: sample.cec,
            }),
        }
    }
    kept
}
