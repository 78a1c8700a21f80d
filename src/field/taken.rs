use std::collections::BTreeSet;

use geo::{Coord, Distance, Euclidean, MultiPolygon, Point};

use super::samples::{locate, none_inside, positions};
use super::{Boundary, RawSample, SampleError};
use crate::faults::Faults;
use crate::units::Length;
use crate::warning::Warning;

/// How far off the ground that is sampled a place still counts: what a receiver is off by, and the
/// headland beside a fence (common practice, no source).
const OFF: Length = Length::feet(50.0);
/// Places nearer to each other are one, in meters.
const ONE: f64 = 1.0;

/// Places by their names.
type Places = Vec<(String, Coord<f64>)>;

/// Places that were sampled already, by name and WGS84 longitude and latitude, in the field's meters.
/// `ground` is what is sampled of the field; places off it do not count, nor does a second one at the
/// same place.
///
/// # Errors
/// When none lies in the field, or one is nowhere near it as it is written.
pub fn taken(
    places: Places,
    boundary: &Boundary,
    ground: &MultiPolygon<f64>,
) -> Result<(Places, Vec<Warning>), SampleError> {
    let raw: Vec<RawSample> = places
        .into_iter()
        .map(|(id, wgs84)| RawSample {
            place: "--taken".to_owned(),
            id,
            wgs84,
            cec: None,
            cations: None,
            esp: None,
        })
        .collect();
    let positions = positions(&raw, boundary);
    let mut faults = Faults::default();
    let mut located = Vec::new();
    for (sample, position) in raw.into_iter().zip(positions) {
        match locate(&sample, position, boundary) {
            Ok(distance) => located.push((sample, position, distance)),
            Err(fault) => faults.push(fault),
        }
    }
    faults.all()?;
    if located.iter().all(|(.., distance)| *distance > OFF.as_metres()) {
        return Err(none_inside(&located, boundary));
    }
    let (mut kept, mut off, mut twice) = (Vec::new(), Vec::new(), Vec::new());
    let mut known: BTreeSet<String> = BTreeSet::new();
    for (sample, position, _) in located {
        let on = |at: &Coord<f64>| Euclidean.distance(&Point(*at), ground) <= OFF.as_metres();
        let Some(at) = position.filter(on) else {
            off.push(sample.id);
            continue;
        };
        let is_there =
            |(_, other): &(String, Coord<f64>)| Euclidean.distance(Point(*other), Point(at)) < ONE;
        if kept.iter().any(is_there) {
            twice.push(sample.id);
            continue;
        }
        if !sample.id.is_empty() && !known.insert(sample.id.clone()) {
            twice.push(sample.id.clone());
        }
        kept.push((sample.id, at));
    }
    let mut warnings = Vec::new();
    if !off.is_empty() {
        warnings.push(Warning::TakenOffGround { ids: off, within: OFF });
    }
    if !twice.is_empty() {
        warnings.push(Warning::TakenTwice { ids: twice });
    }
    Ok((kept, warnings))
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, polygon};

    use super::*;

    /// A square of 0.01 degrees: 851 m by 1,110 m.
    fn boundary() -> Boundary {
        let square = polygon![(x: -85.2, y: 40.1), (x: -85.19, y: 40.1), (x: -85.19, y: 40.11), (x: -85.2, y: 40.11)];
        Boundary::new(MultiPolygon(vec![square]), "field.geojson").unwrap()
    }

    fn told(places: &[(&str, f64, f64)]) -> Result<(usize, Vec<Warning>), String> {
        let places = places.iter().map(|(id, x, y)| ((*id).to_owned(), Coord { x: *x, y: *y }));
        let boundary = boundary();
        let found = taken(places.collect(), &boundary, boundary.local());
        found.map(|(kept, told)| (kept.len(), told)).map_err(|error| error.to_string())
    }

    #[test]
    fn places_that_do_not_count_are_told() {
        let within = OFF;
        // 17 m and 13 m west of the fence.
        let (kept, warnings) = told(&[
            ("A", -85.195, 40.105),
            ("far", -85.2002, 40.105),
            ("near", -85.20015, 40.105),
            ("B", -85.195, 40.105),
            ("A", -85.196, 40.105),
            ("miles", -85.6, 40.105),
        ])
        .unwrap();
        assert_eq!(kept, 3);
        let names = |ids: &[&str]| ids.iter().map(|id| (*id).to_owned()).collect();
        assert_eq!(
            warnings,
            [
                Warning::TakenOffGround { ids: names(&["far", "miles"]), within },
                Warning::TakenTwice { ids: names(&["B", "A"]) },
            ]
        );
    }

    #[test]
    fn places_written_the_wrong_way_round_are_refused() {
        let said = told(&[("A", 40.105, -85.195)]).unwrap_err();
        assert!(said.contains("swapp"), "{said}");
        let said = told(&[("A", 85.195, 40.105), ("B", 85.196, 40.105)]).unwrap_err();
        assert!(said.contains("found longitude 85.195"), "{said}");
        let said = told(&[("A", -85.6, 40.105)]).unwrap_err();
        assert!(said.contains("more than the field's width"), "{said}");
    }
}
