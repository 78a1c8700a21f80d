//! The surface on lattices of 10^4, 10^6 and 10^7 nodes, and its cross-validation.
//!
//! `cargo bench --bench surface`, or with a part of a name: `cargo bench --bench surface nearest`.

#![expect(clippy::expect_used, reason = "a benchmark stops at what it finds amiss")]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use landplaster::surface::{Idw, Lattice, Neighbors, Point, Search, Surface, choose};

const SIDE: f64 = 800.0;

const LATTICES: [(usize, usize); 9] = [
    (100, 40),
    (100, 400),
    (100, 4000),
    (1000, 40),
    (1000, 400),
    (1000, 4000),
    (3162, 40),
    (3162, 400),
    (3162, 4000),
];

fn main() {
    divan::main();
}

/// Samples that fill a square evenly, without a pattern (Roberts's R2 sequence).
fn samples(count: usize) -> Vec<Point> {
    let place = |number: usize, step: f64| (0.5 + number as f64 * step).fract();
    (1..=count)
        .map(|number| Point {
            easting: SIDE * place(number, 0.754_877_666_246_692_8),
            northing: SIDE * place(number, 0.569_840_290_998_053_3),
            value: 5.0 + 20.0 * place(number, 0.618_033_988_749_895),
        })
        .collect()
}

fn lattice(bencher: Bencher, neighbors: Neighbors, (side, count): (usize, usize)) {
    let idw = Idw::new(2.0, neighbors, None).expect("good settings");
    let lattice = Lattice::new(0.0, 0.0, SIDE / side as f64, side, side).expect("a good lattice");
    bencher.counter(ItemsCount::new(lattice.nodes())).bench(|| {
        let surface = Surface::new(black_box(samples(count)), idw).expect("good samples");
        surface.on_lattice(&lattice)
    });
}

/// The 12 nearest samples: side of the square lattice, samples.
#[divan::bench(args = LATTICES, sample_count = 5)]
fn nearest_12(bencher: Bencher, case: (usize, usize)) {
    lattice(bencher, Neighbors::Nearest(12), case);
}

/// All samples: side of the square lattice, samples.
#[divan::bench(args = LATTICES, sample_count = 2)]
fn all(bencher: Bencher, case: (usize, usize)) {
    lattice(bencher, Neighbors::All, case);
}

/// The choice among all settings, by the number of samples.
#[divan::bench(args = [40, 400, 4000], sample_count = 5)]
fn choice(bencher: Bencher, count: usize) {
    let points = samples(count);
    bencher.bench(|| choose(black_box(&points), &Search::default()));
}
