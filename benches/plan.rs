//! A whole plan, from a checked field to its zones: 40, 400 and 4,000 samples on lattices of about
//! 10^4, 10^6 and 10^7 nodes.
//!
//! `cargo bench --bench plan`, or with a part of a name: `cargo bench --bench plan 40`.

#![expect(clippy::expect_used, reason = "a benchmark stops at what it finds amiss")]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use geo::{Coord, LineString, MultiPolygon, Polygon};
use landplaster::field::{Boundary, Field, RawSample};
use landplaster::plan::{About, Settings, SurfaceSettings, Unspread, plan};
use landplaster::projection::Coordinates;
use landplaster::soil::{SodicLayer, Tiers};
use landplaster::units::{Length, System};

/// The south-western corner, and the sides in degrees: about 970 m square.
const WEST: f64 = -85.2;
const SOUTH: f64 = 40.4;
const EAST_SIDE: f64 = 0.0114;
const NORTH_SIDE: f64 = 0.0087;
const SIDE_METRES: f64 = 967.0;

fn main() {
    divan::main();
}

/// Samples spread evenly without a pattern (Roberts's R2 sequence), CEC in broad waves from 5 to 22.
fn field(count: usize) -> Field {
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)];
    let place = |(east, north): (f64, f64)| Coord {
        x: WEST + EAST_SIDE * east,
        y: SOUTH + NORTH_SIDE * north,
    };
    let ring = LineString::new(corners.map(place).to_vec());
    let boundary = Boundary::new(MultiPolygon(vec![Polygon::new(ring, vec![])]), "bench");
    let share = |number: usize, step: f64| (0.5 + number as f64 * step).fract();
    let samples = (1..=count).map(|number| {
        let (east, north) =
            (share(number, 0.754_877_666_246_692_8), share(number, 0.569_840_290_998_053_3));
        let wave = (7.0 * east + 2.0).sin() * (5.0 * north + 1.0).cos();
        RawSample {
            id: number.to_string(),
            place: format!("row {number}"),
            wgs84: place((east, north)),
            cec: Some(13.5 + 8.0 * wave + 0.5 * share(number, 0.618_033_988_749_895)),
            cations: None,
            esp: None,
        }
    });
    let wgs84 = || Coordinates { crs: "WGS 84".into(), accuracy: None };
    Field::new(
        (boundary.expect("a sound boundary"), wgs84()),
        (samples.collect(), wgs84()),
        Vec::new(),
    )
    .expect("sound samples")
}

fn settings(nodes: usize) -> Settings {
    Settings {
        job: "bench".into(),
        about: About::default(),
        flat: None,
        system: System::Us,
        tiers: Tiers::common_practice(),
        surface: SurfaceSettings::default(),
        grid: Length::metres(SIDE_METRES / (nodes as f64).sqrt()),
        clean_up: None,
        rows: None,
        unspread: Unspread::default(),
        order: None,
        sodic: SodicLayer::default(),
        piles: None,
        warnings: Vec::new(),
    }
}

/// Nodes of the lattice, samples.
#[divan::bench(
    args = [
        (10_000, 40), (10_000, 400), (10_000, 4000),
        (1_000_000, 40), (1_000_000, 400), (1_000_000, 4000),
        (10_000_000, 40), (10_000_000, 400), (10_000_000, 4000),
    ],
    sample_count = 3
)]
fn whole_plan(bencher: Bencher, (nodes, samples): (usize, usize)) {
    let field = field(samples);
    bencher
        .counter(ItemsCount::new(nodes))
        .bench(|| plan(black_box(field.clone()), settings(nodes)).expect("a plan").zones.len());
}
