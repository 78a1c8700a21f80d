use std::collections::BTreeMap;

use geo::Coord;

use super::ground::{Ground, squared};
use super::nearest::mean_squared_distance;
use super::pattern::{Cell, Laid, Pattern};

/// The part of a whole cell from which on ground at the field's edge has a point of its own.
const LEFTOVER: f64 = 0.5;
/// Shifts that are tried along the rows, and across them.
const SHIFTS: u32 = 10;
/// Nodes by which a shift is judged.
const JUDGES: usize = 2500;

/// A grid on the ground, shifted so that it wastes least: of all tried shifts the one with the least
/// mean squared distance from the ground to the nearest point, times the points that it takes.
///
/// `area` is the square meters of a whole cell, `turn` radians counter-clockwise from east. The rule
/// for the field's edge: a cell with at least half a cell's ground has a point, less than that joins
/// its neighbors. The point is the cell's middle where a sample may be taken there, else the nearest
/// place in the cell where it may; a cell without such a place joins too. A field that is smaller
/// than half a cell gives no point.
#[must_use]
pub fn grid(ground: &Ground, pattern: Pattern, area: f64, turn: f64) -> Vec<Coord<f64>> {
    let every = ground.nodes().len().div_ceil(JUDGES).max(1);
    let judges: Vec<Coord<f64>> = ground.nodes().iter().step_by(every).copied().collect();
    let mut best: (f64, Vec<Coord<f64>>) = (f64::INFINITY, Vec::new());
    for number in 0..SHIFTS * SHIFTS {
        let part = |count: u32| f64::from(count) / f64::from(SHIFTS);
        let shift = Coord { x: part(number % SHIFTS), y: part(number / SHIFTS) };
        let points = points(ground, &pattern.laid(area, turn, shift), area);
        if points.is_empty() {
            continue;
        }
        let waste = mean_squared_distance(&judges, &points) * points.len() as f64;
        if waste < best.0 {
            best = (waste, points);
        }
    }
    best.1
}

/// The points of one shift, row after row.
fn points(ground: &Ground, laid: &Laid, area: f64) -> Vec<Coord<f64>> {
    let mut cells: BTreeMap<Cell, usize> = BTreeMap::new();
    for node in ground.nodes() {
        *cells.entry(laid.cell(*node)).or_default() += 1;
    }
    let a_node = ground.plane_area() / ground.nodes().len() as f64;
    cells.retain(|_, nodes| *nodes as f64 * a_node >= LEFTOVER * area);
    let mut nearest: BTreeMap<Cell, (f64, Coord<f64>)> = BTreeMap::new();
    for node in ground.may_hold() {
        let cell = laid.cell(*node);
        let apart = squared(*node - laid.middle(cell));
        let held = nearest.entry(cell).or_insert((apart, *node));
        if apart < held.0 {
            *held = (apart, *node);
        }
    }
    let point = |cell: &Cell| {
        let middle = laid.middle(*cell);
        if ground.is_allowed(middle) { Some(middle) } else { nearest.get(cell).map(|(_, at)| *at) }
    };
    cells.keys().filter_map(point).collect()
}
