//! Choosing the power and the number of neighbors from the samples themselves.

use rayon::prelude::*;

use super::evaluate::blend;
use super::{CrossValidation, Idw, Neighbors, Point, Surface, SurfaceError};

/// The settings that are tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Search {
    /// The powers; one alone is a fixed power.
    pub powers: Vec<f64>,
    /// The neighbors; one alone is fixed.
    pub neighbors: Vec<Neighbors>,
    /// The radius of every setting, in meters.
    pub radius: Option<f64>,
    /// Whether every setting's weights fall to nothing at the first sample that does not count.
    pub taper: bool,
}

impl Search {
    fn setting(&self, power: f64, neighbors: Neighbors) -> Result<Idw, SurfaceError> {
        let tapered = Idw::new(power, neighbors, self.radius)?;
        Ok(if self.taper { tapered } else { tapered.plain() })
    }
}

impl Default for Search {
    /// Powers 0.5 to 4 by halves; 4, 6, 8, 12, 16, 24 and all neighbors; no radius; tapered.
    fn default() -> Self {
        let counts = [4, 6, 8, 12, 16, 24].map(Neighbors::Nearest);
        Self {
            powers: (1..=8).map(|halves| 0.5 * f64::from(halves)).collect(),
            neighbors: counts.into_iter().chain([Neighbors::All]).collect(),
            radius: None,
            taper: true,
        }
    }
}

/// A setting and how well it predicts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// The setting.
    pub idw: Idw,
    /// Its leave-one-out errors.
    pub errors: CrossValidation,
}

/// What came of a search.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The setting to use.
    pub idw: Idw,
    /// The chosen setting's errors; none when there are too few samples to choose by.
    pub chosen: Option<Trial>,
    /// The setting with the least RMSE.
    pub best: Option<Trial>,
    /// The default, power 2 and the 12 nearest with the search's radius and taper, whether tried or not.
    pub default: Option<Trial>,
    /// All that was tried, power by power.
    pub trials: Vec<Trial>,
}

impl Choice {
    /// With fewer samples nothing is chosen: power 2 and all samples (or the one fixed setting).
    pub const FEWEST_SAMPLES: usize = 8;

    /// With more samples, all neighbors are tried only when nothing else is: the time for them
    /// grows with the square of the samples, and so many samples are never all of use.
    pub const MOST_FOR_ALL: usize = 2000;
}

/// Chooses among settings by leave-one-out cross-validation.
///
/// Among the settings whose mean squared error is within one standard error of the least, the
/// simplest is chosen. The standard error is that of the mean difference of the two settings'
/// squared errors, sample by sample (n - 1 in the standard deviation): samples that are hard for
/// both do not hide a difference. Simplest is closest to the default: the least
/// `|log2(power / 2)| + |log2(count / 12)|`, all neighbors counting as all other samples.
///
/// # Errors
/// As [`Surface::new`] and [`Idw::new`].
pub fn choose(points: &[Point], search: &Search) -> Result<Choice, SurfaceError> {
    let surface = Surface::new(points.to_vec(), search.setting(2.0, Neighbors::Nearest(12))?)?;
    let samples = surface.points().len();
    if samples < Choice::FEWEST_SAMPLES {
        let power = fixed(&search.powers).unwrap_or(2.0);
        let neighbors = fixed(&search.neighbors).unwrap_or(Neighbors::All);
        let idw = search.setting(power, neighbors)?;
        return Ok(Choice { idw, chosen: None, best: None, default: None, trials: Vec::new() });
    }
    let settings = settings(search, samples - 1)?;
    let observed: Vec<f64> = surface.points().iter().map(|point| point.value).collect();
    let predicted = predictions(&surface, &settings);
    let trials: Vec<Trial> = settings
        .iter()
        .zip(&predicted)
        .filter_map(|(idw, made)| {
            CrossValidation::new(&observed, made).map(|errors| Trial { idw: *idw, errors })
        })
        .collect();
    let default = (surface.cross_validation()).map(|errors| Trial { idw: surface.idw, errors });
    let least = trials
        .iter()
        .zip(&predicted)
        .min_by(|(one, _), (other, _)| one.errors.rmse.total_cmp(&other.errors.rmse));
    let chosen = least.and_then(|(_, best)| {
        let rivals = trials.iter().zip(&predicted);
        rivals
            .filter(|(_, made)| is_as_good(&observed, made, best))
            .map(|(trial, _)| *trial)
            .min_by(|one, other| {
                let far = |trial: &Trial| distance_to_default(&trial.idw, samples - 1);
                far(one).total_cmp(&far(other))
            })
    });
    let idw = chosen.map_or(surface.idw, |trial| trial.idw);
    Ok(Choice { idw, chosen, best: least.map(|(trial, _)| *trial), default, trials })
}

/// The one entry of a list of one.
fn fixed<T: Copy>(list: &[T]) -> Option<T> {
    if let [only] = list { Some(*only) } else { None }
}

/// Every pair that makes sense for a number of other samples.
fn settings(search: &Search, others: usize) -> Result<Vec<Idw>, SurfaceError> {
    let has_all = search.neighbors.contains(&Neighbors::All);
    let few = search.neighbors.len() > 1;
    let neighbors: Vec<Neighbors> = (search.neighbors.iter().copied())
        .filter(|neighbors| match neighbors {
            // As many neighbors as there are is the same as all of them.
            Neighbors::Nearest(count) => !has_all || *count < others,
            Neighbors::All => !few || others < Choice::MOST_FOR_ALL,
        })
        .collect();
    let pairs = search.powers.iter().flat_map(|power| neighbors.iter().map(move |n| (*power, *n)));
    pairs.map(|(power, neighbors)| search.setting(power, neighbors)).collect()
}

