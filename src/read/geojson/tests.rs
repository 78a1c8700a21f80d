use super::*;
use crate::read::sheets::TableSearch;
use crate::read::{BoundarySettings, boundary, formats};

const RING: &str = "[[-85.2,40.1],[-85.19,40.1],[-85.19,40.11],[-85.2,40.11],[-85.2,40.1]]";

fn said(json: &str) -> String {
    boundary(&Source::of("f.geojson", json), &BoundarySettings::default()).unwrap_err().to_string()
}

#[test]
fn every_way_to_hold_polygons() {
    let polygon = format!("{{\"type\":\"Polygon\",\"coordinates\":[{RING}]}}");
    let multi = format!("{{\"type\":\"MultiPolygon\",\"coordinates\":[[{RING}]]}}");
    let bag = format!("{{\"type\":\"GeometryCollection\",\"geometries\":[{polygon}]}}");
    let feature = format!("{{\"type\":\"Feature\",\"properties\":null,\"geometry\":{multi}}}");
    let features = format!("{{\"type\":\"FeatureCollection\",\"features\":[{feature}]}}");
    for json in [polygon, multi, bag, feature, features] {
        let source = Source::of("f.geojson", format!("\u{feff}{json}"));
        let read = boundary(&source, &BoundarySettings::default()).unwrap();
        assert_eq!(read.value.wgs84().0[0].exterior().0.len(), 5, "{json}");
        assert_eq!(read.coordinates.crs, "WGS 84");
    }
}

#[test]
fn degrees_stay_bit_for_bit() {
    let odd = "-85.12345678901234567";
    let json = format!(
        "{{\"type\":\"Polygon\",\"coordinates\":[[[{odd},40.1],[-85.1,40.100000000000001],[-85.1,40.11],[{odd},40.1]]]}}"
    );
    let read = boundary(&Source::of("f.json", json), &BoundarySettings::default()).unwrap();
    let first = read.value.wgs84().0[0].exterior().0[0];
    assert_eq!(first, Coord { x: odd.parse().unwrap(), y: 40.1 });
}

#[test]
fn a_crs_member_is_honoured() {
    let ring =
        "[[653427.4,4440408.9],[654427.4,4440408.9],[654427.4,4441408.9],[653427.4,4440408.9]]";
    let json = |name: &str| {
        format!(
            "{{\"type\":\"Polygon\",\"crs\":{{\"type\":\"name\",\"properties\":{{\"name\":\"{name}\"}}}},\"coordinates\":[{ring}]}}"
        )
    };
    for name in ["urn:ogc:def:crs:EPSG::32616", "EPSG:32616"] {
        let source = Source::of("f.json", json(name));
        let read = boundary(&source, &BoundarySettings::default()).unwrap();
        let first = read.value.wgs84().0[0].exterior().0[0];
        assert!((first.x + 85.2).abs() < 1e-5 && (first.y - 40.1).abs() < 1e-5, "{first:?}");
        assert_eq!(read.coordinates.crs, "WGS 84 / UTM zone 16N (EPSG:32616)");
        let settings =
            BoundarySettings { crs: Some("EPSG:32617".to_owned()), ..BoundarySettings::default() };
        let read = boundary(&source, &settings).unwrap();
        assert!(
            crate::report::warnings::said(&read.warnings)[0]
                .ends_with(" m apart; the setting is used"),
            "{:?}",
            read.warnings
        );
    }
    #[cfg(feature = "proj")]
    assert_eq!(
        said(&json("urn:x:nowhere")),
        "f.geojson, member \"crs\": \"urn:x:nowhere\": found no coordinate system of that name, expected one such as \"EPSG:4326\" or \"EPSG:2965\"; check the code"
    );
    assert_eq!(
        said("{\"type\":\"Polygon\",\"crs\":{},\"coordinates\":[]}"),
        "f.geojson, member \"crs\": found no properties.name, expected one such as \"urn:ogc:def:crs:EPSG::4326\""
    );
}

#[test]
fn what_is_no_boundary() {
    assert_eq!(
        said("{\"type\":\"Point\",\"coordinates\":[1,2]}"),
        "f.geojson: found a Point, expected polygons"
    );
    assert_eq!(
        said(
            "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{},\"geometry\":null}]}"
        ),
        "f.geojson: found no polygon, expected a field boundary"
    );
    assert_eq!(
        said("{\"type\":\"FeatureCollection\",\"features\":[]}"),
        "f.geojson: found no polygon, expected a field boundary"
    );
    assert_eq!(
        said("{\"type\":\"Polygon\",\"coordinates\":[[[1],[2],[3],[1]]]}"),
        "f.geojson: found a position of 1 numbers, expected longitude and latitude"
    );
    assert!(said("{\"type\":\"Shape\"}").starts_with("f.geojson: the content is not GeoJSON: "));
    let open = RING.replace(",[-85.2,40.1]]", "]");
    assert_eq!(
        said(&format!("{{\"type\":\"Polygon\",\"coordinates\":[{open}]}}")),
        "f.geojson, part 1, outer ring: the ring is not closed, it starts at -85.200000, 40.100000 and ends at -85.200000, 40.110000; repeat the first point at the end"
    );
}

#[test]
fn points_with_properties() {
    let json = "{\"type\":\"FeatureCollection\",\"features\":[
        {\"type\":\"Feature\",\"properties\":{\"id\":7.0,\"CEC\":12.50},\"geometry\":{\"type\":\"Point\",\"coordinates\":[-85.2,40.1,230]}},
        {\"type\":\"Feature\",\"properties\":{\"CEC\":null,\"note\":\"wet\"},\"geometry\":null}]}";
    let table =
        formats::table(&Source::of("s.geojson", json), None, &TableSearch::default()).unwrap();
    assert_eq!(table.columns, ["id", "CEC", "note"]);
    assert_eq!(table.rows[0].cells, ["7", "12.5", ""]);
    assert_eq!(table.rows[1].cells, ["", "", "wet"]);
    assert_eq!(table.points.unwrap().coords, [Some(Coord { x: -85.2, y: 40.1 }), None]);
}
