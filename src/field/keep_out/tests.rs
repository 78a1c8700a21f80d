use geo::{Area as _, Contains, Distance, Euclidean, Point, polygon};

use super::*;
use crate::units::{System, Written};

/// About 500 m square.
fn field() -> Boundary {
    let square = polygon![(x: -85.2, y: 40.1), (x: -85.194, y: 40.1), (x: -85.194, y: 40.1045), (x: -85.2, y: 40.1045)];
    Boundary::new(MultiPolygon(vec![square]), "field.geojson").unwrap()
}

fn metres(distance: f64) -> Written<Length> {
    Written { value: Length::metres(distance), system: System::Metric }
}

/// A layer of features in the meters of the field's frame.
fn layer(number: usize, distance: f64, features: Vec<Feature>) -> KeepOutLayer {
    let mut features = features;
    let mut places: Vec<Coord<f64>> =
        features.iter().flat_map(|feature| feature.lines.iter().flatten().copied()).collect();
    field().frame().all_to_wgs84(&mut places).unwrap();
    let vertices = features.iter_mut().flat_map(|feature| feature.lines.iter_mut().flatten());
    vertices.zip(places).for_each(|(vertex, place)| *vertex = place);
    KeepOutLayer {
        called: format!("keep_out {number} (ditch.geojson)"),
        why: format!("cause {number}"),
        distance: metres(distance),
        features,
    }
}

fn line(pairs: &[(f64, f64)]) -> Feature {
    Feature::line(pairs.iter().map(|&(x, y)| Coord { x, y }).collect())
}

fn block(x: f64, y: f64, width: f64, height: f64) -> Feature {
    let corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)];
    Feature::polygon(vec![corners.map(|(x, y)| Coord { x, y }).to_vec()])
}

fn found(layers: Vec<KeepOutLayer>) -> (Vec<KeepOut>, Vec<String>) {
    let (found, warnings) = keep_outs(&field(), layers).unwrap();
    (found, crate::report::warnings::said(&warnings))
}

fn areas(keep_outs: &[KeepOut]) -> Vec<f64> {
    keep_outs.iter().map(|keep_out| keep_out.area.unsigned_area()).collect()
}

/// By hand: a ditch of 100 m by 20 m with half discs at its ends; the second crosses it at right
/// angles and has what the first has not.
#[test]
fn the_earlier_layer_has_the_ground() {
    let ditch = || layer(1, 10.0, vec![line(&[(-50.0, 0.0), (50.0, 0.0)])]);
    let drain = || layer(2, 10.0, vec![line(&[(0.0, -50.0), (0.0, 50.0)])]);
    let alone = 2000.0 + std::f64::consts::PI * 100.0;
    let (keep_outs, warnings) = found(vec![ditch(), drain()]);
    assert!(warnings.is_empty());
    let [first, second] = areas(&keep_outs)[..] else { panic!("{keep_outs:?}") };
    // Round ends are drawn at most 5 mm too wide on 62.8 m.
    assert!((0.0..0.32).contains(&(first - alone)), "{first}");
    assert!((0.0..0.32).contains(&(second - alone + 400.0)), "{second}");
    assert_eq!(keep_outs[1].area.0.len(), 2, "above and below the ditch");
    let (turned, _) = found(vec![drain(), ditch()]);
    assert_eq!((turned[0].why.as_str(), turned[1].why.as_str()), ("cause 2", "cause 1"));
    assert!((areas(&turned)[0] - first).abs() < 0.01);
}

#[test]
fn only_the_field_counts() {
    let boundary = field();
    let width = boundary.width().as_metres();
    // Through the field and far beyond it, and along its southern edge.
    let through = found(vec![layer(1, 10.0, vec![line(&[(0.0, -1e5), (0.0, 1e5)])])]).0;
    let height = boundary.local().unsigned_area() / width;
    assert!((areas(&through)[0] / (20.0 * height) - 1.0).abs() < 1e-3, "{}", areas(&through)[0]);
    let corners = &boundary.local().0[0].exterior().0;
    let edge = Feature::line(vec![corners[0], corners[1]]);
    let along = found(vec![layer(1, 10.0, vec![edge])]).0;
    assert!((areas(&along)[0] / (10.0 * width) - 1.0).abs() < 1e-3, "{}", areas(&along)[0]);
    // What is in another county is passed over.
    let far = (0..1000).map(|i| block(90_000.0 + 20.0 * f64::from(i), 0.0, 10.0, 10.0));
    let pond = block(20.0, 20.0, 50.0, 50.0);
    let layer = layer(1, 0.0, far.chain([pond]).collect());
    assert_eq!(local(&layer, &boundary, Length::ZERO).unwrap().len(), 1);
    assert!((areas(&found(vec![layer]).0)[0] - 2500.0).abs() < 0.01);
}

