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
        if self.uses_all() {
            return blend(&self.idw, &self.points, easting, northing);
        }
        blend(&self.idw, &self.counting(easting, northing, None), easting, northing)
    }

    /// Whether every sample counts everywhere.
    pub(super) fn uses_all(&self) -> bool {
        self.idw.rank(self.points.len()) == self.points.len() && self.idw.radius().is_none()
    }

    /// The samples that count at a place, in canonical order, one of them perhaps left out.
    pub(super) fn counting(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
    ) -> Vec<Point> {
        let mut near = self.ranked(easting, northing, except, &self.idw);
        near.sort_unstable_by_key(|(number, _, _)| *number);
        near.into_iter().map(|(_, point, _)| point).collect()
    }

    /// The samples that count at a place by other settings, nearest first.
    ///
    /// Each with its number and its squared distance; equal distances in canonical order.
    pub(super) fn ranked(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
        idw: &Idw,
    ) -> Vec<(usize, Point, f64)> {
        let rank = idw.rank(self.points.len() - usize::from(except.is_some()));
        let mut near = Vec::with_capacity(rank + 4);
        let (mut nearest, mut limit) = (f64::INFINITY, f64::INFINITY);
        for entry in self.tree.nearest_neighbor_iter(&[easting, northing]) {
            if Some(entry.data) == except {
                continue;
            }
            let Some(point) = self.points.get(entry.data) else { continue };
            let squared = point.squared_distance(easting, northing);
            if squared > limit {
                break;
            }
            nearest = squared.min(nearest);
            near.push((entry.data, *point, squared));
            if near.len() == rank {
                limit = idw.limit(nearest, squared);
            }
        }
        near.retain(|(_, _, squared)| *squared <= limit);
        near.sort_unstable_by(|one, other| one.2.total_cmp(&other.2).then(one.0.cmp(&other.0)));
        near
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
pub(super) fn blend_relative(power: f64, points: &[Point], easting: f64, northing: f64) -> f64 {
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
