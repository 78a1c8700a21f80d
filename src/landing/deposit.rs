use geo::Coord;

use super::{LandedCells, Release, Run, Throw};
use crate::units::{Length, Quantity};

/// Lays what a run releases into cells.
pub(super) fn lay(
    run: &Run,
    release: &Release,
    behind: Length,
    throw: &Throw,
    cells: &mut LandedCells,
) {
    for leg in run.places.windows(2) {
        let [(from, start), (to, end)] = *leg else { continue };
        let length = libm::hypot(to.x - from.x, to.y - from.y);
        if length <= 0.0 || end <= start {
            continue;
        }
        let ahead = Coord { x: (to.x - from.x) / length, y: (to.y - from.y) / length };
        let back = ahead * behind.si();
        let leg = Leg { from: from - back, ahead, length, start, end };
        if ahead.x.abs() < STRAIGHT {
            leg.along_the_rows(release, throw, cells);
        } else {
            leg.in_drops(release, throw, cells);
        }
    }
}

/// A leg that leaves the second axis by less runs along it: a hundredth of a millimeter over a mile.
const STRAIGHT: f64 = 1e-8;

/// A straight part of a run, as the material lands.
struct Leg {
    from: Coord<f64>,
    /// Of length 1.
    ahead: Coord<f64>,
    length: f64,
    start: f64,
    end: f64,
}

impl Leg {
    fn time(&self, distance: f64) -> f64 {
        self.start + (self.end - self.start) * (distance / self.length)
    }

    /// Exact: the mass that is released over each row, shared out by the pattern over its columns.
    fn along_the_rows(&self, release: &Release, throw: &Throw, cells: &mut LandedCells) {
        let side = cells.side;
        let upward = self.ahead.y > 0.0;
        let [left, right] = throw.reach();
        let [left, right] = if upward { [left, right] } else { [-right, -left] };
        let column = |x: f64| number(((x - cells.origin.x) / side).floor());
        let (first, last) = (column(self.from.x + left), column(self.from.x + right));
        let edge = |column: isize| cells.origin.x + column as f64 * side - self.from.x;
        let shares: Vec<f64> = (first..=last)
            .map(|column| {
                let (west, east) = (edge(column), edge(column + 1));
                if upward { throw.between(west, east) } else { throw.between(-east, -west) }
            })
            .collect();
        let begin = (self.from.y - cells.origin.y) / side;
        let end = begin + self.ahead.y * self.length / side;
        let mut released = release.until(self.start);
        let mut place = begin;
        let whole = release.until(self.end);
        while if upward { place < end } else { place > end } {
            // The row that is driven over now, and where it ends.
            let (row, border) = if upward {
                (place.floor(), place.floor() + 1.0)
            } else {
                (place.ceil() - 1.0, place.ceil() - 1.0)
            };
            let there = if upward { border >= end } else { border <= end };
            let until =
                if there { whole } else { release.until(self.time((border - begin).abs() * side)) };
            let mass = until - released;
            if mass != 0.0 {
                cells.drop_row(number(row), first, &shares, mass);
            }
            (released, place) = (until, border);
        }
    }

    /// In any other direction: drops half a cell apart along and across the way, each shared among
    /// the four cells around it by how near it is to their middles, which keeps mass and the middle
    /// of where it lands.
    fn in_drops(&self, release: &Release, throw: &Throw, cells: &mut LandedCells) {
        let step = cells.side / 2.0;
        let [left, right] = throw.reach();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "lengths above zero"
        )]
        let count = |length: f64| ((length / step).ceil() as usize).max(1);
        let (along, across) = (count(self.length), count(right - left));
        let width = (right - left) / across as f64;
        let shares: Vec<(f64, f64)> = (0..across)
            .map(|i| {
                let from = left + i as f64 * width;
                (from + 0.5 * width, throw.between(from, from + width))
            })
            .collect();
        let to_the_right = Coord { x: self.ahead.y, y: -self.ahead.x };
        let mut released = release.until(self.start);
        for i in 0..along {
            let until = release.until(self.time(self.length * (i + 1) as f64 / along as f64));
            let mass = until - released;
            released = until;
            if mass == 0.0 {
                continue;
            }
            let on = self.from + self.ahead * (self.length * (i as f64 + 0.5) / along as f64);
            for &(aside, share) in &shares {
                shared(cells, on + to_the_right * aside, mass * share);
            }
        }
    }
}

/// Shares a mass among the four cells whose middles are around a place.
fn shared(cells: &mut LandedCells, at: Coord<f64>, mass: f64) {
    let x = (at.x - cells.origin.x) / cells.side - 0.5;
    let y = (at.y - cells.origin.y) / cells.side - 0.5;
    let (east, north) = (x - x.floor(), y - y.floor());
    let (column, row) = (number(x.floor()), number(y.floor()));
    let parts = [
        (column, row, (1.0 - east) * (1.0 - north)),
        (column + 1, row, east * (1.0 - north)),
        (column, row + 1, (1.0 - east) * north),
        (column + 1, row + 1, east * north),
    ];
    for (column, row, part) in parts {
        cells.drop_in(column, row, mass * part);
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a whole number of cells, near the field")]
fn number(whole: f64) -> isize {
    whole as isize
}
