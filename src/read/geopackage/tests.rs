use geo::Coord;
use rusqlite::{Connection, MAIN_DB};

use crate::read::{BoundarySettings, FeatureSettings, SampleSettings, Source};
use crate::read::{CationSettings, boundary, features, samples, zone_file};

/// See fixtures/formats/README.md.
pub(crate) const FARM: &[u8] = include_bytes!("../../../fixtures/formats/farm.gpkg");
const SAME: &[u8] = include_bytes!("../../../fixtures/formats/farm.geojson");

fn farm() -> Source {
    Source::of("farm.gpkg", FARM)
}

fn of(layer: Option<&str>, field: Option<&str>) -> BoundarySettings {
    let (layer, field) = (layer.map(str::to_owned), field.map(str::to_owned));
    BoundarySettings { layer, field, ..BoundarySettings::default() }
}

fn said(source: &Source, layer: Option<&str>) -> String {
    boundary(source, &of(layer, Some("North"))).unwrap_err().to_string()
}

#[test]
fn a_field_of_a_layer_is_bit_for_bit_that_of_geojson() {
    for name in ["North", "South"] {
        let read = boundary(&farm(), &of(Some("Fields"), Some(name))).unwrap();
        let same = Source::of("farm.geojson", SAME);
        let same = boundary(&same, &of(None, Some(name))).unwrap();
        assert_eq!(read.value.wgs84(), same.value.wgs84(), "{name}");
        assert_eq!(read.coordinates.crs, "WGS 84");
    }
    let north = boundary(&farm(), &of(Some("fields"), Some("north"))).unwrap();
    assert_eq!(north.value.wgs84().0[0].interiors().len(), 1);
}

/// The positions of make.py, by way of PROJ there and back.
#[test]
fn every_layer_has_its_own_coordinate_system() {
    let settings =
        SampleSettings { layer: Some("samples".to_owned()), ..SampleSettings::default() };
    let read = samples(&farm(), None, &settings, &CationSettings::default()).unwrap();
    assert_eq!(read.coordinates.crs, "NAD83 / Indiana East (ftUS) (EPSG:2965)");
    let (first, last) = (&read.value[0], &read.value[4]);
    assert_eq!((first.id.as_str(), first.cec, last.cec), ("A0", Some(8.25), Some(18.0)));
    assert!((last.wgs84.x + 85.205).abs() < 1e-8 && (last.wgs84.y - 40.5037).abs() < 1e-8);
    let settings =
        FeatureSettings { layer: Some("ditches".to_owned()), ..FeatureSettings::default() };
    let read = features(&farm(), &settings).unwrap();
    let at = read.value[0].lines[0][1];
    assert!((at.x + 85.205).abs() < 1e-8 && (at.y - 40.5015).abs() < 1e-8, "{at:?}");
    let error = |layer: &str| said(&farm(), Some(layer));
    assert_eq!(
        error("wells"),
        "farm.gpkg: found no layer \"wells\", expected one of \"ditches\", \"fields\", \"samples\""
    );
    assert_eq!(
        said(&farm(), None),
        "farm.gpkg: found several layers, \"ditches\", \"fields\", \"samples\"; say which one (layer = \"…\")"
    );
    let error = boundary(&farm(), &of(Some("ditches"), None)).unwrap_err().to_string();
    assert_eq!(error, "farm.gpkg, ditches, row 1: found a LineString, expected polygons");
    assert_eq!(zone_file(&farm(), Some("fields")).unwrap().shapes.len(), 2);
}

/// The farm after some SQL.
fn after(sql: &str) -> Source {
    let mut database = Connection::open_in_memory().unwrap();
    database.deserialize_read_exact(MAIN_DB, FARM, FARM.len(), false).unwrap();
    // Triggers keep an index by functions that only GDAL has.
    let triggers = "SELECT group_concat('DROP TRIGGER ' || name, ';') FROM sqlite_schema WHERE type = 'trigger'";
    let triggers: String = database.query_row(triggers, [], |row| row.get(0)).unwrap();
    database.execute_batch(&format!("PRAGMA foreign_keys = OFF; {triggers}; {sql}")).unwrap();
    Source::of("farm.gpkg", database.serialize(MAIN_DB).unwrap().to_vec())
}

/// A polygon or another geometry in place of all of the fields', in hexadecimal digits.
fn with_geometry(hex: &str) -> String {
    said(&after(&format!("UPDATE fields SET geom = x'{hex}'")), Some("fields"))
}

