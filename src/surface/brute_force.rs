//! The oracle: the definition, spelt out, against which the fast ways are held.

use super::{Idw, Lattice, Neighbors, Point, Surface};

/// Inverse distance by sorting all samples at each place.
fn oracle(points: &[Point], idw: &Idw, easting: f64, northing: f64) -> f64 {
    let mut ranked: Vec<(f64, f64)> = points
        .iter()
        .map(|p| ((p.easting - easting).hypot(p.northing - northing), p.value))
        .collect();
    ranked.sort_by(|one, other| one.0.total_cmp(&other.0));
    let ties = |distance: f64| distance * (1.0 + 0.5 * Idw::TIE);
    let nearest = ranked[0].0;
    let mut end = None;
    if idw.taper() {
        if let Neighbors::Nearest(count) = idw.neighbors() {
            end = ranked.get(count).map(|(distance, _)| distance * (1.0 - 0.5 * Idw::TIE));
        }
        end = idw.radius().map_or(end, |radius| Some(end.map_or(radius, |end| end.min(radius))));
    }
    if let Some(end) = end.filter(|end| nearest < *end && nearest > 0.0) {
        let weight =
            |distance: f64| ((end - distance).max(0.0) / (end * distance)).powf(idw.power());
        let weights: f64 = ranked.iter().map(|(distance, _)| weight(*distance)).sum();
        return ranked.iter().map(|(distance, value)| weight(*distance) * value).sum::<f64>()
            / weights;
    }
    let mut limit = f64::INFINITY;
    if end.is_some() {
        limit = ties(nearest);
    } else {
        if let Neighbors::Nearest(count) = idw.neighbors() {
            limit = ties(ranked[count.min(ranked.len()) - 1].0);
        }
        if let Some(radius) = idw.radius() {
            limit = if nearest > radius { ties(nearest) } else { limit.min(radius) };
        }
    }
    ranked.retain(|(distance, _)| *distance <= limit);
    if nearest == 0.0 {
        ranked.retain(|(distance, _)| *distance == 0.0);
        return ranked.iter().map(|(_, value)| value).sum::<f64>() / ranked.len() as f64;
    }
    let weight = |distance: f64| (nearest / distance).powf(idw.power());
    let weights: f64 = ranked.iter().map(|(distance, _)| weight(*distance)).sum();
    ranked.iter().map(|(distance, value)| weight(*distance) * value).sum::<f64>() / weights
}

/// Numbers in [0, 1) from a fixed sequence.
struct Sequence(u64);

