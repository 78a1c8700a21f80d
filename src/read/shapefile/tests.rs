use crate::read::sheets::TableSearch;
use std::io::Cursor;

use geo::Coord;
use shapefile::{Point, Polygon, PolygonRing, ShapeWriter};

use crate::projection::wgs84_prj;
use crate::read::{BoundarySettings, Source, boundary, formats};

/// A dBASE III table.
pub(crate) fn dbf_bytes(fields: &[(&str, u8, u8)], rows: &[&[&str]]) -> Vec<u8> {
    let width = 1 + fields.iter().map(|f| u16::from(f.2)).sum::<u16>();
    let header = 32 + 32 * u16::try_from(fields.len()).unwrap() + 1;
    let mut bytes = vec![3, 126, 1, 1];
    bytes.extend(u32::try_from(rows.len()).unwrap().to_le_bytes());
    bytes.extend(header.to_le_bytes());
    bytes.extend(width.to_le_bytes());
    bytes.resize(32, 0);
    for (name, kind, length) in fields {
        let mut field = name.as_bytes().to_vec();
        field.resize(11, 0);
        field.push(*kind);
        field.resize(16, 0);
        field.push(*length);
        field.resize(32, 0);
        bytes.extend(field);
    }
    bytes.push(0x0d);
    for row in rows {
        bytes.push(b' ');
        for (cell, (_, _, length)) in row.iter().zip(fields) {
            let mut cell = cell.as_bytes().to_vec();
            cell.resize(usize::from(*length), b' ');
            bytes.extend(cell);
        }
    }
    bytes.push(0x1a);
    bytes
}

pub(crate) fn point_shp(points: &[(f64, f64)]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let shapes: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
    ShapeWriter::new(&mut bytes).write_shapes(&shapes).unwrap();
    bytes.into_inner()
}

fn square(x: f64, side: f64) -> Vec<Point> {
    let (x, y) = (-85.2 + x, 40.1 + x);
    let ring = [(x, y), (x, y + side), (x + side, y + side), (x + side, y), (x, y)];
    ring.map(|(x, y)| Point::new(x, y)).to_vec()
}

/// A square with a hole, and a second part.
pub(crate) fn polygon_shp() -> Vec<u8> {
    let rings = vec![
        PolygonRing::Outer(square(0.0, 0.01)),
        PolygonRing::Outer(square(0.02, 0.004)),
        PolygonRing::Inner(square(0.002, 0.002)),
    ];
    let mut bytes = Cursor::new(Vec::new());
    ShapeWriter::new(&mut bytes).write_shapes(&[Polygon::with_rings(rings)]).unwrap();
    bytes.into_inner()
}

fn shapefile() -> Source {
    Source::of("field.shp", polygon_shp())
}

fn settings(crs: &str) -> BoundarySettings {
    BoundarySettings { crs: Some(crs.to_owned()), ..BoundarySettings::default() }
}

#[test]
fn a_boundary_with_prj() {
    let source = shapefile().with("prj", wgs84_prj());
    let read = boundary(&source, &BoundarySettings::default()).unwrap();
    assert_eq!(read.coordinates.crs, "WGS 84");
    assert!(read.warnings.is_empty());
    let parts = &read.value.wgs84().0;
    assert_eq!(parts.len(), 2);
    assert_eq!(parts[0].interiors().len(), 1);
    assert!(parts[0].exterior().0.contains(&Coord { x: -85.2, y: 40.1 }));
}

#[test]
fn without_prj_the_setting_is_needed() {
    let said = boundary(&shapefile(), &BoundarySettings::default()).unwrap_err().to_string();
    assert_eq!(
        said,
        "field.shp: found no .prj file beside it and no crs setting; add the .prj file, or say which coordinate system it is in, such as crs = \"EPSG:4326\""
    );
    assert!(boundary(&shapefile(), &settings("EPSG:4326")).is_ok());
    #[cfg(feature = "proj")]
    assert_eq!(
        boundary(&shapefile(), &settings("EPSG:99999")).unwrap_err().to_string(),
        "field.shp, crs setting: \"EPSG:99999\": found no coordinate system of that name, expected one such as \"EPSG:4326\" or \"EPSG:2965\"; check the code"
    );
    let said = boundary(&shapefile().with("prj", "rubbish"), &BoundarySettings::default());
    assert!(said.unwrap_err().to_string().starts_with("field.prj: \"rubbish\": "));
}