/// For each setting, what each sample would be without it.
fn predictions(surface: &Surface, settings: &[Idw]) -> Vec<Vec<f64>> {
    let others = surface.points().len() - 1;
    let count = settings.iter().map(|idw| idw.rank(others)).max().unwrap_or(1);
    let all = settings.iter().any(|idw| idw.neighbors() == Neighbors::All);
    // All that any of the settings counts, the radius left aside, and the first that a taper leaves out.
    let widest = Idw {
        neighbors: if all { Neighbors::All } else { Neighbors::Nearest(count) },
        radius: None,
        taper: false,
        ..surface.idw
    };
    let rows: Vec<Vec<f64>> = (0..surface.points().len())
        .into_par_iter()
        .map(|number| row(surface, settings, &widest, number))
        .collect();
    let column = |setting| rows.iter().filter_map(|row| row.get(setting).copied()).collect();
    (0..settings.len()).map(column).collect()
}

/// What one sample would be by each setting: one search for all of them.
fn row(surface: &Surface, settings: &[Idw], widest: &Idw, number: usize) -> Vec<f64> {
    let Some(left_out) = surface.points().get(number) else { return Vec::new() };
    let others = surface.points().len() - 1;
    let place = [left_out.easting, left_out.northing];
    let (near, _) = surface.ranked(left_out.easting, left_out.northing, Some(number), widest);
    let (nearest, squares): (Vec<Point>, Vec<f64>) =
        near.into_iter().map(|(_, point, squared)| (point, squared)).unzip();
    let first = squares.first().copied().unwrap_or(f64::NAN);
    let by = |idw: &Idw| {
        let last = squares.get(idw.rank(others).saturating_sub(1));
        let reach = idw.reach(others, first, last.copied().unwrap_or(f64::INFINITY));
        let count = squares.partition_point(|squared| *squared <= reach.limit);
        blend(idw, nearest.iter().take(count), reach, place)
    };
    settings.iter().map(by).collect()
}

/// Whether predictions are within one standard error of the best ones.
fn is_as_good(observed: &[f64], made: &[f64], best: &[f64]) -> bool {
    let excess = || {
        observed.iter().zip(made).zip(best).map(|((seen, made), best)| {
            (made - seen) * (made - seen) - (best - seen) * (best - seen)
        })
    };
    let count = observed.len() as f64;
    let mean = excess().sum::<f64>() / count;
    let variance = excess().map(|each| (each - mean) * (each - mean)).sum::<f64>() / (count - 1.0);
    mean <= (variance / count).sqrt()
}

/// How far a setting is from power 2 and the 12 nearest.
fn distance_to_default(idw: &Idw, others: usize) -> f64 {
    let count = match idw.neighbors() {
        Neighbors::Nearest(count) => count.min(others),
        Neighbors::All => others,
    };
    libm::log2(idw.power() / 2.0).abs() + libm::log2(count as f64 / 12.0).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ramp with a ripple, on a slanted grid.
    fn points(count: usize) -> Vec<Point> {
        (0..count)
            .map(|number| {
                let (east, north) = ((number % 8) as f64, (number / 8) as f64);
                Point {
                    easting: 50.0 * east + 3.0 * north,
                    northing: 50.0 * north - 2.0 * east,
                    value: 8.0 + east + 0.7 * ((number * 13) % 5) as f64,
                }
            })
            .collect()
    }

    #[test]
    fn every_trial_is_the_cross_validation_of_its_surface() {
        for radius in [None, Some(60.0), Some(140.0)] {
            let search = Search { radius, ..Search::default() };
            let choice = choose(&points(64), &search).unwrap();
            assert_eq!(choice.trials.len(), 8 * 7);
            for trial in &choice.trials {
                let surface = Surface::new(points(64), trial.idw).unwrap();
                let rmse = surface.cross_validation().unwrap().rmse;
                assert!((trial.errors.rmse / rmse - 1.0).abs() < 1e-12, "{:?}", trial.idw);
            }
        }
    }

    #[test]
    fn the_choice_is_no_farther_from_the_default_than_the_best() {
        let choice = choose(&points(64), &Search::default()).unwrap();
        let (chosen, best) = (choice.chosen.unwrap(), choice.best.unwrap());
        assert!(choice.trials.iter().all(|trial| trial.errors.rmse >= best.errors.rmse));
        assert!(distance_to_default(&chosen.idw, 63) <= distance_to_default(&best.idw, 63));
        assert_eq!(choice.idw, chosen.idw);
    }

    #[test]
    fn too_few_samples_choose_nothing() {
        let choice = choose(&points(7), &Search::default()).unwrap();
        assert_eq!(choice.idw, Idw::new(2.0, Neighbors::All, None).unwrap());
        assert_eq!(choice.chosen, None);
    }

    #[test]
    fn few_samples_are_not_tried_twice_with_all() {
        let choice = choose(&points(10), &Search::default()).unwrap();
        assert_eq!(choice.trials.len(), 8 * 4);
    }

    #[test]
    fn a_fixed_setting_is_kept() {
        let search = Search {
            powers: vec![1.0],
            neighbors: vec![Neighbors::Nearest(5)],
            ..Search::default()
        };
        let choice = choose(&points(40), &search).unwrap();
        assert_eq!(choice.idw, Idw::new(1.0, Neighbors::Nearest(5), None).unwrap());
        assert_eq!(choice.trials.len(), 1);
    }

    #[test]
    fn equal_samples_choose_the_default() {
        let flat: Vec<Point> = points(64).iter().map(|p| Point { value: 10.0, ..*p }).collect();
        assert_eq!(choose(&flat, &Search::default()).unwrap().idw, Idw::default());
    }
}
