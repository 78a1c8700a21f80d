//! The pictures of a test are drawn, and drawn alike each time.

use super::{cv_against_swath, side_by_side, single_pass};
use crate::report::png;
use crate::spreader::pans::{DEFAULT_LIMIT, DrivingPattern, PanReport, read, report};

fn demo(name: &str, text: &str) -> PanReport {
    report(read(name, text).unwrap(), DEFAULT_LIMIT, DrivingPattern::BackAndForth)
}

#[test]
fn pictures() {
    let before = demo("before", include_str!("../../../demo-farm/spreader/pans-before.csv"));
    let after = demo("after", include_str!("../../../demo-farm/spreader/pans-after.csv"));
    for svg in [single_pass(&before), cv_against_swath(&before), side_by_side(&before, &after)] {
        let svg = svg.unwrap();
        assert!(svg.contains("(ft)"), "axes carry their unit");
        let picture = png(&svg).unwrap();
        assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n");
        assert_eq!(picture, png(&svg).unwrap());
    }
    assert_eq!(single_pass(&before).unwrap(), single_pass(&before).unwrap());
    assert!(png("not a picture").is_err());
}
