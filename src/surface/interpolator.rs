use super::evaluate::relative_weights;
use super::{CrossValidation, Lattice, Point, Surface};

/// A surface that is a weighted mean of samples at every place, however it comes by the weights.
pub trait Interpolator: Send + Sync {
    /// The samples in a canonical order, which their numbers refer to.
    fn points(&self) -> &[Point];

    /// The value at a place in meters, in the samples' unit.
    fn at(&self, easting: f64, northing: f64) -> f64;

    /// [`Interpolator::at`] for many places within a distance of one, in meters; the same bits.
    fn within<'a>(
        &'a self,
        _middle: [f64; 2],
        _distance: f64,
    ) -> Box<dyn Fn(f64, f64) -> f64 + 'a> {
        Box::new(|easting, northing| self.at(easting, northing))
    }

    /// The values at the nodes of a lattice: row after row from the south, each from the west; the
    /// same bits as [`Interpolator::at`] at each node.
    fn on_lattice(&self, lattice: &Lattice) -> Vec<f64>;

    /// What the surface would be at each sample without it; NaN for a single sample.
    fn leave_one_out(&self) -> Vec<f64>;

    /// The samples that count at a place, by number, with weights that add up to 1.
    fn weights(&self, easting: f64, northing: f64) -> Vec<(usize, f64)>;

    /// The weights at a sample's place of the surface without that sample.
    fn weights_without(&self, number: usize) -> Vec<(usize, f64)>;

    /// The errors of [`Interpolator::leave_one_out`], summed up; none for fewer than two samples.
    fn cross_validation(&self) -> Option<CrossValidation> {
        let observed: Vec<f64> = self.points().iter().map(|point| point.value).collect();
        CrossValidation::new(&observed, &self.leave_one_out())
    }
}

impl Interpolator for Surface {
    fn points(&self) -> &[Point] {
        Surface::points(self)
    }

    fn at(&self, easting: f64, northing: f64) -> f64 {
        Surface::at(self, easting, northing)
    }

    fn within<'a>(&'a self, middle: [f64; 2], distance: f64) -> Box<dyn Fn(f64, f64) -> f64 + 'a> {
        Box::new(Surface::within(self, middle, distance))
    }

    fn on_lattice(&self, lattice: &Lattice) -> Vec<f64> {
        Surface::on_lattice(self, lattice)
    }

    fn leave_one_out(&self) -> Vec<f64> {
        Surface::leave_one_out(self)
    }

    fn weights(&self, easting: f64, northing: f64) -> Vec<(usize, f64)> {
        self.inverse_distance_weights(easting, northing, None)
    }

    fn weights_without(&self, number: usize) -> Vec<(usize, f64)> {
        let Some(left_out) = Surface::points(self).get(number) else { return Vec::new() };
        self.inverse_distance_weights(left_out.easting, left_out.northing, Some(number))
    }
}

impl Surface {
    /// The weights relative to the nearest sample's, which no distance can overflow.
    fn inverse_distance_weights(
        &self,
        easting: f64,
        northing: f64,
        except: Option<usize>,
    ) -> Vec<(usize, f64)> {
        if !(easting.is_finite() && northing.is_finite()) {
            return Vec::new();
        }
        let (ranked, reach) = self.ranked(easting, northing, except, &self.idw);
        let taper = reach.tapered.then(|| reach.limit.sqrt());
        let squares = ranked.iter().map(|(_, _, squared)| *squared);
        let weights = relative_weights(self.idw.power(), squares, taper);
        let mut weights: Vec<(usize, f64)> =
            ranked.iter().map(|(number, _, _)| *number).zip(weights).collect();
        let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
        for (_, weight) in &mut weights {
            *weight /= sum;
        }
        weights
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::{Idw, Neighbors};

    /// A skew scatter; the first two share a place.
    fn points() -> Vec<Point> {
        let point = |number: usize| Point {
            easting: 40.0 * (number % 7) as f64 + 3.0 * ((number * 5) % 11) as f64,
            northing: 30.0 * (number / 7) as f64 + 2.0 * ((number * 3) % 13) as f64,
            value: 8.0 + ((number * 17) % 19) as f64,
        };
        let twin = Point { value: 20.0, ..point(0) };
        [twin].into_iter().chain((0..40).map(point)).collect()
    }

    /// Near a place the few samples that can count there give the same bits as all, with and without
    /// a radius, however far off the nearest is.
    #[test]
    fn near_a_place_it_is_the_surface() {
        let neighbors = [Neighbors::Nearest(1), Neighbors::Nearest(12), Neighbors::All];
        for (neighbors, radius) in
            neighbors.into_iter().flat_map(|n| [None, Some(20.0), Some(90.0)].map(|r| (n, r)))
        {
            for idw in [
                Idw::new(2.0, neighbors, radius).unwrap(),
                Idw::new(2.0, neighbors, radius).unwrap().plain(),
            ] {
                let surface = Surface::new(points(), idw).unwrap();
                for (east, north) in [(17.0, 23.0), (-500.0, 400.0), (120.0, 95.0), (30.0, 20.0)] {
                    for distance in [0.0, 1.5, 40.0] {
                        let near = Interpolator::within(&surface, [east, north], distance);
                        for turn in 0..16 {
                            let turn = f64::from(turn) * std::f64::consts::TAU / 16.0;
                            let (x, y) =
                                (east + distance * turn.cos(), north + distance * turn.sin());
                            assert_eq!(near(x, y).to_bits(), surface.at(x, y).to_bits());
                        }
                    }
                }
            }
        }
    }

    /// The weights make the surface: with the samples they give its values, there and left out.
    #[test]
    fn weights_give_the_surface() {
        for (power, neighbors) in
            [(2.0, Neighbors::Nearest(12)), (0.5, Neighbors::All), (3.0, Neighbors::Nearest(1))]
        {
            let surface =
                Surface::new(points(), Idw::new(power, neighbors, None).unwrap()).unwrap();
            let all = Interpolator::points(&surface);
            let value = |weights: Vec<(usize, f64)>| -> f64 {
                let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
                assert!((sum - 1.0).abs() < 1e-14, "weights add up to {sum}");
                weights.iter().map(|(number, weight)| weight * all[*number].value).sum()
            };
            let places = [(17.0, 23.0), (-50.0, 400.0), (all[0].easting, all[0].northing)];
            for (easting, northing) in places {
                let made = value(surface.weights(easting, northing));
                // Rounding of a dozen terms.
                assert!((made / surface.at(easting, northing) - 1.0).abs() < 1e-13);
            }
            for (number, left_out) in surface.leave_one_out().iter().enumerate() {
                assert!((value(surface.weights_without(number)) / left_out - 1.0).abs() < 1e-13);
            }
        }
    }
}
