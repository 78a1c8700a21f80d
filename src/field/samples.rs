use std::ops::Deref;

use geo::{Contains, Coord, Distance, Euclidean, Geodesic, Point};

use super::merge::merge;
use super::{Boundary, RawSample, Sample, SampleError, outside, same_id};
use crate::faults::Faults;
use crate::units::Length;
use crate::warning::{OutsideSample, Warning};

/// Largest CEC that a soil has, meq/100 g; pure organic matter is about 200, peat soils under 100.
const MOST_CEC: f64 = 100.0;

/// The fewest samples that make a surface.
const FEWEST: usize = 3;

/// The samples of a field, sorted by easting, northing, CEC and id, so that nothing later depends
/// on the order of the source.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples(Vec<Sample>);

impl Samples {
    /// Checks samples against their field: see [`Samples::within`]. Outside the boundary a sample
    /// counts up to about one sample spacing.
    ///
    /// # Errors
    /// As [`Samples::within`].
    pub fn new(
        raw: Vec<RawSample>,
        boundary: &Boundary,
    ) -> Result<(Samples, Vec<Warning>), SampleError> {
        Self::within(raw, boundary, None)
    }

    /// Checks samples against their field; those farther outside its boundary than `reach` do not
    /// count. Also gives warnings: of samples outside, of those without CEC, which are left out, of
    /// those at one position, which are made one, and of ids that occur twice.
    ///
    /// # Errors
    /// When a CEC is not above 0 and at most 100, none lies inside, longitude and latitude have changed
    /// places, one id has different CEC at one position (within 1 cm), or fewer than 3 are left. All
    /// such faults are told.
    pub fn within(
        raw: Vec<RawSample>,
        boundary: &Boundary,
        reach: Option<Length>,
    ) -> Result<(Samples, Vec<Warning>), SampleError> {
        let (mut warnings, mut faults, mut located) = (Vec::new(), Faults::default(), Vec::new());
        let positions = positions(&raw, boundary);
        for (sample, position) in raw.into_iter().zip(positions) {
            match locate(&sample, position, boundary) {
                Ok(distance) => located.push((sample, position, distance)),
                Err(fault) => faults.push(fault),
            }
        }
        let is_inside =
            |(sample, _, away): &&(RawSample, _, f64)| sample.cec.is_some() && *away == 0.0;
        let inside = located.iter().filter(is_inside).count();
        let blank = located.iter().filter(|(.., away)| *away == 0.0).count();
        if inside == 0 && blank > 0 && faults.is_empty() {
            return Err(SampleError::NoResults { samples: blank });
        }
        if inside == 0 && faults.is_empty() {
            return Err(none_inside(&located, boundary));
        }
        let reach = outside::reach(reach, boundary, inside);
        let told = |sample: &RawSample, metres| OutsideSample {
            place: sample.shown(),
            distance: Length::metres(metres),
        };
        let (mut samples, mut near, mut far) = (Vec::new(), Vec::new(), Vec::new());
        for (sample, position, distance) in located {
            let Some(position) = position.filter(|_| distance <= reach.distance.as_metres()) else {
                far.push(told(&sample, distance));
                continue;
            };
            let Some(cec) = sample.cec else {
                warnings.push(Warning::NoCec { place: sample.shown() });
                continue;
            };
            if let Err(fault) = check_cec(cec, &sample) {
                faults.push(fault);
                continue;
            }
            if distance > 0.0 {
                near.push(told(&sample, distance));
            }
            let RawSample { id, place, wgs84, cations, esp, .. } = sample;
            samples.push(Sample { id, place, position, wgs84, cec, cations, esp });
        }
        warnings.extend(outside::warnings(near, far, reach));
        samples.sort_by(|a, b| {
            let (p, q) = (a.position, b.position);
            let ids = || a.id.cmp(&b.id).then_with(|| a.place.cmp(&b.place));
            p.x.total_cmp(&q.x)
                .then(p.y.total_cmp(&q.y))
                .then(a.cec.total_cmp(&b.cec))
                .then_with(ids)
        });
        let samples = merge(samples, &mut warnings, &mut faults);
        warnings.extend(same_id::warning(&samples));
        faults.all()?;
        if samples.len() < FEWEST {
            return Err(SampleError::TooFew { found: samples.len() });
        }
        Ok((Samples(samples), warnings))
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

/// How far away a sample may be for the frame to measure it: a few field widths, in meters.
fn reach(boundary: &Boundary) -> f64 {
    4.0 * boundary.width().as_metres() + 1000.0
}

/// The meters from a place to the middle of the field, on the ellipsoid.
fn away(at: Coord<f64>, boundary: &Boundary) -> f64 {
    Geodesic.distance(Point(at), Point(boundary.frame().centre()))
}

/// The samples' positions in the field's meters, all in one conversion; none for those out of reach.
pub(super) fn positions(raw: &[RawSample], boundary: &Boundary) -> Vec<Option<Coord<f64>>> {
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

/// Whether a place is far from the field, and near it with the other sign of its longitude.
fn on_the_other_side(at: Coord<f64>, boundary: &Boundary) -> bool {
    let meant = Coord { x: -at.x, y: at.y };
    at.y.abs() <= 90.0
        && away(at, boundary) > reach(boundary)
        && away(meant, boundary) <= reach(boundary)
}

/// How far outside the boundary a sample lies, in meters; 0 inside.
pub(super) fn locate(
    sample: &RawSample,
    position: Option<Coord<f64>>,
    boundary: &Boundary,
) -> Result<f64, SampleError> {
    let (place, at) = (sample.shown(), sample.wgs84);
    if !(at.x.is_finite() && at.y.is_finite() && at.x.abs() <= 180.0 && at.y.abs() <= 180.0) {
        return Err(SampleError::NotDegrees { place, longitude: at.x, latitude: at.y });
    }
    if on_the_other_side(at, boundary) {
        return Err(SampleError::OtherSide { place, longitude: at.x });
    }
    let swapped = boundary.wgs84().contains(&Coord { x: at.y, y: at.x });
    if at.y.abs() > 90.0 {
        // Not a latitude at all; if the other order is in the field, that is the thing to say.
        return Err(if swapped {
            SampleError::Swapped { place, longitude: at.x, latitude: at.y }
        } else {
            SampleError::NotDegrees { place, longitude: at.x, latitude: at.y }
        });
    }
    // Out of the frame's reach the geodesic measures.
    let distance = position.map_or_else(
        || away(at, boundary),
        |position| Euclidean.distance(&Point(position), boundary.local()),
    );
    let width = boundary.width().as_metres();
    if swapped && distance > width {
        return Err(SampleError::FarOutside { place, distance, width, swapped });
    }
    Ok(distance)
}

/// That no sample lies inside, and how far the first of them lies outside if that is far.
pub(super) fn none_inside(
    located: &[(RawSample, Option<Coord<f64>>, f64)],
    boundary: &Boundary,
) -> SampleError {
    let width = boundary.width().as_metres();
    match located.first() {
        None => SampleError::TooFew { found: 0 },
        Some((sample, _, distance)) if *distance > width => SampleError::FarOutside {
            place: sample.shown(),
            distance: *distance,
            width,
            swapped: false,
        },
        Some(_) => SampleError::NoneInside,
    }
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, polygon};

    use super::*;
    use crate::report::warnings::said as told;

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
    fn a_longitude_without_its_sign() {
        assert_eq!(
            with(sample(5, 85.195, 40.105, 8.0)).unwrap_err().to_string(),
            "samples.csv, row 5 (A5): found longitude 85.195, on the other side of the world; is -85.195 meant?"
        );
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
            "samples.csv, row 5 (A5): found CEC 128, expected at most 100 meq/100 g; is it in another unit? then write it into the header, or say cec_unit = \"mmol(c)/kg\""
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
            told(&warnings),
            [
                "samples.csv, row 2 (A2) and samples.csv, row 5 (A5): the same position with the same CEC; used once"
            ]
        );
    }

    /// By hand: the mean of 8, 9 and 13 is 10.
    #[test]
    fn twins_of_different_cec_are_averaged() {
        let mut raw = three();
        raw.push(sample(5, -85.198, 40.102_000_01, 9.0));
        raw.push(sample(6, -85.198, 40.102_000_02, 13.0));
        let (samples, warnings) = Samples::new(raw, &boundary()).unwrap();
        assert_eq!((samples.len(), samples[0].cec), (3, 10.0));
        assert_eq!(
            told(&warnings),
            [
                "samples.csv, row 2 (A2), samples.csv, row 5 (A5) and samples.csv, row 6 (A6) (CEC 8, 9 and 13, used: 10.00): within a centimeter of each other with different CEC; each place counts once, with the mean"
            ]
        );
    }

    #[test]
    fn one_id_with_two_values_at_one_place_is_a_fault_and_all_are_listed() {
        let mut raw = three();
        let again = |of: usize, row, cec| RawSample {
            cec: Some(cec),
            place: format!("samples.csv, row {row}"),
            ..three()[of].clone()
        };
        raw.extend([again(0, 5, 9.0), again(2, 6, 15.5), again(1, 7, 12.0)]);
        assert_eq!(
            Samples::new(raw, &boundary()).unwrap_err().to_string(),
            "samples.csv, row 2 (A2) and samples.csv, row 5 (A2) (CEC 8 and 9); samples.csv, row 6 (A4) and samples.csv, row 4 (A4) (CEC 15.5 and 16): the same id at the same position with different CEC; keep one of each"
        );
    }

    #[test]
    fn an_id_at_two_places_is_told() {
        let again = RawSample { id: " a3".to_owned(), ..sample(5, -85.195, 40.105, 9.0) };
        let (samples, warnings) = with(again).unwrap();
        assert_eq!(samples.len(), 4);
        assert_eq!(
            told(&warnings),
            [
                "ids that several samples have, at different places: \"a3\" (samples.csv, row 3 and samples.csv, row 5); all count, but check that none is mistyped or of another field"
            ]
        );
    }

    /// By hand: the field is 0.01 degrees square, 852.4 m by 1110.4 m at this latitude, and each of three
    /// samples has 0.315 km2 of it, a square of 561.7 m, 1843 ft.
    #[test]
    fn outside_counts_up_to_a_sample_spacing() {
        let (samples, warnings) = with(sample(5, -85.2005, 40.105, 9.0)).unwrap();
        assert_eq!(samples.len(), 4);
        assert_eq!(
            told(&warnings),
            [
                "1 sample counts though it lies outside the boundary, up to 1843 ft (562 m) (about one sample spacing): samples.csv, row 5 (A5), 140 ft (43 m)"
            ]
        );
        let (samples, warnings) = with(sample(5, -85.215, 40.105, -9.0)).unwrap();
        assert_eq!(samples.len(), 3);
        assert_eq!(
            told(&warnings),
            [
                "1 sample does not count, for it lies more than 1843 ft (562 m) (about one sample spacing) outside the boundary: samples.csv, row 5 (A5), 4196 ft (1279 m)"
            ]
        );
        let (_, warnings) = with(sample(5, -85.212, 40.105, 9.0)).unwrap();
        let offer = "; to count all of them, set samples_within = \"3360 ft\"";
        assert!(told(&warnings)[0].ends_with(offer), "{warnings:?}");
    }

    #[test]
    fn the_job_says_how_far_outside_counts() {
        let far = || three().into_iter().chain([sample(5, -85.215, 40.105, 9.0)]).collect();
        let within =
            |reach| Samples::within(far(), &boundary(), Some(Length::feet(reach))).unwrap();
        assert_eq!((within(4200.0).0.len(), within(4190.0).0.len()), (4, 3));
        assert!(told(&within(4200.0).1)[0].contains("up to 4200 ft (1280 m) (as the job says)"));
    }

    #[test]
    fn none_has_a_result() {
        let blank = three().into_iter().map(|sample| RawSample { cec: None, ..sample });
        assert_eq!(
            Samples::new(blank.collect(), &boundary()).unwrap_err().to_string(),
            "found no CEC in any of the 3 samples inside the boundary, expected results; fill in the laboratory's, or name the column that has them"
        );
    }

    #[test]
    fn none_inside() {
        let moved = |east: f64| -> String {
            let raw = three()
                .into_iter()
                .map(|s| RawSample { wgs84: Coord { x: s.wgs84.x + east, ..s.wgs84 }, ..s });
            Samples::new(raw.collect(), &boundary()).unwrap_err().to_string()
        };
        assert_eq!(
            moved(0.01),
            "found no sample inside the boundary, expected some; check that boundary and samples are of one field"
        );
        assert!(moved(0.1).ends_with(
            "more than the field's width of 3643 ft (1110 m); check the coordinate system and the field"
        ));
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
    fn all_faults_are_told() {
        let mut raw = three();
        raw.extend([5, 6, 7].map(|row| sample(row, -85.195, 40.105, -1.0)));
        assert_eq!(
            Samples::new(raw, &boundary()).unwrap_err().to_string(),
            "found 3 faults:\n  samples.csv, row 5 (A5): found CEC -1, expected more than 0 meq/100 g\n  samples.csv, row 6 (A6): found CEC -1, expected more than 0 meq/100 g\n  samples.csv, row 7 (A7): found CEC -1, expected more than 0 meq/100 g"
        );
    }
}
