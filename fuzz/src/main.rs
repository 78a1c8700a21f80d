//! All targets in one program: `TARGET=job landplaster-fuzz CORPUS …`; `fuzz/run` calls it.
//!
//! A panic, an input that takes over ten seconds (libFuzzer's `-timeout`), and memory over the rule
//! that readers keep are findings.

#![no_main]

mod fields;
mod memory;
mod readers;

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

type Target = fn(&[u8]);

fuzz_target!(|data: &[u8]| {
    static TARGET: OnceLock<Target> = OnceLock::new();
    let target = TARGET.get_or_init(|| {
        let name = std::env::var("TARGET").unwrap_or_default();
        let known = readers::ALL.iter().chain(&[("field", fields::field as Target)]);
        let mut named = known.filter(|(known, _)| *known == name);
        named.next().unwrap_or_else(|| panic!("TARGET: found \"{name}\", expected a target")).1
    });
    target(data);
});
