use super::idw::NeighborReach;
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
            return blend(&self.idw, self.points().iter(), NeighborReach::ALL, [easting, northing]);
        }
        if self.points().len() > FOR_A_TREE {
            let (points, reach) = self.counting(easting, northing, None);
            return blend(&self.idw, points.iter(), reach, [easting, northing]);
        }
        self.among(self.points(), easting, northing)
    }

    /// The value at a place from at most [`FOR_A_TREE`] samples in canonical order, among which are
    /// all that count there.
    fn among(&self, points: &[Point], easting: f64, northing: f64) -> f64 {
        let reach = reach_at(points, easting, northing, None, &self.idw);
        blend(&self.idw, points.iter(), reach, [easting, northing])
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
            let NeighborReach { limit, .. } =
                reach_at(self.points(), easting, northing, None, &self.idw);
            // From place to place the n-th nearest comes nearer or goes off by no more than the way;
            // a millimeter for rounding, and for the first that does not count.
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
        self.idw.takes_all(self.points().len())
    }

    /// The samples that count at a place, in canonical order, one of them perhaps left out.
    pub(super) fn counting(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
    ) -> (Vec<Point>, NeighborReach) {
        let (mut near, reach) = self.ranked(easting, northing, except, &self.idw);
        near.sort_unstable_by_key(|(number, _, _)| *number);
        (near.into_iter().map(|(_, point, _)| point).collect(), reach)
    }

    /// The samples that count at a place by other settings, nearest first, and what they reach to.
    ///
    /// Each with its number and its squared distance; equal distances in canonical order.
    pub(super) fn ranked(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
        idw: &Idw,
    ) -> (Vec<(usize, Point, f64)>, NeighborReach) {
        let (mut near, reach) = if self.points().len() > FOR_A_TREE {
            self.near_by_tree(easting, northing, except, idw)
        } else {
            let reach = reach_at(self.points(), easting, northing, except, idw);
            let points = self.points().iter().enumerate();
            let near = points
                .filter(|(number, _)| Some(*number) != except)
                .map(|(number, point)| (number, *point, point.squared_distance(easting, northing)))
                .filter(|(_, _, squared)| *squared <= reach.limit)
                .collect();
            (near, reach)
        };
        near.sort_unstable_by(|one, other| one.2.total_cmp(&other.2).then(one.0.cmp(&other.0)));
        (near, reach)
    }

    /// The samples that count at a place, found one after the other from the nearest on.
    fn near_by_tree(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
        idw: &Idw,
    ) -> (Vec<(usize, Point, f64)>, NeighborReach) {
        let samples = self.points().len() - usize::from(except.is_some());
        let rank = idw.rank(samples);
        let mut near = Vec::with_capacity(rank + 4);
        let (mut nearest, mut reach) = (f64::INFINITY, NeighborReach::ALL);
        for entry in self.tree().nearest_neighbor_iter(&[easting, northing]) {
            if Some(entry.data) == except {
                continue;
            }
            let Some(point) = self.points().get(entry.data) else { continue };
            let squared = point.squared_distance(easting, northing);
            if squared > reach.limit {
                break;
            }
            nearest = squared.min(nearest);
            near.push((entry.data, *point, squared));
            if near.len() == rank {
                reach = idw.reach(samples, nearest, squared);
            }
        }
        near.retain(|(_, _, squared)| *squared <= reach.limit);
        (near, reach)
    }
}

/// Which samples count at a place, of at most [`FOR_A_TREE`].
fn reach_at(
    points: &[Point],
    easting: f64,
    northing: f64,
    except: Option<usize>,
    idw: &Idw,
) -> NeighborReach {
    let reach = match points.len() {
        0..=16 => reach_of_at_most::<16>,
        17..=64 => reach_of_at_most::<64>,
        _ => reach_of_at_most::<FOR_A_TREE>,
    };
    reach(points, easting, northing, except, idw)
}

fn reach_of_at_most<const MOST: usize>(
    points: &[Point],
    easting: f64,
    northing: f64,
    except: Option<usize>,
    idw: &Idw,
) -> NeighborReach {
    // Numbers that are not below 0 have the order of their bits, which is sooner found.
    let mut squares = [f64::INFINITY.to_bits(); MOST];
    for ((number, point), slot) in points.iter().enumerate().zip(&mut squares) {
        if Some(number) != except {
            *slot = point.squared_distance(easting, northing).to_bits();
        }
    }
    let squares = squares.get_mut(..points.len()).unwrap_or_default();
    let samples = points.len() - usize::from(except.is_some());
    let last = idw.rank(samples).saturating_sub(1);
    if last >= squares.len() {
        return NeighborReach::ALL;
    }
    let (nearer, nth, _) = squares.select_nth_unstable(last);
    let nearest = nearer.iter().fold(*nth, |nearest, square| nearest.min(*square));
    idw.reach(samples, f64::from_bits(nearest), f64::from_bits(*nth))
}

/// The weighted mean at a place of the samples among some that count there.
pub(super) fn blend<'a>(
    idw: &Idw,
    points: impl Iterator<Item = &'a Point> + Clone,
    reach: NeighborReach,
    place: [f64; 2],
) -> f64 {
    with_weight!(idw.power(), weight => blend_with(weight, idw.power(), points, reach, place))
}

fn blend_with<'a, W: Weight>(
    weight: W,
    power: f64,
    points: impl Iterator<Item = &'a Point> + Clone,
    reach: NeighborReach,
    [easting, northing]: [f64; 2],
) -> f64 {
    let taper = reach.tapered.then(|| reach.limit.sqrt());
    let (mut weights, mut weighted) = (0.0, 0.0);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for point in points.clone() {
        let squared = point.squared_distance(easting, northing);
        if squared <= reach.limit {
            let share = weight.of(squared, taper);
            weights += share;
            weighted += share * point.value;
            low = point.value.min(low);
            high = point.value.max(high);
        }
    }
    if SOUND_SUM.contains(&weights) {
        return (weighted / weights).max(low).min(high);
    }
    let near = points.map(|point| (point.squared_distance(easting, northing), point.value));
    let near: Vec<(f64, f64)> = near.filter(|(squared, _)| *squared <= reach.limit).collect();
    let shares = relative_weights(power, near.iter().map(|(squared, _)| *squared), taper);
    let weights: f64 = shares.iter().sum();
    shares.iter().zip(&near).map(|(share, (_, value))| share * value).sum::<f64>() / weights
}

/// The weights of squared distances relative to the nearest's: slower, never out of range. At a
/// sample it is 1 for that sample (for each of those that share the place) and 0 for all others.
pub(super) fn relative_weights(
    power: f64,
    squares: impl Iterator<Item = f64> + Clone,
    taper: Option<f64>,
) -> Vec<f64> {
    let nearest = squares.clone().fold(f64::INFINITY, f64::min);
    let left = |squared: f64| taper.map_or(1.0, |end| end - squared.sqrt());
    let share = |squared: f64| {
        // Equal first: at a sample both distances are 0.
        if squared == nearest {
            1.0
        } else {
            libm::pow(nearest / squared, 0.5 * power)
                * libm::pow(left(squared) / left(nearest), power)
        }
    };
    squares.map(share).collect()
}
