use geo::{Area, BooleanOps, Validation, unary_union};

use super::*;

/// Two halves of a disc with a wavy border between them, and a pond that touches no border.
fn halves() -> [Polygon<f64>; 2] {
    let arc = |from: f64, to: f64, n: usize, r: f64| {
        (0..=n).map(move |i| {
            let angle = from + (to - from) * i as f64 / n as f64;
            Coord { x: r * angle.cos(), y: r * angle.sin() }
        })
    };
    let turn = std::f64::consts::PI;
    let wave: Vec<Coord<f64>> = (1..60)
        .map(|i| Coord { x: -10.0 + f64::from(i) / 3.0, y: (f64::from(i) * 0.9).sin() })
        .collect();
    let mut upper: Vec<Coord<f64>> = arc(0.0, turn, 80, 10.0).collect();
    let mut lower: Vec<Coord<f64>> = arc(turn, 2.0 * turn, 80, 10.0).collect();
    // The ends of both arcs are the same two vertices, bit for bit.
    let (east, west) = (upper[0], upper[80]);
    (lower[0], lower[80]) = (west, east);
    upper.extend(&wave);
    lower.extend(wave.iter().rev());
    let pond = LineString::new(
        arc(0.0, -2.0 * turn, 40, 2.0).map(|c| Coord { x: c.x, y: c.y + 5.0 }).collect(),
    );
    [Polygon::new(LineString::new(upper), vec![pond]), Polygon::new(LineString::new(lower), vec![])]
}

#[test]
fn borders_stay_shared() {
    let before = halves();
    for most in [120, 60, 24] {
        let after = simplify(&before, most).unwrap();
        for polygon in &after {
            assert!(polygon.is_valid());
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            assert!(rings.map(|ring| ring.0.len()).sum::<usize>() <= most);
        }
        let sum: f64 = after.iter().map(Area::unsigned_area).sum();
        assert!((unary_union(&after).unsigned_area() - sum).abs() < 1e-6);
        assert!(after[0].intersection(&after[1]).unsigned_area() < 1e-6);
        let was: f64 = before.iter().map(Area::unsigned_area).sum();
        assert!((sum / was - 1.0).abs() < 0.1, "{most}: {sum} {was}");
    }
}

#[test]
fn enough_is_left_alone_and_too_few_is_said() {
    let before = halves();
    assert_eq!(simplify(&before, 1000).unwrap(), before);
    let Err(stubborn) = simplify(&before, 5) else { panic!("a polygon with a hole has eight") };
    assert!(stubborn.vertices > 5);
}