#[test]
fn geometries_that_are_not_read() {
    let place = "farm.gpkg, fields, row 1: the content is not a GeoPackage: ";
    let fault = |hex: &str| with_geometry(hex).strip_prefix(place).map(str::to_owned);
    // OGC 12-128, 2.1.3: GP, version, flags, srs_id; then ISO WKB.
    assert_eq!(fault("47"), Some("its geometry is cut off".into()));
    assert_eq!(
        fault("48500001E6100000"),
        Some("its geometry does not begin as GeoPackage's do".into())
    );
    assert_eq!(
        fault("4750000FE6100000"),
        Some("the envelope of its geometry is of no known kind".into())
    );
    assert_eq!(
        fault("47500001E6100000010A00000000000000"),
        Some("its geometry has curves; save it with straight edges".into())
    );
    // A collection in a collection, and so on; and a promise of four billion rings.
    let deep = "010700000001000000".repeat(10);
    assert_eq!(
        fault(&format!("47500001E6100000{deep}")),
        Some("its geometry lies too deep in collections".into())
    );
    assert_eq!(fault("47500001E61000000103000000FFFFFFFF"), Some("its geometry is cut off".into()));
    // An empty polygon is none.
    assert_eq!(
        with_geometry("47500011E6100000010300000000000000"),
        "farm.gpkg: found no polygon, expected a field boundary"
    );
    // Big-endian, with height and measure: a point is no polygon.
    let point = format!("00{:08X}{}", 3001, "0000000000000000".repeat(4));
    assert_eq!(
        with_geometry(&format!("47500001E6100000{point}")),
        "farm.gpkg, fields, row 1: found a Point, expected polygons"
    );
}

#[test]
fn databases_that_mean_harm() {
    let view = "ALTER TABLE fields RENAME TO old;
        CREATE VIEW fields AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)
        SELECT i AS fid, zeroblob(1000000000) AS geom, 'North' AS Field FROM n";
    assert_eq!(
        said(&after(view), Some("fields")),
        "farm.gpkg: the content is not a GeoPackage: the layer \"fields\" is no table of its own; save it as one"
    );
    // 1,500 columns that take no room in the file, for 20,000 rows.
    let columns: Vec<String> =
        (0..1500).map(|n| format!("ALTER TABLE fields ADD COLUMN c{n} TEXT DEFAULT 'x'")).collect();
    let rows = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 20000)
        INSERT INTO fields (Field) SELECT 'North' FROM n";
    assert_eq!(
        said(&after(&format!("{rows}; {}", columns.join("; "))), Some("fields")),
        "farm.gpkg: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    );
    let endless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n";
    let database = super::Database::open(&farm(), &mut farm().budget()).unwrap();
    let error = database.rows(endless, &[], |_| Ok(())).unwrap_err().to_string();
    assert_eq!(error, "farm.gpkg: the content is not a GeoPackage: interrupted");
}

#[test]
fn what_is_no_package() {
    assert_eq!(
        said(&Source::of("farm.gpkg", "{}"), None),
        "farm.gpkg: the content is not a GeoPackage: it does not begin as an SQLite database"
    );
    assert_eq!(
        said(&farm().with("gpkg-wal", "x"), None),
        "farm.gpkg: found a .gpkg-wal file beside it with changes that are not in it yet, expected the whole of it; close the program that has it open"
    );
    assert_eq!(
        said(&after("DROP TABLE gpkg_contents"), None),
        "farm.gpkg: the content is not a GeoPackage: no such table: gpkg_contents"
    );
    // 0 is a system in degrees that nobody knows.
    let unknown = after("UPDATE gpkg_geometry_columns SET srs_id = 0");
    assert_eq!(
        said(&unknown, Some("fields")),
        "farm.gpkg: the layer does not say its coordinate system, and there is no crs setting; say which one it is in, such as crs = \"EPSG:4326\""
    );
    let read = boundary(
        &unknown,
        &BoundarySettings {
            crs: Some("EPSG:4326".to_owned()),
            ..of(Some("fields"), Some("South"))
        },
    );
    assert_eq!(read.unwrap().value.wgs84().0[0].exterior().0[0], Coord { x: -85.21, y: 40.492 });
    // A log that is wholly in the file is none.
    let mut bytes = FARM.to_vec();
    bytes[18..20].fill(2);
    assert!(boundary(&Source::of("farm.gpkg", bytes), &of(Some("fields"), Some("North"))).is_ok());
}