impl Sequence {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn scattered(count: usize, seed: u64) -> Vec<Point> {
    let mut next = Sequence(seed);
    (0..count)
        .map(|_| Point {
            easting: 800.0 * next.next(),
            northing: 600.0 * next.next(),
            value: 5.0 + 20.0 * next.next(),
        })
        .collect()
}

/// A square grid, half of it in every cell's middle of the lattice: ties everywhere, hits too.
fn gridded(side: usize, spacing: f64) -> Vec<Point> {
    (0..side * side)
        .map(|number| Point {
            easting: (number % side) as f64 * spacing,
            northing: (number / side) as f64 * spacing,
            value: ((number * 7919) % 31) as f64,
        })
        .collect()
}

fn check(points: &[Point], idw: Idw, lattice: &Lattice) {
    let surface = Surface::new(points.to_vec(), idw).unwrap();
    let values = surface.on_lattice(lattice);
    for (node, value) in values.iter().enumerate() {
        let easting = lattice.easting(node % lattice.columns());
        let northing = lattice.northing(node / lattice.columns());
        let at = surface.at(easting, northing);
        assert_eq!(at.to_bits(), value.to_bits(), "{idw:?} node {node}: {at} and {value}");
        let expected = oracle(surface.points(), &idw, easting, northing);
        assert!(
            (value - expected).abs() <= 1e-11 * expected.abs().max(1.0),
            "{idw:?} node {node}: {value}, expected {expected}"
        );
    }
}

fn settings() -> impl Iterator<Item = Idw> {
    let neighbors = [1, 2, 4, 8, 12, 13, 16, 40].map(Neighbors::Nearest);
    let neighbors = neighbors.into_iter().chain([Neighbors::All]);
    neighbors.flat_map(|neighbors| {
        [None, Some(30.0), Some(150.0)].into_iter().flat_map(move |radius| {
            let tapered =
                [1.0, 2.0, 2.3, 3.0].map(|power| Idw::new(power, neighbors, radius).unwrap());
            tapered.into_iter().flat_map(|idw| [idw, idw.plain()])
        })
    })
}

#[test]
fn scattered_samples_agree_with_the_definition() {
    for count in [1, 2, 11, 12, 13, 60, 700] {
        let points = scattered(count, count as u64);
        let lattice = Lattice::new(-40.0, -33.0, 25.7, 35, 27).unwrap();
        for idw in settings() {
            check(&points, idw, &lattice);
        }
    }
}

#[test]
fn samples_denser_than_the_lattice_agree_with_the_definition() {
    let lattice = Lattice::new(100.0, 50.0, 9.0, 41, 37).unwrap();
    check(&scattered(6000, 5), Idw::default(), &lattice);
    check(&scattered(6000, 5), Idw::default().plain(), &lattice);
}

#[test]
fn ties_and_hits_on_a_square_grid_agree_with_the_definition() {
    let points = gridded(9, 30.0);
    for idw in settings() {
        check(&points, idw, &Lattice::new(0.0, 0.0, 7.5, 35, 35).unwrap());
        check(&points, idw, &Lattice::new(-15.0, -15.0, 30.0, 11, 11).unwrap());
    }
}

/// Along a line the tapered surface moves in proportion to the way, however short; the plain one
/// jumps where another sample becomes the twelfth.
#[test]
fn a_taper_leaves_no_steps() {
    let points = scattered(60, 11);
    let steepest = |idw: Idw, way: f64| {
        let surface = Surface::new(points.clone(), idw).unwrap();
        let at = |number: u32| surface.at(150.0 + way * f64::from(number), 260.0);
        (0..20_000).map(|number| (at(number + 1) - at(number)).abs()).fold(0.0, f64::max)
    };
    let tapered = steepest(Idw::default(), 0.02);
    let plain = steepest(Idw::default().plain(), 0.02);
    assert!(tapered < 0.05, "{tapered}");
    assert!(plain > 0.2, "{plain}");
}

#[test]
fn ties_hold_far_from_the_origin() {
    let far = |p: &Point| Point {
        easting: p.easting * 0.1 + 4_123_456.7,
        northing: p.northing * 0.1 + 500_000.3,
        ..*p
    };
    let points: Vec<Point> = gridded(9, 300.0).iter().map(far).collect();
    let lattice = Lattice::new(4_123_456.7 + 105.0, 500_000.3 + 105.0, 30.0, 3, 3).unwrap();
    for count in [1, 2, 3, 4, 5, 8, 12] {
        let idw = Idw::new(2.0, Neighbors::Nearest(count), None).unwrap().plain();
        let surface = Surface::new(points.clone(), idw).unwrap();
        let full = Surface::new(
            points.clone(),
            Idw::new(2.0, Neighbors::Nearest(if count <= 4 { 4 } else { 12 }), None)
                .unwrap()
                .plain(),
        )
        .unwrap();
        for value in surface.on_lattice(&lattice).iter().zip(full.on_lattice(&lattice)) {
            assert_eq!(*value.0, value.1, "{count} nearest");
        }
    }
}

#[test]
fn the_order_of_samples_changes_no_bit() {
    let mut points = scattered(200, 9);
    let lattice = Lattice::new(0.0, 0.0, 10.0, 50, 40).unwrap();
    let values = |points: &[Point]| {
        let surface = Surface::new(points.to_vec(), Idw::default()).unwrap();
        (surface.on_lattice(&lattice), surface.leave_one_out())
    };
    let before = values(&points);
    points.reverse();
    points.swap(3, 77);
    assert_eq!(before, values(&points));
}

#[test]
fn the_number_of_threads_changes_no_bit() {
    let surface = Surface::new(scattered(300, 4), Idw::default()).unwrap();
    let lattice = Lattice::new(0.0, 0.0, 3.0, 210, 190).unwrap();
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| surface.on_lattice(&lattice))
    };
    assert_eq!(with(1), with(3));
}

#[test]
fn a_flat_field_is_flat_to_the_last_bit() {
    let points: Vec<Point> = scattered(50, 2).iter().map(|p| Point { value: 10.1, ..*p }).collect();
    let surface = Surface::new(points, Idw::default()).unwrap();
    let lattice = Lattice::new(0.0, 0.0, 10.0, 60, 60).unwrap();
    assert!(surface.on_lattice(&lattice).iter().all(|value| *value == 10.1));
}

#[test]
fn samples_that_share_a_place_are_averaged_there() {
    let point = |easting, value| Point { easting, northing: 0.0, value };
    let points = vec![point(0.0, 4.0), point(0.0, 8.0), point(50.0, 20.0)];
    let surface = Surface::new(points, Idw::default()).unwrap();
    assert_eq!(surface.at(0.0, 0.0), 6.0);
    assert_eq!(surface.at(50.0, 0.0), 20.0);
}

#[test]
fn hair_close_to_a_sample_the_value_is_its_own() {
    let idw = Idw::new(4.0, Neighbors::All, None).unwrap();
    let surface = Surface::new(scattered(20, 3), idw).unwrap();
    let sample = surface.points()[7];
    let value = surface.at(sample.easting + 1e-12, sample.northing);
    assert!((value - sample.value).abs() < 1e-12);
}

#[test]
fn bad_samples_are_refused() {
    assert_eq!(
        Surface::new(Vec::new(), Idw::default()).unwrap_err().to_string(),
        "no samples to interpolate"
    );
    let bad = Point { easting: 1.0, northing: f64::NAN, value: 3.0 };
    assert_eq!(
        Surface::new(vec![bad], Idw::default()).unwrap_err().to_string(),
        "sample at easting 1, northing NaN with value 3: expected finite numbers"
    );
}
