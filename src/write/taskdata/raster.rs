//! The zones as a grid.

use geo::{BoundingRect, Coord, MultiPolygon, Polygon, Rect};

use super::fault;
use super::settings::{FINEST_CELL, Form};
use crate::geometry::{CellGrid, Frame, OutOfReach};
use crate::units::{Area, Length, Mass, Quantity, Rate, System, round_to};
use crate::write::FormatError;

/// The grid's tons must come this near to the zones' tons.
pub const CLOSE: f64 = 0.005;
/// A cell with more of its area in keep-outs is not spread: as much as a keep-out's
/// rounded corners and a receiver's meter are off.
const KEPT_OUT: f64 = 0.01;
/// More cells than this are more than a controller's memory can be counted on to hold.
const MOST_CELLS: usize = 1_000_000;
/// Decimals of a grid's corner: a tenth of a millimeter, the most that the standard takes.
const CORNER_DECIMALS: u32 = 9;
/// Decimals of a cell's sides: over 10,000 cells they add up to a hundredth of a millimeter.
const CELL_DECIMALS: u32 = 14;

/// The polygons of one rate.
pub struct Class {
    /// What their cells hold.
    pub value: i32,
    pub polygons: Vec<Polygon<f64>>,
    pub rate: Rate,
    /// Whether it is a keep-out area.
    pub is_kept_out: bool,
}

/// A grid of one task.
pub struct Raster {
    pub form: Form,
    pub grid: CellGrid,
    /// The cells' sides on the ground.
    pub side: Length,
    /// By rows from the south, each from the west; 0 outside of the field.
    pub values: Vec<i32>,
    /// What the cells' rates put on the field.
    pub mass: Mass,
    /// What is to be spread, and is not, in the cells that overlap a keep-out area.
    pub left: Area,
    /// What would be on it.
    pub left_mass: Mass,
    /// Why the tons are no nearer, where they are not near.
    pub reason: Option<String>,
}

impl Raster {
    /// What the task data calls its file.
    pub const NAME: &str = "GRD00000";
    /// The file's name.
    pub const FILE: &str = "GRD00000.bin";

    /// The file: a byte a cell with zone codes, four bytes (the lowest first) with rates.
    pub fn bytes(&self) -> Vec<u8> {
        let wide = self.form == Form::RateGrid;
        let cell = |value: &i32| value.to_le_bytes().into_iter().take(if wide { 4 } else { 1 });
        self.values.iter().flat_map(cell).collect()
    }
}

/// Puts zones on a grid, with cells of half the size until the tons are near enough.
///
/// A cell that reaches into the field takes the value that has the most of the field's area in it,
/// the lower one of two that have the same; any other cell takes 0, and so does one that reaches onto
/// keep-out areas. `classes` come by rate, the lowest first.
pub fn raster(
    form: Form,
    classes: &[Class],
    planned: Mass,
    side: Length,
    frame: &Frame,
) -> Result<Raster, FormatError> {
    let all = classes.iter().flat_map(|class| class.polygons.iter().cloned());
    let Some(bounds) = all.collect::<MultiPolygon<f64>>().bounding_rect() else {
        return Err(fault("found no zones".to_owned()));
    };
    let grid = grid_over(bounds, side, frame)?;
    if grid.len() > MOST_CELLS {
        return Err(fault(format!(
            "cells of {} make a grid of {} by {}, expected at most {MOST_CELLS} cells; set a larger [taskdata] cell",
            side.show(System::Metric, 2),
            grid.columns,
            grid.rows
        )));
    }
    let mut found = filled(form, classes, grid, side);
    // What the rule about kept-out ground leaves is no fault of the cells' size.
    while !is_close(found.mass + found.left_mass, planned) {
        let half = found.side * 0.5;
        let grid = grid_over(bounds, half, frame)?;
        if half < FINEST_CELL {
            found.reason = Some("cells under 1 m are finer than a receiver can tell".to_owned());
            break;
        }
        if grid.len() > MOST_CELLS {
            found.reason = Some(format!("smaller cells would be more than {MOST_CELLS}"));
            break;
        }
        found = filled(form, classes, grid, half);
    }
    if found.reason.is_none() && !is_close(found.mass, planned) {
        let reason = "what is left beside keep-out areas; set a smaller [taskdata] cell";
        found.reason = Some(reason.to_owned());
    }
    Ok(found)
}

