use geo::Coord;

use super::ground::squared;
use super::{LayoutVariance, Pattern, SamplingError};
use crate::surface::{SurfaceError, Variogram};
use crate::units::Length;

/// So many samples around the place are taken into account, as in gstat: more change the standard
/// error by less than is printed.
const NEIGHBORS: usize = 25;
/// Spacings between which the coarsest is looked for, in meters.
const SPACINGS: (f64, f64) = (1.0, 50_000.0);

/// The kriging standard error at the worst place of an unbounded grid: the middle of a square, or of a
/// triangle.
///
/// A. B. `McBratney`, R. Webster, T. M. Burgess, "The design of optimal sampling schemes for
/// local estimation and mapping of regionalized variables", *Computers & Geosciences* 7, 1981, 331-334
/// and 335-365. Of the mean of a square block of so many meters, or with none of a single new sample,
/// which has the nugget; in the unit of the samples.
///
/// # Errors
/// When the variogram makes no sense.
pub fn worst_standard_error(
    variogram: &Variogram,
    pattern: Pattern,
    spacing: Length,
    block: Option<Length>,
) -> Result<f64, SurfaceError> {
    let around = neighbors(pattern, spacing.as_metres());
    let layout = LayoutVariance::new(around, *variogram)?;
    let middle = Coord { x: 0.0, y: 0.0 };
    let joint = match block {
        Some(side) => layout.of_block(middle, side.as_metres()),
        None => layout.at(middle),
    };
    Ok(joint.error_variance().sqrt())
}

/// The coarsest grid whose kriging standard error is at no place above a target, to a millimeter.
///
/// # Errors
/// When no grid has so small an error, or the variogram makes no sense. A target that every grid
/// meets gives the widest spacing that is looked at.
pub fn coarsest_grid(
    variogram: &Variogram,
    pattern: Pattern,
    target: f64,
    block: Option<Length>,
) -> Result<Length, SamplingError> {
    let error =
        |spacing: f64| worst_standard_error(variogram, pattern, Length::metres(spacing), block);
    let (mut low, mut high) = SPACINGS;
    let least = error(low)?;
    if least.is_nan() || least > target {
        let (found, least) = (format!("{target}"), format!("{least:.2}"));
        return Err(SamplingError::BelowNugget { found, least });
    }
    if error(high)? <= target {
        return Ok(Length::metres(high));
    }
    // The error rises with the spacing.
    while high - low > 5e-4 {
        let middle = 0.5 * (low + high);
        if error(middle)? <= target { low = middle } else { high = middle }
    }
    Ok(Length::metres(low))
}

/// The nearest points of a grid around its worst place, which is the origin.
fn neighbors(pattern: Pattern, spacing: f64) -> Vec<Coord<f64>> {
    const REACH: i32 = 6;
    let mut all: Vec<Coord<f64>> = Vec::new();
    for row in -REACH..=REACH {
        for number in -REACH..=REACH {
            let (row, number) = (f64::from(row), f64::from(number));
            all.push(match pattern {
                Pattern::Square => Coord { x: number + 0.5, y: row + 0.5 },
                Pattern::Triangular => {
                    let half = 0.5 * 3.0_f64.sqrt();
                    let x = number + 0.5 * row.rem_euclid(2.0) - 0.5;
                    Coord { x, y: half * row - half / 3.0 }
                }
            });
        }
    }
    // Nearly equal distances count as equal, so that rounding does not choose among them.
    let rank = |at: &Coord<f64>| (1e9 * squared(*at)).round();
    all.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    all.truncate(NEIGHBORS);
    all.into_iter().map(|at| at * spacing).collect()
}
