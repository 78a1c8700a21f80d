use geo::{Coord, Intersects, Line, MultiPolygon, Rect};

use crate::geometry::scanline::Crossings;

/// The side of a cell, in pixels.
const CELL: f64 = 2.0;

/// Which cells of a frame are taken.
#[derive(Clone, Debug)]
pub struct FreeCells {
    columns: usize,
    rows: usize,
    taken: Vec<bool>,
}

impl FreeCells {
    /// A frame of some pixels with nothing in it.
    pub fn of_frame(width: f64, height: f64) -> Self {
        let (columns, rows) = (whole((width / CELL).floor()), whole((height / CELL).floor()));
        Self { columns, rows, taken: vec![false; columns * rows] }
    }

    /// Takes the ground of polygons.
    pub fn take_ground(&mut self, ground: &MultiPolygon<f64>) {
        let rings = ground
            .0
            .iter()
            .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()))
            .map(|ring| ring.0.as_slice());
        let crossings = Crossings::of(rings, CELL / 2.0, CELL, self.rows);
        let (columns, taken) = (self.columns, &mut self.taken);
        crossings.runs(CELL / 2.0, CELL, columns, |row, first, end| {
            if let Some(run) = taken.get_mut(row * columns + first..row * columns + end) {
                run.fill(true);
            }
        });
    }

    /// Takes a box.
    pub fn take(&mut self, area: Rect<f64>) {
        let columns = self.columns;
        for (row, first, end) in self.cells(area).into_iter().flatten() {
            if let Some(run) = self.taken.get_mut(row * columns + first..row * columns + end) {
                run.fill(true);
            }
        }
    }

    /// Whether a box lies in the frame and none of it is taken.
    pub fn is_free(&self, area: Rect<f64>) -> bool {
        let Some(mut runs) = self.cells(area) else { return false };
        runs.all(|(row, first, end)| {
            let run = self.taken.get(row * self.columns + first..row * self.columns + end);
            run.is_some_and(|run| !run.contains(&true))
        })
    }

    /// The free place for the middle of a box that is nearest to a place and suits, on a grid of
    /// two cells.
    pub fn nearest(
        &self,
        to: Coord<f64>,
        half: Coord<f64>,
        suits: impl Fn(Rect<f64>) -> bool,
    ) -> Option<Coord<f64>> {
        let step = 2.0 * CELL;
        let (across, up) = (self.columns / 2, self.rows / 2);
        let boxed = |at: Coord<f64>| Rect::new(at - half, at + half);
        let mut nearest: Option<(f64, usize, Coord<f64>)> = None;
        // From the place outward, so that most of the frame is never looked at; the first of places
        // equally near, row by row.
        let (rows, columns) = (outward(up, to.y / step), outward(across, to.x / step));
        for row in rows {
            let y = row as f64 * step;
            if nearest.is_some_and(|(least, ..)| (y - to.y).abs() > least) {
                break;
            }
            for &column in &columns {
                let (number, at) = (row * across + column, Coord { x: column as f64 * step, y });
                if nearest.is_some_and(|(least, ..)| (at.x - to.x).abs() > least) {
                    break;
                }
                let apart = libm::hypot(at.x - to.x, at.y - to.y);
                let is_nearer =
                    nearest.is_none_or(|(least, first, _)| (apart, number) < (least, first));
                if is_nearer && self.is_free(boxed(at)) && suits(boxed(at)) {
                    nearest = Some((apart, number, at));
                }
            }
        }
        nearest.map(|(_, _, at)| at)
    }

    /// The runs of cells that a box touches; none when it is not all in the frame.
    fn cells(
        &self,
        area: Rect<f64>,
    ) -> Option<impl Iterator<Item = (usize, usize, usize)> + use<>> {
        let (low, high) = (area.min() / CELL, area.max() / CELL);
        // The outermost cells are the frame's own line's.
        let inside = low.x >= 1.0
            && low.y >= 1.0
            && high.x <= self.columns as f64 - 1.0
            && high.y <= self.rows as f64 - 1.0;
        let (first, end) = (whole(low.x.floor()), whole(high.x.ceil()));
        inside
            .then(|| (whole(low.y.floor())..whole(high.y.ceil())).map(move |row| (row, first, end)))
    }
}

/// Numbers below a count, those nearest to a place first.
fn outward(count: usize, place: f64) -> Vec<usize> {
    let mut numbers: Vec<usize> = (0..count).collect();
    let apart = |number: &usize| (*number as f64 - place).abs();
    numbers.sort_by(|a, b| apart(a).total_cmp(&apart(b)));
    numbers
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "cells of a page, and nothing for what is below 0"
)]
fn whole(cells: f64) -> usize {
    cells as usize
}

/// Whether a line keeps clear of boxes.
pub fn is_clear(line: Line<f64>, boxes: &[Rect<f64>]) -> bool {
    !boxes.iter().any(|area| area.intersects(&line))
}
