use std::collections::BTreeMap;

use geo::{Area, Validation};

use super::*;

fn face(class: u32, exterior: &[u32]) -> Face {
    Face { class, exterior: exterior.to_vec(), holes: Vec::new() }
}

/// Faces whose vertices are at points in whole steps.
fn made(points: &[GridPoint], faces: &[Face]) -> Settled {
    settled(faces, |id| points[id as usize]).unwrap()
}

fn areas(settled: &Settled) -> Vec<(u32, f64)> {
    let coverage = &settled.coverage;
    coverage
        .faces
        .iter()
        .map(|face| {
            let polygon = coverage.plane_polygon(face);
            assert!(polygon.is_valid(), "{polygon:?}");
            assert!(polygon.signed_area() > 0.0);
            (face.class, polygon.unsigned_area())
        })
        .collect()
}

#[test]
fn what_is_whole_stays() {
    let points = [[0, 0], [10, 0], [20, 0], [20, 10], [10, 10], [0, 10]];
    let faces = [face(0, &[0, 1, 4, 5]), face(1, &[1, 2, 3, 4])];
    let settled = made(&points, &faces);
    assert_eq!(settled.lost, 0);
    assert_eq!(areas(&settled), [(0, 100.0), (1, 100.0)]);
}

/// By hand: the border's middle vertex was rounded 2 steps over the field's edge.
#[test]
fn a_border_that_was_folded_over_the_edge_ends_at_it() {
    let points = [[0, 0], [100, 0], [100, 50], [0, 50], [50, -2]];
    // Below the border, a sliver of class 0; above it class 1.
    let faces = [face(0, &[0, 1, 4]), face(1, &[0, 4, 1, 2, 3])];
    let settled = made(&points, &faces);
    assert_eq!(settled.lost, 1);
    assert_eq!(areas(&settled), [(1, 5000.0)]);
}

/// A tip whose sides cross: what is beyond the crossing is no ground of the field.
#[test]
fn a_tip_that_turned_over_is_cut_off() {
    let points = [[0, 0], [100, 9], [100, 11], [0, 20]];
    let faces = [face(0, &[0, 2, 1, 3])];
    let settled = made(&points, &faces);
    let [(0, area)] = areas(&settled)[..] else { panic!() };
    // By hand: the sides cross at 1000/11 east; a triangle of 20 by that.
    assert!((area - 10_000.0 / 11.0).abs() < 10.0, "{area}");
}

#[test]
fn what_has_closed_up_is_gone() {
    let points = [[0, 0], [50, 0], [50, 10], [0, 10], [50, 0], [50, 10], [90, 0], [90, 10]];
    let faces = [face(0, &[0, 1, 2, 3]), face(1, &[1, 4, 5, 2]), face(2, &[4, 6, 7, 5])];
    let settled = made(&points, &faces);
    assert_eq!(settled.lost, 1);
    assert_eq!(areas(&settled), [(0, 500.0), (2, 400.0)]);
}

/// Whatever the noise of some steps on the vertices of a net of squares: every piece is valid, no two
/// have ground in common, and together they are the field, but for what its own edge moved.
#[test]
fn nets_of_squares_shaken_by_more_than_their_sides() {
    const SIDE: u32 = 9;
    let mut state = 11_u64;
    let mut random = move |most: i64| {
        // Knuth's MMIX generator.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33).cast_signed() % most
    };
    for shake in [1, 3, 8, 20] {
        let points: Vec<GridPoint> = (0..=SIDE)
            .flat_map(|row| (0..=SIDE).map(move |column| (row, column)))
            .map(|(row, column)| {
                let inner = |i: u32| i > 0 && i < SIDE;
                let moved = |i: u32, by: i64| {
                    i64::from(i) * 6 + if inner(row) && inner(column) { by } else { 0 }
                };
                [moved(column, random(shake)), moved(row, random(shake))]
            })
            .collect();
        let corner = |row: u32, column: u32| row * (SIDE + 1) + column;
        let faces: Vec<Face> = (0..SIDE)
            .flat_map(|row| (0..SIDE).map(move |column| (row, column)))
            .map(|(row, column)| {
                let ring = [(0, 0), (0, 1), (1, 1), (1, 0)]
                    .map(|(up, right)| corner(row + up, column + right));
                face((row * 5 + column * 3) % 7, &ring)
            })
            .collect();
        let settled = made(&points, &faces);
        let mut sides: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        for edge in settled.coverage.faces.iter().flat_map(Face::edges) {
            *sides.entry(edge).or_default() += 1;
        }
        assert!(sides.values().all(|count| *count == 1), "an edge has one piece on its left");
        let sum: f64 = areas(&settled).iter().map(|(_, area)| area).sum();
        assert_eq!(sum, f64::from(6 * SIDE).powi(2), "shaken by {shake}");
    }
}
