//! Several polygons made one field: what touches or overlaps is joined, what lies inside is cut out.

use geo::{
    Area as _, BooleanOps, BoundingRect, Coord, Distance, Euclidean, Intersects, Line, LineString,
    MultiPolygon, Point, Polygon, Relate,
};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

use super::Boundary;
use super::boundary::to_local;
use super::error::BoundaryError;
use crate::geometry::{Frame, geodesic_area, on_grid};

use crate::units::{Area, Quantity};
use crate::warning::Warning;

/// Corners and edges of two polygons closer than this are one: what drawing by hand on a snapping
/// map, or rounding to seven decimals of a degree, leaves between them.
const TOGETHER_M: f64 = 0.02;
/// Holes between polygons that are smaller than this are the rounding of one line: 1 cm².
const LEAST_AREA_M2: f64 = 1e-4;

type Parts = Vec<Vec<Vec<Coord<f64>>>>;

impl Boundary {
    /// A boundary of all polygons together, and what was done: polygons that touch or
    /// overlap are joined, one that lies inside another is cut out of it, and one inside of that
    /// belongs to the field again. Corners stay those of the source, but for those within 2 cm of
    /// another polygon's, which become one.
    ///
    /// # Errors
    /// When a polygon by itself, or what comes out, is not sound: see [`BoundaryError`].
    pub fn merged(parts: Parts, file: &str) -> Result<(Self, Vec<Warning>), BoundaryError> {
        let mut whole = Vec::new();
        for (number, part) in (1..).zip(&parts) {
            let alone = Boundary::from_rings(vec![part.clone()], file);
            whole.push(alone.map_err(|error| error.of_part(number))?);
        }
        if whole.len() < 2 {
            return Ok((Boundary::from_rings(parts, file)?, Vec::new()));
        }
        let wgs84: MultiPolygon<f64> =
            whole.iter().flat_map(|part| part.wgs84().0.clone()).collect();
        let empty = || BoundaryError::Empty { file: file.to_owned() };
        let frame = Frame::around(wgs84.bounding_rect().ok_or_else(empty)?.center());
        let corners = Corners::of(&wgs84, &to_local(&wgs84, &frame, file)?);
        let joined = corners.joined();
        let polygons: Vec<Polygon<f64>> = joined.0;
        let mut told = Vec::new();
        let around = nesting(&polygons);
        let (mut ground, before) = (MultiPolygon(Vec::new()), areas(&wgs84));
        let deepest = around.iter().map(Vec::len).max().unwrap_or(0);
        for depth in 0..=deepest {
            let level = polygons.iter().zip(&around).filter(|(_, around)| around.len() == depth);
            let level: Vec<&Polygon<f64>> = level.map(|(polygon, _)| polygon).collect();
            let level = geo::unary_union(level);
            let is_ground = depth % 2 == 0;
            ground = if is_ground { ground.union(&level) } else { ground.difference(&level) };
        }
        let ground = without_slivers(ground);
        let degrees = corners.degrees(&ground, &frame, file)?;
        let merged = Boundary::from_rings(degrees, file)?;
        told.push(Warning::Merged {
            file: file.to_owned(),
            polygons: polygons.len(),
            before,
            after: merged.area(),
            pieces: merged.wgs84().0.len(),
        });
        for (polygon, around) in (1..).zip(&around).filter(|(_, around)| !around.is_empty()) {
            let area = whole.get(polygon - 1).map_or(Area::ZERO, Boundary::area);
            let within = around.iter().map(|outer| outer + 1).collect();
            told.push(Warning::MergedCutOut { file: file.to_owned(), polygon, area, within });
        }
        told.extend(overlaps(&polygons, &around, file));
        told.extend(gaps(
            &merged,
            &wgs84,
            around.iter().filter(|a| a.len() % 2 == 1).count(),
            file,
        ));
        Ok((merged, told))
    }
}

/// The corners of all polygons, on the ground and as the source has them.
struct Corners {
    polygons: MultiPolygon<f64>,
    known: RTree<GeomWithData<[f64; 2], Coord<f64>>>,
}

