use super::*;

type Ring = Vec<(f64, f64)>;

fn boundary(parts: &[Vec<Ring>]) -> Result<Boundary, BoundaryError> {
    let coords = |ring: &Ring| ring.iter().map(|&(x, y)| Coord { x, y }).collect();
    let parts = parts.iter().map(|part| part.iter().map(coords).collect()).collect();
    Boundary::from_rings(parts, "field.geojson")
}

fn said(parts: &[Vec<Ring>]) -> String {
    boundary(parts).unwrap_err().to_string()
}

/// A counter-clockwise box of `side` degrees with its lower left corner at (-85.2 + x, 40.1 + y).
fn square(x: f64, y: f64, side: f64) -> Ring {
    let (x, y) = (-85.2 + x, 40.1 + y);
    vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)]
}

/// GeographicLib 2.1: `fixtures/geodesy/geodesic_areas.csv`, first row.
#[test]
fn area_is_geodesic() {
    let ring =
        vec![(-85.2, 40.1), (-85.1905, 40.1), (-85.1905, 40.1072), (-85.2, 40.1072), (-85.2, 40.1)];
    let field = boundary(&[vec![ring.clone()]]).unwrap();
    assert!((field.area().as_square_metres() - 647_577.039_967).abs() < 1e-3);
    assert!((field.area().as_acres() - 160.019_771_490).abs() < 1e-6);
    assert!((field.width().as_metres() - 809.8).abs() < 1.0, "{:?}", field.width());
    let turned = ring.into_iter().rev().collect();
    assert!(
        (boundary(&[vec![turned]]).unwrap().area() - field.area()).as_square_metres().abs() < 1e-6
    );
}

#[test]
fn a_hole_is_left_out_and_rings_are_wound() {
    let mut outer = square(0.0, 0.0, 0.01);
    outer.reverse();
    let whole = boundary(&[vec![outer.clone()]]).unwrap().area();
    let hole = square(0.004, 0.004, 0.002);
    let pond = boundary(&[vec![hole.clone()]]).unwrap().area();
    let field = boundary(&[vec![outer, hole]]).unwrap();
    assert!((whole - pond - field.area()).as_square_metres().abs() < 1e-4);
    for parts in [field.wgs84(), field.local()] {
        assert!(ring_area(parts.0[0].exterior()) > 0.0);
        assert!(ring_area(&parts.0[0].interiors()[0]) < 0.0);
    }
    let corner = field.frame().to_local(field.wgs84().0[0].exterior().0[1]).unwrap();
    assert_eq!(corner, field.local().0[0].exterior().0[1]);
}

#[test]
fn several_parts_are_one_boundary_and_may_touch_at_a_corner() {
    let field = boundary(&[vec![square(0.0, 0.0, 0.01)], vec![square(0.01, 0.01, 0.01)]]).unwrap();
    assert_eq!(field.wgs84().0.len(), 2);
    let ring = field.wgs84().0[0].exterior().0.clone();
    assert_eq!(ring[0], Coord { x: -85.2, y: 40.1 });
}

#[test]
fn repeated_vertices_are_dropped() {
    let mut ring = square(0.0, 0.0, 0.01);
    ring.insert(1, ring[1]);
    ring.push(ring[0]);
    let field = boundary(&[vec![ring]]).unwrap();
    assert_eq!(field.wgs84().0[0].exterior().0.len(), 5);
}

#[test]
fn empty_and_too_few() {
    assert_eq!(said(&[]), "field.geojson: found no polygon, expected a field boundary");
    assert_eq!(said(&[vec![]]), "field.geojson: found no polygon, expected a field boundary");
    assert_eq!(
        said(&[vec![vec![(-85.2, 40.1), (-85.1, 40.1), (-85.2, 40.1)]]]),
        "field.geojson, part 1, outer ring: found 2 different points, expected at least 3"
    );
    assert_eq!(
        said(&[vec![vec![]]]),
        "field.geojson, part 1, outer ring: found 0 different points, expected at least 3"
    );
}

#[test]
fn not_closed() {
    let mut ring = square(0.0, 0.0, 0.01);
    ring.pop();
    assert_eq!(
        said(&[vec![square(0.02, 0.0, 0.01)], vec![ring]]),
        "field.geojson, part 2, outer ring: the ring is not closed, it starts at -85.200000, 40.100000 and ends at -85.200000, 40.110000; repeat the first point at the end"
    );
}

