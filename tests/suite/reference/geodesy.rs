//! Projections against the published examples of IOGP Guidance Note 7-2 and PROJ 9.5.1: see
//! `fixtures/geodesy/README.md`.

use geo::{Coord, LineString, MultiPolygon, Polygon};
use landplaster::field::Boundary;
use landplaster::projection::Crs;

fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/fixtures/geodesy/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

/// Meters between two positions given in degrees, near enough over a few meters.
fn metres(a: Coord<f64>, longitude: f64, latitude: f64) -> f64 {
    let east = (a.x - longitude) * 111_320.0 * latitude.to_radians().cos();
    east.hypot((a.y - latitude) * 111_320.0)
}

/// The published eastings and northings are inverted to longitude and latitude. The definitions
/// name an ellipsoid without a datum, so that only the projection is at work.
#[test]
fn epsg_worked_examples_within_a_centimetre() {
    for row in rows("epsg_gn7_2.csv") {
        let crs = Crs::named(&format!("{} +type=crs", row[1])).unwrap();
        let feet = if row[1].contains("us-ft") { 1200.0 / 3937.0 } else { 1.0 };
        let mut coords = [Coord { x: number(&row[4]), y: number(&row[5]) }];
        crs.to_wgs84(&mut coords).unwrap();
        let off = metres(coords[0], number(&row[3]), number(&row[2]));
        println!("{}: {off:.4} m ({:.4} units)", row[0], off / feet);
        assert!(off < 0.01, "{}: {off} m {coords:?}", row[0]);
    }
}

#[test]
fn utm_points_within_a_millimetre() {
    for row in rows("utm_proj.csv") {
        let crs = Crs::named(&format!("EPSG:{}", row[0])).unwrap();
        let mut coords = [Coord { x: number(&row[3]), y: number(&row[4]) }];
        crs.to_wgs84(&mut coords).unwrap();
        let off = metres(coords[0], number(&row[2]), number(&row[1]));
        assert!(off < 0.001, "{row:?}: {off} m");
    }
}

/// GeographicLib 2.1, `Planimeter`. The polygon around Antarctica is no field and is passed over.
#[test]
fn areas_of_fields_within_a_square_centimetre_an_acre() {
    for row in rows("geodesic_areas.csv").iter().filter(|row| !row[0].starts_with("antarctica")) {
        let vertex = |pair: &str| {
            let (latitude, longitude) = pair.trim().split_once(' ').unwrap();
            Coord { x: number(longitude), y: number(latitude) }
        };
        let ring = LineString(row[1].split(';').map(vertex).collect());
        let field = MultiPolygon(vec![Polygon::new(ring, vec![])]);
        let area = Boundary::new(field, &row[0]).unwrap().area();
        let off = area.as_square_metres() - number(&row[4]);
        println!("{}: {off:e} m2", row[0]);
        assert!(off.abs() < 1e-4 * number(&row[5]), "{}: {off} m2", row[0]);
        assert!((area.as_acres() - number(&row[5])).abs() < 1e-8, "{}", row[0]);
    }
}
