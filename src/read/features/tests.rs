use std::io::Cursor;

use shapefile::record::EsriShape;
use shapefile::{Multipoint, PointZ, PolygonRing, PolygonZ, Polyline, ShapeWriter};

use super::*;
use crate::projection::wgs84_prj;
use crate::read::shapefile::tests::point_shp;

fn json(text: &str) -> Result<Read<Vec<Feature>>, ReadError> {
    features(&Source::of("ditch.geojson", text), &FeatureSettings::default())
}

fn at(pairs: &[(f64, f64)]) -> Vec<Coord<f64>> {
    pairs.iter().map(|&(x, y)| Coord { x, y }).collect()
}

#[test]
fn every_kind_of_geojson() {
    let read = json(
        r#"{"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": null, "geometry": null},
        {"type": "Feature", "properties": null, "geometry": {"type": "GeometryCollection", "geometries": [
            {"type": "Point", "coordinates": [1, 2, 230]},
            {"type": "MultiPoint", "coordinates": [[3, 4], [5, 6]]},
            {"type": "LineString", "coordinates": [[1, 1, 9], [2, 2, 9]]},
            {"type": "MultiLineString", "coordinates": [[[1, 1], [2, 2]], [[3, 3], [4, 4]]]}]}},
        {"type": "Feature", "properties": null, "geometry":
            {"type": "Polygon", "coordinates": [[[0, 0], [9, 0], [9, 9], [0, 0]], [[5, 1], [6, 1], [6, 2], [5, 1]]]}},
        {"type": "Feature", "properties": null, "geometry":
            {"type": "MultiPolygon", "coordinates": [[[[0, 0], [9, 0], [9, 9], [0, 0]]]]}}]}"#,
    )
    .unwrap();
    let outer = at(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 0.0)]);
    let hole = at(&[(5.0, 1.0), (6.0, 1.0), (6.0, 2.0), (5.0, 1.0)]);
    assert_eq!(
        read.value,
        [
            Feature::point(Coord { x: 1.0, y: 2.0 }),
            Feature::point(Coord { x: 3.0, y: 4.0 }),
            Feature::point(Coord { x: 5.0, y: 6.0 }),
            Feature::line(at(&[(1.0, 1.0), (2.0, 2.0)])),
            Feature::line(at(&[(1.0, 1.0), (2.0, 2.0)])),
            Feature::line(at(&[(3.0, 3.0), (4.0, 4.0)])),
            Feature::polygon(vec![outer.clone(), hole]),
            Feature::polygon(vec![outer]),
        ]
    );
    assert_eq!(read.coordinates.crs, "WGS 84");
}

fn shp<S: EsriShape>(shapes: &[S]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    ShapeWriter::new(&mut bytes).write_shapes(shapes).unwrap();
    bytes.into_inner()
}

#[test]
fn every_kind_of_shapefile() {
    let read = |bytes: Vec<u8>| {
        let source = Source::of("ditch.shp", bytes).with("prj", wgs84_prj());
        features(&source, &FeatureSettings::default()).unwrap().value
    };
    let xy = |x, y| shapefile::Point::new(x, y);
    assert_eq!(
        read(point_shp(&[(1.0, 2.0), (3.0, 4.0)])),
        [(1.0, 2.0), (3.0, 4.0)].map(|(x, y)| Feature::point(Coord { x, y }))
    );
    assert_eq!(
        read(shp(&[Multipoint::new(vec![xy(1.0, 2.0), xy(3.0, 4.0)])])),
        [(1.0, 2.0), (3.0, 4.0)].map(|(x, y)| Feature::point(Coord { x, y }))
    );
    let parts = vec![vec![xy(1.0, 1.0), xy(2.0, 2.0)], vec![xy(3.0, 3.0), xy(4.0, 4.0)]];
    assert_eq!(
        read(shp(&[Polyline::with_parts(parts)])),
        [
            Feature::line(at(&[(1.0, 1.0), (2.0, 2.0)])),
            Feature::line(at(&[(3.0, 3.0), (4.0, 4.0)]))
        ]
    );
    let corner = |x, y| PointZ::new(x, y, 230.0, 0.0);
    let ring = vec![corner(0.0, 0.0), corner(0.0, 9.0), corner(9.0, 9.0), corner(0.0, 0.0)];
    let found = read(shp(&[PolygonZ::new(PolygonRing::Outer(ring))]));
    let ring = at(&[(0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (0.0, 0.0)]);
    assert_eq!(found, [Feature::polygon(vec![ring])]);
}

#[cfg(feature = "proj")]
#[test]
fn coordinates_are_converted() {
    // The origin of EPSG:2965: 37°30' N, 85°40' W at 328083.333 ft E, 820208.333 ft N.
    let point = r#"{"type": "Point", "coordinates": [328083.333, 820208.333]}"#;
    let read = features(
        &Source::of("well.geojson", point),
        &FeatureSettings { crs: Some("EPSG:2965".to_owned()), ..FeatureSettings::default() },
    )
    .unwrap();
    let [Feature { lines, filled: false }] = &read.value[..] else { panic!("{read:?}") };
    let place = lines[0][0];
    assert!((place.x + 85.0 + 40.0 / 60.0).abs() < 1e-8 && (place.y - 37.5).abs() < 1e-8);
    let bare = Source::of("well.shp", point_shp(&[(1.0, 2.0)]));
    assert_eq!(
        features(&bare, &FeatureSettings::default()).unwrap_err().to_string(),
        "well.shp: found no .prj file beside it and no crs setting; add the .prj file, or say which coordinate system it is in, such as crs = \"EPSG:4326\""
    );
}

#[test]
fn faults() {
    let said = |text| json(text).unwrap_err().to_string();
    let none = "ditch.geojson: found no features, expected points, lines or polygons to keep from";
    assert_eq!(said(r#"{"type": "FeatureCollection", "features": []}"#), none);
    assert_eq!(said(r#"{"type": "LineString", "coordinates": []}"#), none);
    assert_eq!(
        said(r#"{"type": "Point", "coordinates": [1]}"#),
        "ditch.geojson: the content is not GeoJSON: A position must contain two or more elements, but got `1`"
    );
    assert_eq!(
        features(&Source::of("ditch.csv", "x"), &FeatureSettings::default())
            .unwrap_err()
            .to_string(),
        "ditch.csv: found a text table, expected points, lines or polygons as .geojson, .json, .shp, .zip, .kml, .kmz, .gpkg, .xml"
            .replace(" .gpkg,", if cfg!(feature = "geopackage") { " .gpkg," } else { "" })
    );
}
