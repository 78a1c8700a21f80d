use super::{Fit, Lag, Variogram, VariogramShape};

/// Tried ranges reach from a tenth of the first class's distance, below which every model is all
/// nugget at any distance between samples, to a hundred times the last one's, above which every
/// model is a straight line.
const REACH: (f64, f64) = (0.1, 100.0);
/// From one tried range to the next.
const RATIO: f64 = 1.1;

/// A shape with a range, as it is at the classes' distances.
#[derive(Clone, Debug)]
pub(super) struct Form {
    pub shape: VariogramShape,
    pub range: f64,
    /// What it has risen to at each class, 0 to 1.
    pub rises: Vec<f64>,
}

impl Form {
    fn new(shape: VariogramShape, log_range: f64, lags: &[Lag]) -> Self {
        let range = libm::exp(log_range);
        let unit = Variogram { shape, nugget: 0.0, partial_sill: 1.0, range };
        let rises = lags.iter().map(|lag| 1.0 - unit.likeness(lag.distance)).collect();
        Self { shape, range, rises }
    }
}

/// A shape at all ranges that are tried, whatever else a model is to keep to; each with the range's
/// logarithm.
#[derive(Debug)]
pub(super) struct Search<'a> {
    lags: &'a [Lag],
    shape: VariogramShape,
    /// Beside the first one, to tell whether that is a dip.
    before: Form,
    first: (f64, Form),
    rest: Vec<(f64, Form)>,
}

impl<'a> Search<'a> {
    pub fn new(shape: VariogramShape, lags: &'a [Lag]) -> Self {
        let distances = || lags.iter().map(|lag| lag.distance);
        let from = libm::log(REACH.0 * distances().fold(f64::INFINITY, f64::min));
        let to = libm::log(REACH.1 * distances().fold(0.0, f64::max));
        let step = libm::log(RATIO);
        let form = |log_range| Form::new(shape, log_range, lags);
        let mut rest = Vec::new();
        let mut last = from;
        while last < to {
            last += step;
            rest.push((last, form(last)));
        }
        Self { lags, shape, before: form(from - step), first: (from, form(from)), rest }
    }

    /// The nearest model over all ranges, given the nearest one of a form: from end to end, then closer
    /// and closer about every dip.
    pub fn nearest(&self, narrow: f64, of: &impl Fn(&Form) -> Fit) -> Fit {
        let at = |log_range: f64| of(&Form::new(self.shape, log_range, self.lags));
        let step = libm::log(RATIO);
        let (mut log_range, first) = (self.first.0, of(&self.first.1));
        let (mut before, mut here, mut best) = (of(&self.before), first, first);
        for (next, form) in &self.rest {
            let after = of(form);
            let [left, middle, right] = [before, here, after].map(|fit| fit.weighted_squares);
            if middle <= left && middle <= right {
                best = best.nearer(dip(&at, narrow, log_range - step, log_range + step));
            }
            best = best.nearer(after);
            (log_range, before, here) = (*next, here, after);
        }
        best
    }
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
