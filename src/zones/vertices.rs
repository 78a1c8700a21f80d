//! The numbers of a mesh's vertices: the nodes of the lattice row by row, then those beside it.

use geo::Coord;

use crate::surface::Lattice;

/// A triangle, counter-clockwise, by vertex number.
pub type Triangle = [u32; 3];

/// Where a vertex lies, given the lattice and the extras.
pub(super) fn position(lattice: &Lattice, extras: &[Coord<f64>], vertex: u32) -> Coord<f64> {
    let vertex = vertex as usize;
    let nodes = lattice.columns() * lattice.rows();
    if vertex < nodes {
        let (row, column) = (vertex / lattice.columns(), vertex % lattice.columns());
        return Coord {
            x: lattice.easting(0) + column as f64 * lattice.step(),
            y: lattice.northing(0) + row as f64 * lattice.step(),
        };
    }
    extras.get(vertex - nodes).copied().unwrap_or(Coord { x: f64::NAN, y: f64::NAN })
}
