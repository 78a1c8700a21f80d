use std::ops::Deref;

use geo::{Contains, Coord, Distance, Euclidean, Geodesic, Point};

use super::merge::merge;
use super::{Boundary, RawSample, Sample, SampleError};
use crate::units::Length;
use crate::warning::Warning;

/// Largest CEC that a soil has, meq/100 g; pure organic matter is about 200, peat soils under 100.
const MOST_CEC: f64 = 100.0;

/// The fewest samples that make a surface.
const FEWEST: usize = 3;

/// The samples of a field, sorted by easting, northing, CEC and id, so that nothing later depends
/// on the order of the source.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples(Vec<Sample>);

impl Samples {
    /// Checks samples against their field. Also gives warnings: samples without CEC are left out,
    /// those at the same place with the same CEC are merged, those outside the boundary are kept.
    ///
    /// # Errors
    /// When a CEC is not above 0 and at most 100, a sample lies farther outside the boundary than
    /// the field is wide, none lies inside, two at one position (within 1 cm) differ, or fewer than 3 are left. The
    /// first fault is told with the number of others.
    pub fn new(
        raw: Vec<RawSample>,
        boundary: &Boundary,
    ) -> Result<(Samples, Vec<Warning>), SampleError> {
        let (mut warnings, mut faults, mut samples) = (Vec::new(), Vec::new(), Vec::new());
        let mut any_inside = false;
        let positions = positions(&raw, boundary);
        for (sample, position) in raw.into_iter().zip(positions) {
            let Some(cec) = sample.cec else {
                warnings.push(Warning::NoCec { place: sample.shown() });
                continue;
            };
            let mut located = || locate(&sample, position, boundary, &mut warnings);
            match check_cec(cec, &sample).and_then(|()| located()) {
                Err(fault) => faults.push(fault),
                Ok((position, inside)) => {
                    any_inside |= inside;
                    let RawSample { id, place, wgs84, cations, esp, .. } = sample;
                    samples.push(Sample { id, place, position, wgs84, cec, cations, esp });
                }
            }
        }
        samples.sort_by(|a, b| {
            let (p, q) = (a.position, b.position);
            let ids = || a.id.cmp(&b.id).then_with(|| a.place.cmp(&b.place));
            p.x.total_cmp(&q.x)
                .then(p.y.total_cmp(&q.y))
                .then(a.cec.total_cmp(&b.cec))
                .then_with(ids)
        });
        let samples = merge(samples, &mut warnings, &mut faults);
        let others = faults.len().saturating_sub(1);
        match faults.into_iter().next() {
            Some(first) if others == 0 => Err(first),
            Some(first) => Err(SampleError::Several { first: Box::new(first), others }),
            None if samples.len() < FEWEST => Err(SampleError::TooFew { found: samples.len() }),
            None if !any_inside => Err(SampleError::NoneInside),
            None => Ok((Samples(samples), warnings)),
        }
    }
}

impl Deref for Samples {
    type Target = [Sample];

    fn deref(&self) -> &[Sample] {
        &self.0
    }
}

fn check_cec(cec: f64, sample: &RawSample) -> Result<(), SampleError> {
    if cec.is_nan() || cec <= 0.0 {
        Err(SampleError::NotPositive { place: sample.shown(), value: cec })
    } else if cec > MOST_CEC {
        Err(SampleError::TooHigh { place: sample.shown(), value: cec })
    } else {
        Ok(())
    }
}

/// How far away a sample may be for the frame to measure it: a few field widths, in metres.
fn reach(boundary: &Boundary) -> f64 {
    4.0 * boundary.width().as_metres() + 1000.0
}

/// The metres from a place to the middle of the field, on the ellipsoid.
fn away(at: Coord<f64>, boundary: &Boundary) -> f64 {
    Geodesic.distance(Point(at), Point(boundary.frame().centre()))
}

/// The samples' positions in the field's metres, all in one conversion; none for those out of reach.
fn positions(raw: &[RawSample], boundary: &Boundary) -> Vec<Option<Coord<f64>>> {
    let near = |at: &Coord<f64>| {
        at.x.abs() <= 180.0 && at.y.abs() <= 90.0 && away(*at, boundary) <= reach(boundary)
    };
    let mut places: Vec<Coord<f64>> = raw.iter().map(|sample| sample.wgs84).filter(near).collect();
    let converted = boundary.frame().all_to_local(&mut places).is_ok();
    let mut places = places.into_iter();
    raw.iter()
        .map(|sample| near(&sample.wgs84).then(|| places.next()).flatten().filter(|_| converted))
        .collect()
}

