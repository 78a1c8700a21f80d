//! What lies within a distance of lines, from its outline alone.
//!
//! All discs and rectangles around a line joined as they are would cross each other by the square of
//! the vertices. Here each side and each round end is a ribbon along its inside, 1 cm deep, and one that
//! lies wholly nearer to another segment, by a quarter of its depth, is none. The places that are an eighth of
//! the depth nearer than the distance are then all within ribbons: each has a nearest place on the
//! lines, and the ribbon there is kept, for no segment is near enough to take it away. So what the
//! ribbons leave free is wholly near or wholly far, and one corner of a ring tells which.

use std::f64::consts::PI;
use std::ops::Range;

use geo::{Coord, MultiPolygon, Polygon, unary_union};
use rstar::primitives::Line;
use rstar::{PointDistance, RTree};

use super::ribbon::{Arc, Ribbon, Stretch, bend};
use super::{even_odd, piece};

/// A line's distance is never less, in meters, so that ribbons are many cells of the grid deep.
const LEAST_DISTANCE_M: f64 = 1e-3;

/// What lies within a distance of lines.
pub fn around(mut lines: Vec<Vec<Coord<f64>>>, distance: f64) -> MultiPolygon<f64> {
    lines.iter_mut().for_each(Vec::dedup);
    let segments = lines.iter().flat_map(|line| segments(line));
    let tree = RTree::bulk_load(segments.map(|(a, b)| Line::new([a.x, a.y], [b.x, b.y])).collect());
    let ribbon = Ribbon::at(distance.max(LEAST_DISTANCE_M));
    let mut outline = Outline { ribbon, tree, pieces: Vec::new() };
    for line in &lines {
        outline.follow(line);
    }
    let rings = unary_union(&outline.pieces).0.into_iter().flat_map(|polygon| {
        let (exterior, holes) = polygon.into_inner();
        std::iter::once(exterior).chain(holes)
    });
    let edge = ribbon.distance - ribbon.depth / 16.0;
    let is_edge = |at: &Coord<f64>| outline.nearest(*at).is_some_and(|(_, apart)| apart >= edge);
    let rings = rings.filter(|ring| ring.0.first().is_some_and(is_edge));
    even_odd(rings.map(|ring| Polygon::new(ring, vec![])).collect())
}

/// The segments of a line; of a point one without length.
fn segments(line: &[Coord<f64>]) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> {
    let point = line.first().filter(|_| line.len() == 1);
    line.iter().zip(line.iter().skip(1).chain(point)).map(|(a, b)| (*a, *b))
}

struct Outline {
    ribbon: Ribbon,
    tree: RTree<Line<[f64; 2]>>,
    pieces: Vec<Polygon<f64>>,
}

impl Outline {
    fn follow(&mut self, line: &[Coord<f64>]) {
        let (Some(&first), Some(&last)) = (line.first(), line.last()) else { return };
        let distance = self.ribbon.distance;
        // To the right of each segment, as long as the distance.
        let right = |(from, to): (Coord<f64>, Coord<f64>)| {
            let along = to - from;
            Coord { x: along.y, y: -along.x } * (distance / libm::hypot(along.x, along.y))
        };
        if line.len() == 1 {
            let east = Coord { x: distance, y: 0.0 };
            self.arc(first, (east, -east, PI));
            self.arc(first, (-east, east, PI));
            return;
        }
        let rights: Vec<Coord<f64>> = segments(line).map(right).collect();
        let (Some(&start), Some(&end)) = (rights.first(), rights.last()) else { return };
        for (&at, (&before, &after)) in
            line.iter().skip(1).zip(rights.iter().zip(rights.iter().skip(1)))
        {
            if let Some(bend) = bend(before, after) {
                self.arc(at, bend);
            }
        }
        if first == last {
            if let Some(bend) = bend(end, start) {
                self.arc(first, bend);
            }
        } else {
            self.arc(first, (-start, start, PI));
            self.arc(last, (end, -end, PI));
        }
        for ((from, to), &right) in segments(line).zip(&rights) {
            for (from, to, right) in [(from, to, right), (to, from, -right)] {
                let side = self.ribbon.side(from, to, right);
                if !self.is_covered(&side) {
                    self.pieces.push(piece(side.corners()));
                }
            }
        }
    }

    fn arc(&mut self, at: Coord<f64>, (from, to, sweep): (Coord<f64>, Coord<f64>, f64)) {
        let arc = Arc::new(&self.ribbon, at, from, to, sweep);
        // By halves: what is kept in a row is one piece.
        let mut kept: Option<Range<u32>> = None;
        let mut open: Vec<Range<u32>> = std::iter::once(0..arc.tangents).collect();
        while let Some(part) = open.pop() {
            if self.is_covered(&arc.part(part.clone())) {
                continue;
            }
            if part.len() > 1 {
                let middle = u32::midpoint(part.start, part.end);
                open.push(middle..part.end);
                open.push(part.start..middle);
                continue;
            }
            kept = match kept {
                Some(before) if before.end == part.start => Some(before.start..part.end),
                before => {
                    self.pieces.extend(before.map(|part| piece(arc.part(part).corners())));
                    Some(part)
                }
            };
        }
        self.pieces.extend(kept.map(|part| piece(arc.part(part).corners())));
    }

    /// Whether all of a stretch is so near one segment that it is no part of the edge.
    fn is_covered(&self, stretch: &Stretch) -> bool {
        let inside = self.ribbon.distance - self.ribbon.depth / 4.0;
        let (Some(&first), Some(&last)) = (stretch.outer.first(), stretch.outer.last()) else {
            return true;
        };
        let middle = stretch.outer.get(stretch.outer.len() / 2).copied().unwrap_or(first);
        let middle = if stretch.outer.len() == 2 { (first + last) / 2.0 } else { middle };
        let Some((nearest, apart)) = self.nearest(middle) else { return false };
        let near = |at: &Coord<f64>| nearest.distance_2(&[at.x, at.y]) <= inside * inside;
        apart <= inside && stretch.outer.iter().all(near)
    }

    /// The segment that is nearest to a place, and how far it is.
    fn nearest(&self, at: Coord<f64>) -> Option<(&Line<[f64; 2]>, f64)> {
        let at = [at.x, at.y];
        let nearest = self.tree.nearest_neighbor(&at)?;
        Some((nearest, nearest.distance_2(&at).sqrt()))
    }
}