#[cfg(feature = "proj")]
#[test]
fn a_setting_that_contradicts_wins_with_a_warning() {
    let source = shapefile().with("prj", wgs84_prj());
    let near = settings("EPSG:4269");
    assert!(boundary(&source, &near).unwrap().warnings.is_empty());
    let far = settings("EPSG:4267");
    let read = boundary(&source, &far).unwrap();
    assert_eq!(
        crate::report::warnings::said(&read.warnings),
        [
            "field.shp: the crs setting says NAD27 (EPSG:4267), field.prj says WGS 84, 6 m apart; the setting is used"
        ]
    );
}

#[test]
fn points_and_polygons_are_not_exchanged() {
    let points = Source::of("s.shp", point_shp(&[(1.0, 2.0)])).with("prj", wgs84_prj());
    assert_eq!(
        boundary(&points, &BoundarySettings::default()).unwrap_err().to_string(),
        "s.shp, record 1: found a Point, expected polygons"
    );
    assert_eq!(
        formats::table(
            &shapefile().with("dbf", dbf_bytes(&[("ID", b'C', 3)], &[&["a"]])),
            None,
            &TableSearch::default()
        )
        .unwrap_err()
        .to_string(),
        "field.shp, record 1: found a Polygon, expected points"
    );
}

#[test]
fn the_table_must_fit_the_shapes() {
    let points = || Source::of("s.shp", point_shp(&[(1.0, 2.0), (3.0, 4.0)]));
    assert_eq!(
        formats::table(&points(), None, &TableSearch::default()).unwrap_err().to_string(),
        "s.shp: found no .dbf file beside it, expected the table of its attributes"
    );
    let one = dbf_bytes(&[("ID", b'C', 3)], &[&["a"]]);
    assert_eq!(
        formats::table(&points().with("dbf", one), None, &TableSearch::default())
            .unwrap_err()
            .to_string(),
        "s.dbf: found 1 rows, expected 2, one for each shape of s.shp"
    );
    let mut two = dbf_bytes(&[("ID", b'C', 3)], &[&["a"], &["b"]]);
    let first = two.len() - 1 - 2 * 4;
    two[first] = b'*';
    let table = formats::table(&points().with("dbf", two), None, &TableSearch::default()).unwrap();
    assert_eq!(
        crate::report::warnings::said(&table.warnings),
        ["s.shp, record 1: deleted in the table; left out"]
    );
    assert_eq!(table.points.unwrap().coords, [Some(Coord { x: 3.0, y: 4.0 })]);
}

#[test]
fn a_file_that_is_cut_off() {
    let bytes = polygon_shp();
    let cut = Source::of("field.shp", &bytes[..bytes.len() - 8]).with("prj", wgs84_prj());
    let said = boundary(&cut, &BoundarySettings::default()).unwrap_err().to_string();
    assert_eq!(
        said,
        format!(
            "field.shp: the content is not a shapefile: it is cut off, {} bytes of {}",
            bytes.len() - 8,
            bytes.len()
        )
    );
}

/// Counts of parts and points, and where a part begins, beyond the record: memory is taken for none.
#[test]
fn points_that_a_record_has_not() {
    for at in [100 + 8 + 36, 100 + 8 + 40, 100 + 8 + 48] {
        let mut bytes = polygon_shp();
        bytes[at..at + 4].copy_from_slice(&0x1000_0000_u32.to_le_bytes());
        let said = boundary(&Source::of("field.shp", bytes), &settings("EPSG:4326")).unwrap_err();
        assert_eq!(
            said.to_string(),
            "field.shp: the content is not a shapefile: shape 1: it promises more points than it has"
        );
    }
}
