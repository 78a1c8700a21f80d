//! The fields of a farm beside each other: which of them a sample belongs to.

use geo::{Contains, Coord, Distance, Euclidean, GeodesicArea, MapCoords, MultiPolygon, Point};

use super::outside::spacing;
use crate::units::{Area, Length};

/// Meters of a degree of latitude, about: enough to say which of two fields is nearer.
const METRES_PER_DEGREE: f64 = 111_200.0;

/// A field's outline as read: nobody has checked it yet.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldOutline {
    /// What the field is called.
    pub name: String,
    /// WGS84 longitude and latitude, degrees.
    pub polygons: MultiPolygon<f64>,
}

/// Where a sample lies among some fields.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldOfSample {
    /// In these fields, by their index: one, unless outlines overlap.
    In(Vec<usize>),
    /// In none; this one is nearest, and so far away.
    Near(usize, Length),
    /// There is no field, or it is no place on Earth.
    Nowhere,
}

impl FieldOutline {
    fn metres(&self, at: Coord<f64>) -> f64 {
        let squash = libm::cos(at.y.to_radians());
        let flat = self.polygons.map_coords(|c| Coord {
            x: (c.x - at.x) * squash * METRES_PER_DEGREE,
            y: (c.y - at.y) * METRES_PER_DEGREE,
        });
        Euclidean.distance(&Point::new(0.0, 0.0), &flat)
    }

    /// How far outside it samples count, unless the job says another distance, where so many lie in
    /// it: as for a checked field.
    #[must_use]
    pub fn reach(&self, inside: usize) -> Length {
        spacing(Area::square_metres(self.polygons.geodesic_area_unsigned()), inside)
    }
}

/// Which field a place belongs to: that which it lies in, else the nearest one; of two at the same
/// distance the first.
#[must_use]
pub fn belongs(at: Coord<f64>, fields: &[FieldOutline]) -> FieldOfSample {
    if !(at.x.is_finite() && at.y.is_finite()) {
        return FieldOfSample::Nowhere;
    }
    let inside: Vec<usize> = (fields.iter().enumerate())
        .filter(|(_, field)| field.polygons.contains(&at))
        .map(|(number, _)| number)
        .collect();
    if !inside.is_empty() {
        return FieldOfSample::In(inside);
    }
    let distances = fields.iter().map(|field| field.metres(at)).enumerate();
    distances
        .min_by(|(_, one), (_, other)| one.total_cmp(other))
        .map_or(FieldOfSample::Nowhere, |(number, metres)| {
            FieldOfSample::Near(number, Length::metres(metres))
        })
}

#[cfg(test)]
mod tests {
    use geo::polygon;

    use super::*;

    fn square(name: &str, west: f64) -> FieldOutline {
        let (south, east, north) = (40.0, west + 0.01, 40.01);
        let ring = polygon![(x: west, y: south), (x: east, y: south), (x: east, y: north), (x: west, y: north)];
        FieldOutline { name: name.to_owned(), polygons: MultiPolygon(vec![ring]) }
    }

    #[test]
    fn a_sample_belongs_to_the_field_it_lies_in_or_is_nearest_to() {
        let fields = [square("a", -85.0), square("b", -84.985), square("c", -84.98)];
        let of = |x, y| belongs(Coord { x, y }, &fields);
        assert_eq!(of(-84.995, 40.005), FieldOfSample::In(vec![0]));
        assert_eq!(of(-84.977, 40.005), FieldOfSample::In(vec![1, 2]));
        assert!(matches!(of(-84.9895, 40.005), FieldOfSample::Near(0, _)));
        // Half a hundredth of a degree of longitude at 40 N: cos 40 x 556 m = 426 m.
        let FieldOfSample::Near(1, away) = of(-84.986, 40.005) else { panic!("b is nearer") };
        assert!((away.as_metres() - 85.2).abs() < 1.0, "{away:?}");
        assert_eq!(belongs(Coord { x: 0.0, y: 0.0 }, &[]), FieldOfSample::Nowhere);
        assert_eq!(of(f64::NAN, 40.0), FieldOfSample::Nowhere);
    }

    /// By hand: 0.01 degrees at 40 N are 854 m by 1110 m; with 25 samples each has a square of 195 m.
    #[test]
    fn the_reach_is_the_spacing() {
        let reach = square("a", -85.0).reach(25).as_metres();
        assert!((reach - 194.7).abs() < 1.0, "{reach}");
    }
}
