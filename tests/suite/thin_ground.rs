//! Fields whose keep-outs end, run or cross within a millimeter of the boundary or of each other.

use std::path::Path;

use serde_json::Value;

use crate::folder::Folder;

/// Plans the field and adds its zones up, in acres: those spread, and those of rate 0.
fn planned(name: &str) -> f64 {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/thin-ground").join(name);
    let folder = Folder::empty();
    for entry in std::fs::read_dir(from).unwrap() {
        folder.copy(&entry.unwrap().path());
    }
    let said = folder.run(&["plan", "field.toml", "--out", "."]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{name}");
    let totals: Value = serde_json::from_str(&folder.read("field/totals.json")).unwrap();
    let zones = totals["zones"].as_array().unwrap().iter();
    zones.map(|zone| zone["acres"].as_f64().unwrap()).sum()
}

/// The field's acres are of its edges as geodesics, by GeographicLib's `PolygonArea`.
#[track_caller]
fn is_whole(name: &str, acres: f64) {
    let sum = planned(name);
    assert!((sum - acres).abs() < 0.01, "{sum} of {acres}");
}

#[test]
fn edges_that_cross_by_a_hair_are_parted() {
    is_whole("edges-cross-by-a-hair", 66.748_737);
}

#[test]
fn a_vertex_behind_the_end_of_an_edge_does_not_fold_it() {
    is_whole("vertex-behind-an-end", 55.713_836);
}

/// Far north a long edge is 45 mm off the straight line between the degrees of its ends.
#[test]
fn a_hair_along_a_long_edge_loses_no_ground() {
    is_whole("hair-along-a-long-edge", 19.798_875);
}
