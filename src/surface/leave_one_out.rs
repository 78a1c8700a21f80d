use rayon::prelude::*;

use super::evaluate::blend;
use super::{CrossValidation, Surface};

impl Surface {
    /// What the surface would be at each sample without it, in the canonical order.
    ///
    /// A single sample has no other to be predicted from: NaN. Of samples that share a place only
    /// the one is left out.
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<f64> {
        (0..self.points().len()).into_par_iter().map(|number| self.without(number)).collect()
    }

    /// The errors of [`Surface::leave_one_out`], summed up; none for fewer than two samples.
    #[must_use]
    pub fn cross_validation(&self) -> Option<CrossValidation> {
        let observed: Vec<f64> = self.points().iter().map(|point| point.value).collect();
        CrossValidation::new(&observed, &self.leave_one_out())
    }

    fn without(&self, number: usize) -> f64 {
        let Some(left_out) = self.points().get(number) else { return f64::NAN };
        let (easting, northing) = (left_out.easting, left_out.northing);
        let (points, reach) = self.counting(easting, northing, Some(number));
        blend(&self.idw, points.iter(), reach, [easting, northing])
    }
}