#[test]
fn layers_without_a_part_are_warned_of() {
    let warning = |layers| {
        let (keep_outs, warnings) = found(layers);
        assert_eq!(warnings.len(), 1, "{keep_outs:?}");
        warnings.into_iter().next().unwrap()
    };
    let mut away = layer(2, 0.0, vec![line(&[(900.0, 0.0), (900.0, 9.0)])]);
    away.distance = Written { value: Length::feet(35.0), system: System::Us };
    assert_eq!(
        warning(vec![away.clone()]),
        "keep_out 2 (ditch.geojson): no part within 35 ft of the field, so nothing is kept off; the nearest of it is 2953 ft from the field's middle; check the file"
    );
    away.distance = Written { value: Length::metres(10.668), system: System::Metric };
    assert_eq!(
        warning(vec![away]),
        "keep_out 2 (ditch.geojson): no part within 10.67 m of the field, so nothing is kept off; the nearest of it is 2953 ft from the field's middle; check the file"
    );
    assert_eq!(
        warning(vec![layer(1, 0.0, vec![line(&[(0.0, 0.0), (9.0, 0.0)])])]),
        "keep_out 1 (ditch.geojson): points and lines have no area; say a distance above 0 ft"
    );
    let (pond, well) = (block(0.0, 0.0, 50.0, 50.0), Feature::point(Coord { x: 25.0, y: 25.0 }));
    assert_eq!(
        warning(vec![layer(1, 0.0, vec![pond]), layer(2, 10.0, vec![well])]),
        "keep_out 2 (ditch.geojson): all of it within 10 m is kept out already"
    );
    // A neighbor that has an edge in common with the field, to the rounding of coordinates.
    let corners = &field().local().0[0].exterior().0.clone();
    let beyond = corners[0] + corners[0] - corners[3];
    let neighbour = Feature::polygon(vec![vec![corners[0], corners[1], beyond]]);
    let said = warning(vec![layer(1, 0.0, vec![neighbour])]);
    assert!(
        said.starts_with("keep_out 1 (ditch.geojson): no part within 0 m of the field"),
        "{said}"
    );
}

#[test]
fn faults() {
    let said = |layers| keep_outs(&field(), layers).unwrap_err().to_string();
    let lake = || block(-400.0, -400.0, 800.0, 800.0);
    assert_eq!(
        said(vec![layer(1, 10.0, vec![lake()])]),
        "keep_out 1 (ditch.geojson): the whole field is within 10 m, nothing is left to spread; check the file and the distance"
    );
    let half = block(-400.0, -400.0, 400.0, 800.0);
    assert_eq!(
        said(vec![
            layer(1, 1.0, vec![half]),
            layer(2, 260.0, vec![block(0.0, -400.0, 9.0, 800.0)])
        ]),
        "keep_out 2 (ditch.geojson): the whole field is within 260 m or kept out already, nothing is left to spread; check the file and the distance"
    );
    let mut feet = layer(3, 1.0, vec![lake()]);
    feet.features = vec![Feature::point(Coord { x: 653_427.0, y: 4_440_408.5 })];
    assert_eq!(
        said(vec![feet]),
        "keep_out 3 (ditch.geojson): found 653427.000000, 4440408.500000, expected longitude -180 to 180 and latitude -90 to 90; if the coordinates are feet or meters, say which coordinate system they are in (crs)"
    );
}

