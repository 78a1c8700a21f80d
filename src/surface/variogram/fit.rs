use super::search::{Form, Search};
use super::{Fit, Fitted, Lag, Variogram, VariogramShape, empirical};
use crate::surface::one_per_place::one_per_place;
use crate::surface::{Point, SurfaceError};

/// The parts of the sill that are tried as nugget, in tenths.
const TENTHS: std::ops::RangeInclusive<u8> = 0..=10;
/// A shorter bracket of the range, as a natural logarithm, no longer changes the squares.
const NARROW: f64 = 1e-9;
/// A bracket that is short enough to tell how likely a model is: as long as from one tried range to
/// the next but one, about a dip.
const WIDE: f64 = 0.2;

impl Variogram {
    /// With samples at fewer places there is no variogram to speak of.
    pub const FEWEST_PLACES: usize = 8;

    /// Fits a model to the variogram of samples: spherical or exponential, whichever is nearer.
    ///
    /// Least squares over the classes, each weighted by its pairs over its squared distance, with
    /// nugget and partial sill 0 or more (gstat's `fit.method = 7`). For a given range the best
    /// nugget and partial sill follow from two linear equations, so only the range is searched for
    /// (G. H. Golub, V. Pereyra, "The differentiation of pseudo-inverses and nonlinear least squares
    /// problems whose variables separate", *SIAM Journal on Numerical Analysis* 10, 1973, 413-432):
    /// from end to end, then closer and closer about every dip. No start has to be guessed.
    ///
    /// Samples on a grid say little of short distances, so that the nearest model often has no
    /// nugget where there is one, and places between samples seem surer than they are. For errors
    /// the part of the sill that is nugget is therefore the mean over 0, 0.1 to 1, each weighted by
    /// its likelihood `exp(-(squares - least squares) / 2 s2)`, where `s2` is the least squares over
    /// the classes less three parameters (as in a regression on the classes).
    ///
    /// # Errors
    /// When the samples are at fewer than [`Variogram::FEWEST_PLACES`] places, or their pairs fall
    /// into fewer than three classes of distance.
    pub fn fit(points: &[Point]) -> Result<Fitted, SurfaceError> {
        let places = one_per_place(points).len();
        let lags = empirical(points);
        if places < Self::FEWEST_PLACES || lags.len() < 3 {
            return Err(SurfaceError::NoVariogram { places, classes: lags.len() });
        }
        let searches = [VariogramShape::Spherical, VariogramShape::Exponential]
            .map(|shape| Search::new(shape, &lags));
        let nearest = nearest(&searches, NARROW, &|form| at_range(form, &lags));
        let tried: Vec<(f64, f64)> = TENTHS
            .map(|tenths| f64::from(tenths) / 10.0)
            .map(|share| (share, nearest_with(share, WIDE, &searches, &lags).weighted_squares))
            .collect();
        let spare = lags.len().saturating_sub(3).max(1) as f64;
        let least = tried.iter().map(|(_, squares)| *squares).fold(f64::INFINITY, f64::min);
        let likelihood = |squares: f64| {
            // Nothing is off: 0 over 0.
            if squares == least { 1.0 } else { libm::exp(-0.5 * spare * (squares / least - 1.0)) }
        };
        let sum: f64 = tried.iter().map(|(_, squares)| likelihood(*squares)).sum();
        let mean = tried.iter().map(|(share, squares)| share * likelihood(*squares)).sum::<f64>();
        Ok(Fitted { nearest, cautious: nearest_with(mean / sum, NARROW, &searches, &lags) })
    }
}

impl Fit {
    /// Of a form with a nugget and a partial sill.
    fn of(form: &Form, nugget: f64, partial_sill: f64, lags: &[Lag]) -> Self {
        let square = |(lag, rise): (&Lag, &f64)| {
            let difference = lag.semivariance - (nugget + partial_sill * rise);
            weight(lag) * difference * difference
        };
        let weighted_squares = lags.iter().zip(&form.rises).map(square).sum();
        let Form { shape, range, .. } = *form;
        Self { variogram: Variogram { shape, nugget, partial_sill, range }, weighted_squares }
    }
}

/// The nearest model of either shape at any range, given the nearest one of a form.
fn nearest(searches: &[Search; 2], narrow: f64, of: &impl Fn(&Form) -> Fit) -> Fit {
    let [spherical, exponential] = searches;
    spherical.nearest(narrow, of).nearer(exponential.nearest(narrow, of))
}

/// The best nugget and partial sill of a form.
fn at_range(form: &Form, lags: &[Lag]) -> Fit {
    let (mut w, mut wg, mut wgg, mut wy, mut wgy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (lag, g) in lags.iter().zip(&form.rises) {
        let weight = weight(lag);
        w += weight;
        wg += weight * g;
        wgg += weight * g * g;
        wy += weight * lag.semivariance;
        wgy += weight * g * lag.semivariance;
    }
    let with = |nugget: f64, partial_sill: f64| Fit::of(form, nugget, partial_sill, lags);
    let all_nugget = with(wy / w, 0.0);
    let no_nugget = with(0.0, wgy / wgg);
    let determinant = w * wgg - wg * wg;
    let (nugget, partial_sill) =
        ((wy * wgg - wgy * wg) / determinant, (w * wgy - wg * wy) / determinant);
    // Both ends are on the border of what is allowed; inside it, the two equations hold.
    let mut best = all_nugget.nearer(no_nugget);
    if nugget > 0.0 && partial_sill > 0.0 && nugget.is_finite() && partial_sill.is_finite() {
        best = best.nearer(with(nugget, partial_sill));
    }
    best
}

/// The nearest model whose nugget is a given part of the sill.
fn nearest_with(share: f64, narrow: f64, searches: &[Search; 2], lags: &[Lag]) -> Fit {
    nearest(searches, narrow, &|form| {
        let (mut squares, mut products) = (0.0, 0.0);
        for (lag, rise) in lags.iter().zip(&form.rises) {
            let (weight, g) = (weight(lag), share + (1.0 - share) * rise);
            squares += weight * g * g;
            products += weight * g * lag.semivariance;
        }
        let sill = products / squares;
        Fit::of(form, sill * share, sill * (1.0 - share), lags)
    })
}

fn weight(lag: &Lag) -> f64 {
    lag.pairs as f64 / (lag.distance * lag.distance)
}
