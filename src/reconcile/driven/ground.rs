//! A field as a lattice of small squares: in which zone each lies, and what was spread on it.

use std::iter::once;
use std::ops::Range;

use geo::{BoundingRect, Coord, MultiPolygon, Rect};

use crate::geometry::scanline::Crossings;

/// The squares' side in meters: small against a section's width, so that what a step covers is
/// right to a few in a hundred, and a pass to a few in ten thousand.
const STEP: f64 = 0.5;
/// The most squares of a field; a larger one has larger squares.
const MOST: f64 = 16e6;

/// A field's squares, in meters of a frame.
#[derive(Debug)]
pub(super) struct FieldSquares {
    /// The corner of the first square.
    corner: Coord<f64>,
    step: f64,
    columns: usize,
    rows: usize,
    /// The zone that a square's middle lies in, from 1; 0 for none.
    zones: Vec<u16>,
    /// How many times it was spread on.
    times: Vec<u8>,
    /// What was spread in all, in kg/m².
    landed: Vec<f32>,
    /// How many squares a zone has.
    pub squares: Vec<usize>,
}

/// What a square has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Square {
    /// The zone, by its place in the field.
    pub zone: usize,
    pub times: u8,
    pub landed: f64,
}

impl FieldSquares {
    pub fn of(zones: &[MultiPolygon<f64>]) -> Self {
        let boxes = zones.iter().filter_map(BoundingRect::bounding_rect);
        let all = boxes.reduce(|one, other| {
            let (a, b) = (one.min(), other.min());
            let (c, d) = (one.max(), other.max());
            let least = Coord { x: a.x.min(b.x), y: a.y.min(b.y) };
            Rect::new(least, Coord { x: c.x.max(d.x), y: c.y.max(d.y) })
        });
        let bounds = all.unwrap_or_else(|| Rect::new((0.0, 0.0), (0.0, 0.0)));
        let step = STEP.max((bounds.width() * bounds.height() / MOST).sqrt());
        let [columns, rows] = [bounds.width(), bounds.height()].map(|side| count(side / step));
        let mut ground = Self {
            corner: bounds.min(),
            step,
            columns,
            rows,
            zones: vec![0; columns * rows],
            times: vec![0; columns * rows],
            landed: vec![0.0; columns * rows],
            squares: vec![0; zones.len()],
        };
        let first = ground.corner + Coord { x: 0.5 * step, y: 0.5 * step };
        for (number, (zone, squares)) in (1..=u16::MAX).zip(zones.iter().zip(&mut ground.squares)) {
            let rings =
                zone.0.iter().flat_map(|part| once(part.exterior()).chain(part.interiors()));
            let rings = rings.map(|ring| ring.0.as_slice());
            Crossings::of(rings, first.y, step, rows).runs(
                first.x,
                step,
                columns,
                |row, from, end| {
                    let run = row * columns + from..row * columns + end;
                    if let Some(run) = ground.zones.get_mut(run) {
                        run.fill(number);
                        *squares += run.len();
                    }
                },
            );
        }
        ground
    }

    /// Whether anything within these bounds can lie in the field.
    pub fn may_touch(&self, least: Coord<f64>, most: Coord<f64>) -> bool {
        let end = self.corner
            + Coord { x: self.columns as f64 * self.step, y: self.rows as f64 * self.step };
        let apart =
            most.x < self.corner.x || most.y < self.corner.y || least.x > end.x || least.y > end.y;
        !apart
    }

    /// The zone at a place, by its place in the field.
    pub fn zone_at(&self, at: Coord<f64>) -> Option<usize> {
        let place = (at - self.corner) / self.step;
        let inside = |value: f64, count: usize| (0.0..count as f64).contains(&value);
        let known = inside(place.x, self.columns) && inside(place.y, self.rows);
        let square = known.then(|| count(place.y) * self.columns + count(place.x))?;
        self.zones.get(square).and_then(|zone| usize::from(*zone).checked_sub(1))
    }

