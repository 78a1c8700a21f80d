use crate::surface::Point;
use crate::surface::one_per_place::one_per_place;

/// The cutoff as a share of the diagonal of the box around the samples: gstat's "one third".
const CUTOFF: f64 = 0.333_33;
/// The classes of distance up to the cutoff.
const CLASSES: u8 = 15;

/// A class of sample pairs about the same distance apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lag {
    /// How many pairs.
    pub pairs: usize,
    /// The mean of their distances, in meters.
    pub distance: f64,
    /// Half the mean of their squared differences, in the samples' unit squared.
    pub semivariance: f64,
}

/// The variogram of samples: 15 classes of one width up to a third of the diagonal of the box
/// around them, each without its lower and with its upper end; those without a pair are left out.
///
/// Samples that share a place count once, with their mean.
#[must_use]
pub fn empirical(points: &[Point]) -> Vec<Lag> {
    let points = one_per_place(points);
    let extent = |along: fn(&Point) -> f64| {
        let low = points.iter().map(along).fold(f64::INFINITY, f64::min);
        points.iter().map(along).fold(f64::NEG_INFINITY, f64::max) - low
    };
    let cutoff =
        libm::hypot(extent(|point| point.easting), extent(|point| point.northing)) * CUTOFF;
    let width = cutoff / f64::from(CLASSES);
    // One more, as the cutoff may round to a little over 15 widths.
    let mut sums = [Sum::default(); CLASSES as usize + 1];
    for (number, one) in points.iter().enumerate() {
        for other in points.iter().skip(number + 1) {
            // By easting, so that the rest is farther still.
            if other.easting - one.easting > cutoff {
                break;
            }
            let distance = one.squared_distance(other.easting, other.northing).sqrt();
            if distance <= cutoff
                && let Some(sum) = sums.get_mut(class(distance / width))
            {
                sum.pairs += 1;
                sum.distances += distance;
                sum.squares += (one.value - other.value) * (one.value - other.value);
            }
        }
    }
    sums.iter().filter(|sum| sum.pairs > 0).map(Sum::lag).collect()
}

/// The class of a distance in widths, the upper end in the class.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "distances are above 0 and no more than the cutoff"
)]
fn class(widths: f64) -> usize {
    (widths.ceil() - 1.0) as usize
}

/// What is added up over the pairs of a class.
#[derive(Clone, Copy, Default)]
struct Sum {
    pairs: usize,
    distances: f64,
    squares: f64,
}

impl Sum {
    fn lag(&self) -> Lag {
        let pairs = self.pairs as f64;
        Lag {
            pairs: self.pairs,
            distance: self.distances / pairs,
            semivariance: 0.5 * self.squares / pairs,
        }
    }
}
