//! The lowest place of an area, by branch and bound.

use std::f64::consts::SQRT_2;

use geo::{BoundingRect, Coord, MultiPoint};

use super::queue::Queue;
use crate::geometry::Feature;

/// Squares are not cut below this half side, in meters: places are written to a millimeter.
const FINEST: f64 = 5e-4;

/// Something that has a height at every place, and of a square knows how low it may be there.
pub trait Landscape {
    /// The height at a place.
    fn height(&self, at: Coord<f64>) -> f64;

    /// The height at the middle of a square, and one that no place of the square is below.
    fn look(&self, middle: Coord<f64>, half: f64) -> (f64, f64);

    /// How far above the lowest place one of a height may be and still be taken.
    fn slack(&self, height: f64) -> f64;
}

/// The lowest place of an area within the landscape's slack, and its height; none in no area.
///
/// Best-first branch and bound on a quadtree (A. H. Land, A. G. Doig, "An automatic method of
/// solving discrete programming problems", 1960): of all squares that have a part in the area the
/// one that may be lowest is cut in four, until none may be lower than the best place by more than
/// the slack. So the answer is within it whatever the area's shape, islands and holes included.
pub fn lowest(area: &Feature, landscape: &impl Landscape) -> Option<(Coord<f64>, f64)> {
    let corners: MultiPoint<f64> = area.lines.iter().flatten().copied().collect();
    let bounds = corners.bounding_rect()?;
    let mut squares = Queue::new();
    let mut best: Option<(Coord<f64>, f64)> = None;
    let aim = |best: &Option<(Coord<f64>, f64)>| {
        best.map_or(f64::INFINITY, |(_, height)| height - landscape.slack(height))
    };
    let half = 0.5 * bounds.width().max(bounds.height());
    squares.push(f64::NEG_INFINITY, (bounds.center(), half));
    while let Some((least, (middle, half))) = squares.pop() {
        if least >= aim(&best) {
            break;
        }
        let half = 0.5 * half;
        for (east, north) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let middle = middle + Coord { x: east, y: north };
            let (nearest, away) = area.nearest(middle);
            if away > half * SQRT_2 {
                continue;
            }
            let (height, least) = landscape.look(middle, half);
            let found =
                if away <= 0.0 { (middle, height) } else { (nearest, landscape.height(nearest)) };
            if best.is_none_or(|(_, height)| found.1 < height) {
                best = Some(found);
            }
            if half > FINEST && least < aim(&best) {
                squares.push(least, (middle, half));
            }
        }
    }
    best
}

/// A height that changes by no more than the way that one goes, such as a distance.
pub struct Distances<F> {
    /// The height at a place, in meters.
    pub height: F,
    /// The slack, in meters.
    pub slack: f64,
}

impl<F: Fn(Coord<f64>) -> f64> Landscape for Distances<F> {
    fn height(&self, at: Coord<f64>) -> f64 {
        (self.height)(at)
    }

    fn look(&self, middle: Coord<f64>, half: f64) -> (f64, f64) {
        let height = (self.height)(middle);
        (height, height - half * SQRT_2)
    }

    fn slack(&self, _: f64) -> f64 {
        self.slack
    }
}
