//! A constrained Delaunay triangulation, and which of its triangles are what.

use std::collections::BTreeMap;

use geo::{Contains, Coord, MultiPolygon};
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation, mitigate_underflow};

use super::error::RimError;
use super::vertices::Triangle;

/// What an edge that the triangulation must keep is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Constraint {
    /// A piece of the boundary.
    Boundary,
    /// A piece of an area apart's outline or another line in the field.
    Inner,
    /// A side of a cell that is not triangulated.
    Side,
}

/// A triangle in the field.
#[derive(Clone, Copy, Debug)]
pub struct Facet {
    /// Its vertices, counter-clockwise.
    pub corners: Triangle,
    /// Its sides from corner to corner: what each is, and the triangle beyond it.
    pub sides: [(Option<Constraint>, Option<usize>); 3],
    /// The part of the field that it is in: parts are divided by constraints.
    pub part: usize,
}

/// The triangles of the field outside the cells whose sides are constraints.
///
/// `place` is where a vertex is. Two constraints may only meet in a vertex.
///
/// # Errors
/// When two constraints cross.
pub fn triangulate(
    vertices: &[u32],
    constraints: &BTreeMap<[u32; 2], Constraint>,
    place: impl Fn(u32) -> Coord<f64>,
) -> Result<Vec<Facet>, RimError> {
    let index: BTreeMap<u32, usize> = vertices.iter().enumerate().map(|(i, &id)| (id, i)).collect();
    let points = vertices.iter().map(|&id| place(id));
    let points = points.map(|at| mitigate_underflow(Point2::new(at.x, at.y))).collect();
    let known = |id: &u32| index.get(id).copied().unwrap_or(usize::MAX);
    let edges = constraints.keys().map(|[a, b]| [known(a), known(b)]).collect();
    let mut crossing = None;
    let mesh = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(
        points,
        edges,
        |[a, _]| crossing = crossing.or(Some(a)),
    )
    .map_err(|error| RimError::Position(error.to_string()))?;
    if let Some(at) = crossing.and_then(|at| vertices.get(at)) {
        let at = place(*at);
        return Err(RimError::Crossing { easting: at.x, northing: at.y });
    }
    let vertex = |handle: spade::handles::VertexHandle<'_, _, _, _, _>| {
        vertices.get(handle.index()).copied().unwrap_or(u32::MAX)
    };
    let constraint = |edge: spade::handles::DirectedEdgeHandle<'_, _, _, _, _>| {
        let (a, b) = (vertex(edge.from()), vertex(edge.to()));
        // An edge of the boundary that runs over a corner of another ring is kept in two.
        let cut = edge.is_constraint_edge().then_some(Constraint::Boundary);
        constraints.get(&[a.min(b), a.max(b)]).copied().or(cut)
    };

    // (in the field, in a cell) of each face, from the outer face inwards: the first flips at each
    // facet of the boundary, the second at each side of a cell.
    let mut states: Vec<Option<(bool, bool)>> = vec![None; mesh.num_all_faces()];
    set(&mut states, mesh.outer_face().index(), (false, false));
    let mut queue: Vec<_> = mesh.convex_hull().map(|edge| edge.rev()).collect();
    queue.extend(mesh.convex_hull());
    while let Some(edge) = queue.pop() {
        let (here, there) = (edge.face().index(), edge.rev().face().index());
        let (Some((field, cell)), None) = (get(&states, here), get(&states, there)) else {
            continue;
        };
        let state = match constraint(edge) {
            Some(Constraint::Boundary) => (!field, cell),
            Some(Constraint::Side) => (field, !cell),
            Some(Constraint::Inner) | None => (field, cell),
        };
        set(&mut states, there, state);
        if let Some(face) = edge.rev().face().as_inner() {
            queue.extend(face.adjacent_edges());
        }
    }
    let wanted = |index| get(&states, index) == Some((true, false));
    let inside: Vec<_> = mesh.inner_faces().filter(|face| wanted(face.index())).collect();
    let mut numbers = vec![None; mesh.num_all_faces()];
    for (number, face) in inside.iter().enumerate() {
        set(&mut numbers, face.index(), number);
    }
    let facets = inside.iter().map(|face| Facet {
        corners: face.vertices().map(vertex),
        sides: face
            .adjacent_edges()
            .map(|edge| (constraint(edge), get(&numbers, edge.rev().face().index()))),
        part: 0,
    });
    let mut facets: Vec<Facet> = facets.collect();
    number_parts(&mut facets);
    Ok(facets)
}

fn get<T: Copy>(of: &[Option<T>], index: usize) -> Option<T> {
    of.get(index).copied().flatten()
}

fn set<T>(of: &mut [Option<T>], index: usize, value: T) {
    if let Some(slot) = of.get_mut(index) {
        *slot = Some(value);
    }
}

/// Gives triangles that are joined by free sides one number.
fn number_parts(facets: &mut [Facet]) {
    let mut parts: Vec<Option<usize>> = vec![None; facets.len()];
    let mut count = 0;
    for start in 0..facets.len() {
        if get(&parts, start).is_some() {
            continue;
        }
        let mut queue = vec![start];
        while let Some(facet) = queue.pop() {
            if get(&parts, facet).is_some() {
                continue;
            }
            set(&mut parts, facet, count);
            let sides = facets.get(facet).map(|facet| facet.sides);
            let free = sides.into_iter().flatten().filter(|(constraint, _)| constraint.is_none());
            queue.extend(free.filter_map(|(_, beyond)| beyond));
        }
        count += 1;
    }
    for (facet, part) in facets.iter_mut().zip(parts) {
        facet.part = part.unwrap_or(0);
    }
}

/// The middle of the largest triangle of each part.
pub fn middles(facets: &[Facet], place: impl Fn(u32) -> Coord<f64>) -> Vec<Coord<f64>> {
    let parts = facets.iter().map(|facet| facet.part + 1).max().unwrap_or(0);
    let mut largest = vec![(f64::NEG_INFINITY, Coord { x: f64::NAN, y: f64::NAN }); parts];
    for facet in facets {
        let [a, b, c] = facet.corners.map(&place);
        let area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
        if let Some(known) = largest.get_mut(facet.part).filter(|known| area > known.0) {
            *known = (area, (a + b + c) / 3.0);
        }
    }
    largest.into_iter().map(|(_, middle)| middle).collect()
}

/// For each part the area apart that it is in.
pub fn area_apart_of_parts(
    facets: &[Facet],
    areas_apart: &[MultiPolygon<f64>],
    place: impl Fn(u32) -> Coord<f64>,
) -> Vec<Option<usize>> {
    let holder = |at: Coord<f64>| areas_apart.iter().position(|area| area.contains(&at));
    middles(facets, place).into_iter().map(holder).collect()
}
