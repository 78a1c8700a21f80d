use super::{DrivingPattern, Pattern, overlap};
use crate::units::{Length, Quantity, Rate};

/// The shape of a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PatternShape {
    /// More than 55 % lands on one side of the driven line.
    OneSided,
    /// The half-rate points lie less than 0.85 of the working swath apart.
    Narrow,
    /// Overlapped, the outer third of the swath gets more than the inner third, by over 15 % of the
    /// mean.
    HeavyEdges,
    /// Overlapped, the inner third of the swath gets more than the outer third, by over 15 % of the
    /// mean.
    HeavyCentre,
    /// None of these.
    Even,
}

impl PatternShape {
    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::OneSided => "one-sided",
            Self::Narrow => "narrow",
            Self::HeavyEdges => "heavy edges",
            Self::HeavyCentre => "heavy centre",
            Self::Even => "even",
        }
    }
}

/// The most of the whole that may land on one side (common practice, no source).
const SIDE: f64 = 0.55;
/// The least half-rate width, by the working swath (common practice, no source).
const WIDTH: f64 = 0.85;
/// The most difference between outer and inner third, by the mean: the limit that the Spreadmark
/// code sets for the CV (as a limit for this difference: common practice, no source).
const THIRDS: f64 = 0.15;

/// What a pattern looks like, and by which measures.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The swath that it is judged at.
    pub working_swath: Length,
    /// Everything that is the matter, in the order in which to see to it, or even.
    pub shapes: Vec<PatternShape>,
    /// Share of the whole that lands left of the driven line.
    pub left_share: f64,
    /// Distance between the outermost places with half of the mean rate of the inner half of the
    /// working swath (after the half-rate points of Oklahoma State University Extension B-817).
    pub half_rate_width: Length,
    /// Overlapped back and forth at the working swath: mean of the outer third less mean of the
    /// inner third, by the mean of all. Above zero: heavy edges.
    pub edge_index: f64,
}

/// Reads the shape of a pattern at the swath that it is to be driven at.
#[must_use]
pub fn read_pattern(pattern: &Pattern, working_swath: Length) -> Reading {
    let left_share = pattern.left_share();
    let inner = mean(pattern.places().zip(pattern.rates().iter().copied()), |place| {
        place.si().abs() <= working_swath.si() / 4.0
    });
    let middle = inner.unwrap_or_else(|| pattern.rate_at(Length::ZERO));
    let half_rate_width = pattern.half_rate_width(middle);
    let edge_index = edge_index(pattern, working_swath);
    let narrow = half_rate_width / working_swath < WIDTH;
    let mut shapes = Vec::new();
    if left_share.max(1.0 - left_share) > SIDE {
        shapes.push(PatternShape::OneSided);
    }
    if narrow {
        shapes.push(PatternShape::Narrow);
    }
    if edge_index > THIRDS {
        shapes.push(PatternShape::HeavyEdges);
    }
    if edge_index < -THIRDS && !narrow {
        shapes.push(PatternShape::HeavyCentre);
    }
    if shapes.is_empty() {
        shapes.push(PatternShape::Even);
    }
    Reading { working_swath, shapes, left_share, half_rate_width, edge_index }
}

/// Zero where the pans are too far apart to have one in each third.
fn edge_index(pattern: &Pattern, swath: Length) -> f64 {
    let landed = overlap(pattern, swath, DrivingPattern::BackAndForth);
    let from_line = |place: Length| {
        let passes = place / swath;
        (passes - passes.round()).abs()
    };
    let all = || landed.iter().copied();
    let inner = mean(all(), |place| from_line(place) <= 1.0 / 6.0 + 1e-9);
    let outer = mean(all(), |place| from_line(place) >= 1.0 / 3.0 - 1e-9);
    match (inner, outer, mean(all(), |_| true)) {
        (Some(inner), Some(outer), Some(mean)) if mean > Rate::ZERO => (outer - inner) / mean,
        _ => 0.0,
    }
}

fn mean(
    rates: impl Iterator<Item = (Length, Rate)>,
    counts: impl Fn(Length) -> bool,
) -> Option<Rate> {
    let counted: Vec<Rate> = rates.filter(|(place, _)| counts(*place)).map(|(_, r)| r).collect();
    let n = counted.len();
    (n > 0).then(|| counted.into_iter().sum::<Rate>() / n as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shapes(rates: &[f64], swath: f64) -> Vec<PatternShape> {
        let first = Length::feet(-5.0 * (rates.len() - 1) as f64 / 2.0);
        let rates = rates.iter().map(|rate| Rate::tons_per_acre(*rate)).collect();
        let pattern = Pattern::new(first, Length::feet(5.0), rates).unwrap();
        read_pattern(&pattern, Length::feet(swath)).shapes
    }

    #[test]
    fn shapes_as_an_applicator_would_call_them() {
        let triangle = [0., 1., 2., 3., 4., 5., 6., 5., 4., 3., 2., 1., 0.];
        assert_eq!(shapes(&triangle, 30.0), [PatternShape::Even]);
        let two_humps = [1., 4., 6., 5., 3., 2., 2., 2., 3., 5., 6., 4., 1.];
        assert_eq!(shapes(&two_humps, 40.0), [PatternShape::HeavyEdges]);
        let spike = [1., 2., 2., 2., 2., 3., 8., 3., 2., 2., 2., 2., 1.];
        assert_eq!(shapes(&spike, 45.0), [PatternShape::HeavyCentre]);
        let leaning = [2., 4., 6., 6., 6., 6., 6., 4., 3., 2., 1., 1., 0.];
        assert_eq!(shapes(&leaning, 30.0), [PatternShape::OneSided]);
        let short = [0., 0., 0., 1., 3., 5., 6., 5., 3., 1., 0., 0., 0.];
        assert_eq!(shapes(&short, 35.0), [PatternShape::Narrow]);
    }
}
