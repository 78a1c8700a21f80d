use std::f64::consts::PI;

use geo::{Area, Contains, Distance, Euclidean, Point, Validation, coord};

use super::*;

fn window() -> Rect<f64> {
    Rect::new(coord! { x: -500.0, y: -500.0 }, coord! { x: 500.0, y: 500.0 })
}

fn coords(pairs: &[(f64, f64)]) -> Vec<Coord<f64>> {
    pairs.iter().map(|&(x, y)| Coord { x, y }).collect()
}

/// The area within 10 m of a feature.
fn area(feature: Feature) -> f64 {
    let made = buffer(&[feature], 10.0, &window());
    assert!(made.is_valid());
    made.unsigned_area()
}

/// At least the true area (to 1 cm²: the grid), and at most what 5 mm around the round parts add.
fn assert_close(found: f64, expected: f64, arc: f64) {
    let over = found - expected;
    assert!((-1e-4..=arc * 0.005).contains(&over), "{found} for {expected}");
}

/// By hand, with r = 10: a disc is πr²; a line of length l adds 2rl; a left bend of a right angle
/// adds a quarter disc outside and takes a square of r inside; a convex polygon of area a and
/// perimeter p is a + pr + πr².
#[test]
fn areas_by_hand() {
    let disc = PI * 100.0;
    let round = PI * 20.0;
    assert_close(area(Feature::point(coord! { x: 3.0, y: 4.0 })), disc, round);
    assert_close(area(Feature::line(coords(&[(0.0, 0.0), (30.0, 40.0)]))), 1000.0 + disc, round);
    let bent = coords(&[(-50.0, 0.0), (0.0, 0.0), (0.0, 50.0)]);
    let by_hand = 2.0 * 1000.0 + disc + disc / 4.0 - 100.0;
    assert_close(area(Feature::line(bent.clone())), by_hand, 1.25 * round);
    assert_close(area(Feature::line(bent.into_iter().rev().collect())), by_hand, 1.25 * round);
    let square = coords(&[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)]);
    let filled = 10_000.0 + 4000.0 + disc;
    assert_close(area(Feature::polygon(vec![square.clone()])), filled, round);
    assert_close(area(Feature::line(square.clone())), filled - 80.0 * 80.0, round);
    // There and back is the way there.
    let back = coords(&[(0.0, 0.0), (50.0, 0.0), (0.0, 0.0)]);
    assert_close(area(Feature::line(back)), 1000.0 + disc, 2.0 * round);
}

/// A pond with an island: of the island what is farther than 10 m from the water stays out.
#[test]
fn an_island_is_no_water_but_near_it() {
    let pond = coords(&[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)]);
    let island = coords(&[(30.0, 30.0), (70.0, 30.0), (70.0, 70.0), (30.0, 70.0), (30.0, 30.0)]);
    let by_hand = 10_000.0 + 4000.0 + PI * 100.0 - 20.0 * 20.0;
    assert_close(area(Feature::polygon(vec![pond, island])), by_hand, PI * 20.0);
}

/// Without a distance a polygon is itself, and lines and points are nothing.
#[test]
fn no_distance() {
    let square = coords(&[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]);
    let of = |feature| buffer(&[feature], 0.0, &window()).unsigned_area();
    assert_eq!(of(Feature::polygon(vec![square.clone()])), 10_000.0);
    assert_eq!(of(Feature::line(square)), 0.0);
    assert_eq!(of(Feature::point(coord! { x: 0.0, y: 0.0 })), 0.0);
    // A bow tie is both its halves.
    let tie = coords(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]);
    assert_eq!(of(Feature::polygon(vec![tie])), 50.0);
}

/// What is far away changes nothing inside the window, even where it runs through it.
#[test]
fn cut_at_the_window() {
    let line = |end: f64| Feature::line(coords(&[(-end, 3.0), (0.0, 3.0), (end, 3.0)]));
    let lake = |end: f64| Feature::polygon(vec![coords(&[(0.0, -end), (end, -end), (end, end)])]);
    let shown = |feature| {
        buffer(&[feature], 10.0, &window()).intersection(&window().to_polygon()).unsigned_area()
    };
    for end in [2e3, 1e5, 1e7] {
        assert!((shown(line(end)) - 20_000.0).abs() < 1e-2, "{end}");
        let near = shown(lake(2e3));
        assert!((shown(lake(end)) - near).abs() < 0.1, "{end}: {} for {near}", shown(lake(end)));
    }
}

