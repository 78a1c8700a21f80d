use super::distance::show;
use super::listed::listed;
use super::{Boundary, RawSample};
use crate::units::{Length, count};

/// The farthest outside the boundary that a job may have samples count: a mile.
pub const MOST_REACH: Length = Length::feet(5280.0);

/// How far outside the boundary a sample counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    metres: f64,
    /// Whether the job says it.
    is_set: bool,
}

impl Reach {
    /// What the job says or, where it says nothing, about one sample spacing: the side of the square
    /// that each of the samples inside has of the field. What lies farther tells more of the
    /// neighbor's ground than of this field's.
    pub fn new(asked: Option<Length>, boundary: &Boundary, inside: usize) -> Self {
        let square = boundary.area().as_square_metres() / inside.max(1) as f64;
        let metres = asked.map_or(square.sqrt(), Length::as_metres);
        Self { metres, is_set: asked.is_some() }
    }

    /// Whether a sample so far outside, in meters, counts.
    pub fn has(self, distance: f64) -> bool {
        distance <= self.metres
    }

    /// What is said of the samples outside that count, and of those that do not, each with its
    /// distance.
    pub fn warnings(self, near: &[(String, f64)], far: &[(String, f64)]) -> Vec<String> {
        let list = |samples: &[(String, f64)]| {
            let each = samples.iter().map(|(sample, away)| format!("{sample}, {}", show(*away)));
            listed(&each.collect::<Vec<_>>())
        };
        let samples = |samples: &[(String, f64)], one, several| count(samples.len(), one, several);
        let (reach, whose) = (
            show(self.metres),
            if self.is_set { "as the job says" } else { "about one sample spacing" },
        );
        let mut said = Vec::new();
        if !near.is_empty() {
            said.push(format!(
                "{} outside the boundary, up to {reach} ({whose}): {}",
                samples(near, "sample counts though it lies", "samples count though they lie"),
                list(near)
            ));
        }
        if !far.is_empty() {
            let farthest = far.iter().map(|(_, away)| *away).fold(0.0, f64::max);
            // In tens, so that it is more than the distance.
            let feet = 10.0 * (Length::metres(farthest).as_feet() / 10.0).floor() + 10.0;
            let lift = if Length::feet(feet) <= MOST_REACH {
                format!("; to count all of them, set samples_within = \"{feet} ft\"")
            } else {
                String::new()
            };
            said.push(format!(
                "{} more than {reach} ({whose}) outside the boundary: {}{lift}",
                samples(
                    far,
                    "sample does not count, for it lies",
                    "samples do not count, for they lie"
                ),
                list(far)
            ));
        }
        said
    }
}

/// A sample for these lists.
pub(super) fn told(sample: &RawSample, distance: f64) -> (String, f64) {
    (sample.shown(), distance)
}
