use super::*;
use crate::report::warnings::said;

/// A rectangle in hundredths of a degree from 85.2 W, 40.1 N.
fn box_of(west: f64, south: f64, east: f64, north: f64) -> Vec<Vec<Coord<f64>>> {
    let corners = [(west, south), (east, south), (east, north), (west, north), (west, south)];
    let place = |(x, y): (f64, f64)| Coord { x: -85.2 + x / 100.0, y: 40.1 + y / 100.0 };
    vec![corners.map(place).to_vec()]
}

fn merged(parts: Parts) -> (Boundary, Vec<Warning>) {
    Boundary::merged(parts, "f.shp").unwrap()
}

fn area(parts: &[Vec<Vec<Coord<f64>>>]) -> f64 {
    let part = |part: &Vec<Vec<Coord<f64>>>| {
        Boundary::from_rings(vec![part.clone()], "").unwrap().area().as_square_metres()
    };
    parts.iter().map(part).sum()
}

#[test]
fn what_shares_an_edge_is_joined() {
    // The second has a corner on the first one's edge and half of that edge.
    let parts = vec![box_of(0.0, 0.0, 1.0, 1.0), box_of(1.0, 0.0, 2.0, 0.5)];
    let (field, told) = merged(parts.clone());
    let [part] = &field.wgs84().0[..] else { panic!("{field:?}") };
    assert!(part.interiors().is_empty());
    assert!((field.area().as_square_metres() - area(&parts)).abs() < 0.5);
    for corner in &part.exterior().0 {
        assert!(parts.iter().flatten().flatten().any(|source| source == corner), "{corner:?}");
    }
    assert_eq!(said(&told).len(), 1);
    assert!(said(&told)[0].starts_with("f.shp: its 2 polygons were made one field (merge): "));
    assert!(said(&told)[0].ends_with(", in one piece"));
    // Without the merge it is refused, with a word on it.
    let error = Boundary::from_rings(parts, "f.shp").unwrap_err().to_string();
    assert!(error.ends_with("or let merge = true in the boundary's table do it"), "{error}");
}

#[test]
fn drawn_a_centimeter_apart() {
    // 1e-7 degrees are a centimeter.
    let parts = vec![box_of(0.0, 0.0, 1.0, 1.0), box_of(1.000_01, 0.2, 2.0, 0.5)];
    let (field, told) = merged(parts);
    assert_eq!((field.wgs84().0.len(), told.len()), (1, 1));
    assert!(field.wgs84().0[0].interiors().is_empty());
}

#[test]
fn a_pond_is_cut_out_and_its_island_is_not() {
    let parts =
        vec![box_of(0.2, 0.2, 0.6, 0.6), box_of(0.0, 0.0, 1.0, 1.0), box_of(0.3, 0.3, 0.4, 0.4)];
    let (field, told) = merged(parts.clone());
    assert_eq!(field.wgs84().0.len(), 2);
    let expected = area(&parts[1..2]) - area(&parts[..1]) + area(&parts[2..]);
    assert!((field.area().as_square_metres() - expected).abs() < 0.5);
    let told = said(&told);
    assert!(told[0].ends_with(", in 2 pieces that do not touch"), "{}", told[0]);
    assert!(told[1].starts_with("f.shp: polygon 1, "), "{}", told[1]);
    assert!(
        told[1].ends_with("lies inside polygon 2 and was cut out (merge): nothing is spread there"),
        "{}",
        told[1]
    );
    assert!(told[2].contains("polygon 3") && told[2].ends_with("it belongs to the field"));
}

#[test]
fn overlaps_and_gaps_are_told() {
    let parts = vec![box_of(0.0, 0.0, 1.0, 1.0), box_of(0.9, 0.0, 2.0, 1.0)];
    let (field, told) = merged(parts.clone());
    let overlap = area(&[box_of(0.9, 0.0, 1.0, 1.0)]);
    assert!((field.area().as_square_metres() - area(&parts) + overlap).abs() < 0.5);
    assert!(matches!(told[1], Warning::MergedOverlap { first: 1, second: 2, area, .. }
        if (area.as_square_metres() - overlap).abs() < 0.5));
    // Four around a square of their own.
    let parts = vec![
        box_of(0.0, 0.0, 1.0, 0.4),
        box_of(0.0, 0.6, 1.0, 1.0),
        box_of(0.0, 0.4, 0.4, 0.6),
        box_of(0.6, 0.4, 1.0, 0.6),
    ];
    let (field, told) = merged(parts);
    assert_eq!(field.wgs84().0[0].interiors().len(), 1);
    assert!(matches!(told[1], Warning::MergedGaps { gaps: 1, .. }), "{told:?}");
}

#[test]
fn the_same_twice_and_faults() {
    let (field, told) = merged(vec![box_of(0.0, 0.0, 1.0, 1.0), box_of(0.0, 0.0, 1.0, 1.0)]);
    assert_eq!(field.wgs84().0.len(), 1);
    assert!(matches!(told[1], Warning::MergedOverlap { .. }));
    let mut crossing = box_of(2.0, 0.0, 3.0, 1.0);
    crossing[0].swap(1, 2);
    let error = Boundary::merged(vec![box_of(0.0, 0.0, 1.0, 1.0), crossing], "f.shp").unwrap_err();
    assert!(error.to_string().starts_with("f.shp, part 2, outer ring: the ring crosses"));
    let (field, told) = merged(vec![box_of(0.0, 0.0, 1.0, 1.0)]);
    assert_eq!((field.wgs84().0.len(), told.len()), (1, 0));
}
