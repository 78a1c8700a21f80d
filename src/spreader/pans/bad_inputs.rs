//! Every way in which a catch-pan test can be wrong, and what is said.

use super::{PanTest, read};
use crate::units::Rate;

const HEAD: &str = "# pan size: 20 in x 20 in\n# target: 1 ton/ac\n# swath: 20 ft\n";
const ROW: &str = "-20,1\n-10,20\n0,30\n10,21\n20,2\n";

fn test(row: &str) -> Result<PanTest, String> {
    let text = format!("{HEAD}distance (ft),catch (g)\n{row}");
    read("p.csv", &text).map_err(|error| error.to_string())
}

fn said(row: &str) -> String {
    test(row).unwrap_err()
}

fn said_of_text(text: &str) -> String {
    read("p.csv", text).unwrap_err().to_string()
}

/// Worked by hand: 57.9 g on 20 x 20 in (400/144 ft2) is 0.12765 lb x 43,560 / 2.77778 / 2,000 =
/// 1.0009 ton/ac; half of it for each of two passes; the mean of 57.9 and 59.9 g for two runs.
#[test]
fn rates_by_hand() {
    let row = "-20,0,0\n-10,57.9,57.9\n0,57.9,59.9\n10,57.9,57.9\n20,0,0\n";
    let text = format!("{HEAD}distance (ft),run 1 (g),run 2 (g)\n{row}");
    let once = read("p.csv", &text).unwrap();
    let expected = 57.9 / 453.592_37 * 43_560.0 / (400.0 / 144.0) / 2000.0;
    let found = |test: &PanTest, i: usize| test.pattern.rates()[i].as_tons_per_acre();
    assert!((found(&once, 1) - expected).abs() < 1e-9);
    assert!((found(&once, 2) - expected * 58.9 / 57.9).abs() < 1e-9);
    let twice = read("p.csv", &format!("# passes: 2\n{text}")).unwrap();
    assert!((found(&twice, 1) - expected / 2.0).abs() < 1e-9);
    assert!(once.cautions.is_empty(), "{:?}", once.cautions);
}

#[test]
fn catches_and_places() {
    assert_eq!(
        said(&ROW.replace("0,30", "0,-3")),
        "p.csv, line 7: catch: found -3 g, expected zero or more; \
         take the empty pan's weight off once only"
    );
    assert_eq!(
        said("-20,1\n-10,20\n0,0\n10,21\n20,2\n"),
        "p.csv: found no catch at the driven line, expected some; check that the machine drove over \
         the middle of the row and both spinners were fed"
    );
    assert_eq!(said("-20,0\n-10,0\n0,0\n10,0\n20,0\n"), said("-20,1\n-10,20\n0,0\n10,21\n20,2\n"));
    assert_eq!(
        said(&format!("{ROW}10,4\n")),
        "p.csv: found two pans at 10 ft, expected one; correct the distance"
    );
    assert_eq!(
        said("10,1\n20,20\n30,30\n40,21\n50,2\n"),
        "p.csv: found pans from 10 ft to 50 ft, expected pans on both sides of the driven line; \
         write distances left of it as negative"
    );
    assert_eq!(
        said("-10,20\n0,30\n10,21\n"),
        "p.csv: found 3 pans, expected at least 5; set more pans in the row"
    );
    assert_eq!(
        said(&ROW.replace("0,30", "0,3O")),
        "p.csv, line 7: catch: found \"3O\", expected a number without unit; correct it"
    );
    assert_eq!(
        said(&ROW.replace("0,30", "0")),
        "p.csv, line 7: found 1 cell, expected 2; write 0 where nothing was caught"
    );
}

#[test]
fn unevenly_spaced_pans_are_interpolated_or_refused() {
    // The pans in the wheel tracks are left out: by hand, halfway between 10 and 20 g is 15 g.
    let test = test("-40,1\n-30,6\n-20,10\n0,20\n10,15\n20,10\n30,5\n40,1\n").unwrap();
    assert_eq!(
        test.cautions,
        [
            "pans unevenly spaced, 10 ft to 20 ft apart: interpolated, straight between pans, to every 10 ft"
        ]
    );
    let rates: Vec<Rate> = test.pattern.rates().to_vec();
    assert_eq!(rates.len(), 9);
    assert!((rates[3] / rates[4] - 0.75).abs() < 1e-12);
    assert_eq!(
        said("-40,1\n0,20\n10,15\n20,10\n30,5\n40,1\n"),
        "p.csv: found pans 40 ft apart beside pans 10 ft apart, too uneven to fill in; expected no \
         gap over 3 times the smallest: set pans in the gap and run again"
    );
}

