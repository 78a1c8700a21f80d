//! Fewer vertices for polygons that share their borders, without gap, overlap or crossing.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use geo::{Coord, Intersects, LineString, Point, Polygon, Triangle};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

/// A polygon that cannot have as few vertices as asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stubborn {
    /// Which one, from 0.
    pub polygon: usize,
    /// How many vertices it keeps.
    pub vertices: usize,
}

/// Takes vertices away, the least first, until no polygon has more than `most` in all its rings
/// (the closing position of a ring counts too, as it is written).
///
/// The least is the one whose triangle with its neighbors has the least area (Visvalingam and
/// Whyatt 1993, *Line generalisation by repeated elimination of points*). Vertices where three
/// borders meet stay; a border is thinned once for both sides; and a vertex goes only while its
/// triangle holds no other vertex, so that nothing crosses or closes up.
///
/// # Errors
/// When a polygon has more than `most` vertices that must stay.
pub fn simplify(polygons: &[Polygon<f64>], most: usize) -> Result<Vec<Polygon<f64>>, Stubborn> {
    let mut net = Net::of(polygons);
    net.thin(most);
    if let Some((polygon, &vertices)) = net.counts.iter().enumerate().find(|(_, n)| **n > most) {
        return Err(Stubborn { polygon, vertices });
    }
    let rings = |polygon: &Polygon<f64>| {
        let (exterior, holes) = (polygon.exterior(), polygon.interiors());
        Polygon::new(net.kept(exterior), holes.iter().map(|hole| net.kept(hole)).collect())
    };
    Ok(polygons.iter().map(rings).collect())
}

type Key = (u64, u64);

fn key(at: Coord<f64>) -> Key {
    // Adding zero makes both zeros one.
    ((at.x + 0.0).to_bits(), (at.y + 0.0).to_bits())
}

/// One position of one or more rings.
struct Vertex {
    at: Coord<f64>,
    /// The vertices that a border leads to: two, unless borders meet here.
    neighbours: BTreeSet<usize>,
    /// The polygons that it belongs to.
    owners: BTreeSet<usize>,
    gone: bool,
}

struct Net {
    vertices: Vec<Vertex>,
    ids: BTreeMap<Key, usize>,
    /// Positions that are left of each polygon.
    counts: Vec<usize>,
    tree: RTree<GeomWithData<[f64; 2], usize>>,
}

impl Net {
    fn of(polygons: &[Polygon<f64>]) -> Self {
        let mut net =
            Net { vertices: vec![], ids: BTreeMap::new(), counts: vec![], tree: RTree::new() };
        for (owner, polygon) in polygons.iter().enumerate() {
            let mut count = 0;
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                count += ring.0.len();
                for edge in ring.lines() {
                    let (from, to) = (net.id(edge.start, owner), net.id(edge.end, owner));
                    for (one, other) in [(from, to), (to, from)] {
                        if let Some(vertex) = net.vertices.get_mut(one) {
                            vertex.neighbours.insert(other);
                        }
                    }
                }
            }
            net.counts.push(count);
        }
        let points = net.vertices.iter().enumerate();
        net.tree = RTree::bulk_load(
            points.map(|(id, v)| GeomWithData::new([v.at.x, v.at.y], id)).collect(),
        );
        net
    }

    fn id(&mut self, at: Coord<f64>, owner: usize) -> usize {
        let id = *self.ids.entry(key(at)).or_insert(self.vertices.len());
        if id == self.vertices.len() {
            let (neighbours, owners) = (BTreeSet::new(), BTreeSet::new());
            self.vertices.push(Vertex { at, neighbours, owners, gone: false });
        }
        if let Some(vertex) = self.vertices.get_mut(id) {
            vertex.owners.insert(owner);
        }
        id
    }

    fn thin(&mut self, most: usize) {
        // Areas above zero order as their bits do.
        let mut queue: BinaryHeap<Reverse<(u64, usize)>> = (0..self.vertices.len())
            .filter_map(|id| Some(Reverse((self.triangle(id)?.1.to_bits(), id))))
            .collect();
        while let Some(Reverse((area, id))) = queue.pop() {
            let Some((ends, now)) = self.triangle(id) else { continue };
            // An entry from before a neighbor went; the present one is in the queue too.
            if now.to_bits() != area || !self.may_go(id, ends, most) {
                continue;
            }
            self.remove(id, ends);
            for end in ends {
                queue.extend(self.triangle(end).map(|(_, area)| Reverse((area.to_bits(), end))));
            }
        }
    }

    /// The neighbors of a vertex inside a border, and the area of the triangle of the three.
    fn triangle(&self, id: usize) -> Option<([usize; 2], f64)> {
        let vertex = self.vertices.get(id).filter(|vertex| !vertex.gone)?;
        let mut ends = vertex.neighbours.iter().copied();
        let (a, b) = (ends.next()?, ends.next()?);
        if ends.next().is_some() {
            return None;
        }
        let (p, q) = (self.vertices.get(a)?.at - vertex.at, self.vertices.get(b)?.at - vertex.at);
        Some(([a, b], (p.x * q.y - q.x * p.y).abs()))
    }

    fn may_go(&self, id: usize, [a, b]: [usize; 2], most: usize) -> bool {
        let [Some(vertex), Some(from), Some(to)] = [id, a, b].map(|id| self.vertices.get(id))
        else {
            return false;
        };
        let over = |owner: &usize| self.counts.get(*owner).is_some_and(|count| *count > most);
        if !vertex.owners.iter().any(over) || from.neighbours.contains(&b) {
            return false;
        }
        let triangle = Triangle(vertex.at, from.at, to.at);
        let xs = [vertex.at.x, from.at.x, to.at.x];
        let ys = [vertex.at.y, from.at.y, to.at.y];
        let low = [xs, ys].map(|v| v.into_iter().fold(f64::INFINITY, f64::min));
        let high = [xs, ys].map(|v| v.into_iter().fold(f64::NEG_INFINITY, f64::max));
        let near = self.tree.locate_in_envelope_intersecting(&AABB::from_corners(low, high));
        let mut others = near.filter(|other| ![id, a, b].contains(&other.data));
        !others.any(|other| {
            let &[x, y] = other.geom();
            triangle.intersects(&Point::new(x, y))
        })
    }

    fn remove(&mut self, id: usize, [a, b]: [usize; 2]) {
        for (one, other) in [(a, b), (b, a)] {
            if let Some(vertex) = self.vertices.get_mut(one) {
                vertex.neighbours.remove(&id);
                vertex.neighbours.insert(other);
            }
        }
        if let Some(vertex) = self.vertices.get_mut(id) {
            vertex.gone = true;
            for owner in &vertex.owners {
                if let Some(count) = self.counts.get_mut(*owner) {
                    *count -= 1;
                }
            }
            self.tree.remove(&GeomWithData::new([vertex.at.x, vertex.at.y], id));
        }
    }

    fn kept(&self, ring: &LineString<f64>) -> LineString<f64> {
        let stays = |at: &Coord<f64>| {
            let vertex = self.ids.get(&key(*at)).and_then(|id| self.vertices.get(*id));
            vertex.is_some_and(|vertex| !vertex.gone)
        };
        let mut line: Vec<Coord<f64>> = ring.0.iter().copied().filter(stays).collect();
        if line.first() != line.last() {
            line.extend(line.first().copied());
        }
        LineString::new(line)
    }
}

#[cfg(test)]
mod tests;
