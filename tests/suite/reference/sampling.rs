//! Grids by a standard error, and kriging variances of planned layouts, against R's gstat: see
//! `fixtures/ossfim/README.md`.

use std::collections::HashMap;

use geo::Coord;
use landplaster::sampling::{LayoutVariance, Pattern, coarsest_grid, worst_standard_error};
use landplaster::surface::{Variogram, VariogramShape};
use landplaster::units::Length;

type Row = HashMap<String, String>;

fn rows(name: &str) -> Vec<Row> {
    let path = format!("{}/fixtures/ossfim/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    let rows: Vec<Row> =
        csv::Reader::from_path(path).unwrap().deserialize().map(Result::unwrap).collect();
    assert!(rows.len() > 40, "{name}: {} rows", rows.len());
    rows
}

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap()
}

fn variogram(row: &Row) -> Variogram {
    let shape = match row["shape"].as_str() {
        "spherical" => VariogramShape::Spherical,
        _ => VariogramShape::Exponential,
    };
    let (nugget, partial_sill) = (number(row, "nugget"), number(row, "part"));
    Variogram { shape, nugget, partial_sill, range: number(row, "range") }
}

fn block(row: &Row) -> Option<Length> {
    Some(number(row, "block")).filter(|side| *side > 0.0).map(Length::metres)
}

#[test]
fn the_table_of_spacing_and_block_is_gstats_ossfim() {
    let mut largest: f64 = 0.0;
    for row in rows("grids") {
        let spacing = Length::metres(number(&row, "spacing"));
        let ours =
            worst_standard_error(&variogram(&row), Pattern::Square, spacing, block(&row)).unwrap();
        largest = largest.max((ours - number(&row, "se")).abs());
    }
    println!("ossfim: 60 standard errors, largest difference {largest:.1e}");
    assert!(largest < 1e-6);
}

#[test]
fn both_patterns_are_gstats() {
    let mut largest: f64 = 0.0;
    for row in rows("patterns") {
        let pattern =
            if row["pattern"] == "square" { Pattern::Square } else { Pattern::Triangular };
        let spacing = Length::metres(number(&row, "spacing"));
        let (variogram, block) = (variogram(&row), block(&row));
        let ours = worst_standard_error(&variogram, pattern, spacing, block).unwrap();
        largest = largest.max((ours - number(&row, "se")).abs());
        // And back: the coarsest grid with this error has this spacing.
        let back = coarsest_grid(&variogram, pattern, ours, block).unwrap().as_metres();
        let again = worst_standard_error(&variogram, pattern, Length::metres(back), block).unwrap();
        assert!(again <= ours && ours - again < 1e-3, "{ours} {again}");
    }
    println!("patterns: 48 standard errors, largest difference {largest:.1e}");
    assert!(largest < 1e-6);
}

#[test]
fn variances_of_planned_layouts_are_gstats() {
    let layouts = rows("layouts");
    let at = |row: &Row| Coord { x: number(row, "easting"), y: number(row, "northing") };
    let mut largest: f64 = 0.0;
    let all = rows("variances");
    for row in &all {
        let places = layouts.iter().filter(|place| place["layout"] == row["layout"]).map(at);
        let layout = LayoutVariance::new(places.collect(), variogram(row)).unwrap();
        let ours = layout.at(at(row)).error_variance();
        largest = largest.max((ours / number(row, "variance") - 1.0).abs());
    }
    println!("layouts: {} variances, largest relative difference {largest:.1e}", all.len());
    assert!(largest < 1e-9);
}
