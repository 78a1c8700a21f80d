//! Inverse distance against R's gstat: see `fixtures/idw/README.md`.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at what it finds amiss"
)]

use std::collections::HashMap;

use landplaster::surface::{CrossValidation, Idw, Neighbors, Point, Search, Surface, choose};

const SETTINGS: [(&str, f64, Neighbors); 6] = [
    ("p1_all", 1.0, Neighbors::All),
    ("p2_all", 2.0, Neighbors::All),
    ("p3_all", 3.0, Neighbors::All),
    ("p1_k12", 1.0, Neighbors::Nearest(12)),
    ("p2_k12", 2.0, Neighbors::Nearest(12)),
    ("p3_k12", 3.0, Neighbors::Nearest(12)),
];

/// Narrower than this, in meters, the choice of the 12 nearest is a tie that gstat breaks.
const TIE_GAP: f64 = 1e-6;

fn rows(name: &str) -> Vec<HashMap<String, String>> {
    let path = format!("{}/fixtures/idw/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path).unwrap().deserialize().map(Result::unwrap).collect()
}

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap()
}

fn surface(name: &str, power: f64, neighbors: Neighbors) -> Surface {
    let point = |row: &HashMap<String, String>| Point {
        easting: number(row, "x"),
        northing: number(row, "y"),
        value: number(row, "z"),
    };
    let points = rows(&format!("{name}_samples")).iter().map(point).collect();
    // gstat knows no taper.
    Surface::new(points, Idw::new(power, neighbors, None).unwrap().plain()).unwrap()
}

/// Whether a row can be compared: always with all samples, else when the 12 nearest are no tie.
fn comparable(row: &HashMap<String, String>, neighbors: Neighbors) -> bool {
    neighbors == Neighbors::All || number(row, "gap_d13_d12") >= TIE_GAP
}

fn report(name: &str, what: &str, setting: &str, pairs: &[(f64, f64)]) {
    let largest =
        pairs.iter().map(|(ours, theirs)| (ours / theirs - 1.0).abs()).fold(0.0, f64::max);
    println!(
        "{name} {what} {setting}: {} rows, largest relative difference {largest:.2e}",
        pairs.len()
    );
    assert!(!pairs.is_empty() && largest < 1e-9, "{name} {what} {setting}: {largest:e}");
}

#[test]
fn targets_equal_gstat() {
    for name in ["oxford", "meuse"] {
        let targets = rows(&format!("{name}_targets"));
        for (setting, power, neighbors) in SETTINGS {
            let surface = surface(name, power, neighbors);
            let pairs: Vec<(f64, f64)> = targets
                .iter()
                .filter(|row| comparable(row, neighbors))
                .map(|row| {
                    let ours = surface.at(number(row, "x"), number(row, "y"));
                    (ours, number(row, &format!("idw_{setting}")))
                })
                .collect();
            report(name, "targets", setting, &pairs);
        }
    }
}

#[test]
fn leave_one_out_equals_gstat() {
    for name in ["oxford", "meuse"] {
        let expected = rows(&format!("{name}_loo"));
        for (setting, power, neighbors) in SETTINGS {
            let surface = surface(name, power, neighbors);
            let predicted = surface.leave_one_out();
            let pairs: Vec<(f64, f64)> = expected
                .iter()
                .filter(|row| comparable(row, neighbors))
                .map(|row| {
                    let place = surface.points().iter().position(|point| {
                        point.easting == number(row, "x") && point.northing == number(row, "y")
                    });
                    (predicted[place.unwrap()], number(row, &format!("loo_pred_{setting}")))
                })
                .collect();
            report(name, "leave-one-out", setting, &pairs);
        }
    }
}

#[test]
fn error_summaries_equal_gstat() {
    for row in rows("loo_summary").iter().filter(|row| row["ties"] == "0") {
        let neighbors = if row["k"] == "all" { Neighbors::All } else { Neighbors::Nearest(12) };
        let found = surface(&row["dataset"], number(row, "power"), neighbors);
        let found = found.cross_validation().unwrap();
        let what = format!("{} p{} {}", row["dataset"], row["power"], row["k"]);
        for (name, ours, theirs) in [
            ("rmse", found.rmse, number(row, "rmse")),
            ("mae", found.mean_absolute_error, number(row, "mae")),
            ("me", found.mean_error, -number(row, "me")),
        ] {
            // gstat's errors are observed less predicted, ours the other way round.
            // The mean error is a difference of near-equal sums: it is held to the RMSE's size.
            let difference = (ours - theirs).abs() / number(row, "rmse");
            println!("{what} {name}: relative difference {difference:.2e}");
            assert!(difference < 1e-9, "{what} {name}: {ours}, expected {theirs}");
        }
    }
}

#[test]
fn errors_of_the_tie_free_rows_equal_gstat() {
    for row in rows("loo_k12_tie_free") {
        let name = &row["dataset"];
        let surface = surface(name, number(&row, "power"), Neighbors::Nearest(12));
        let predicted = surface.leave_one_out();
        let (observed, predicted): (Vec<f64>, Vec<f64>) = rows(&format!("{name}_loo"))
            .iter()
            .filter(|row| comparable(row, Neighbors::Nearest(12)))
            .map(|row| {
                let place = surface.points().iter().position(|point| {
                    point.easting == number(row, "x") && point.northing == number(row, "y")
                });
                (number(row, "observed"), predicted[place.unwrap()])
            })
            .unzip();
        assert_eq!(observed.len().to_string(), row["n_tie_free"]);
        let found = CrossValidation::new(&observed, &predicted).unwrap().rmse;
        let difference = (found / number(&row, "rmse_k12_tie_free") - 1.0).abs();
        println!("{name} p{} tie-free rmse: relative difference {difference:.2e}", row["power"]);
        assert!(difference < 1e-9);
    }
}

/// The search's own errors, held against gstat's where its table has the setting.
#[test]
fn the_table_of_a_search_equals_gstat() {
    for name in ["oxford", "meuse"] {
        let points = surface(name, 2.0, Neighbors::All).points().to_vec();
        let choice = choose(&points, &Search { taper: false, ..Search::default() }).unwrap();
        println!("{name}: chosen {:?}", choice.chosen.unwrap());
        println!("{name}: best {:?}", choice.best.unwrap());
        let summary = rows("loo_summary");
        for row in summary.iter().filter(|row| row["dataset"] == name && row["ties"] == "0") {
            let neighbors = if row["k"] == "all" { Neighbors::All } else { Neighbors::Nearest(12) };
            let idw = Idw::new(number(row, "power"), neighbors, None).unwrap().plain();
            let trial = choice.trials.iter().find(|trial| trial.idw == idw).unwrap();
            assert!((trial.errors.rmse / number(row, "rmse") - 1.0).abs() < 1e-9, "{trial:?}");
        }
    }
}
