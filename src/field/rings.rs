use geo::coordinate_position::{CoordPos, CoordinatePosition};
use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{BoundingRect, Coord, Line, LineString, MultiPolygon, Polygon};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree, RTreeObject};

use super::RingPlace;

/// How the rings of a boundary meet.
pub(super) struct Meetings {
    /// The first place, in ring and edge order, where they may not.
    pub wrong: Option<Meeting>,
    /// Whether different rings touch.
    pub touching: bool,
}

/// Two edges of rings that meet where they should not.
pub(super) struct Meeting {
    pub first: RingPlace,
    pub second: RingPlace,
    pub at: Coord<f64>,
}

#[derive(Clone, Copy)]
struct Edge {
    place: RingPlace,
    index: usize,
    count: usize,
}

/// Where rings cross, share a piece of an edge, or where a ring touches itself. Different rings may
/// touch at single points.
///
/// Exact: the crossing test uses adaptive-precision orientation (robust predicates).
pub(super) fn meetings(parts: &MultiPolygon<f64>) -> Meetings {
    let edges: Vec<GeomWithData<Line<f64>, Edge>> = rings(parts)
        .flat_map(|(place, ring)| {
            let count = ring.0.len().saturating_sub(1);
            ring.lines()
                .enumerate()
                .map(move |(index, line)| GeomWithData::new(line, Edge { place, index, count }))
        })
        .collect();
    let order = |e: &Edge| (e.place.part, e.place.ring, e.index);
    let tree = RTree::bulk_load(edges.clone());
    let mut touching = false;
    for edge in &edges {
        let mut near: Vec<_> = tree
            .locate_in_envelope_intersecting(&edge.envelope())
            .filter(|other| order(&other.data) > order(&edge.data))
            .collect();
        near.sort_by_key(|other| order(&other.data));
        for other in near {
            let (first, second) = (edge.data.place, other.data.place);
            match meet(edge, other) {
                Some((at, true)) => {
                    let wrong = Some(Meeting { first, second, at });
                    return Meetings { wrong, touching };
                }
                Some((_, false)) => touching |= first != second,
                None => {}
            }
        }
    }
    Meetings { wrong: None, touching }
}

/// Where two edges meet, and whether that is wrong.
fn meet(
    a: &GeomWithData<Line<f64>, Edge>,
    b: &GeomWithData<Line<f64>, Edge>,
) -> Option<(Coord<f64>, bool)> {
    let same_ring = a.data.place == b.data.place;
    let apart = b.data.index.abs_diff(a.data.index);
    let neighbours = same_ring && (apart == 1 || apart + 1 == a.data.count);
    let (at, is_point) = match line_intersection(*a.geom(), *b.geom())? {
        LineIntersection::SinglePoint { intersection, is_proper } => (intersection, !is_proper),
        LineIntersection::Collinear { intersection } => {
            (intersection.start, intersection.start == intersection.end)
        }
    };
    Some((at, !is_point || (same_ring && !neighbours)))
}

/// A hole that is not inside its outer ring, or is inside another hole of the same part. The rings
/// must not cross.
pub(super) fn misplaced_hole(parts: &MultiPolygon<f64>) -> Option<RingPlace> {
    let alone = |ring: &LineString<f64>| Polygon::new(ring.clone(), vec![]);
    for (part, polygon) in (1..).zip(&parts.0) {
        let outer = alone(polygon.exterior());
        let holes: Vec<Polygon<f64>> = polygon.interiors().iter().map(alone).collect();
        let boxes = boxes(holes.iter());
        for (i, hole) in polygon.interiors().iter().enumerate() {
            let inside_other = around(&boxes, hole)
                .into_iter()
                .any(|j| j != i && holes.get(j).is_some_and(|other| is_inside(hole, other)));
            if !is_inside(hole, &outer) || inside_other {
                return Some(RingPlace { part, ring: i + 2 });
            }
        }
    }
    None
}

type Boxes = RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>;

/// The boxes around polygons, each with the polygon's number.
fn boxes<'a>(polygons: impl Iterator<Item = &'a Polygon<f64>>) -> Boxes {
    let boxed = |(number, polygon): (usize, &Polygon<f64>)| {
        let bounds = polygon.bounding_rect()?;
        let corners = Rectangle::from_corners(bounds.min().into(), bounds.max().into());
        Some(GeomWithData::new(corners, number))
    };
    RTree::bulk_load(polygons.enumerate().filter_map(boxed).collect())
}

/// The polygons whose boxes hold the start of a ring.
fn around(boxes: &Boxes, ring: &LineString<f64>) -> Vec<usize> {
    let start = ring.0.first().map(|at| AABB::from_point([at.x, at.y]));
    let near = start.iter().flat_map(|at| boxes.locate_in_envelope_intersecting(at));
    near.map(|near| near.data).collect()
}

/// A part that lies inside another one, not in a hole of it: (inner, outer), counted from 1.
pub(super) fn nested_parts(parts: &MultiPolygon<f64>) -> Option<(usize, usize)> {
    let boxes = boxes(parts.0.iter());
    for (inner, a) in parts.0.iter().enumerate() {
        let is_outer = |outer: &usize| {
            let b = parts.0.get(*outer);
            *outer != inner && b.is_some_and(|b| is_inside(a.exterior(), b))
        };
        if let Some(outer) = around(&boxes, a.exterior()).into_iter().filter(is_outer).min() {
            return Some((inner + 1, outer + 1));
        }
    }
    None
}

/// Whether a ring that crosses no ring of the polygon lies inside it: the first vertex that is not
/// on the edge decides, as rings may touch at single points.
fn is_inside(ring: &LineString<f64>, polygon: &Polygon<f64>) -> bool {
    let mut positions = ring.0.iter().map(|vertex| polygon.coordinate_position(vertex));
    positions.find(|position| *position != CoordPos::OnBoundary) == Some(CoordPos::Inside)
}

/// Every ring with its place.
pub(super) fn rings(
    parts: &MultiPolygon<f64>,
) -> impl Iterator<Item = (RingPlace, &LineString<f64>)> {
    (1..).zip(&parts.0).flat_map(|(part, polygon)| {
        std::iter::once(polygon.exterior())
            .chain(polygon.interiors())
            .zip(1..)
            .map(move |(line, ring)| (RingPlace { part, ring }, line))
    })
}
