use geo::{BooleanOps, BoundingRect, Coord, MultiPolygon};

use super::line_crossings::{crossings, edges};
use crate::geometry::{Feature, buffer};
use crate::units::{Length, Quantity, Speed};

/// A way that the machine drives without a stop: straight between places, at one speed between two
/// of them, in the turned plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The places, in meters, with the seconds at which the machine's antenna is there.
    pub places: Vec<(Coord<f64>, f64)>,
    /// The ground that is spread from it: the map's rates count inside, nothing is asked for outside.
    pub over: SpreadPart,
}

/// The ground that a run spreads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpreadPart {
    /// All that the map has.
    Field,
    /// What is within the headland rounds.
    Inside,
}

impl Run {
    /// Along places at one speed.
    #[must_use]
    pub fn at_speed(way: &[Coord<f64>], speed: Speed, over: SpreadPart) -> Self {
        let mut time = 0.0;
        let mut last: Option<Coord<f64>> = None;
        let timed = way.iter().map(|&place| {
            if let Some(last) = last {
                time += libm::hypot(place.x - last.x, place.y - last.y) / speed.si();
            }
            last = Some(place);
            (place, time)
        });
        Self { places: timed.collect(), over }
    }
}

/// How a field is driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Distance between passes.
    pub swath: Length,
    /// How often the machine goes round along the boundary before the passes.
    pub rounds: usize,
    /// The speed.
    pub speed: Speed,
    /// How far the machine drives on, past the ground that it spreads, at each end of a pass.
    pub run_out: Length,
}

impl Course {
    /// The headland rounds, outermost first, then the passes along the second axis, from left to
    /// right and back and forth. A round runs half a swath inside the boundary, around holes too;
    /// the first pass runs half a swath inside the left edge of what the rounds leave. Also what
    /// the rounds leave.
    #[must_use]
    pub fn runs(&self, field: &MultiPolygon<f64>) -> (Vec<Run>, MultiPolygon<f64>) {
        let swath = self.swath.si();
        let mut runs = Vec::new();
        for round in 0..self.rounds {
            let way = inset(field, (round as f64 + 0.5) * swath);
            let rings = way.iter().flat_map(|part| {
                std::iter::once(part.exterior()).chain(part.interiors()).map(|ring| &ring.0)
            });
            runs.extend(rings.map(|ring| Run::at_speed(ring, self.speed, SpreadPart::Field)));
        }
        let inside = inset(field, self.rounds as f64 * swath);
        let Some(bounds) = inside.bounding_rect() else { return (runs, inside) };
        let over = if self.rounds > 0 { SpreadPart::Inside } else { SpreadPart::Field };
        let edges = edges(&inside);
        let mut upward = true;
        let mut pass = 0.5;
        // A last pass that would stand beyond the edge is driven along it, a millimeter inside.
        while bounds.min().x + (pass - 0.5) * swath < bounds.max().x - 1e-6 {
            let x = (bounds.min().x + pass * swath).min(bounds.max().x - 1e-3);
            pass += 1.0;
            let line = [Coord { x, y: 0.0 }, Coord { x, y: 1.0 }];
            let ends = crossings(edges.iter().copied(), line);
            let mut stretches: Vec<[f64; 2]> = Vec::new();
            for pair in ends.chunks_exact(2) {
                let [from, to] = pair else { continue };
                let [from, to] = [from - self.run_out.si(), to + self.run_out.si()];
                match stretches.last_mut() {
                    // Driven through with the belt stopped.
                    Some([_, end]) if *end >= from => *end = to,
                    _ => stretches.push([from, to]),
                }
            }
            if !upward {
                stretches.reverse();
            }
            for [from, to] in stretches {
                let (from, to) = if upward { (from, to) } else { (to, from) };
                let way = [Coord { x, y: from }, Coord { x, y: to }];
                runs.push(Run::at_speed(&way, self.speed, over));
            }
            upward = !upward;
        }
        (runs, inside)
    }
}

/// What of a field lies farther than a distance from its boundary.
pub(super) fn inset(field: &MultiPolygon<f64>, distance: f64) -> MultiPolygon<f64> {
    let Some(bounds) = field.bounding_rect().filter(|_| distance > 0.0) else {
        return field.clone();
    };
    let rings = field.iter().flat_map(|part| {
        std::iter::once(part.exterior()).chain(part.interiors()).map(|ring| ring.0.clone())
    });
    let lines: Vec<Feature> = rings.map(Feature::line).collect();
    field.difference(&buffer(&lines, distance, &bounds))
}
