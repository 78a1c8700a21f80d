//! What a change costs when the surface is kept: processor time of a whole plan and of planning again
//! with another tier break, other prices or other ground kept out, without files; in one run.
//!
//! `cargo bench --bench stages`, or with other numbers of samples and another grid in feet:
//! `cargo bench --bench stages -- 400 10`.

#![expect(clippy::expect_used, clippy::print_stdout, reason = "a benchmark stops at what is amiss")]

use std::time::Duration;

use landplaster::landing::{Landing, LandingSettings};
use landplaster::plan::{Plan, Surfaced, Zoned, plan};
use landplaster::spreader::{machine, pans};
use landplaster::units::Length;
use landplaster::work::{Memory, Prepared, Work};
use rustix::time::{ClockId, clock_gettime};

/// The program's own.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Half a mile: with its square, 160 acres.
const SIDE_M: f64 = 804.672;
const RUNS: usize = 25;

fn main() {
    let numbers: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let samples = numbers.first().copied().unwrap_or(64);
    let grid = numbers.get(1).copied().unwrap_or(10);
    let [first, second] = [10.0, 10.5].map(|tier_break| prepared(samples, grid, tier_break));
    println!(
        "160 ac, {samples} samples, {grid} ft: processor milliseconds, least and median of {RUNS} runs"
    );
    let whole = measured(|| {
        let Prepared { field, settings, .. } = first.clone();
        plan(field, settings).expect("a plan");
    });
    let surfaced = Surfaced::new(first.field, &first.settings.surface, first.settings.grid);
    let surfaced = surfaced.expect("a surface");
    let again = measured(|| {
        let zoned = Zoned::new(&surfaced, &second.settings).expect("zones");
        Plan::new(&surfaced, &zoned, second.settings.clone()).expect("a plan");
    });
    let zoned = Zoned::new(&surfaced, &second.settings).expect("zones");
    let amounts = measured(|| {
        Plan::new(&surfaced, &zoned, second.settings.clone()).expect("a plan");
    });
    let surface = measured(|| {
        let Prepared { field, settings, .. } = second.clone();
        Surfaced::new(field, &settings.surface, settings.grid).expect("a surface");
    });
    for (what, taken) in [
        ("a whole plan", whole),
        ("its surface alone", surface),
        ("another tier break on a kept surface", again),
        ("the last stage alone", amounts),
    ] {
        let [least, median] = taken;
        println!("  {what}: {least:.1}, {median:.1}");
    }
    println!("  another tier break takes {:.2} of a whole plan", again[1] / whole[1]);
    let landed = Plan::new(&surfaced, &zoned, second.settings.clone()).expect("a plan");
    landing(&landed);
}

/// What lands of a plan by the demo farm's spreader and pan test: one spreading, and with the best
/// look-ahead found by trying, in cells of several sizes.
fn landing(plan: &Plan) {
    let machine = include_str!("../demo-farm/spreader/machine.toml");
    let machine = machine::read("machine.toml", machine).expect("a machine");
    let pans = include_str!("../demo-farm/spreader/pans-after.csv");
    let pans = pans::read("pans-after.csv", pans).expect("a pan test");
    for feet in [4.0, 2.0, 1.0] {
        let side = Length::feet(feet);
        let asked = LandingSettings { side: Some(side), ..LandingSettings::default() };
        let land = || Landing::new(plan, &machine, Some(&pans.pattern), &asked).expect("it lands");
        let landing = land();
        let once = measured(|| _ = landing.driven.spread(&landing.spreading, side));
        let all = measured(|| _ = land());
        let nodes = landing.cells.mass.len() as f64 / 1e6;
        println!(
            "  what lands in cells of {feet} ft ({nodes:.1} million): once {:.0}, {:.0}; with the best look-ahead {:.0}, {:.0}",
            once[0], once[1], all[0], all[1]
        );
    }
}

/// Processor milliseconds of this process over several runs: the least and the median.
fn measured(what: impl Fn()) -> [f64; 2] {
    let now = || {
        let time = clock_gettime(ClockId::ProcessCPUTime);
        Duration::try_from(time).expect("a time")
    };
    let mut taken: Vec<f64> = (0..RUNS)
        .map(|_| {
            let before = now();
            what();
            now().saturating_sub(before).as_secs_f64() * 1e3
        })
        .collect();
    taken.sort_by(f64::total_cmp);
    [0, RUNS / 2].map(|rank| taken.get(rank).copied().unwrap_or(f64::NAN))
}

/// The square of `quarter_section.py` with samples spread evenly without a pattern (Roberts's R2
/// sequence), and one break between two tiers moved.
fn prepared(samples: usize, grid: usize, tier_break: f64) -> Prepared {
    let place = |east: f64, north: f64| {
        (-85.2 + SIDE_M * east / 84_900.0, 40.4 + SIDE_M * north / 111_040.0)
    };
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)];
    let corners: Vec<String> = (corners.iter())
        .map(|&(east, north)| {
            let (longitude, latitude) = place(east, north);
            format!("[{longitude},{latitude}]")
        })
        .collect();
    let boundary = format!("{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}", corners.join(","));
    let share = |number: usize, step: f64| (0.5 + number as f64 * step).fract();
    let rows = (1..=samples).map(|number| {
        let (east, north) =
            (share(number, 0.754_877_666_246_692_8), share(number, 0.569_840_290_998_053_3));
        let wave = (7.0 * east + 2.0).sin() * (5.0 * north + 1.0).cos();
        let cec = 13.5 + 8.0 * wave + share(number, 0.618_033_988_749_895) - 0.5;
        let (longitude, latitude) = place(east, north);
        format!("{number},{longitude:.8},{latitude:.8},{cec:.1}\n")
    });
    let table = format!("id,longitude,latitude,cec\n{}", rows.collect::<String>());
    let job = format!(
        "boundary = \"boundary.geojson\"\nsamples = \"samples.csv\"\n[surface]\ngrid = \"{grid} ft\"\n\
         [[tier]]\nunder = {tier_break}\nrate = \"0.5 ton/ac\"\n\
         [[tier]]\nfrom = {tier_break}\nto = 15\nrate = \"1 ton/ac\"\n\
         [[tier]]\nover = 15\nrate = \"2 ton/ac\"\n"
    );
    let mut files = Memory::default();
    files.put("boundary.geojson", boundary).put("samples.csv", table);
    let work = Work::of_file("quarter.toml".as_ref(), &job).expect("a job");
    work.prepare(&files).expect("a field")
}
