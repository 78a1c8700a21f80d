//! Keeps the surface of a field and plans it again with one tier break after another: only what
//! depends on the break is done again.
//!
//! `cargo run --release --example another_tier`

#![expect(clippy::print_stdout, reason = "an example shows what it finds")]

use std::error::Error;
use std::path::Path;

use landplaster::plan::{Plan, Surfaced, Zoned};
use landplaster::work::{Memory, Prepared, Work};

fn main() -> Result<(), Box<dyn Error>> {
    let mut files = Memory::default();
    files
        .put("field.geojson", include_str!("field/field.geojson"))
        .put("samples.csv", include_str!("field/samples.csv"));
    let prepared = |tier_break: f64| -> Result<Prepared, Box<dyn Error>> {
        let job = format!(
            "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n\
             [[tier]]\nunder = {tier_break}\nrate = \"0.5 ton/ac\"\n\
             [[tier]]\nfrom = {tier_break}\nrate = \"1.5 ton/ac\"\n"
        );
        Ok(Work::of_file(Path::new("corner.toml"), &job)?.prepare(&files)?)
    };
    let first = prepared(10.0)?;
    let surfaced = Surfaced::new(first.field, &first.settings.surface, first.settings.grid)?;
    for tier_break in [8.0, 9.0, 10.0, 11.0, 12.0] {
        let settings = prepared(tier_break)?.settings;
        let zoned = Zoned::new(&surfaced, &settings)?;
        let plan = Plan::new(&surfaced, &zoned, settings)?;
        let tons = plan.total.printed_mass;
        println!("break at CEC {tier_break}: {tons} tons in {} zones", plan.zones.len());
    }
    Ok(())
}