fn is_close(mass: Mass, planned: Mass) -> bool {
    (mass - planned).si().abs() <= CLOSE * planned.si()
}

/// The grid from the south-western corner of the zones; its cells are as long as asked in the
/// field's middle.
fn grid_over(bounds: Rect<f64>, side: Length, frame: &Frame) -> Result<CellGrid, FormatError> {
    let centre = frame.centre();
    let unplaced = |error: OutOfReach| fault(error.to_string());
    let side = side.as_metres();
    let east = frame.to_wgs84(Coord { x: side, y: 0.0 }).map_err(unplaced)?.x - centre.x;
    let north = frame.to_wgs84(Coord { x: 0.0, y: side }).map_err(unplaced)?.y - centre.y;
    let cell = Coord { x: round_to_cell(east), y: round_to_cell(north) };
    // Down, so that the zones stay inside.
    let step = 0.1_f64.powi(CORNER_DECIMALS.cast_signed());
    let down = |value: f64| {
        let near = round_to(value, CORNER_DECIMALS);
        if near > value { round_to(near - step, CORNER_DECIMALS) } else { near }
    };
    let low = Coord { x: down(bounds.min().x), y: down(bounds.min().y) };
    Ok(CellGrid::over(Rect::new(low, bounds.max()), cell))
}

fn round_to_cell(degrees: f64) -> f64 {
    let scale = 10.0_f64.powi(CELL_DECIMALS.cast_signed());
    (degrees * scale).round() / scale
}

fn filled(form: Form, classes: &[Class], grid: CellGrid, side: Length) -> Raster {
    let mut most = vec![0.0; grid.len()];
    let mut winners: Vec<Option<usize>> = vec![None; grid.len()];
    let mut inside = vec![0.0; grid.len()];
    let mut kept_out = vec![0.0; grid.len()];
    for (number, class) in classes.iter().enumerate() {
        let mut shares = vec![0.0; grid.len()];
        for polygon in &class.polygons {
            grid.cover(polygon, |cell, share| {
                if let Some(sum) = shares.get_mut(cell) {
                    *sum += share;
                }
            });
        }
        if class.is_kept_out {
            kept_out = shares;
            continue;
        }
        for (((share, most), winner), inside) in
            shares.iter().zip(&mut most).zip(&mut winners).zip(&mut inside)
        {
            *inside += share;
            if *share > *most {
                (*most, *winner) = (*share, Some(number));
            }
        }
    }
    let mut raster = Raster {
        form,
        grid,
        side,
        values: Vec::with_capacity(winners.len()),
        mass: Mass::ZERO,
        left: Area::ZERO,
        left_mass: Mass::ZERO,
        reason: None,
    };
    let cells = winners.iter().zip(inside.iter().zip(&kept_out)).enumerate();
    for (cell, (winner, (inside, kept_out))) in cells {
        let class = winner.and_then(|number| classes.get(number));
        let (rate, value) = class.map_or((Rate::ZERO, 0), |class| (class.rate, class.value));
        let cell = raster.grid.cell_area(cell);
        if *kept_out > KEPT_OUT {
            raster.values.push(0);
            raster.left = raster.left + cell * *inside;
            raster.left_mass = raster.left_mass + rate * (cell * *inside);
        } else {
            raster.values.push(value);
            // A sliver of keep-out areas gets what its cell gets.
            raster.mass = raster.mass + rate * (cell * (inside + kept_out));
        }
    }
    raster
}

#[cfg(test)]
mod tests;
