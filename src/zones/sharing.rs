//! What the nodes of the lattice say of each zone.

use geo::{Coord, InteriorPoint};

use crate::geometry::scanline::Crossings;
use crate::geometry::{Coverage, FaceIndex};
use crate::surface::Lattice;

/// The mean of the surface over each face: the mean of the lattice's nodes inside it, each of which
/// stands for one cell. A face between the nodes takes the value at a point inside it.
pub fn means(
    coverage: &Coverage,
    lattice: &Lattice,
    values: &[f64],
    value_at: impl Fn(Coord<f64>) -> f64,
) -> Vec<f64> {
    let mean = |face| {
        let polygon = coverage.plane_polygon(face);
        let rings = || {
            let holes = polygon.interiors().iter();
            std::iter::once(polygon.exterior()).chain(holes).map(|ring| ring.0.as_slice())
        };
        let rings: Vec<_> = rings().collect();
        let rows = Crossings::of(
            rings.iter().copied(),
            lattice.northing(0),
            lattice.step(),
            lattice.rows(),
        );
        let (mut sum, mut count) = (0.0, 0_usize);
        rows.runs(lattice.easting(0), lattice.step(), lattice.columns(), |row, from, to| {
            let start = row * lattice.columns();
            if let Some(run) = values.get(start + from..start + to) {
                sum += run.iter().sum::<f64>();
                count += run.len();
            }
        });
        if count > 0 {
            sum / count as f64
        } else {
            polygon.interior_point().map_or(f64::NAN, |point| value_at(point.0))
        }
    };
    coverage.faces.iter().map(mean).collect()
}

/// The face of the coverage that each node of the lattice is in.
#[must_use]
pub fn faces_of_nodes(coverage: &Coverage, lattice: &Lattice) -> Vec<Option<FaceIndex>> {
    let mut faces = vec![None; lattice.columns() * lattice.rows()];
    for (index, face) in coverage.indexed() {
        let polygon = coverage.plane_polygon(face);
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        let rings: Vec<&[Coord<f64>]> = rings.map(|ring| ring.0.as_slice()).collect();
        let (step, rows) = (lattice.step(), lattice.rows());
        let crossings = Crossings::of(rings.iter().copied(), lattice.northing(0), step, rows);
        crossings.runs(lattice.easting(0), step, lattice.columns(), |row, from, to| {
            let start = row * lattice.columns();
            if let Some(run) = faces.get_mut(start + from..start + to) {
                run.fill(Some(index));
            }
        });
    }
    faces
}
