use crate::read::sheets::TableSearch;
use std::io::{Cursor, Write};

use geo::Coord;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::*;
use crate::geometry::Feature;
use crate::read::{
    BoundarySettings, FeatureSettings, ZoneFile, boundary, features, formats, zone_file,
};

const RING: &str = "-85.2,40.1 -85.19,40.1,230\n-85.19,40.11 -85.2,40.11 -85.2,40.1";

fn kml(inner: &str) -> Source {
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><name>farm</name>{inner}</Document></kml>"
    );
    Source::of("farm.kml", text)
}

fn polygon(name: &str, more: &str) -> String {
    format!(
        "<Placemark><name>{name}</name>{more}<Polygon><outerBoundaryIs><LinearRing><coordinates>{RING}</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
    )
}

fn said(inner: &str) -> String {
    boundary(&kml(inner), &BoundarySettings::default()).unwrap_err().to_string()
}

#[test]
fn a_boundary_with_a_hole_in_any_order() {
    let hole = "<innerBoundaryIs><LinearRing><coordinates>-85.198,40.102 -85.197,40.102 -85.197,40.103 -85.198,40.102</coordinates></LinearRing></innerBoundaryIs>";
    let text =
        polygon("North &amp; <![CDATA[South]]>", "").replace("<outer", &format!("{hole}<outer"));
    let text = text.replace("Polygon>", "k:Polygon>");
    let read = boundary(&kml(&text), &BoundarySettings::default()).unwrap();
    let part = &read.value.wgs84().0[0];
    assert_eq!(part.exterior().0[0], Coord { x: -85.2, y: 40.1 });
    assert_eq!((part.exterior().0.len(), part.interiors().len()), (5, 1));
    assert_eq!(read.coordinates.crs, "WGS 84");
}

/// KML 2.2, 9.3: `Data` have untyped values, `SimpleData` those of a schema.
#[test]
fn attributes_are_columns() {
    let point = |data: &str| {
        format!(
            "<Placemark><name>A&#49;</name><ExtendedData>{data}</ExtendedData><Point><coordinates>-85.2,40.1</coordinates></Point></Placemark>"
        )
    };
    let one = point("<Data name=\"CEC\"><displayName>x</displayName><value>12.5</value></Data>");
    let two = point(
        "<SchemaData schemaUrl=\"#s\"><SimpleData name=\"K (ppm)\">100</SimpleData></SchemaData>",
    );
    let table = formats::table(&kml(&(one + &two)), None, &TableSearch::default()).unwrap();
    assert_eq!(table.columns, ["name", "CEC", "K (ppm)"]);
    assert_eq!(table.rows[0].cells, ["A1", "12.5", ""]);
    assert_eq!(table.rows[1].cells, ["A1", "", "100"]);
    assert_eq!(table.rows[1].place, "farm.kml, placemark 2 (\"A1\")");
    assert_eq!(table.points.unwrap().coords[0], Some(Coord { x: -85.2, y: 40.1 }));
}

#[test]
fn every_kind_of_feature_and_folders() {
    let all = "<Folder><name>Water</name><Placemark><MultiGeometry>
        <Point><coordinates>1,2,230</coordinates></Point>
        <LineString><coordinates>1,1 2,2</coordinates></LineString></MultiGeometry></Placemark></Folder>
        <Folder><name>Other</name><Placemark><LinearRing><coordinates>1,1 2,2 2,1 1,1</coordinates></LinearRing></Placemark></Folder>";
    let line =
        |pairs: &[(f64, f64)]| Feature::line(pairs.iter().map(|&(x, y)| Coord { x, y }).collect());
    let read = |layer: Option<&str>| {
        let settings =
            FeatureSettings { layer: layer.map(str::to_owned), ..FeatureSettings::default() };
        features(&kml(all), &settings).map(|read| read.value)
    };
    let water = [Feature::point(Coord { x: 1.0, y: 2.0 }), line(&[(1.0, 1.0), (2.0, 2.0)])];
    let ring = line(&[(1.0, 1.0), (2.0, 2.0), (2.0, 1.0), (1.0, 1.0)]);
    assert_eq!(read(Some("water")).unwrap(), water);
    assert_eq!(read(None).unwrap(), [&water[..], &[ring]].concat());
    assert_eq!(
        read(Some("ditches")).unwrap_err().to_string(),
        "farm.kml: found no folder \"ditches\", expected one of \"farm\", \"Water\", \"Other\""
    );
}

