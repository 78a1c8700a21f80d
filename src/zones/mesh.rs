//! A triangle mesh that fills the field exactly: whole lattice cells where the field is clear, and a
//! constrained Delaunay rim along the boundary and around each sample.
//!
//! Every vertex of the boundary is a vertex of the mesh, so what is built on the mesh is cut by the
//! boundary without a further clipping step; every sample is one too, so that an island around a
//! single sample cannot fall between the nodes of the lattice.

use geo::{Coord, LineString, MultiPolygon};

use super::error::RimError;
use super::rim::{self, Rim};
use super::vertices::{Triangle, position};
use crate::geometry::scanline::Crossings;
use crate::surface::Lattice;

/// The field as triangles. Vertices are numbered: the nodes of the lattice row by row, then the
/// boundary's own vertices in its order (first of each ring not repeated), the areas apart's own, then
/// points added between them, then samples.
#[derive(Debug)]
pub struct Mesh {
    pub(super) lattice: Lattice,
    /// Whether a node of the lattice lies in the field and in no area apart.
    pub(super) inside: Vec<bool>,
    pub(super) rim: Rim,
}

impl Mesh {
    /// Fills a field: outer rings counter-clockwise, holes clockwise, in meters. The areas apart are
    /// parts of it, one beside another, that get a border and no triangles.
    ///
    /// # Errors
    /// When two edges cross, which those of a checked boundary do not.
    pub fn fill(
        boundary: &MultiPolygon<f64>,
        areas_apart: &[MultiPolygon<f64>],
        samples: &[Coord<f64>],
        lattice: Lattice,
    ) -> Result<Self, RimError> {
        let rings =
            || boundary.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        let mut inside = vec![false; lattice.columns() * lattice.rows()];
        mark(&mut inside, &lattice, boundary, true);
        for area in areas_apart {
            mark(&mut inside, &lattice, area, false);
        }
        let rings: Vec<&LineString<f64>> = rings().collect();
        let rim = rim::build(&rings, areas_apart, samples, lattice, &inside)?;
        Ok(Self { lattice, inside, rim })
    }

    /// Whether each node of the lattice is spread.
    #[must_use]
    pub fn inside(&self) -> &[bool] {
        &self.inside
    }

    /// The vertices beyond the lattice's nodes.
    #[must_use]
    pub fn extras(&self) -> &[Coord<f64>] {
        &self.rim.extras
    }

    /// The samples that are vertices, by their number among the extras.
    pub fn samples(&self) -> impl Iterator<Item = (usize, Coord<f64>)> {
        self.rim.extras.iter().copied().enumerate().skip(self.rim.samples_from)
    }

    /// The vertex that each of the boundary's positions became, counted among the extras, in the
    /// boundary's order (the first position of each ring not repeated).
    pub fn corner_vertices(&self) -> impl Iterator<Item = usize> {
        self.rim.corner_ids.iter().map(|&id| id as usize - self.inside.len())
    }

    /// Where a vertex lies.
    #[must_use]
    pub fn position(&self, vertex: u32) -> Coord<f64> {
        position(&self.lattice, &self.rim.extras, vertex)
    }

    /// The lattice's nodes at the corners of the cell around a position, the nearest first.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the lattice before the cast"
    )]
    pub(super) fn nodes_around(&self, at: Coord<f64>) -> [usize; 4] {
        let lattice = &self.lattice;
        let index = |offset: f64, count: usize| {
            (offset / lattice.step()).clamp(0.0, count.saturating_sub(2) as f64).floor() as usize
        };
        let column = index(at.x - lattice.easting(0), lattice.columns());
        let row = index(at.y - lattice.northing(0), lattice.rows());
        let mut corners = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(right, up)| {
            let (column, row) = (column + right, row + up);
            let away = at - Coord { x: lattice.easting(column), y: lattice.northing(row) };
            (libm::hypot(away.x, away.y), row * lattice.columns() + column)
        });
        corners.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        corners.map(|(_, node)| node)
    }

    /// The triangles of the rim and of each clear cell that `split` wants.
    pub fn triangles(&self, split: impl Fn(&[u32; 4]) -> bool) -> impl Iterator<Item = Triangle> {
        let halves = self
            .rim
            .cells
            .clear(&self.inside)
            .filter(split)
            .flat_map(|[sw, se, ne, nw]| [[sw, se, ne], [sw, ne, nw]]);
        self.rim.triangles.iter().copied().chain(halves)
    }
}

/// Marks the nodes inside an area.
fn mark(nodes: &mut [bool], lattice: &Lattice, area: &MultiPolygon<f64>, value: bool) {
    let rings = area.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    let rings: Vec<&[Coord<f64>]> = rings.map(|ring| ring.0.as_slice()).collect();
    let rows =
        Crossings::of(rings.iter().copied(), lattice.northing(0), lattice.step(), lattice.rows());
    rows.runs(lattice.easting(0), lattice.step(), lattice.columns(), |row, from, to| {
        let start = row * lattice.columns();
        if let Some(run) = nodes.get_mut(start + from..start + to) {
            run.fill(value);
        }
    });
}
