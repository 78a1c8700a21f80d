use crate::read::{BoundarySettings, Read, ReadError, Source, boundary};

fn farm(features: &[&str]) -> Source {
    let feature = |(number, properties): (usize, &&str)| {
        let (x, y) = (-85.2 + 0.01 * number as f64, 40.1);
        let ring: Vec<String> = [(x, y), (x + 0.005, y), (x + 0.005, y + 0.005), (x, y)]
            .iter()
            .map(|(x, y)| format!("[{x},{y}]"))
            .collect();
        format!(
            "{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}}}",
            ring.join(",")
        )
    };
    let features: Vec<String> = features.iter().enumerate().map(feature).collect();
    let text = format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", features.join(","));
    Source::of("farm.geojson", text)
}

fn read(
    source: &Source,
    settings: &BoundarySettings,
) -> Result<Read<crate::field::Boundary>, ReadError> {
    boundary(source, settings)
}

fn field(field: &str, column: Option<&str>) -> BoundarySettings {
    let field_column = column.map(str::to_owned);
    BoundarySettings { field: Some(field.to_owned()), field_column, ..BoundarySettings::default() }
}

const NAMED: [&str; 3] = [
    r#"{"OBJECTID":1,"Field Name":"North","crop":"corn","acres":10.5}"#,
    r#"{"OBJECTID":2,"Field Name":"South","crop":"corn","acres":11.5}"#,
    r#"{"OBJECTID":3,"Field Name":"South","crop":"North","acres":3}"#,
];

#[test]
fn several_fields_are_not_one() {
    let said = |features: &[&str]| {
        read(&farm(features), &BoundarySettings::default()).unwrap_err().to_string()
    };
    assert_eq!(
        said(&NAMED),
        "farm.geojson: found several fields, by its column \"Field Name\": \"North\", \"South\"; say which one (field = \"…\", or merge = true if all of them are one field)"
    );
    assert_eq!(
        said(&[r#"{"owner":"a","acres":1}"#, r#"{"owner":null,"acres":2}"#]),
        "farm.geojson: found several fields, by its column \"owner\": \"a\", (none); say which one (field = \"…\", or merge = true if all of them are one field)"
    );
    let merged = BoundarySettings { merge: true, ..BoundarySettings::default() };
    assert_eq!(read(&farm(&NAMED), &merged).unwrap().value.wgs84().0.len(), 3);
}

#[test]
fn what_agrees_is_one() {
    let default = BoundarySettings::default();
    for properties in [
        [r#"{"name":"North","owner":"a"}"#, r#"{"name":"North","owner":"b"}"#],
        [r#"{"FID":1,"area":2,"crop":"x"}"#, r#"{"FID":2,"area":3,"crop":"x"}"#],
    ] {
        let read = read(&farm(&properties), &default).unwrap();
        assert_eq!((read.value.wgs84().0.len(), read.warnings.len()), (2, 0));
    }
    let bare = read(&farm(&["{}", "{}"]), &default).unwrap();
    assert_eq!(
        crate::report::warnings::said(&bare.warnings),
        [
            "farm.geojson: its 2 polygons have no names and are taken as one field; if they are several, give each a file or a name"
        ]
    );
}

#[test]
fn a_field_is_taken_by_name() {
    let source = farm(&NAMED);
    let parts = |settings| read(&source, &settings).unwrap().value.wgs84().0.len();
    assert_eq!(parts(field("South", None)), 2);
    assert_eq!(parts(field(" south", None)), 2);
    assert_eq!(parts(field("North", Some("field name"))), 1);
    assert_eq!(parts(field("2", Some("OBJECTID"))), 1);
    let said = |settings| read(&source, &settings).unwrap_err().to_string();
    assert_eq!(
        said(field("North", None)),
        "farm.geojson: found several columns with that field, of different rows, \"Field Name\", \"crop\"; say which one (field_column = \"…\")"
    );
    assert_eq!(
        said(field("West", None)),
        "farm.geojson: found no field \"West\", expected one of \"North\", \"South\""
    );
    assert_eq!(
        said(field("West", Some("farm"))),
        "farm.geojson: found no field column, expected \"farm\" as the setting says; the columns are \"OBJECTID\", \"Field Name\", \"crop\", \"acres\""
    );
}
