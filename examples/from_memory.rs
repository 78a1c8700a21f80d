//! Plans a field from bytes in memory and prints its zones and what somebody should look at.
//!
//! `cargo run --release --example from_memory`

#![expect(clippy::print_stdout, reason = "an example shows what it finds")]

use std::error::Error;
use std::path::Path;

use landplaster::report::warnings;
use landplaster::units::{Quantity, System};
use landplaster::work::{Memory, Work};

const JOB: &str = r#"
boundary = "field.geojson"
samples = "samples.csv"
swath = "40 ft"

[[keep_out]]
file = "ditch.geojson"
distance = "35 ft"
why = "ditch"
"#;

fn main() -> Result<(), Box<dyn Error>> {
    let mut files = Memory::default();
    files
        .put("field.geojson", include_str!("field/field.geojson"))
        .put("samples.csv", include_str!("field/samples.csv"))
        .put("ditch.geojson", include_str!("field/ditch.geojson"));
    let work = Work::of_file(Path::new("corner.toml"), JOB)?;
    let (plan, output) = work.plan(&files)?;
    for zone in &plan.zones {
        let (tier, _) = plan.tiers.get(zone.tier.index()).ok_or("a zone has a tier")?;
        println!(
            "zone {}: {} of {} at CEC {:.1}",
            zone.number,
            zone.amount.area.show(System::Us, 2),
            tier.rate.show(System::Us, 2),
            zone.cec_mean,
        );
    }
    println!("{} tons on {} acres", plan.total.printed_mass, plan.total.printed_area);
    for warning in &plan.warnings {
        println!("{} ({})", warnings::line(warning, System::Us), warning.code());
    }
    // Where the files go is the caller's: here only their sizes are told.
    for file in &output.files {
        println!("{}: {} bytes", file.name, file.bytes.len());
    }
    Ok(())
}