/// Random layers that cross and overlap: every area is sound, none has ground in common with
/// another, and together they are what lies near any of the features.
#[test]
fn whatever_the_layers() {
    let mut state = 3_u64;
    let mut random = || {
        // Knuth's MMIX generator.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let boundary = field();
    for round in 0..24_usize {
        let mut shapes = Vec::new();
        for number in 1..=3 {
            let count = [1, 2, 3, 5, 8, 12][round % 6];
            let places: Vec<Coord<f64>> = (0..count)
                .map(|_| Coord { x: 600.0 * random() - 300.0, y: 600.0 * random() - 300.0 })
                .collect();
            let filled = random() < 0.4 && count > 2;
            let feature = Feature { lines: vec![places], filled };
            shapes.push((number, 15.0 * random(), feature));
        }
        let layers =
            shapes.iter().map(|(n, distance, shape)| layer(*n, *distance, vec![shape.clone()]));
        let (keep_outs, _) = found(layers.collect());
        for keep_out in &keep_outs {
            assert!(keep_out.area.is_valid(), "{round}");
            assert!(
                keep_out.area.signed_area() > 0.0
                    && keep_out.area.0.iter().all(|p| p.signed_area() > 0.0)
            );
        }
        for _ in 0..300 {
            let at = Point::new(600.0 * random() - 300.0, 600.0 * random() - 300.0);
            let within = keep_outs.iter().filter(|keep_out| keep_out.area.contains(&at)).count();
            assert!(within <= 1, "{round}: {at:?}");
            // Within the feature's distance, by more than what is drawn too wide; negative inside.
            let depth = |(_, distance, shape): &(usize, f64, Feature)| {
                if shape.filled {
                    return None; // Self-crossing rings: what is inside is even-odd.
                }
                let apart = match &shape.lines[0][..] {
                    [only] => Euclidean.distance(&at, &Point(*only)),
                    line => Euclidean.distance(&at, &geo::LineString(line.to_vec())),
                };
                Some(distance - apart)
            };
            let depths: Option<Vec<f64>> = shapes.iter().map(depth).collect();
            if let Some(depths) = depths
                && boundary.local().contains(&at)
            {
                let deepest = depths.into_iter().fold(f64::NEG_INFINITY, f64::max);
                if deepest.abs() > 0.006 {
                    assert_eq!(within == 1, deepest > 0.0, "{round}: {at:?} by {deepest}");
                }
            }
        }
    }
}

#[test]
fn swapped_axes_are_seen() {
    let swapped = |at: &Coord<f64>| Coord { x: at.y, y: at.x };
    let mut ditch = layer(1, 5.0, vec![line(&[(0.0, 0.0), (9.0, 0.0)])]);
    for line in ditch.features.iter_mut().flat_map(|feature| &mut feature.lines) {
        *line = line.iter().map(swapped).collect();
    }
    let (kept_out, warnings) = found(vec![ditch]);
    assert!(kept_out.is_empty());
    assert!(warnings[0].ends_with("the other way round it is at the field"), "{}", warnings[0]);
    let beyond = KeepOutLayer {
        features: vec![Feature::point(Coord { x: 42.0, y: -93.0 })],
        ..layer(1, 5.0, vec![])
    };
    let said = keep_outs(&field(), vec![beyond]).unwrap_err().to_string();
    assert!(said.ends_with("longitude and latitude look swapped, longitude comes first"), "{said}");
}

/// One of two wells has its axes swapped: what is kept off is not all.
#[test]
fn a_swapped_feature_among_good_ones_is_seen() {
    let wells = layer(
        1,
        10.0,
        vec![Feature::point(Coord { x: 5.0, y: 5.0 }), Feature::point(Coord { x: -20.0, y: 8.0 })],
    );
    let mut one_swapped = wells.clone();
    for at in one_swapped.features[1].lines.iter_mut().flatten() {
        *at = Coord { x: at.y, y: at.x };
    }
    assert!(found(vec![wells]).1.is_empty());
    let (kept_out, warnings) = found(vec![one_swapped]);
    assert_eq!(kept_out.len(), 1);
    assert_eq!(warnings.len(), 1);
    assert!(
        warnings[0].contains("1 of 2 features have longitude and latitude swapped"),
        "{}",
        warnings[0]
    );
}
