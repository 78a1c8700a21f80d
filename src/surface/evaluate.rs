use super::power::{Weight, with_weight};
use super::{Idw, Point, Surface};

/// Sums of weights outside this range lose digits or overflow: such places are done with weights
/// relative to the nearest sample's.
pub(super) const SOUND_SUM: std::ops::Range<f64> = 1e-280..1e280;

impl Surface {
    /// The value at a place, in the samples' unit.
    ///
    /// Exact at a sample. Agrees to the last bit with [`Surface::on_lattice`] at a node.
    /// A place that is not a finite number has the value NaN.
    #[must_use]
    pub fn at(&self, easting: f64, northing: f64) -> f64 {
        if !(easting.is_finite() && northing.is_finite()) {
            return f64::NAN;
        }
        let rank = self.idw.rank(self.points.len());
        if rank == self.points.len() && self.idw.radius().is_none() {
            return blend(&self.idw, &self.points, easting, northing);
        }
        blend(&self.idw, &self.near(easting, northing, None), easting, northing)
    }

    /// The samples that count at a place, in canonical order, one of them perhaps left out.
    pub(super) fn near(&self, easting: f64, northing: f64, except: Option<usize>) -> Vec<Point> {
        let samples = self.points.len() - usize::from(except.is_some());
        let rank = self.idw.rank(samples);
        let mut near = Vec::with_capacity(rank + 4);
        let (mut nearest, mut limit) = (0.0, f64::INFINITY);
        for entry in self.tree.nearest_neighbor_iter(&[easting, northing]) {
            if Some(entry.data) == except {
                continue;
            }
            let Some(point) = self.points.get(entry.data) else { continue };
            let squared = point.squared_distance(easting, northing);
            if squared > limit {
                break;
            }
            if near.is_empty() {
                nearest = squared;
            }
            near.push((entry.data, *point));
            if near.len() == rank {
                limit = self.idw.limit(nearest, squared);
            }
        }
        near.retain(|(_, point)| point.squared_distance(easting, northing) <= limit);
        near.sort_unstable_by_key(|(number, _)| *number);
        near.into_iter().map(|(_, point)| point).collect()
    }
}

/// The weighted mean of samples at a place.
pub(super) fn blend(idw: &Idw, points: &[Point], easting: f64, northing: f64) -> f64 {
    with_weight!(idw.power(), weight => blend_with(weight, idw.power(), points, easting, northing))
}

fn blend_with<W: Weight>(
    weight: W,
    power: f64,
    points: &[Point],
    easting: f64,
    northing: f64,
) -> f64 {
    let (mut weights, mut weighted) = (0.0, 0.0);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for point in points {
        let share = weight.of(point.squared_distance(easting, northing));
        weights += share;
        weighted += share * point.value;
        low = point.value.min(low);
        high = point.value.max(high);
    }
    if SOUND_SUM.contains(&weights) {
        (weighted / weights).max(low).min(high)
    } else {
        blend_relative(power, points, easting, northing)
    }
}

/// The weighted mean with weights relative to the nearest sample's: slower, never out of range.
/// At a sample it is that sample's value (the mean of those that share the place).
fn blend_relative(power: f64, points: &[Point], easting: f64, northing: f64) -> f64 {
    let squares = || points.iter().map(|point| point.squared_distance(easting, northing));
    let nearest = squares().fold(f64::INFINITY, f64::min);
    let (mut weights, mut weighted) = (0.0, 0.0);
    for (point, squared) in points.iter().zip(squares()) {
        let share = if squared == nearest { 1.0 } else { (nearest / squared).powf(0.5 * power) };
        weights += share;
        weighted += share * point.value;
    }
    weighted / weights
}
