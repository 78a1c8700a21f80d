//! Where in a polygon a box has the most room: the pole of inaccessibility, with the box's own shape
//! as the measure of distance.
//!
//! The search is that of V. Agafonkin's polylabel (2016) after D. Garcia-Castellanos, U. Lombardo,
//! "Poles of inaccessibility: a calculation algorithm for the remotest places on Earth", *Scottish
//! Geographical Journal* 123(3), 2007, 227-233: squares are halved where they may still hold a better
//! place. In units of the box's half sides a box is a square, so the distance is the larger of the
//! two coordinates' differences, and a square's best place is no more than its half side better than
//! its middle.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geo::{BoundingRect, Coord, LinesIter, Polygon};

/// The place is as good as the best within this share of the box's half sides.
const PRECISION: f64 = 0.05;
/// At most so many squares to begin with, across or up.
const SQUARES: f64 = 24.0;
/// At most so many squares altogether: a bound on time that no field of the tests comes near.
const MOST: usize = 4000;

/// The place with the most room.
#[derive(Clone, Copy, Debug)]
pub struct Pole {
    /// The place, in pixels.
    pub at: Coord<f64>,
    /// How many times the box fits there; under 1 it does not, under 0 no place was found inside.
    pub times: f64,
}

/// A square of places, in the box's half sides.
#[derive(Clone, Copy, Debug)]
struct Square {
    middle: Coord<f64>,
    half: f64,
    /// Room at its middle.
    room: f64,
    number: usize,
}

impl Square {
    fn best(&self) -> f64 {
        self.room + self.half
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.best().total_cmp(&other.best()).then(other.number.cmp(&self.number))
    }
}

/// The place in a polygon where a box of some half sides has the most room, clear of dots that are
/// themselves boxes of some half sides.
pub fn pole(
    polygon: &Polygon<f64>,
    half: Coord<f64>,
    dots: &[Coord<f64>],
    dot: Coord<f64>,
) -> Option<Pole> {
    let bounds = polygon.bounding_rect()?;
    let unit = |at: Coord<f64>| Coord { x: at.x / half.x, y: at.y / half.y };
    let edges: Vec<[Coord<f64>; 2]> =
        polygon.lines_iter().map(|line| [unit(line.start), unit(line.end)]).collect();
    let near = |at: &&Coord<f64>| {
        let (low, high) = (bounds.min() - dot, bounds.max() + dot);
        at.x > low.x && at.x < high.x && at.y > low.y && at.y < high.y
    };
    let dots: Vec<Coord<f64>> = dots.iter().filter(near).map(|at| unit(*at)).collect();
    let around = Around { edges, dots, dot: unit(dot) };
    let (low, high) = (unit(bounds.min()), unit(bounds.max()));
    let (wide, tall) = (high.x - low.x, high.y - low.y);
    let side = wide.min(tall).max(wide.max(tall) / SQUARES);
    if !(side.is_finite() && side > 0.0) {
        return None;
    }
    let mut squares = BinaryHeap::new();
    let mut number = 0;
    let mut square = |middle: Coord<f64>, half: f64| {
        number += 1;
        Square { middle, half, room: around.room(middle), number }
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 1 to the number of squares to begin with"
    )]
    let count = |length: f64| (length / side).ceil().max(1.0) as usize;
    for row in 0..count(tall) {
        for column in 0..count(wide) {
            let middle = Coord { x: column as f64 + 0.5, y: row as f64 + 0.5 } * side + low;
            squares.push(square(middle, side / 2.0));
        }
    }
    let mut best: Option<Square> = None;
    let mut seen = 0;
    while let Some(next) = squares.pop() {
        if best.is_none_or(|best| next.room > best.room) {
            best = Some(next);
        }
        let room = best.map_or(f64::NEG_INFINITY, |best| best.room);
        seen += 1;
        if next.best() - room <= PRECISION || seen > MOST {
            break;
        }
        let quarter = next.half / 2.0;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            squares.push(square(next.middle + Coord { x, y } * quarter, quarter));
        }
    }
    best.map(|best| Pole {
        at: Coord { x: best.middle.x * half.x, y: best.middle.y * half.y },
        times: best.room,
    })
}

/// What a box must keep clear of.
struct Around {
    edges: Vec<[Coord<f64>; 2]>,
    dots: Vec<Coord<f64>>,
    dot: Coord<f64>,
}

impl Around {
    /// How large a box around a place may grow; negative outside and on a dot.
    fn room(&self, at: Coord<f64>) -> f64 {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for &[a, b] in &self.edges {
            if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)
            {
                inside = !inside;
            }
            nearest = nearest.min(distance(a - at, b - at));
        }
        let edge = if inside { nearest } else { -nearest };
        let to_dot = |dot: &Coord<f64>| {
            ((dot.x - at.x).abs() - self.dot.x).max((dot.y - at.y).abs() - self.dot.y)
        };
        self.dots.iter().map(to_dot).fold(edge, f64::min)
    }
}

/// The distance of a line's nearest point from the origin, as the larger of its coordinates. That
/// is convex along the line, so its least value lies at an end or where the coordinates are alike.
fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let step = b - a;
    let at = |share: f64| {
        let place = a + step * share;
        place.x.abs().max(place.y.abs())
    };
    let alike = [(a.y - a.x) / (step.x - step.y), -(a.x + a.y) / (step.x + step.y)];
    let inner = alike.into_iter().filter(|share| *share > 0.0 && *share < 1.0).map(at);
    inner.fold(at(0.0).min(at(1.0)), f64::min)
}

#[cfg(test)]
mod tests {
    use geo::polygon;

    use super::*;

    const HALF: Coord<f64> = Coord { x: 2.0, y: 1.0 };

    #[test]
    fn the_middle_of_a_rectangle() {
        let field =
            polygon![(x: 0.0, y: 0.0), (x: 12.0, y: 0.0), (x: 12.0, y: 4.0), (x: 0.0, y: 4.0)];
        let found = pole(&field, HALF, &[], HALF).unwrap();
        assert!((found.times - 2.0).abs() <= PRECISION, "{found:?}");
        assert!((found.at.y - 2.0).abs() <= 0.1, "{found:?}");
    }

    /// By hand: beside a dot in the middle of a square of 8 with half sides 0.5, the box lies above
    /// or below, where 3.5 is free: 1.75 times its height.
    #[test]
    fn beside_a_dot() {
        let field =
            polygon![(x: 0.0, y: 0.0), (x: 8.0, y: 0.0), (x: 8.0, y: 8.0), (x: 0.0, y: 8.0)];
        let dot = Coord { x: 0.5, y: 0.5 };
        let found = pole(&field, HALF, &[Coord { x: 4.0, y: 4.0 }], dot).unwrap();
        assert!((found.times - 1.75).abs() <= PRECISION, "{found:?}");
    }

    #[test]
    fn not_in_a_hole() {
        let field = polygon!(
            exterior: [(x: 0.0, y: 0.0), (x: 10.0, y: 0.0), (x: 10.0, y: 10.0), (x: 0.0, y: 10.0)],
            interiors: [[(x: 1.0, y: 1.0), (x: 9.0, y: 1.0), (x: 9.0, y: 7.0), (x: 1.0, y: 7.0)]],
        );
        let found = pole(&field, HALF, &[], HALF).unwrap();
        assert!((found.times - 1.5).abs() <= PRECISION && found.at.y > 7.0, "{found:?}");
    }
}