/// Whatever the line: a place is inside if, and only if, it is within the distance, to 1 mm on the
/// near side and 6 mm on the far one.
#[test]
fn every_place_by_its_distance() {
    let mut state = 7_u64;
    let mut random = || {
        // Knuth's MMIX generator.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for round in 0..60 {
        let distance = 1.0 + 30.0 * random();
        let count = 2 + round / 2;
        let line: Vec<_> =
            (0..count).map(|_| coord! { x: 200.0 * random(), y: 200.0 * random() }).collect();
        let made = buffer(&[Feature::line(line.clone())], distance, &window());
        assert!(made.is_valid(), "{line:?}");
        let line = LineString(line);
        for _ in 0..300 {
            let at = Point::new(250.0 * random() - 25.0, 250.0 * random() - 25.0);
            let apart = Euclidean.distance(&at, &line);
            if apart < distance - 0.001 {
                assert!(made.contains(&at), "{apart} of {distance}");
            } else if apart > distance + 0.006 {
                assert!(!made.contains(&at), "{apart} of {distance}");
            }
        }
    }
}

/// A creek as it is surveyed, hundreds of vertices within its distance: what a place is depends on its
/// nearest vertex alone, and no ground far from the line is filled.
#[test]
fn a_creek_of_many_vertices() {
    let mut state = 11_u64;
    let mut random = || {
        // Knuth's MMIX generator.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for (distance, is_closed) in [(3.0, false), (10.668, true), (100.584, false), (100.584, true)] {
        let (mut at, mut heading) = (coord! { x: -300.0, y: 0.0 }, 0.0_f64);
        let mut line = Vec::new();
        for _ in 0..3000 {
            // Within the window, with the noise of a receiver.
            line.push(at + coord! { x: 0.1 * random(), y: 0.1 * random() });
            heading += 0.6 * (random() - 0.5) - 0.02 * (at.y / 150.0) * heading.cos().signum();
            at = at + coord! { x: 0.5 * heading.cos(), y: 0.5 * heading.sin() };
            if at.x.abs().max(at.y.abs()) > 350.0 {
                heading = (-at.y).atan2(-at.x);
            }
        }
        if is_closed {
            line.push(line[0]);
        }
        let made = buffer(&[Feature::line(line.clone())], distance, &window());
        assert!(made.0.iter().all(crate::geometry::is_sound));
        for number in 0..400 {
            // Near the edge, whichever side, and anywhere.
            let by = line[7 * number];
            let (angle, out) = (6.3 * random(), distance + 2.0 * (random() - 0.5));
            let near = by + coord! { x: out * angle.cos(), y: out * angle.sin() };
            let far = coord! { x: 900.0 * (random() - 0.5), y: 900.0 * (random() - 0.5) };
            for at in [Point(near), Point(far)] {
                let to = |ends: &[Coord<f64>]| {
                    Euclidean.distance(&at, &geo::Line::new(ends[0], ends[1]))
                };
                let apart = line.windows(2).map(to).fold(f64::INFINITY, f64::min);
                if apart < distance - 0.001 {
                    assert!(made.contains(&at), "{at:?}: {apart} of {distance}");
                } else if apart > distance + 0.006 {
                    assert!(!made.contains(&at), "{at:?}: {apart} of {distance}");
                }
            }
        }
    }
}

/// What is left of a field inside a headland is one piece: nothing between what is near one edge and
/// what is near the next is left standing.
#[test]
fn nothing_is_left_between_edges() {
    for corners in 3..40 {
        let corner = |number: u32| {
            let angle = std::f64::consts::TAU * f64::from(number) / f64::from(corners);
            coord! { x: 200.0 * angle.cos() + 0.1, y: 170.0 * angle.sin() }
        };
        let ring: Vec<Coord<f64>> = (0..=corners).map(|number| corner(number % corners)).collect();
        let field = Polygon::new(LineString(ring.clone()), vec![]);
        let left = field.difference(&buffer(&[Feature::line(ring)], 6.096, &window()));
        assert_eq!(left.0.len(), 1, "{corners} corners");
    }
}
