use crate::read::{BoundarySettings, FeatureSettings, Source, boundary, features};
use crate::report::warnings::said;

/// PNT elements of corners; C is the latitude.
fn ring(kind: &str, corners: &[(f64, f64)]) -> String {
    let points: Vec<String> =
        corners.iter().map(|(x, y)| format!("<PNT A=\"2\" C=\"{y}\" D=\"{x}\"/>")).collect();
    format!("<LSG A=\"{kind}\">{}</LSG>", points.concat())
}

fn square(kind: &str, x: f64, side: f64, closed: bool) -> String {
    let (x, y) = (-85.2 + x, 40.1);
    let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)];
    ring(kind, &corners[..if closed { 5 } else { 4 }])
}

fn task(version: u8, inner: &str) -> Source {
    let text = format!(
        "<?xml version=\"1.0\"?><ISO11783_TaskData VersionMajor=\"{version}\" VersionMinor=\"0\">{inner}</ISO11783_TaskData>"
    );
    Source::of("TASKDATA.XML", text)
}

fn field(name: &str) -> BoundarySettings {
    BoundarySettings { field: Some(name.to_owned()), ..BoundarySettings::default() }
}

/// Version 3: rings that are open, several outer rings in one polygon, a hole as one of its own.
#[test]
fn as_older_terminals_write_it() {
    let hole = {
        let (x, y) = (-85.198, 40.102);
        ring("2", &[(x, y), (x + 0.001, y), (x + 0.001, y + 0.001)])
    };
    let inner = format!(
        "<PFD A=\"PFD1\" C=\"North\" D=\"1\"><PLN A=\"1\">{}{}</PLN><PLN A=\"1\">{hole}</PLN></PFD>",
        square("1", 0.0, 0.01, false),
        square("1", 0.02, 0.01, true)
    );
    let read = boundary(&task(3, &inner), &BoundarySettings::default()).unwrap();
    let parts = &read.value.wgs84().0;
    assert_eq!((parts.len(), parts[0].interiors().len(), parts[1].interiors().len()), (2, 1, 0));
    let closed = "TASKDATA.XML, field \"North\", boundary: a ring does not end where it begins; it was closed";
    assert_eq!(said(&read.warnings), [closed, closed]);
}

#[test]
fn one_field_of_several_and_external_files() {
    let north = format!(
        "<PFD A=\"PFD1\" C=\"North\" D=\"1\"><PLN A=\"1\">{}</PLN></PFD>",
        square("1", 0.0, 0.01, true)
    );
    let south = format!(
        "<XFC><PFD A=\"PFD2\" C=\"South\" D=\"1\"><PLN A=\"1\">{}</PLN></PFD></XFC>",
        square("1", 0.1, 0.01, true)
    );
    let inner = format!("{north}<XFR A=\"PFD00002\" B=\"1\"/><XFR A=\"PFD00003\" B=\"1\"/>");
    let source = task(4, &inner).with("pfd00002.xml", south);
    let read = boundary(&source, &field("south")).unwrap();
    assert!((read.value.wgs84().0[0].exterior().0[0].x + 85.1).abs() < 1e-9);
    assert_eq!(said(&read.warnings), ["TASKDATA.XML: there is no file PFD00003.XML"]);
    let error = |settings| boundary(&source, &settings).unwrap_err().to_string();
    assert_eq!(
        error(BoundarySettings::default()),
        "TASKDATA.XML: found several fields, by its column \"field\": \"North\", \"South\"; say which one (field = \"…\", or merge = true if all of them are one field)"
    );
    assert_eq!(
        error(field("West")),
        "TASKDATA.XML: found no field \"West\", expected one of \"North\", \"South\""
    );
}

/// `PolygonType` 6, `LineStringType` 9 and `PointType` 5 are obstacles.
#[test]
fn obstacles_are_features() {
    let of = |name: &str, x: f64| {
        format!(
            "<PFD A=\"PFD1\" C=\"{name}\" D=\"1\"><PLN A=\"1\">{}</PLN><PLN A=\"6\" B=\"rock\">{}</PLN><PLN A=\"3\">{}</PLN>{}<PNT A=\"5\" C=\"40.1\" D=\"-85\"/></PFD>",
            square("1", x, 0.01, true),
            square("1", x + 0.001, 0.001, true),
            square("1", x + 0.003, 0.001, true),
            ring("9", &[(-85.0, 40.0), (-85.1, 40.0)])
        )
    };
    let source = task(4, &(of("North", 0.0) + &of("South", 0.1)));
    let read = |layer: Option<&str>, field: Option<&str>| {
        let (layer, field) = (layer.map(str::to_owned), field.map(str::to_owned));
        features(&source, &FeatureSettings { crs: None, layer, field })
    };
    assert_eq!(read(None, None).unwrap().value.len(), 6);
    let north = read(None, Some("North")).unwrap().value;
    assert_eq!(north.len(), 3);
    assert!(north[0].filled && !north[1].filled);
    assert_eq!(read(Some("water surface"), Some("North")).unwrap().value.len(), 1);
    assert_eq!(
        read(Some("swamp"), None).unwrap_err().to_string(),
        "TASKDATA.XML: found no swamp in any field (PFD), which have \"boundary\", \"obstacle\", \"water surface\", expected one of these as layer = \"…\""
    );
}

#[test]
fn faults() {
    let error = |inner: &str| {
        boundary(&task(4, inner), &BoundarySettings::default()).unwrap_err().to_string()
    };
    assert_eq!(
        error("<PFD A=\"PFD1\" C=\"North\" D=\"1\"/>"),
        "TASKDATA.XML: found no boundary in any field (PFD), which have nothing, expected a field with a boundary (PLN of type 1)"
    );
    let within = |inner: &str| {
        error(&format!("<PFD A=\"PFD1\" C=\"North\" D=\"1\"><PLN A=\"1\">{inner}</PLN></PFD>"))
    };
    assert_eq!(
        within("<LSG A=\"1\"><PNT A=\"2\" C=\"north\" D=\"1\"/></LSG>"),
        "TASKDATA.XML, field \"North\", boundary: found \"north\" as PNT C, expected degrees, C the latitude and D the longitude"
    );
    assert_eq!(
        within("<LSG A=\"1\"><PNT A=\"2\" J=\"PNT00001\"/></LSG>"),
        "TASKDATA.XML, field \"North\", boundary: found points in a file of their own, PNT00001 (PNT J), expected points in the XML; such files are not read"
    );
    assert_eq!(
        within(&(square("1", 0.0, 0.01, true) + &square("2", 0.1, 0.01, true))),
        "TASKDATA.XML, field \"North\", boundary: found a hole outside of every outer ring, expected one inside"
    );
    let source = Source::of("TASKDATA.XML", "<a/>");
    assert_eq!(
        boundary(&source, &BoundarySettings::default()).unwrap_err().to_string(),
        "TASKDATA.XML: found <a>, expected <ISO11783_TaskData> of ISO 11783-10"
    );
}
