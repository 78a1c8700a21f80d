//! The mean of a line along its length.

use geo::Coord;

/// A line, ready to be averaged along its length: places count by a normal curve of their distance
/// along the line, `spread` meters its standard deviation.
///
/// The mean of the mean is taken off twice the mean (A. Savitzky, M. Golay would fit a parabola; this
/// is the twicing of J. Tukey, *Exploratory Data Analysis*, 1977): a bend much longer than the spread
/// then stays where it is, and a closed line keeps its size, while what is short goes.
pub struct Averaged {
    /// The distance along the line to each place, in meters.
    along: Vec<f64>,
    /// The length of line that each place stands for.
    stands_for: Vec<f64>,
    spread: f64,
    closed: bool,
}

impl Averaged {
    /// Beyond so many spreads nothing counts.
    const REACH: f64 = 3.0;

    /// A closed line ends where it starts.
    pub fn new(line: &[Coord<f64>], spread: f64, closed: bool) -> Self {
        let mut along = vec![0.0];
        let mut length = 0.0;
        for (a, b) in line.iter().zip(line.iter().skip(1)) {
            length += libm::hypot((*b - *a).x, (*b - *a).y);
            along.push(length);
        }
        let at = |i: usize| along.get(i).copied().unwrap_or(length);
        let stands_for = (0..line.len()).map(|i| 0.5 * (at(i + 1) - at(i.saturating_sub(1))));
        let stands_for = stands_for.collect();
        Self { along, stands_for, spread, closed }
    }

    /// The line averaged; the ends of an open one stay.
    pub fn line(&self, line: &[Coord<f64>]) -> Vec<Coord<f64>> {
        if self.spread <= 0.0 {
            return line.to_vec();
        }
        let once = self.once(line);
        let twice = self.once(&once);
        once.into_iter().zip(twice).map(|(once, twice)| once * 2.0 - twice).collect()
    }

    fn once(&self, line: &[Coord<f64>]) -> Vec<Coord<f64>> {
        let length = self.along.last().copied().unwrap_or_default();
        let reach =
            (Self::REACH * self.spread).min(if self.closed { 0.5 * length } else { length });
        (0..line.len()).map(|i| self.mean(line, i, length, reach)).collect()
    }

    fn mean(&self, line: &[Coord<f64>], i: usize, length: f64, reach: f64) -> Coord<f64> {
        let own = line.get(i).copied().unwrap_or_default();
        let here = self.along.get(i).copied().unwrap_or_default();
        let (mut sum, mut weights) = (Coord { x: 0.0, y: 0.0 }, 0.0);
        let mut add = |away: f64, place: Coord<f64>, stands_for: f64| {
            // Not at the reach itself: there a short open line has its far end once too often.
            if away.abs() < reach {
                let weight = stands_for * libm::exp(-0.5 * (away / self.spread).powi(2));
                sum = sum + place * weight;
                weights += weight;
            }
        };
        let ends = [line.first(), line.last()].map(|end| end.copied().unwrap_or_default());
        let (low, high) = (here - reach, here + reach);
        let mut run = |low: f64,
                       high: f64,
                       away: &dyn Fn(f64) -> f64,
                       at: &dyn Fn(Coord<f64>) -> Coord<f64>| {
            let from = self.along.partition_point(|along| *along < low);
            let to = self.along.partition_point(|along| *along <= high);
            let places = line.get(from..to).unwrap_or_default().iter();
            let lengths = self.along.iter().zip(&self.stands_for).skip(from);
            for (place, (along, stands_for)) in places.zip(lengths) {
                add(away(*along), at(*place), *stands_for);
            }
        };
        run(low, high, &|along| along - here, &|place| place);
        if self.closed {
            run(low + length, high + length, &|along| along - length - here, &|place| place);
            run(low - length, high - length, &|along| along + length - here, &|place| place);
        } else {
            // Beyond its ends the line goes on turned by half a turn about them, which holds them.
            run(-high, -low, &|along| -along - here, &|place| ends[0] * 2.0 - place);
            let beyond = 2.0 * length;
            run(beyond - high, beyond - low, &|along| beyond - along - here, &|place| {
                ends[1] * 2.0 - place
            });
        }
        if weights > 0.0 { sum / weights } else { own }
    }
}

/// The mean of lines that begin at one place, near it: as in [`Averaged`], but once.
pub fn mean_near(lines: &[Vec<Coord<f64>>], spread: f64) -> Option<Coord<f64>> {
    let (mut sum, mut weights) = (Coord { x: 0.0, y: 0.0 }, 0.0);
    for line in lines {
        let Averaged { along, stands_for, .. } = Averaged::new(line, spread, false);
        for (place, (along, stands_for)) in line.iter().zip(along.iter().zip(&stands_for)) {
            let weight = stands_for * libm::exp(-0.5 * (along / spread).powi(2));
            sum = sum + *place * weight;
            weights += weight;
        }
    }
    (weights > 0.0).then(|| sum / weights)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;

    fn wave(length: f64) -> Vec<Coord<f64>> {
        (0..=4000)
            .map(|i| f64::from(i) * 0.1)
            .map(|x| Coord { x, y: 0.01 * (TAU * x / length).sin() })
            .collect()
    }

    /// The Fourier transform of a normal curve: a low wave of length L keeps `1 - (1 - g)^2` of its
    /// height, `g = exp(-2 (pi s / L)^2)`.
    #[test]
    fn short_waves_go_and_long_ones_stay() {
        for length in [20.0, 40.0, 80.0, 200.0] {
            let line = wave(length);
            let averaged = Averaged::new(&line, 10.0, false).line(&line);
            let kept =
                averaged.iter().skip(1000).take(2000).map(|at| at.y).fold(0.0, f64::max) / 0.01;
            let gone = 1.0 - (-2.0 * (PI * 10.0 / length).powi(2)).exp();
            assert!((kept - (1.0 - gone * gone)).abs() < 0.01, "{length}: {kept}");
        }
    }

    #[test]
    fn a_straight_line_and_the_ends_of_any_stay() {
        let straight: Vec<Coord<f64>> =
            [0.0, 1.0, 1.5, 4.0, 9.0].map(|x| Coord { x, y: 2.0 * x }).to_vec();
        for (was, is) in straight.iter().zip(Averaged::new(&straight, 3.0, false).line(&straight)) {
            assert!((is.y - 2.0 * is.x).abs() < 1e-9, "{was:?} {is:?}");
        }
        // A line of 400 m, and one that is shorter than what counts together.
        for line in [wave(13.0), wave(13.0)[..70].to_vec()] {
            let averaged = Averaged::new(&line, 5.0, false).line(&line);
            for end in [0, line.len() - 1] {
                let off = averaged[end] - line[end];
                assert!(off.x.hypot(off.y) < 1e-9, "{off:?}");
            }
        }
    }

    /// The same formula, a circle being a wave as long as it is round.
    #[test]
    fn a_circle_keeps_its_size() {
        let circle: Vec<Coord<f64>> = (0..=720)
            .map(|i| f64::from(i) * TAU / 720.0)
            .map(|turn| Coord { x: 10.0 * turn.cos(), y: 10.0 * turn.sin() })
            .collect();
        let averaged = Averaged::new(&circle, 5.0, true).line(&circle);
        let gone = 1.0 - (-0.5 * 0.25_f64).exp();
        for at in averaged {
            assert!((at.x.hypot(at.y) - 10.0 * (1.0 - gone * gone)).abs() < 0.05, "{at:?}");
        }
    }
}
