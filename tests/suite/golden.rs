//! The demo farm's totals, so that no change of a figure goes unseen. The figures themselves are
//! judged elsewhere: by the properties, and by the outside check.
//!
//! After a change that is meant, `UPDATE_GOLDEN=1 cargo test --release golden` writes them anew.

use std::path::Path;
use std::{env, fs};

use crate::folder::{Folder, demo};

fn totals(job: &str) {
    let folder = Folder::empty();
    let path = demo(&format!("{job}.toml"));
    let said = folder.run(&["plan", path.to_str().unwrap()]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for ending in ["csv", "json"] {
        let made = folder.read(&format!("plans/{job}/totals.{ending}"));
        // Warnings name files by their path; where this checkout lies is no matter of the plan.
        let made = made.replace(env!("CARGO_MANIFEST_DIR"), "");
        let kept = format!("fixtures/golden/{job}.{ending}");
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join(kept);
        if env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(&kept, &made).unwrap();
        }
        assert_eq!(made, fs::read_to_string(kept).unwrap());
    }
}

#[test]
fn home_lane() {
    totals("home-lane");
}

#[test]
fn pond_quarter() {
    totals("pond-quarter");
}

#[test]
fn creek_bottom() {
    totals("creek-bottom");
}
