use super::{Fit, Lag};

/// Tried ranges reach from a tenth of the first class's distance, below which every model is all
/// nugget at any distance between samples, to a hundred times the last one's, above which every
/// model is a straight line.
const REACH: (f64, f64) = (0.1, 100.0);
/// From one tried range to the next.
const RATIO: f64 = 1.1;

/// The nearest model over all ranges, given the nearest one at the logarithm of a range.
pub(super) fn search(lags: &[Lag], narrow: f64, at: &impl Fn(f64) -> Fit) -> Fit {
    let distances = || lags.iter().map(|lag| lag.distance);
    let from = libm::log(REACH.0 * distances().fold(f64::INFINITY, f64::min));
    let to = libm::log(REACH.1 * distances().fold(0.0, f64::max));
    let step = libm::log(RATIO);
    let mut best = at(from);
    let mut here = [at(from - step), best, at(from + step)];
    let mut log_range = from;
    while log_range < to {
        let [before, middle, after] = here.map(|fit| fit.weighted_squares);
        if middle <= before && middle <= after {
            best = best.nearer(dip(at, narrow, log_range - step, log_range + step));
        }
        log_range += step;
        here = [here[1], here[2], at(log_range + step)];
        best = best.nearer(here[1]);
    }
    best
}

/// Golden section search (J. Kiefer, "Sequential minimax search for a maximum", *Proceedings of the
/// American Mathematical Society* 4, 1953, 502-506).
fn dip(at: &impl Fn(f64) -> Fit, narrow: f64, mut low: f64, mut high: f64) -> Fit {
    let share = 0.5 * (5.0_f64.sqrt() - 1.0);
    let lower_third = |low: f64, high: f64| high - share * (high - low);
    let upper_third = |low: f64, high: f64| low + share * (high - low);
    let (mut left, mut right) = (at(lower_third(low, high)), at(upper_third(low, high)));
    while high - low > narrow {
        if left.weighted_squares <= right.weighted_squares {
            high = upper_third(low, high);
            (left, right) = (at(lower_third(low, high)), left);
        } else {
            low = lower_third(low, high);
            (left, right) = (right, at(upper_third(low, high)));
        }
    }
    left.nearer(right)
}