/// The position in the field's metres, if it is near enough to belong to the field, and whether it
/// is inside.
fn locate(
    sample: &RawSample,
    position: Option<Coord<f64>>,
    boundary: &Boundary,
    warnings: &mut Vec<Warning>,
) -> Result<(Coord<f64>, bool), SampleError> {
    let (place, at) = (sample.shown(), sample.wgs84);
    if !(at.x.is_finite() && at.y.is_finite() && at.x.abs() <= 180.0 && at.y.abs() <= 180.0) {
        return Err(SampleError::NotDegrees { place, longitude: at.x, latitude: at.y });
    }
    let width = boundary.width().as_metres();
    let swapped = boundary.wgs84().contains(&Coord { x: at.y, y: at.x });
    if at.y.abs() > 90.0 {
        // Not a latitude at all; if the other order is in the field, that is the thing to say.
        return Err(if swapped {
            SampleError::Swapped { place, longitude: at.x, latitude: at.y }
        } else {
            SampleError::NotDegrees { place, longitude: at.x, latitude: at.y }
        });
    }
    let far = |distance| SampleError::FarOutside { place: place.clone(), distance, width, swapped };
    // Out of the frame's reach the geodesic measures.
    let position = position.ok_or_else(|| far(away(at, boundary)))?;
    let distance = Euclidean.distance(&Point(position), boundary.local());
    if distance > width {
        return Err(far(distance));
    }
    if distance > 0.0 {
        let distance = Length::metres(distance);
        warnings.push(Warning::SampleOutside { place, distance });
    }
    Ok((position, distance == 0.0))
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, polygon};

    use super::*;

    fn boundary() -> Boundary {
        let square = polygon![(x: -85.2, y: 40.1), (x: -85.19, y: 40.1), (x: -85.19, y: 40.11), (x: -85.2, y: 40.11)];
        Boundary::new(MultiPolygon(vec![square]), "field.geojson").unwrap()
    }

    fn sample(row: usize, x: f64, y: f64, cec: f64) -> RawSample {
        RawSample {
            id: format!("A{row}"),
            place: format!("samples.csv, row {row}"),
            wgs84: Coord { x, y },
            cec: Some(cec),
            cations: None,
            esp: None,
        }
    }

    fn three() -> Vec<RawSample> {
        vec![
            sample(2, -85.198, 40.102, 8.0),
            sample(3, -85.192, 40.102, 12.0),
            sample(4, -85.195, 40.108, 16.0),
        ]
    }

    fn with(extra: RawSample) -> Result<(Samples, Vec<Warning>), SampleError> {
        let mut raw = three();
        raw.push(extra);
        Samples::new(raw, &boundary())
    }

    fn said(extra: RawSample) -> String {
        with(extra).unwrap_err().to_string()
    }

    #[test]
    fn order_of_the_source_does_not_matter() {
        let (samples, warnings) = Samples::new(three(), &boundary()).unwrap();
        let turned = Samples::new(three().into_iter().rev().collect(), &boundary()).unwrap();
        assert_eq!((samples.clone(), warnings), turned);
        assert_eq!(samples[0].id, "A2");
        assert_eq!(samples[0].wgs84, Coord { x: -85.198, y: 40.102 });
    }

    #[test]
    fn cec_out_of_range() {
        for value in [0.0, -3.5, f64::NAN] {
            assert_eq!(
                said(sample(5, -85.195, 40.105, value)),
                format!(
                    "samples.csv, row 5 (A5): found CEC {value}, expected more than 0 meq/100 g"
                )
            );
        }
        assert_eq!(
            said(sample(5, -85.195, 40.105, 128.0)),
            "samples.csv, row 5 (A5): found CEC 128, expected at most 100 meq/100 g; is it in another unit?"
        );
    }

    #[test]
    fn missing_cec_is_left_out() {
        let (samples, warnings) =
            with(RawSample { cec: None, ..sample(5, -85.195, 40.105, 0.0) }).unwrap();
        assert_eq!(samples.len(), 3);
        assert_eq!(warnings, [Warning::NoCec { place: "samples.csv, row 5 (A5)".to_owned() }]);
    }

    #[test]
    fn too_few() {
        let one = three().into_iter().take(1).collect();
        let said = Samples::new(one, &boundary()).unwrap_err().to_string();
        assert_eq!(said, "found 1 usable sample, expected at least 3");
        assert_eq!(
            Samples::new(vec![], &boundary()).unwrap_err().to_string(),
            "found 0 usable samples, expected at least 3"
        );
    }

    #[test]
    fn duplicates() {
        let (samples, warnings) = with(sample(5, -85.198, 40.102_000_01, 8.0)).unwrap();
        assert_eq!(samples.len(), 3);
        assert_eq!(
            warnings,
            [Warning::SameSampleTwice {
                first: "samples.csv, row 2 (A2)".to_owned(),
                second: "samples.csv, row 5 (A5)".to_owned(),
            }]
        );
        assert_eq!(
            said(sample(5, -85.198, 40.102, 9.0)),
            "samples.csv, row 2 (A2) and samples.csv, row 5 (A5): the same position with different CEC, 8 and 9; keep one of them"
        );
    }

    #[test]
    fn outside_is_a_warning_and_far_outside_an_error() {
        let (samples, warnings) = with(sample(5, -85.2005, 40.105, 9.0)).unwrap();
        assert_eq!(samples.len(), 4);
        let [Warning::SampleOutside { place, distance }] = &warnings[..] else { panic!() };
        assert_eq!(place, "samples.csv, row 5 (A5)");
        // 0.0005 degrees of longitude at 40.105 N, on the ellipsoid's parallel.
        assert!((distance.as_metres() - 42.6).abs() < 0.1, "{distance:?}");
        assert_eq!(
            said(sample(5, -85.22, 40.105, 9.0)),
            "samples.csv, row 5 (A5): the sample lies 5595 ft (1705 m) outside the boundary, more than the field's width of 3643 ft (1110 m); check the coordinate system and the field"
        );
    }

    #[test]
    fn swapped_positions_say_so() {
        let said = said(sample(5, 40.105, -85.195, 9.0));
        assert!(
            said.ends_with("swapping longitude and latitude would put it inside the field"),
            "{said}"
        );
        assert_eq!(
            self::said(sample(5, 40.105, -285.195, 9.0)),
            "samples.csv, row 5 (A5): found a position that is not a longitude and latitude: 40.105, -285.195"
        );
    }

    #[test]
    fn several_faults_are_counted() {
        let mut raw = three();
        raw.extend([5, 6, 7].map(|row| sample(row, -85.195, 40.105, -1.0)));
        assert_eq!(
            Samples::new(raw, &boundary()).unwrap_err().to_string(),
            "samples.csv, row 5 (A5): found CEC -1, expected more than 0 meq/100 g; and 2 more faults"
        );
    }
}
