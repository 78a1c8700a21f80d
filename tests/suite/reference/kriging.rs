//! Variograms, kriging and its errors against R's gstat: see `fixtures/kriging/README.md`.

use std::collections::HashMap;
use std::sync::Arc;

use landplaster::surface::{
    ErrorModel, Interpolator, Kriging, Point, Variogram, VariogramShape, empirical,
};

const NAMES: [&str; 2] = ["oxford", "meuse"];

type Row = HashMap<String, String>;

fn rows(name: &str) -> Vec<Row> {
    let path = format!("{}/fixtures/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path).unwrap().deserialize().map(Result::unwrap).collect()
}

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap()
}

fn samples(name: &str) -> Vec<Point> {
    let point = |row: &Row| Point {
        easting: number(row, "x"),
        northing: number(row, "y"),
        value: number(row, "z"),
    };
    rows(&format!("idw/{name}_samples")).iter().map(point).collect()
}

/// gstat's fits: data set, the short name of the shape, the model, and its weighted squares.
fn fits() -> Vec<(String, String, Variogram, f64)> {
    let fit = |row: &Row| {
        let variogram = Variogram {
            shape: if row["shape"] == "Sph" {
                VariogramShape::Spherical
            } else {
                VariogramShape::Exponential
            },
            nugget: number(row, "nugget"),
            partial_sill: number(row, "partial_sill"),
            range: number(row, "range"),
        };
        (row["name"].clone(), row["shape"].clone(), variogram, number(row, "squares"))
    };
    rows("kriging/fits").iter().map(fit).collect()
}

fn largest_difference(what: &str, pairs: &[(f64, f64)]) -> f64 {
    assert!(!pairs.is_empty());
    let relative = |(ours, theirs): &(f64, f64)| (ours / theirs - 1.0).abs();
    let largest = pairs.iter().map(relative).fold(0.0, f64::max);
    println!("{what}: {} values, largest relative difference {largest:.1e}", pairs.len());
    largest
}

#[test]
fn empirical_variograms_equal_gstat() {
    for name in NAMES {
        let expected = rows(&format!("kriging/{name}_variogram"));
        let lags = empirical(&samples(name));
        let pairs: Vec<usize> = lags.iter().map(|lag| lag.pairs).collect();
        let theirs: Vec<usize> = expected.iter().map(|row| row["pairs"].parse().unwrap()).collect();
        assert_eq!(pairs, theirs, "{name}: pairs in classes");
        let values: Vec<(f64, f64)> = lags
            .iter()
            .zip(&expected)
            .flat_map(|(lag, row)| {
                [
                    (lag.distance, number(row, "distance")),
                    (lag.semivariance, number(row, "semivariance")),
                ]
            })
            .collect();
        // Sums of some hundred terms, in another order.
        assert!(largest_difference(&format!("{name} variogram"), &values) < 1e-12);
    }
}

/// The chosen model is the nearer of gstat's two, and no farther from the samples' variogram than
/// gstat's. At a minimum of the squares the parameters are known to the root of their rounding:
/// about 1e-8; both are held to 1e-6, 0.2 mm of the range.
#[test]
fn fits_are_no_worse_than_gstat() {
    for name in NAMES {
        let ours = Variogram::fit(&samples(name)).unwrap().nearest;
        let (_, shape, theirs, squares) = fits()
            .into_iter()
            .filter(|fit| fit.0 == name)
            .min_by(|one, other| one.3.total_cmp(&other.3))
            .unwrap();
        println!("{name} {shape}: ours {ours:?}\n    gstat {theirs:?} {squares}");
        assert_eq!(ours.variogram.shape, theirs.shape);
        // Room for the rounding of fifteen squares.
        assert!(ours.weighted_squares <= squares * (1.0 + 1e-12), "{name}");
        let found = ours.variogram;
        let sills = theirs.sill();
        assert!((found.nugget - theirs.nugget).abs() < 1e-6 * sills, "{name}: nugget");
        assert!((found.partial_sill - theirs.partial_sill).abs() < 1e-6 * sills, "{name}: sill");
        assert!((found.range / theirs.range - 1.0).abs() < 1e-6, "{name}: range");
    }
}

#[test]
fn predictions_equal_gstat() {
    for (name, shape, variogram, _) in fits() {
        let kriging = Kriging::new(&samples(&name), variogram).unwrap();
        let targets = rows(&format!("kriging/{name}_targets"));
        let pairs: Vec<(f64, f64)> = targets
            .iter()
            .map(|row| {
                let ours = kriging.at(number(row, "x"), number(row, "y"));
                (ours, number(row, &format!("pred_{shape}")))
            })
            .collect();
        assert!(largest_difference(&format!("{name} {shape} predictions"), &pairs) < 1e-9);
    }
}

/// Before it is scaled, the variance of the error model is the kriging variance, away from samples
/// (where gstat's is 0 and a new sample still has the nugget).
#[test]
fn variances_equal_gstat() {
    for (name, shape, variogram, _) in fits() {
        let kriging = Arc::new(Kriging::new(&samples(&name), variogram).unwrap());
        let errors = ErrorModel::new(kriging.clone(), Some(&variogram)).unwrap();
        let targets = rows(&format!("kriging/{name}_targets"));
        let is_sample = |row: &Row| {
            let (x, y) = (number(row, "x"), number(row, "y"));
            kriging.points().iter().any(|point| point.squared_distance(x, y) == 0.0)
        };
        let pairs: Vec<(f64, f64)> = targets
            .iter()
            .filter(|row| !is_sample(row))
            .map(|row| {
                let sd = errors.sd_at(number(row, "x"), number(row, "y"));
                (sd * sd / errors.scale().unwrap(), number(row, &format!("var_{shape}")))
            })
            .collect();
        assert!(largest_difference(&format!("{name} {shape} variances"), &pairs) < 1e-9);
        let here = kriging.points()[0];
        let at_sample = errors.sd_at(here.easting, here.northing).powi(2) / errors.scale().unwrap();
        assert!((at_sample - 2.0 * variogram.nugget).abs() < 1e-9 * variogram.sill());
    }
}

/// The closed form against gstat's `krige.cv`, which leaves out one sample after the other; and the
/// error model's scale against gstat's residuals and variances.
#[test]
fn leave_one_out_equals_gstat() {
    for (name, shape, variogram, _) in fits() {
        let kriging = Kriging::new(&samples(&name), variogram).unwrap();
        let predicted = kriging.leave_one_out();
        let expected = rows(&format!("kriging/{name}_loo"));
        let (mut pairs, mut squares, mut variances) = (Vec::new(), 0.0, 0.0);
        for row in &expected {
            let place = kriging.points().iter().position(|point| {
                point.easting == number(row, "x") && point.northing == number(row, "y")
            });
            let (place, theirs) = (place.unwrap(), number(row, &format!("pred_{shape}")));
            pairs.push((predicted[place], theirs));
            squares += (theirs - kriging.points()[place].value).powi(2);
            variances += number(row, &format!("var_{shape}"));
        }
        assert!(largest_difference(&format!("{name} {shape} leave-one-out"), &pairs) < 1e-9);
        let errors = ErrorModel::new(Arc::new(kriging), Some(&variogram)).unwrap();
        let scale = [(errors.scale().unwrap(), squares / variances)];
        println!("{name} {shape}: scale {:.3}", scale[0].0);
        assert!(largest_difference(&format!("{name} {shape} scale"), &scale) < 1e-9);
    }
}