    /// The squares whose middles lie in a shape of four corners, by the even-odd rule: `visit` is
    /// told of each run the squares of the field in it. How many there are, those outside of the
    /// field with them.
    pub fn over(&self, corners: &[Coord<f64>; 4], mut visit: impl FnMut(Range<usize>)) -> usize {
        let local = corners.map(|at| (at - self.corner) / self.step - Coord { x: 0.5, y: 0.5 });
        let least = local.iter().map(|at| at.y).fold(f64::INFINITY, f64::min).ceil();
        let most = local.iter().map(|at| at.y).fold(f64::NEG_INFINITY, f64::max);
        let mut all = 0.0;
        let mut row = least;
        while row <= most {
            let mut crossings = [f64::INFINITY; 4];
            let mut found = 0;
            let [a, b, c, d] = local;
            for (from, to) in [(a, b), (b, c), (c, d), (d, a)] {
                let (low, high) = if from.y <= to.y { (from, to) } else { (to, from) };
                if low.y < row
                    && row <= high.y
                    && let Some(slot) = crossings.get_mut(found)
                {
                    *slot = low.x + (row - low.y) / (high.y - low.y) * (high.x - low.x);
                    found += 1;
                }
            }
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2).take(found / 2) {
                let [west, east] = pair else { continue };
                let (first, end) = (west.ceil(), east.ceil());
                all += end - first;
                if (0.0..self.rows as f64).contains(&row) {
                    let within = |column: f64| count(column.clamp(0.0, self.columns as f64));
                    let start = count(row) * self.columns;
                    let run = start + within(first)..start + within(end);
                    if !run.is_empty() {
                        visit(run);
                    }
                }
            }
            row += 1.0;
        }
        count(all)
    }

    /// The zones of a run of squares, by their place in the field, but for those in none.
    pub fn zones_of(&self, run: Range<usize>) -> impl Iterator<Item = usize> {
        let zones = self.zones.get(run).unwrap_or(&[]);
        zones.iter().filter_map(|zone| usize::from(*zone).checked_sub(1))
    }

    /// Spreads on a run of squares.
    pub fn spread(&mut self, run: Range<usize>, rate: f64) {
        let times = self.times.get_mut(run.clone()).unwrap_or(&mut []);
        for times in times {
            *times = times.saturating_add(1);
        }
        #[expect(clippy::cast_possible_truncation, reason = "seven digits of a rate are plenty")]
        for landed in self.landed.get_mut(run).unwrap_or(&mut []) {
            *landed += rate as f32;
        }
    }

    /// All squares that lie in a zone, with their places in the lattice.
    pub fn in_zones(&self) -> impl Iterator<Item = (usize, Square)> {
        let all = self.zones.iter().zip(&self.times).zip(&self.landed).enumerate();
        all.filter_map(|(place, ((zone, times), landed))| {
            let zone = usize::from(*zone).checked_sub(1)?;
            Some((place, Square { zone, times: *times, landed: f64::from(*landed) }))
        })
    }

    /// The ground of a square in square meters.
    pub fn square(&self) -> f64 {
        self.step * self.step
    }

    /// How many squares a row has, and how many rows there are.
    pub fn shape(&self) -> [usize; 2] {
        [self.columns, self.rows]
    }

    /// The middle of a square.
    pub fn middle(&self, square: usize) -> Coord<f64> {
        let columns = self.columns.max(1);
        let [column, row] = [square % columns, square / columns].map(|at| at as f64 + 0.5);
        self.corner + Coord { x: column, y: row } * self.step
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "squares of a field, and of a step of the machine: millions at the most, not below 0"
)]
fn count(value: f64) -> usize {
    value as usize
}

#[cfg(test)]
mod tests {
    use geo::Polygon;

    use super::*;

    fn square(west: f64, south: f64, side: f64) -> MultiPolygon<f64> {
        let polygon: Polygon<f64> =
            Rect::new((west, south), (west + side, south + side)).to_polygon();
        polygon.into()
    }

    #[test]
    fn zones_and_steps_by_hand() {
        let ground = FieldSquares::of(&[square(0.0, 0.0, 10.0), square(10.0, 0.0, 10.0)]);
        assert_eq!(ground.squares, [400, 400]);
        assert_eq!(ground.zone_at(Coord { x: 10.1, y: 0.1 }), Some(1));
        assert_eq!(ground.zone_at(Coord { x: -0.1, y: 0.1 }), None);
        let corner = |x, y| Coord { x, y };
        // 4 by 3 m over the western edge: half of it in the first zone.
        let step = [corner(-2.0, 1.0), corner(2.0, 1.0), corner(2.0, 4.0), corner(-2.0, 4.0)];
        let mut zones = Vec::new();
        let all = ground.over(&step, |run| zones.extend(ground.zones_of(run)));
        assert_eq!((all, zones.len()), (48, 24));
        // The same from the other side, and two that share an edge share no square.
        let turned = [step[2], step[1], step[0], step[3]];
        assert_eq!(ground.over(&turned, |_| ()), 48);
        let slant = corner(3.3, 7.7);
        let one = [corner(0.0, 0.0), corner(5.0, 1.0), slant, corner(0.0, 6.0)];
        let other = [corner(5.0, 1.0), corner(9.0, 2.0), corner(8.0, 9.0), slant];
        let mut ground = ground;
        for step in [one, other] {
            let mut runs = Vec::new();
            ground.over(&step, |run| runs.push(run));
            for run in runs {
                ground.spread(run, 1.0);
            }
        }
        let times = ground.in_zones().map(|(_, square)| square.times);
        assert_eq!(times.max(), Some(1));
    }
}
