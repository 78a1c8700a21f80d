//! Seconds that one lattice takes: the side of the comparison with other programs that is ours.
//!
//! `lattice_throughput SAMPLES.csv COLUMNS ROWS STEP POWER NEIGHBORS VALUES.f64 [TIMES]`: samples
//! with the header `x,y,z`, the lattice from (0, 0), a neighbour count or `all`, the file that the
//! values are written to (little-endian doubles, south-west first), and how often to repeat. Prints
//! the least seconds of the repeats, by the clock and of the processors. Threads are set by `RAYON_NUM_THREADS`.
//!
//! `lattice_throughput divisions COUNT [TIMES]`: processor seconds of so many double-precision divisions on one
//! thread, by the widest vectors that the surface uses. Each weight takes one at the least.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a program to be timed")]
#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use std::error::Error;
use std::hint::black_box;
use std::time::Instant;

use landplaster::surface::{Idw, Lattice, Neighbors, Point, Surface};
use pulp::{Arch, Simd, WithSimd};
use rustix::time::{ClockId, clock_gettime};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    if let [first, count, times @ ..] = words.as_slice()
        && first == "divisions"
    {
        let (count, times) = (count.parse()?, times.first().map_or(Ok(1), |times| times.parse())?);
        println!("{}", divisions(count, times));
        return Ok(());
    }
    let [samples, columns, rows, step, power, neighbors, values, times @ ..] = words.as_slice()
    else {
        eprintln!("see the head of this file for its arguments; nothing to do");
        return Ok(());
    };
    let points = csv::Reader::from_path(samples)?
        .deserialize()
        .map(|row| row.map(|(easting, northing, value)| Point { easting, northing, value }))
        .collect::<Result<Vec<Point>, _>>()?;
    let neighbors = match neighbors.as_str() {
        "all" => Neighbors::All,
        count => Neighbors::Nearest(count.parse()?),
    };
    let idw = Idw::new(power.parse()?, neighbors, None)?;
    let lattice = Lattice::new(0.0, 0.0, step.parse()?, columns.parse()?, rows.parse()?)?;
    let mut least = [f64::INFINITY; 2];
    let mut made = Vec::new();
    for _ in 0..times.first().map_or(Ok(1), |times| times.parse())? {
        let points = points.clone();
        let start = (Instant::now(), processor_seconds());
        made = Surface::new(points, idw)?.on_lattice(&lattice);
        let taken = [start.0.elapsed().as_secs_f64(), processor_seconds() - start.1];
        least = [least[0].min(taken[0]), least[1].min(taken[1])];
    }
    let bytes: Vec<u8> = made.iter().flat_map(|value| value.to_le_bytes()).collect();
    std::fs::write(values, bytes)?;
    println!("{} {}", least[0], least[1]);
    Ok(())
}

/// What all threads of this process have used so far.
fn processor_seconds() -> f64 {
    let used = clock_gettime(ClockId::ProcessCPUTime);
    used.tv_sec as f64 + 1e-9 * used.tv_nsec as f64
}

/// The least processor seconds that so many divisions take.
fn divisions(count: usize, times: usize) -> f64 {
    let divisors: Vec<f64> = (0..1024).map(|number| 1.0 + f64::from(number)).collect();
    let mut quotients = vec![0.0; divisors.len()];
    let mut least = f64::INFINITY;
    for _ in 0..times {
        let start = processor_seconds();
        for _ in 0..count / divisors.len() {
            Arch::new()
                .dispatch(Divide { divisors: black_box(&divisors), quotients: &mut quotients });
            black_box(&mut quotients);
        }
        least = least.min(processor_seconds() - start);
    }
    least
}

/// One over each number of a list that stays in the nearest cache.
struct Divide<'a> {
    divisors: &'a [f64],
    quotients: &'a mut [f64],
}

impl WithSimd for Divide<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let (divisors, _) = S::as_simd_f64s(self.divisors);
        let (quotients, _) = S::as_mut_simd_f64s(self.quotients);
        for (quotient, divisor) in quotients.iter_mut().zip(divisors) {
            *quotient = simd.div_f64s(simd.splat_f64s(1.0), *divisor);
        }
    }
}