impl Corners {
    fn of(wgs84: &MultiPolygon<f64>, local: &MultiPolygon<f64>) -> Self {
        let pairs = coords(local).zip(coords(wgs84));
        let known = pairs.map(|(at, degrees)| {
            let at = on_grid(at);
            GeomWithData::new([at.x, at.y], degrees)
        });
        Self { known: RTree::bulk_load(known.collect()), polygons: local.clone() }
    }

    /// The polygons with corners that are nearly one made one, and with the corners of others that
    /// lie on an edge put into it, so that what they share they share exactly.
    fn joined(&self) -> MultiPolygon<f64> {
        let mut places: RTree<GeomWithData<[f64; 2], ()>> = RTree::new();
        let mut moved = Vec::new();
        for polygon in &self.polygons.0 {
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            let own: Vec<Vec<Coord<f64>>> = rings
                .map(|ring| ring.0.iter().map(|at| nearest(&places, on_grid(*at))).collect())
                .collect();
            for at in own.iter().flatten() {
                if places.locate_at_point(&[at.x, at.y]).is_none() {
                    places.insert(GeomWithData::new([at.x, at.y], ()));
                }
            }
            moved.push(own);
        }
        let through = |ring: Vec<Coord<f64>>| -> LineString<f64> {
            let mut line: Vec<Coord<f64>> = Vec::new();
            for edge in LineString(ring.clone()).lines() {
                line.push(edge.start);
                line.extend(on_edge(&places, edge));
            }
            line.extend(ring.last());
            line.dedup();
            LineString(line)
        };
        let polygon = |rings: Vec<Vec<Coord<f64>>>| {
            let mut rings = rings.into_iter().map(through);
            let outer = rings.next().unwrap_or_else(|| LineString(Vec::new()));
            Polygon::new(outer, rings.collect())
        };
        moved.into_iter().map(polygon).collect()
    }

    /// The source's positions of a field's corners, and of those that are new, where edges cross,
    /// their own.
    fn degrees(
        &self,
        ground: &MultiPolygon<f64>,
        frame: &Frame,
        file: &str,
    ) -> Result<Parts, BoundaryError> {
        let degree = |at: &Coord<f64>| {
            let known = self.known.nearest_neighbor(&[at.x, at.y]);
            let here = known.filter(|known| {
                let [x, y] = *known.geom();
                libm::hypot(x - at.x, y - at.y) < TOGETHER_M / 2.0
            });
            here.map_or_else(
                || {
                    frame.to_wgs84(*at).map_err(|error| BoundaryError::Unsound {
                        file: file.to_owned(),
                        reason: error.to_string(),
                    })
                },
                |known| Ok(known.data),
            )
        };
        let ring = |ring: &LineString<f64>| ring.0.iter().map(degree).collect::<Result<_, _>>();
        let part = |polygon: &Polygon<f64>| {
            std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring).collect()
        };
        ground.0.iter().map(part).collect()
    }
}

fn coords(polygons: &MultiPolygon<f64>) -> impl Iterator<Item = Coord<f64>> {
    polygons.0.iter().flat_map(|polygon| {
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        rings.flat_map(|ring| ring.0.iter().copied())
    })
}

/// The place of an earlier polygon's corner that a corner is together with, or its own.
fn nearest(places: &RTree<GeomWithData<[f64; 2], ()>>, at: Coord<f64>) -> Coord<f64> {
    let near = places.nearest_neighbor(&[at.x, at.y]).map(|place| *place.geom());
    let near = near.filter(|[x, y]| libm::hypot(x - at.x, y - at.y) <= TOGETHER_M);
    near.map_or(at, |[x, y]| Coord { x, y })
}

