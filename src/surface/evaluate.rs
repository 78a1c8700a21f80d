use super::kernel::power::{Weight, with_weight};
use super::{Idw, Point, Surface};

/// Sums of weights outside this range lose digits or overflow: such places are done with weights
/// relative to the nearest sample's.
pub(super) const SOUND_SUM: std::ops::Range<f64> = 1e-280..1e280;

/// Of at most so many samples all distances are taken: sooner done than a walk through a tree.
const FOR_A_TREE: usize = 256;

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
            return blend(&self.idw, self.points(), easting, northing);
        }
        if self.points().len() > FOR_A_TREE {
            return blend(&self.idw, &self.counting(easting, northing, None), easting, northing);
        }
        self.among(self.points(), easting, northing)
    }

    /// The value at a place from at most [`FOR_A_TREE`] samples in canonical order, among which are
    /// all that count there.
    fn among(&self, points: &[Point], easting: f64, northing: f64) -> f64 {
        let limit = limit_at(points, easting, northing, None, &self.idw);
        let counts = |point: &&Point| point.squared_distance(easting, northing) <= limit;
        blend_of(&self.idw, points.iter().filter(counts), easting, northing)
    }

    /// [`Surface::at`] for places within a distance of one, in meters, by the few samples that count
    /// at any of them.
    pub(super) fn within(
        &self,
        [easting, northing]: [f64; 2],
        distance: f64,
    ) -> impl Fn(f64, f64) -> f64 {
        let few = !self.uses_all() && self.points().len() <= FOR_A_TREE;
        let nearby: Vec<Point> = if few {
            let limit = limit_at(self.points(), easting, northing, None, &self.idw);
            // From place to place the n-th nearest comes nearer or goes off by no more than the way;
            // a millimeter for rounding.
            let reach = limit.sqrt().max(self.idw.radius().unwrap_or(0.0)) + 2.0 * distance + 1e-3;
            let counts =
                |point: &&Point| point.squared_distance(easting, northing) <= reach * reach;
            self.points().iter().filter(counts).copied().collect()
        } else {
            Vec::new()
        };
        move |easting, northing| {
            if few && easting.is_finite() && northing.is_finite() {
                self.among(&nearby, easting, northing)
            } else {
                self.at(easting, northing)
            }
        }
    }

    /// Whether every sample counts everywhere.
    pub(super) fn uses_all(&self) -> bool {
        self.idw.rank(self.points().len()) == self.points().len() && self.idw.radius().is_none()
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
        let mut near = if self.points().len() > FOR_A_TREE {
            self.near_by_tree(easting, northing, except, idw)
        } else {
            let limit = limit_at(self.points(), easting, northing, except, idw);
            let points = self.points().iter().enumerate();
            points
                .filter(|(number, _)| Some(*number) != except)
                .map(|(number, point)| (number, *point, point.squared_distance(easting, northing)))
                .filter(|(_, _, squared)| *squared <= limit)
                .collect()
        };
        near.sort_unstable_by(|one, other| one.2.total_cmp(&other.2).then(one.0.cmp(&other.0)));
        near
    }

    /// The samples that count at a place, found one after the other from the nearest on.
    fn near_by_tree(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
        idw: &Idw,
    ) -> Vec<(usize, Point, f64)> {
        let rank = idw.rank(self.points().len() - usize::from(except.is_some()));
        let mut near = Vec::with_capacity(rank + 4);
        let (mut nearest, mut limit) = (f64::INFINITY, f64::INFINITY);
        for entry in self.tree().nearest_neighbor_iter(&[easting, northing]) {
            if Some(entry.data) == except {
                continue;
            }
            let Some(point) = self.points().get(entry.data) else { continue };
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
        near
    }
}

/// The largest squared distance that counts at a place, of at most [`FOR_A_TREE`] samples.
fn limit_at(
    points: &[Point],
    easting: f64,
    northing: f64,
    except: Option<usize>,
    idw: &Idw,
) -> f64 {
    let limit = match points.len() {
        0..=16 => limit_of_at_most::<16>,
        17..=64 => limit_of_at_most::<64>,
        _ => limit_of_at_most::<FOR_A_TREE>,
    };
    limit(points, easting, northing, except, idw)
}

fn limit_of_at_most<const MOST: usize>(
    points: &[Point],
    easting: f64,
    northing: f64,
    except: Option<usize>,
    idw: &Idw,
) -> f64 {
    // Numbers that are not below 0 have the order of their bits, which is sooner found.
    let mut squares = [f64::INFINITY.to_bits(); MOST];
    for ((number, point), slot) in points.iter().enumerate().zip(&mut squares) {
        if Some(number) != except {
            *slot = point.squared_distance(easting, northing).to_bits();
        }
    }
    let squares = squares.get_mut(..points.len()).unwrap_or_default();
    let last = idw.rank(points.len() - usize::from(except.is_some())).saturating_sub(1);
    if last >= squares.len() {
        return f64::INFINITY;
    }
    let (nearer, nth, _) = squares.select_nth_unstable(last);
    let nearest = nearer.iter().fold(*nth, |nearest, square| nearest.min(*square));
    idw.limit(f64::from_bits(nearest), f64::from_bits(*nth))
}

/// The weighted mean of samples at a place.
pub(super) fn blend(idw: &Idw, points: &[Point], easting: f64, northing: f64) -> f64 {
    blend_of(idw, points.iter(), easting, northing)
}

fn blend_of<'a>(
    idw: &Idw,
    points: impl Iterator<Item = &'a Point> + Clone,
    easting: f64,
    northing: f64,
) -> f64 {
    with_weight!(idw.power(), weight => blend_with(weight, idw.power(), points, easting, northing))
}

fn blend_with<'a, W: Weight>(
    weight: W,
    power: f64,
    points: impl Iterator<Item = &'a Point> + Clone,
    easting: f64,
    northing: f64,
) -> f64 {
    let (mut weights, mut weighted) = (0.0, 0.0);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for point in points.clone() {
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
pub(super) fn blend_relative<'a>(
    power: f64,
    points: impl Iterator<Item = &'a Point> + Clone,
    easting: f64,
    northing: f64,
) -> f64 {
    let squared = |point: &Point| point.squared_distance(easting, northing);
    let nearest = points.clone().map(squared).fold(f64::INFINITY, f64::min);
    let (mut weights, mut weighted) = (0.0, 0.0);
    for point in points {
        let squared = squared(point);
        let share = if squared == nearest { 1.0 } else { (nearest / squared).powf(0.5 * power) };
        weights += share;
        weighted += share * point.value;
    }
    weighted / weights
}
