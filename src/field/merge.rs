use super::error::Contradiction;
use super::{Sample, SampleError};
use crate::faults::Faults;
use crate::soil::Cations;
use crate::units::Share;
use crate::warning::{SamplesAtOnePlace, Warning};

/// Two positions closer than this are one: no receiver tells them apart.
const SAME_PLACE_M: f64 = 0.01;

/// Makes one sample of those at the same position, with a warning: of the same CEC, or of their mean
/// where they differ, as among a sensor's many readings some do by chance. Where one id has several
/// values at one position, somebody has to say which is right: all such are one fault. Samples come
/// and go in canonical order, by easting first.
pub(super) fn merge(
    samples: Vec<Sample>,
    warnings: &mut Vec<Warning>,
    faults: &mut Faults<SampleError>,
) -> Vec<Sample> {
    let mut places: Vec<(Sample, Vec<Sample>)> = Vec::with_capacity(samples.len());
    for sample in samples {
        let twin = places
            .iter_mut()
            .rev()
            .take_while(|(first, _)| sample.position.x - first.position.x <= SAME_PLACE_M)
            .find(|(first, _)| {
                let apart = sample.position - first.position;
                libm::hypot(apart.x, apart.y) <= SAME_PLACE_M
            });
        match twin {
            None => places.push((sample, Vec::new())),
            Some((_, others)) => others.push(sample),
        }
    }
    let (mut contradictions, mut same, mut averaged) = (Vec::new(), Vec::new(), Vec::new());
    let mut kept = Vec::with_capacity(places.len());
    for (first, others) in places {
        if others.is_empty() {
            kept.push(first);
            continue;
        }
        let group: Vec<Sample> = std::iter::once(first).chain(others).collect();
        contradictions.extend(Contradiction::of(&group));
        let Some(one) = mean(&group) else { continue };
        if group.iter().all(|sample| sample.cec == one.cec) {
            same.push(group.iter().map(Sample::shown).collect());
        } else {
            let samples = group.iter().map(|sample| (sample.shown(), sample.cec)).collect();
            averaged.push(SamplesAtOnePlace { samples, mean: one.cec });
        }
        kept.push(one);
    }
    if !contradictions.is_empty() {
        faults.push(SampleError::Contradictions { all: contradictions });
    }
    if !same.is_empty() {
        warnings.push(Warning::SameSampleTwice { places: same });
    }
    if !averaged.is_empty() {
        warnings.push(Warning::SamplesAveraged { places: averaged });
    }
    kept
}

/// The first of a group with the group's means; cations and sodium only where all have them.
fn mean(group: &[Sample]) -> Option<Sample> {
    let first = group.first()?;
    let count = group.len() as f64;
    let same = group.iter().all(|sample| sample.cec == first.cec);
    let cec = group.iter().map(|sample| sample.cec).sum::<f64>() / count;
    let cations: Option<Vec<Cations>> = group.iter().map(|sample| sample.cations).collect();
    let esps: Option<Vec<Share>> = group.iter().map(|sample| sample.esp).collect();
    Some(Sample {
        cec: if same { first.cec } else { cec },
        cations: cations.and_then(|all| Cations::mean(&all)),
        esp: esps.map(|all| all.into_iter().sum::<Share>() / count),
        ..first.clone()
    })
}