/// The corners on an edge's inside, in its order.
fn on_edge(places: &RTree<GeomWithData<[f64; 2], ()>>, edge: Line<f64>) -> Vec<Coord<f64>> {
    let room = Coord { x: TOGETHER_M, y: TOGETHER_M };
    let bounds = edge.bounding_rect();
    let (low, high) = (bounds.min() - room, bounds.max() + room);
    let window = AABB::from_corners([low.x, low.y], [high.x, high.y]);
    let (way, length) = (edge.delta(), libm::hypot(edge.dx(), edge.dy()));
    let mut found: Vec<(f64, Coord<f64>)> = places
        .locate_in_envelope(&window)
        .map(|place| Coord { x: place.geom()[0], y: place.geom()[1] })
        .map(|at| ((way.x * (at.x - edge.start.x) + way.y * (at.y - edge.start.y)) / length, at))
        .filter(|(along, at)| {
            *along > TOGETHER_M
                && *along < length - TOGETHER_M
                && Euclidean.distance(&Point(*at), &edge) <= TOGETHER_M
        })
        .collect();
    found.sort_by(|(a, p), (b, q)| {
        a.total_cmp(b).then(p.x.total_cmp(&q.x)).then(p.y.total_cmp(&q.y))
    });
    found.into_iter().map(|(_, at)| at).collect()
}

/// For each polygon those that it lies in, or that cover it along their edge. Of two that are the
/// same the later lies in none.
fn nesting(polygons: &[Polygon<f64>]) -> Vec<Vec<usize>> {
    let inside = |inner: &Polygon<f64>, outer: &Polygon<f64>| {
        outer.unsigned_area() > inner.unsigned_area()
            && near(inner, outer)
            && inner.relate(outer).is_coveredby()
    };
    polygons
        .iter()
        .map(|inner| {
            let others = polygons.iter().enumerate().filter(|(_, outer)| inside(inner, outer));
            others.map(|(number, _)| number).collect()
        })
        .collect()
}

fn near(one: &Polygon<f64>, other: &Polygon<f64>) -> bool {
    match (one.bounding_rect(), other.bounding_rect()) {
        (Some(one), Some(other)) => one.intersects(&other),
        _ => false,
    }
}

fn overlaps(polygons: &[Polygon<f64>], around: &[Vec<usize>], file: &str) -> Vec<Warning> {
    let mut told = Vec::new();
    let nested = |a: usize, b: usize| around.get(a).is_some_and(|around| around.contains(&b));
    for (b, second) in polygons.iter().enumerate() {
        for (a, first) in polygons.iter().enumerate().take(b) {
            if !near(first, second) || nested(a, b) || nested(b, a) {
                continue;
            }
            let area = first.intersection(second).unsigned_area();
            // A millimeter along a mile is 1.6 m².
            if area > 2.0 {
                told.push(Warning::MergedOverlap {
                    file: file.to_owned(),
                    first: a + 1,
                    second: b + 1,
                    area: Area::square_metres(area),
                });
            }
        }
    }
    told
}

/// Holes that were in no polygon and are none that was cut out.
fn gaps(merged: &Boundary, sources: &MultiPolygon<f64>, cut: usize, file: &str) -> Vec<Warning> {
    let holes = |polygons: &MultiPolygon<f64>| -> Vec<Polygon<f64>> {
        let holes = polygons.0.iter().flat_map(Polygon::interiors);
        holes.map(|hole| Polygon::new(hole.clone(), vec![])).collect()
    };
    let new: Vec<Polygon<f64>> = holes(merged.wgs84());
    let old = holes(sources).len() + cut;
    if new.len() <= old {
        return Vec::new();
    }
    let mut areas: Vec<Area> = new.iter().map(geodesic_area).collect();
    areas.sort_by(|a, b| a.si().abs().total_cmp(&b.si().abs()));
    let count = new.len() - old;
    let smallest = areas.first().copied().unwrap_or(Area::ZERO);
    vec![Warning::MergedGaps { file: file.to_owned(), gaps: count, smallest }]
}

fn without_slivers(mut polygons: MultiPolygon<f64>) -> MultiPolygon<f64> {
    polygons.0.retain(|polygon| polygon.unsigned_area() >= LEAST_AREA_M2);
    let filled = polygons.into_iter().map(|polygon| {
        let (exterior, mut holes) = polygon.into_inner();
        holes.retain(|hole| Polygon::new(hole.clone(), vec![]).unsigned_area() >= LEAST_AREA_M2);
        Polygon::new(exterior, holes)
    });
    filled.collect()
}

fn areas(polygons: &MultiPolygon<f64>) -> Area {
    polygons.0.iter().map(geodesic_area).sum()
}

#[cfg(test)]
mod tests;
