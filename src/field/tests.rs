//! What a field knows of water.

use geo::{Coord, MultiPolygon, polygon};

use super::*;
use crate::geometry::Feature;
use crate::units::System;

/// About 512 m by 500 m, its frame's origin in the middle, with a square pond of 40 m there.
fn field() -> Field {
    let square = polygon![(x: -85.2, y: 40.1), (x: -85.194, y: 40.1), (x: -85.194, y: 40.1045), (x: -85.2, y: 40.1045)];
    let whole = Boundary::new(MultiPolygon(vec![square.clone()]), "field.geojson").unwrap();
    let pond = square_at(0.0, 0.0, 20.0).map(|at| whole.frame().to_wgs84(at).unwrap());
    let with_hole = geo::Polygon::new(square.into_inner().0, vec![pond.to_vec().into()]);
    let boundary = Boundary::new(MultiPolygon(vec![with_hole]), "field.geojson").unwrap();
    let wgs84 = || Coordinates { crs: "WGS 84".into(), accuracy: None };
    let sample = |x: f64| RawSample {
        id: String::new(),
        place: String::new(),
        wgs84: Coord { x: -85.197 + x, y: 40.103 },
        cec: Some(10.0),
        cations: None,
        esp: None,
    };
    let samples = [0.0, 0.001, 0.002].map(sample).to_vec();
    Field::new((boundary, wgs84()), (samples, wgs84()), vec![]).unwrap()
}

fn square_at(x: f64, y: f64, half: f64) -> [Coord<f64>; 5] {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
        .map(|(east, north)| Coord { x: x + east * half, y: y + north * half })
}

fn metres(distance: f64) -> Written<Length> {
    Written { value: Length::metres(distance), system: System::Metric }
}

/// A layer of features in the field's meters.
fn layer(why: &str, distance: f64, mut features: Vec<Feature>) -> KeepOutLayer {
    let frame = *field().boundary.frame();
    for at in features.iter_mut().flat_map(|feature| feature.lines.iter_mut().flatten()) {
        *at = frame.to_wgs84(*at).unwrap();
    }
    KeepOutLayer {
        called: why.to_owned(),
        why: why.to_owned(),
        distance: metres(distance),
        features,
    }
}

fn pond(distance: f64, why: &str) -> KeepOutLayer {
    layer(why, distance, vec![Feature::polygon(vec![square_at(0.0, 0.0, 20.0).to_vec()])])
}

fn ditch(distance: f64) -> KeepOutLayer {
    let line = vec![Coord { x: -600.0, y: 100.0 }, Coord { x: 600.0, y: 100.0 }];
    layer("ditch", distance, vec![Feature::line(line)])
}

fn well(distance: f64) -> KeepOutLayer {
    layer("well", distance, vec![Feature::point(Coord { x: 150.0, y: -100.0 })])
}

/// By hand: the ditch crosses all of the field's 511.6 m, the well is one point, and half of a slab of
/// 20 m by 20 m on the eastern edge is 200 m².
#[test]
fn what_only_piles_keep_from_is_spread_over() {
    let slab = Feature::polygon(vec![square_at(255.8, 0.0, 10.0).to_vec()]);
    let setbacks = [ditch(60.0), well(60.0), layer("slab", 60.0, vec![slab]), pond(60.0, "pond")];
    let bare = field().with_site(&setbacks, None).unwrap();
    let over = bare.spread_over();
    let called: Vec<&str> = over.iter().map(|layer| layer.called.as_str()).collect();
    assert_eq!(called, ["ditch", "well", "slab"], "the pond is no ground of the field");
    assert!((over[0].length.as_metres() - 511.6).abs() < 0.5, "{over:?}");
    assert_eq!((over[1].points, over[1].length), (1, Length::ZERO));
    assert!((over[2].area.as_square_metres() - 200.0).abs() < 2.0, "{over:?}");
    let kept = field().keeping_out(vec![ditch(10.0), well(30.0)]).unwrap();
    let over = kept.with_site(&setbacks, None).unwrap().spread_over();
    assert_eq!(over.len(), 1, "{over:?}");
}

#[test]
fn a_hole_is_asked_about_until_something_is_said() {
    let bare = field().bare_holes();
    assert_eq!(bare.len(), 1);
    assert!((bare[0].area.as_square_metres() - 1600.0).abs() < 1.0, "{bare:?}");
    assert!(field().with_hole_setback(Some(metres(0.0))).bare_holes().is_empty());
    assert!(field().keeping_out(vec![pond(10.0, "pond")]).unwrap().bare_holes().is_empty());
    // A ditch that only passes one side of it does not stand around it.
    let beside = vec![Coord { x: -30.0, y: 25.0 }, Coord { x: 30.0, y: 25.0 }];
    let beside = layer("ditch", 10.0, vec![Feature::line(beside)]);
    assert_eq!(field().keeping_out(vec![beside]).unwrap().bare_holes().len(), 1);
}

/// By hand: a rim of 10 m around a square of 40 m is 4 x 40 x 10 + pi x 10² = 1914.2 m².
#[test]
fn a_hole_setback_is_kept_out() {
    use geo::Area as _;
    let kept = field().with_hole_setback(Some(metres(10.0))).keeping_out(vec![]).unwrap();
    let [rim] = &kept.keep_outs[..] else { panic!("{:?}", kept.keep_outs) };
    assert_eq!(rim.why, HOLE);
    assert!((rim.area.unsigned_area() - 1914.2).abs() < 0.5, "{}", rim.area.unsigned_area());
    assert!(kept.bare_holes().is_empty() && kept.warnings.is_empty());
}

#[test]
fn piles_keep_from_water_that_is_known_otherwise() {
    let setbacks = |field: Field, stated: &[KeepOutLayer]| {
        let site = field.with_site(stated, None).unwrap().site.unwrap();
        let told = site.setbacks.iter().map(|setback| {
            (setback.why.clone(), setback.distance.as_feet().round(), setback.is_stated)
        });
        told.collect::<Vec<_>>()
    };
    let usual = |why: &str| (why.to_owned(), 200.0, false);
    assert_eq!(setbacks(field(), &[]), [usual(HOLE)]);
    let kept = |layers| field().keeping_out(layers).unwrap();
    assert_eq!(setbacks(kept(vec![ditch(10.0)]), &[]), [usual("ditch"), usual(HOLE)]);
    // A keep-out says what the hole is, and so does a setback; the job's own distance counts.
    assert_eq!(setbacks(kept(vec![pond(10.0, "pond")]), &[]), [usual("pond")]);
    assert_eq!(setbacks(kept(vec![pond(10.0, "farmyard")]), &[]), []);
    let stated = setbacks(kept(vec![pond(10.0, "pond"), well(30.0)]), &[pond(45.72, "pond")]);
    assert_eq!(stated, [("pond".to_owned(), 150.0, true), usual("well")]);
}
