//! Seconds that one lattice takes: the side of the comparison with other programs that is ours.
//!
//! `lattice_throughput SAMPLES.csv COLUMNS ROWS STEP POWER NEIGHBORS VALUES.f64 [TIMES]`: samples
//! with the header `x,y,z`, the lattice from (0, 0), a neighbour count or `all`, the file that the
//! values are written to (little-endian doubles, south-west first), and how often to repeat. Prints
//! the least seconds of the repeats. Threads are set by `RAYON_NUM_THREADS`.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a program to be timed")]

use std::error::Error;
use std::time::Instant;

use landplaster::surface::{Idw, Lattice, Neighbors, Point, Surface};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
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
    let mut least = f64::INFINITY;
    let mut made = Vec::new();
    for _ in 0..times.first().map_or(Ok(1), |times| times.parse())? {
        let points = points.clone();
        let start = Instant::now();
        made = Surface::new(points, idw)?.on_lattice(&lattice);
        least = least.min(start.elapsed().as_secs_f64());
    }
    let bytes: Vec<u8> = made.iter().flat_map(|value| value.to_le_bytes()).collect();
    std::fs::write(values, bytes)?;
    println!("{least}");
    Ok(())
}
