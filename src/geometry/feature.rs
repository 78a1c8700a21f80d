use geo::{Coord, MultiPolygon};

/// Something on the ground as a map holds it: a point, a line or a polygon.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// Its lines: one vertex alone is a point. Of a polygon every ring, outer ones and holes alike,
    /// closed or not.
    pub lines: Vec<Vec<Coord<f64>>>,
    /// Whether what the lines enclose belongs to it. What an even number of rings encloses does not:
    /// it is a hole.
    pub filled: bool,
}

impl Feature {
    /// A point.
    #[must_use]
    pub fn point(at: Coord<f64>) -> Self {
        Self { lines: vec![vec![at]], filled: false }
    }

    /// A line.
    #[must_use]
    pub fn line(line: Vec<Coord<f64>>) -> Self {
        Self { lines: vec![line], filled: false }
    }

    /// A polygon of rings.
    #[must_use]
    pub fn polygon(rings: Vec<Vec<Coord<f64>>>) -> Self {
        Self { lines: rings, filled: true }
    }

    /// How far a place is from it, negative inside what it encloses; infinite without a vertex.
    #[must_use]
    pub fn distance(&self, at: Coord<f64>) -> f64 {
        self.nearest(at).1
    }

    /// The place on its lines that is nearest to another, and how far it is, negative inside what
    /// it encloses.
    #[must_use]
    pub fn nearest(&self, at: Coord<f64>) -> (Coord<f64>, f64) {
        let (mut nearest, mut least, mut inside) = (at, f64::INFINITY, false);
        for (a, b) in self.segments() {
            let on = nearest_between(at, a, b);
            let apart = squared(on - at);
            if apart < least {
                (nearest, least) = (on, apart);
            }
            let crosses = (a.y > at.y) != (b.y > at.y);
            inside ^= crosses && at.x < a.x + (b.x - a.x) * ((at.y - a.y) / (b.y - a.y));
        }
        let distance = least.sqrt();
        (nearest, if self.filled && inside { -distance } else { distance })
    }

    /// Its edges; of a point one without length.
    fn segments(&self) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> {
        self.lines.iter().flat_map(|line| {
            let closing = line.first().filter(|_| self.filled || line.len() == 1);
            line.iter().copied().zip(line.iter().skip(1).chain(closing).copied())
        })
    }
}

/// Polygons as one feature, where they have nothing in common.
impl From<&MultiPolygon<f64>> for Feature {
    fn from(polygons: &MultiPolygon<f64>) -> Self {
        let rings = polygons
            .iter()
            .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
        Self::polygon(rings.map(|ring| ring.0.clone()).collect())
    }
}

/// The place between two others that is nearest to one.
fn nearest_between(at: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    let (along, from) = (b - a, at - a);
    let share = (from.x * along.x + from.y * along.y) / squared(along);
    // Not a number where both ends are one place.
    if share > 0.0 { a + along * share.min(1.0) } else { a }
}

fn squared(of: Coord<f64>) -> f64 {
    of.x * of.x + of.y * of.y
}

#[cfg(test)]
mod tests {
    use geo::{Contains, Distance, Euclidean, LineString, Point, Polygon};

    use super::*;

    /// By geo's distances, on places all around.
    #[test]
    fn distances_are_geos() {
        let ring = |pairs: &[(f64, f64)]| -> Vec<Coord<f64>> {
            pairs.iter().map(|&(x, y)| Coord { x, y }).collect()
        };
        let outer = ring(&[(0.0, 0.0), (9.0, 1.0), (8.0, 7.0), (4.0, 3.0), (1.0, 8.0)]);
        let hole = ring(&[(2.0, 2.0), (3.0, 2.0), (2.5, 3.0)]);
        let polygon = Polygon::new(LineString(outer.clone()), vec![LineString(hole.clone())]);
        let filled = Feature::polygon(vec![outer.clone(), hole]);
        let (line, point) = (Feature::line(outer.clone()), Feature::point(outer[2]));
        for number in 0..900_i32 {
            let (x, y) = (f64::from(number % 30) * 0.43 - 2.0, f64::from(number / 30) * 0.41 - 2.0);
            let (at, place) = (Coord { x, y }, Point::new(x, y));
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            let edge = rings.map(|ring| Euclidean.distance(&place, ring)).fold(9e9, f64::min);
            let signed = if polygon.contains(&place) { -edge } else { edge };
            assert!((filled.distance(at) - signed).abs() < 1e-12, "{at:?}");
            let geos = Euclidean.distance(&place, &LineString(outer.clone()));
            assert!((line.distance(at) - geos).abs() < 1e-12, "{at:?}");
            let geos = Euclidean.distance(&place, &Point(outer[2]));
            assert!((point.distance(at) - geos).abs() < 1e-12, "{at:?}");
            let (on, apart) = filled.nearest(at);
            assert!((squared(on - at).sqrt() - apart.abs()).abs() < 1e-12);
        }
        assert_eq!(Feature::line(vec![]).distance(outer[0]), f64::INFINITY);
    }
}
