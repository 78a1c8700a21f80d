use crate::read::sheets::TableSearch;
use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::projection::wgs84_prj;
use crate::read::shapefile::tests::{dbf_bytes, point_shp, polygon_shp};
use crate::read::{BoundarySettings, Source, boundary, formats};

pub(crate) fn packed(entries: &[(&str, &[u8])]) -> Source {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(content).unwrap();
    }
    Source::of("farm.zip", archive.finish().unwrap().into_inner())
}

fn layer(name: &str) -> BoundarySettings {
    BoundarySettings { layer: Some(name.to_owned()), ..BoundarySettings::default() }
}

#[test]
fn a_shapefile_with_what_belongs_to_it() {
    let (shp, prj) = (polygon_shp(), wgs84_prj());
    let dbf = dbf_bytes(&[("NAME", b'C', 5)], &[&["north"]]);
    let source = packed(&[
        ("export/readme.txt", b"x"),
        ("export/Field.SHP", &shp),
        ("export/field.dbf", &dbf),
        ("export/Field.prj", prj.as_bytes()),
        ("__MACOSX/export/._Field.shp", b"x"),
    ]);
    let read = boundary(&source, &BoundarySettings::default()).unwrap();
    assert_eq!(read.value.wgs84().0.len(), 2);
    let points = point_shp(&[(1.0, 2.0)]);
    let dbf = dbf_bytes(&[("ID", b'C', 3)], &[&["a"]]);
    let source = packed(&[("s.shp", &points), ("s.dbf", &dbf), ("s.prj", prj.as_bytes())]);
    let table = formats::table(&source, None, &TableSearch::default()).unwrap();
    assert_eq!((table.columns[0].as_str(), table.rows[0].cells[0].as_str()), ("ID", "a"));
    assert_eq!(table.rows[0].place, "farm.zip/s.shp, record 1");
}

#[test]
fn one_of_several_is_named() {
    let (shp, prj) = (polygon_shp(), wgs84_prj());
    let source = packed(&[
        ("a/north.shp", &shp),
        ("a/north.prj", prj.as_bytes()),
        ("b/south.shp", &shp),
        ("c/south.shp", &shp),
    ]);
    let said = |settings: &BoundarySettings| boundary(&source, settings).unwrap_err().to_string();
    let several = "farm.zip: found several shapefiles, \"a/north\", \"b/south\", \"c/south\"; say which one (layer = \"…\")";
    assert_eq!(said(&BoundarySettings::default()), several);
    assert_eq!(said(&layer("south")), several);
    assert_eq!(
        said(&layer("east")),
        "farm.zip: found no shapefile \"east\", expected one of \"a/north\", \"b/south\", \"c/south\""
    );
    assert!(said(&layer("b/south")).starts_with("farm.zip: found no .prj file"));
    assert!(boundary(&source, &layer("North.shp")).is_ok());
}

#[test]
fn faults() {
    let said =
        |source: &Source| boundary(source, &BoundarySettings::default()).unwrap_err().to_string();
    assert_eq!(
        said(&packed(&[("a.txt", b"x")])),
        "farm.zip: found no .shp file in it, expected a shapefile with its .dbf and .prj, or task data"
    );
    assert_eq!(
        said(&packed(&[("a/../../x.shp", b"x")])),
        "farm.zip: the content is not a ZIP archive: found the entry \"a/../../x.shp\", which leads out of the archive or elsewhere in it; do not unpack it"
    );
    let zeros = vec![0; 60 << 20];
    assert_eq!(
        said(&packed(&[("a.shp", &zeros)])),
        "farm.zip: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    );
    assert!(
        said(&Source::of("farm.zip", "PK"))
            .starts_with("farm.zip: the content is not a ZIP archive: ")
    );
    // A table of 2,000 columns without width is 48 kB of memory a row of one byte.
    let names: Vec<String> = (0..2000).map(|n| format!("C{n}")).collect();
    let fields: Vec<(&str, u8, u8)> = names.iter().map(|name| (name.as_str(), b'C', 0)).collect();
    let mut dbf = dbf_bytes(&fields, &[]);
    dbf[4..8].copy_from_slice(&100_000_u32.to_le_bytes());
    dbf.extend(vec![b' '; 100_000]);
    let shp = polygon_shp();
    let source = packed(&[("a.shp", &shp), ("a.dbf", &dbf)]);
    assert_eq!(
        said(&source),
        "farm.zip/a.dbf: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    );
}
