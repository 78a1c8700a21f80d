//! One program for all targets; `TARGET` in the environment says which one it runs.

#![no_main]
#![allow(clippy::expect_used, clippy::panic, reason = "a finding is a panic")]

mod fields;
mod memory;
mod parts;
mod readers;

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;

#[global_allocator]
static ALLOCATOR: memory::Counting = memory::Counting;

type Target = fn(&[u8]);

static TARGET: LazyLock<Target> = LazyLock::new(|| {
    let name = std::env::var("TARGET").unwrap_or_default();
    let known = readers::TARGETS.iter().chain(fields::TARGETS);
    let found = known.clone().find(|(known, _)| *known == name).map(|(_, target)| *target);
    let names: Vec<&str> = known.map(|(name, _)| *name).collect();
    found.unwrap_or_else(|| panic!("TARGET is none of {}", names.join(" ")))
});

fn begin() {
    // The one thread that there is: handing work to another and back would take a third of the time.
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread();
    alone.build_global().expect("no other pool");
    panics_of_calamine_are_caught();
}

/// libFuzzer's own hook ends the run at any panic; spreadsheets are read with those of calamine caught.
fn panics_of_calamine_are_caught() {
    let ends = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !panic.location().is_some_and(|place| place.file().contains("/calamine-")) {
            ends(panic);
        }
    }));
}

fuzz_target!(init: begin(), |data: &[u8]| TARGET(data));