#[test]
fn faults() {
    assert_eq!(
        said(&polygon("x", "").replace("-85.19,40.1,230", "-85.19, 40.1")),
        "farm.kml, placemark 1 (\"x\"): found the position \"-85.19,\", expected longitude,latitude or longitude,latitude,height without blanks in it"
    );
    assert_eq!(
        said(
            "<Placemark><name>Well</name><Point><coordinates>1,2</coordinates></Point></Placemark>"
        ),
        "farm.kml, placemark 1 (\"Well\"): found a Point, expected polygons"
    );
    assert_eq!(
        said("<NetworkLink><Link><href>a.kml</href></Link></NetworkLink>"),
        "farm.kml: found only links to other files, expected placemarks; save the places themselves"
    );
    assert_eq!(said(""), "farm.kml: found no placemarks, expected places, lines or polygons");
    assert_eq!(
        said("<Placemark><Polygon></Polygon></Placemark>"),
        "farm.kml, placemark 1: found a Polygon without an outer ring, expected one"
    );
    let read = |text: &str| {
        let source = Source::of("farm.kml", text);
        boundary(&source, &BoundarySettings::default()).unwrap_err().to_string()
    };
    assert_eq!(
        read("<gpx/>"),
        "farm.kml: the content is not KML: found <gpx> outermost, expected one <kml>"
    );
    assert_eq!(
        read("<kml><Document>"),
        "farm.kml: the content is not KML: it ends inside an element"
    );
    assert_eq!(read("x"), "farm.kml: the content is not KML: found text outside of <kml>");
    assert_eq!(
        read("<!DOCTYPE kml [<!ENTITY x \"1,2\">]><kml>&x;</kml>"),
        "farm.kml: the content is not KML: found a document type, which KML has none of; entities are not followed"
    );
    assert_eq!(
        read(&format!("<kml>{}", "<Folder>".repeat(100_000))),
        "farm.kml: the content is not KML: its elements lie more than 64 deep in each other"
    );
}

/// A thousand placemarks with a column of their own each are a table of a million cells; forty
/// thousand would be one of 1.6 billion.
#[test]
fn columns_do_not_multiply() {
    let one = |n: usize| {
        format!(
            "<Placemark><ExtendedData><Data name=\"c{n}\"><value>1</value></Data></ExtendedData><Point><coordinates>1,2</coordinates></Point></Placemark>"
        )
    };
    let many = (0..40_000).map(one).collect::<Vec<_>>().concat();
    assert_eq!(
        formats::table(&kml(&many), None, &TableSearch::default()).unwrap_err().to_string(),
        "farm.kml: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    );
}

fn kmz(entries: &[(&str, &[u8])]) -> Source {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(content).unwrap();
    }
    Source::of("farm.kmz", archive.finish().unwrap().into_inner())
}

#[test]
fn archives() {
    let read = |source: &Source| boundary(source, &BoundarySettings::default());
    let document = kml(&polygon("x", "")).bytes;
    let links = kml("<NetworkLink/>").bytes;
    let whole = kmz(&[("layers/field.kml", &document), ("doc.kml", &links), ("a.png", b"x")]);
    assert_eq!(read(&whole).unwrap().value.wgs84().0.len(), 1);
    let said = |entries: &[(&str, &[u8])]| read(&kmz(entries)).unwrap_err().to_string();
    assert_eq!(
        said(&[("doc.kml", &links)]),
        "farm.kmz/doc.kml: found only links to other files, expected placemarks; save the places themselves"
    );
    assert_eq!(
        said(&[("a.png", b"x")]),
        "farm.kmz: found no placemarks, expected places, lines or polygons"
    );
    assert_eq!(
        said(&[("../doc.kml", &document)]),
        "farm.kmz: the content is not KMZ: found the entry \"../doc.kml\", which leads out of the archive or elsewhere in it; do not unpack it"
    );
    let blanks = vec![b' '; 60 << 20];
    assert_eq!(
        said(&[("doc.kml", &blanks)]),
        "farm.kmz: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    );
}

#[test]
fn zones_have_numbers() {
    let data = "<ExtendedData><Data name=\"rate\"><value>1.5</value></Data></ExtendedData>";
    let ZoneFile { columns, shapes, .. } = zone_file(&kml(&polygon("a", data)), None).unwrap();
    assert_eq!(columns, ["name", "rate"]);
    assert_eq!(shapes[0].cells, [Cell::Text("a".to_owned()), Cell::Number(1.5)]);
}