#[test]
fn self_crossing_says_where() {
    let bow = vec![(-85.2, 40.1), (-85.19, 40.11), (-85.19, 40.1), (-85.2, 40.108), (-85.2, 40.1)];
    assert_eq!(
        said(&[vec![bow]]),
        "field.geojson, part 1, outer ring: the ring crosses or touches itself at -85.195556, 40.104445; mend it there"
    );
    let spike = vec![
        (-85.2, 40.1),
        (-85.19, 40.1),
        (-85.19, 40.11),
        (-85.19, 40.105),
        (-85.2, 40.11),
        (-85.2, 40.1),
    ];
    assert!(said(&[vec![spike]]).contains("crosses or touches itself at -85.190000, 40.1"));
    let pinch = vec![
        (-85.2, 40.1),
        (-85.195, 40.105),
        (-85.19, 40.1),
        (-85.19, 40.11),
        (-85.195, 40.105),
        (-85.2, 40.11),
        (-85.2, 40.1),
    ];
    assert!(said(&[vec![pinch]]).contains("touches itself at -85.195000, 40.105000"));
}

#[test]
fn no_area() {
    let flat = vec![(-85.2, 40.1), (-85.19, 40.1), (-85.18, 40.1), (-85.2, 40.1)];
    assert_eq!(said(&[vec![flat]]), "field.geojson, part 1, outer ring: the ring has no area");
}

#[test]
fn rings_and_parts_that_conflict() {
    let outer = || square(0.0, 0.0, 0.01);
    assert_eq!(
        said(&[vec![outer(), square(0.005, 0.004, 0.01)]]),
        "field.geojson: part 1, outer ring and part 1, hole 1 cross or share an edge at -85.190000, 40.104000; mend them there"
    );
    assert_eq!(
        said(&[vec![outer(), square(0.02, 0.0, 0.001)]]),
        "field.geojson, part 1, hole 1: the hole lies outside its outer ring or inside another hole"
    );
    assert_eq!(
        said(&[vec![outer(), square(0.001, 0.001, 0.005), square(0.002, 0.002, 0.001)]]),
        "field.geojson, part 1, hole 2: the hole lies outside its outer ring or inside another hole"
    );
    assert_eq!(
        said(&[vec![outer()], vec![square(0.01, 0.0, 0.01)]]),
        "field.geojson: parts 1 and 2 overlap or share an edge at -85.190000, 40.110000; merge them first, or let merge = true in the boundary's table do it"
    );
    assert_eq!(
        said(&[vec![outer()], vec![square(0.002, 0.002, 0.001)]]),
        "field.geojson: part 2 lies inside part 1; remove one, or make it a hole, as merge = true in the boundary's table does"
    );
    assert!(
        boundary(&[vec![outer(), square(0.001, 0.001, 0.005)], vec![square(0.002, 0.002, 0.001)]])
            .is_ok()
    );
}

#[test]
fn positions_that_are_no_field() {
    let swapped = square(0.0, 0.0, 0.01).into_iter().map(|(x, y)| (y, x)).collect();
    assert_eq!(
        said(&[vec![swapped]]),
        "field.geojson, part 1, outer ring: found 40.100000, -85.200000, longitude and latitude look swapped; expected longitude first, and a latitude between 60 S and 72 N"
    );
    assert_eq!(
        said(&[vec![vec![(653_427.0, 4_440_408.0); 4]]]),
        "field.geojson, part 1, outer ring: found 653427.000000, 4440408.000000, expected longitude -180 to 180 and latitude -90 to 90; if the coordinates are feet or meters, say which coordinate system they are in (crs)"
    );
    assert_eq!(
        said(&[vec![vec![(100.0, 80.0); 4]]]),
        "field.geojson, part 1, outer ring: found latitude 80.0000, expected a field between 60 S and 72 N"
    );
    assert_eq!(
        said(&[vec![vec![(f64::NAN, 40.0); 4]]]),
        "field.geojson, part 1, outer ring: found a coordinate that is not a finite number"
    );
    assert!(
        said(&[vec![square(0.0, 0.0, 5.0)]])
            .contains("wide, expected one field of at most 164042 ft (50000 m)")
    );
}