#[test]
fn one_side_short_is_filled_or_refused() {
    let filled = test("-30,1\n-20,9\n-10,20\n0,30\n10,21\n20,7\n").unwrap();
    assert_eq!(
        filled.cautions,
        ["pans not symmetric, to 20 ft on the right and 30 ft on the other side: \
          taken as nothing landing beyond the last pan"]
    );
    assert_eq!(
        said("-30,1\n-20,9\n-10,20\n0,30\n10,21\n"),
        "p.csv: found pans to 10 ft on the right but to 30 ft on the other side, and the last one on \
         the right caught 70 % of the highest catch; expected a row that reaches as far on both \
         sides: set pans farther out on the right and run again"
    );
    let cut = test("-20,12\n-10,20\n0,30\n10,21\n20,9\n").unwrap();
    assert_eq!(
        cut.cautions,
        ["the last pan still caught 40 % of the highest catch: the throw is wider than the row, \
          set pans farther out"]
    );
}

#[test]
fn settings() {
    let table = format!("distance (ft),catch (g)\n{ROW}");
    let test = read("p.csv", &format!("# pan area: 2 ft2\n{table}")).unwrap();
    assert_eq!(
        test.cautions,
        [
            "target missing: the rate cannot be judged; add a line such as \"# target: 1 ton/ac\"",
            "swath missing: judged at half the row; add a line such as \"# swath: 40 ft\"",
        ]
    );
    assert_eq!(
        said_of_text(&table),
        "p.csv: found no pan size, expected a line such as \"# pan size: 20 in x 20 in\"; \
         measure the inside of a pan at its rim"
    );
    assert_eq!(
        said_of_text(&format!("# pan area: 2 ft2\n# tarket: 1 ton/ac\n{table}")),
        "p.csv, line 2: found the setting \"tarket\", expected one of pan size, pan area, target, \
         swath, passes, note; correct its name"
    );
    assert_eq!(
        said_of_text(&format!("# pan size: 20 in\n{table}")),
        "p.csv, line 1: pan size: found \"20 in\", expected two sides such as \"20 in x 20 in\""
    );
    assert_eq!(
        said_of_text(&format!("# pan area: 2 ft2\n# target: 0 ton/ac\n{table}")),
        "p.csv, line 2: target: found 0 ton/ac, expected more than zero; measure it again"
    );
    for (swath, found) in [("1 ft", "1.0 ft"), ("1e9 ft", "1000000000.0 ft")] {
        assert_eq!(
            said_of_text(&format!("# pan area: 2 ft2\n# swath: {swath}\n{table}")),
            format!(
                "p.csv: swath: found {found}, expected 20.0 ft to 160.0 ft with these pans; correct it"
            )
        );
    }
    assert_eq!(
        said_of_text(&format!("# pan area: 2 ft2\n# passes: 0\n{table}")),
        "p.csv, line 2: passes: found \"0\", expected a whole number from 1; count the passes over the pans"
    );
}

#[test]
fn headings() {
    let columns =
        "expected columns such as \"distance (ft),catch (g)\", a catch column for each run";
    assert_eq!(said_of_text(""), format!("p.csv: found no table, {columns}"));
    assert_eq!(
        said_of_text("distance,catch (g)\n"),
        format!("p.csv, line 1: found the heading \"distance\" without a length unit, {columns}")
    );
    assert_eq!(
        said_of_text("distance (ft),catch (oz)\n"),
        format!("p.csv, line 1: found the heading \"catch (oz)\" without a mass unit, {columns}")
    );
    assert_eq!(
        said_of_text("distance (ft)\n"),
        format!("p.csv, line 1: found no catch column, {columns}")
    );
}

/// Numbers that no pan can have would make axes without end.
#[test]
fn numbers_beyond_any_pan() {
    let wild = ROW.replace("0,30", "0,1e200");
    assert_eq!(
        said(&wild),
        "p.csv, line 7: catch: found 1e200 g, expected at most 1000 kg in a pan; correct it"
    );
    assert_eq!(
        said(&ROW.replace("20,2", "2e200,2")),
        "p.csv, line 9: distance: found 2e200 ft, expected at most 1000 m from the line; correct it"
    );
    let pans = |size: &str| format!("# pan size: {size}\ndistance (ft),catch (g)\n{ROW}");
    assert_eq!(
        said_of_text(&pans("1e-90 in x 1 in")),
        "p.csv, line 1: pan size: found 1e-90 in x 1 in, expected 1 cm2 to 100 m2; measure the inside of a pan"
    );
    let row: Vec<String> =
        (-300..=300).map(|place| format!("{place},{}", 301 - i32::abs(place))).collect();
    let row = row.join("\n");
    assert_eq!(
        said(&row),
        "p.csv: found 601 pans, expected at most 400; is this a catch-pan test?"
    );
}
