//! Flow, gate and overlap against values made elsewhere.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "tests stop at the first surprise"
)]

use landplaster::spreader::flow::mass_flow;
use landplaster::spreader::pans::{DrivingPattern, Pattern, overlap, uniformity};
use landplaster::units::{Length, Quantity, Rate, Speed};

const ROWS: &str = include_str!("../../../fixtures/pattern/rows.csv");
const CVS: &str = include_str!("../../../fixtures/pattern/overlap_cv.csv");

fn row(name: &str) -> Pattern {
    let mut reader = csv::Reader::from_reader(ROWS.as_bytes());
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let row: Vec<(f64, f64)> = records
        .iter()
        .filter(|record| &record[0] == name)
        .map(|record| (record[1].parse().unwrap(), record[2].parse().unwrap()))
        .collect();
    let spacing = Length::feet(row[1].0 - row[0].0);
    let rates = row.iter().map(|pan| Rate::from_si(pan.1)).collect();
    Pattern::new(Length::feet(row[0].0), spacing, rates).unwrap()
}

fn landed(pattern: &Pattern, swath_feet: f64, driving: DrivingPattern) -> Vec<Rate> {
    overlap(pattern, Length::feet(swath_feet), driving).into_iter().map(|(_, rate)| rate).collect()
}

/// `fixtures/pattern/overlap_cv.csv`, computed with numpy: every row of it. The file has 10 digits.
#[test]
fn overlap_cvs() {
    let mut reader = csv::Reader::from_reader(CVS.as_bytes());
    let mut rows = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let number = |i: usize| record[i].parse::<f64>().unwrap();
        let driving =
            if &record[3] == "race" { DrivingPattern::Race } else { DrivingPattern::BackAndForth };
        let rates = landed(&row(&record[0]), number(2), driving);
        assert_eq!(rates.len(), record[4].parse::<usize>().unwrap(), "{record:?}");
        let found = uniformity(&rates).unwrap();
        assert!((found.mean.si() - number(5)).abs() < 1e-9, "{record:?}: {found:?}");
        assert!((found.cv.as_percent() - number(6)).abs() < 1e-7, "{record:?}: {found:?}");
        rows += 1;
    }
    assert_eq!(rows, CVS.lines().count() - 1, "every row is read");
}

/// CRAN package spreval 1.1.0, vignette on travelling systems: lanes 224 ft apart, CU 87.4.
#[test]
fn published_uniformity() {
    let rates = landed(&row("spreval_traveler_in"), 224.0, DrivingPattern::Race);
    assert_eq!(rates.len(), 12);
    let found = uniformity(&rates).unwrap().christiansen.as_percent();
    assert!((found - 87.4).abs() < 0.05, "{found}");
}

/// lb/min = lb/ac x mph x swath ft / 495, exact (43,560 ft2/ac x 60 min/h / 5,280 ft/mi = 495).
/// Worked by hand: half, one and two tons an acre on 40 and 60 ft.
#[test]
fn flow_by_hand() {
    for (pounds, mph, feet, expected) in [
        (2000.0, 10.0, 40.0, 1_616.161_616),
        (1000.0, 8.0, 60.0, 969.696_970),
        (4000.0, 12.5, 50.0, 5_050.505_051),
        (990.0, 5.0, 10.0, 100.0),
    ] {
        let rate = Rate::pounds_per_acre(pounds);
        let flow = mass_flow(rate, Speed::miles_per_hour(mph), Length::feet(feet));
        assert!((flow.as_pounds_per_minute() - expected).abs() < 1e-6, "{pounds} {mph} {feet}");
    }
}
