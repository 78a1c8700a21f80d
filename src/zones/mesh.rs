//! A triangle mesh that fills the field exactly: whole lattice cells where the field is clear, and a
//! constrained Delaunay rim along the boundary and around each sample.
//!
//! Every vertex of the boundary is a vertex of the mesh, so what is built on the mesh is cut by the
//! boundary without a further clipping step; every sample is one too, so that an island around a
//! single sample cannot fall between the nodes of the lattice.

use geo::{Coord, LineString, MultiPolygon};

use super::cells::Cells;
use super::rim::{self, RimError};
use crate::geometry::scanline::Crossings;
use crate::surface::Lattice;

/// A triangle, counter-clockwise, by vertex number.
pub type Triangle = [u32; 3];

/// The field as triangles. Vertices are numbered: the nodes of the lattice row by row, then the
/// boundary's own vertices in its order (first of each ring not repeated), then points added
/// between them, then samples.
#[derive(Debug)]
pub struct Mesh {
    pub(super) lattice: Lattice,
    /// Whether a node of the lattice lies in the field.
    pub(super) inside: Vec<bool>,
    pub(super) cells: Cells,
    /// Vertices beyond the lattice.
    pub(super) extras: Vec<Coord<f64>>,
    /// How many of the extras are the boundary's own vertices.
    pub(super) corners: usize,
    /// The vertex that each of the boundary's positions became: two rings may touch in one.
    pub(super) corner_ids: Vec<u32>,
    /// The corners (counted among the extras) of the edge that each point added after them is on.
    pub(super) parents: Vec<[u32; 2]>,
    /// The triangles of the rim.
    pub(super) rim: Vec<Triangle>,
    /// The pieces of the boundary, each with the field on its left.
    pub(super) border: Vec<[u32; 2]>,
}

impl Mesh {
    /// Fills a field: outer rings counter-clockwise, holes clockwise, in metres.
    ///
    /// # Errors
    /// When two edges of the boundary cross, which a checked boundary does not.
    pub fn fill(
        boundary: &MultiPolygon<f64>,
        samples: &[Coord<f64>],
        lattice: Lattice,
    ) -> Result<Self, RimError> {
        let rings =
            || boundary.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        let slices: Vec<&[Coord<f64>]> = rings().map(|ring| ring.0.as_slice()).collect();
        let mut inside = vec![false; lattice.columns() * lattice.rows()];
        let crossings = Crossings::of(
            slices.iter().copied(),
            lattice.northing(0),
            lattice.step(),
            lattice.rows(),
        );
        crossings.runs(lattice.easting(0), lattice.step(), lattice.columns(), |row, from, to| {
            let start = row * lattice.columns();
            if let Some(run) = inside.get_mut(start + from..start + to) {
                run.fill(true);
            }
        });
        let rings: Vec<&LineString<f64>> = rings().collect();
        rim::build(&rings, samples, lattice, inside)
    }

    /// The vertices beyond the lattice's nodes.
    #[must_use]
    pub fn extras(&self) -> &[Coord<f64>] {
        &self.extras
    }

    /// The vertex that each of the boundary's positions became, counted among the extras, in the
    /// boundary's order (the first position of each ring not repeated).
    pub fn corner_vertices(&self) -> impl Iterator<Item = usize> {
        self.corner_ids.iter().map(|&id| id as usize - self.inside.len())
    }

    /// Where a vertex lies.
    #[must_use]
    pub fn position(&self, vertex: u32) -> Coord<f64> {
        position(&self.lattice, &self.extras, vertex)
    }

    /// The corners, counted among the extras, of the boundary's edge that a piece of it is on.
    pub(super) fn edge_of(&self, piece: [u32; 2]) -> [u32; 2] {
        let nodes = self.inside.len();
        let among_extras = piece.map(|id| id as usize - nodes);
        let parent = |id: usize| id.checked_sub(self.corners).and_then(|i| self.parents.get(i));
        let [a, b] = among_extras;
        #[expect(clippy::cast_possible_truncation, reason = "vertex numbers are u32")]
        parent(a).or(parent(b)).copied().unwrap_or([a as u32, b as u32])
    }

    /// The triangles of the rim and of each clear cell that `split` wants.
    pub fn triangles(&self, split: impl Fn(&[u32; 4]) -> bool) -> impl Iterator<Item = Triangle> {
        let halves = self
            .cells
            .clear(&self.inside)
            .filter(split)
            .flat_map(|[sw, se, ne, nw]| [[sw, se, ne], [sw, ne, nw]]);
        self.rim.iter().copied().chain(halves)
    }
}

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
