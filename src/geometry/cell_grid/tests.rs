use geo::{Area as _, BooleanOps, MapCoords, coord, polygon};

use super::*;

fn grid() -> CellGrid {
    let corner = coord! { x: -2.0, y: 1.0 };
    CellGrid { corner, cell: coord! { x: 0.5, y: 0.25 }, columns: 9, rows: 17 }
}

/// Every cell against `geo`'s polygon clipping, which works in another way.
#[test]
fn cells_against_clipping() {
    let shape = polygon!(
        exterior: [(x: -1.9, y: 1.1), (x: 2.1, y: 0.3), (x: 4.2, y: 2.0), (x: 1.0, y: 3.0), (x: 2.2, y: 5.9), (x: -3.3, y: 4.0)],
        interiors: [[(x: -1.0, y: 2.0), (x: -0.5, y: 3.5), (x: 1.0, y: 2.5)]],
    );
    let grid = grid();
    for shape in [shape.clone(), shape.map_coords(|c| coord! { x: c.x * 0.2, y: 2.0 + c.y * 0.2 })]
    {
        let mut found = vec![0.0; grid.len()];
        grid.cover(&shape, |cell, share| found[cell] += share);
        for (number, share) in found.iter().enumerate() {
            let (row, column) = (number / grid.columns, number % grid.columns);
            let low = grid.corner
                + coord! { x: column as f64 * grid.cell.x, y: row as f64 * grid.cell.y };
            let cell = Rect::new(low, low + grid.cell).to_polygon();
            let expected = shape.intersection(&cell).unsigned_area() / cell.unsigned_area();
            assert!((share - expected).abs() < 1e-7, "{number}: {share} {expected}");
        }
    }
}

#[test]
fn cells_reach_over_the_rectangle() {
    let bounds = Rect::new(coord! { x: 1.0, y: 2.0 }, coord! { x: 1.25, y: 2.5 });
    let grid = CellGrid::over(bounds, coord! { x: 0.125, y: 0.2 });
    assert_eq!((grid.columns, grid.rows), (2, 3));
}
