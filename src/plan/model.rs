use super::{Method, SurfaceSettings};
use crate::surface::{
    Choice, CrossValidation, Fit, Fitted, Interpolator, Kriging, Point, Surface, SurfaceError,
    Variogram, choose,
};

/// The surface of a field, and what speaks for it.
pub(super) struct Model {
    pub surface: Box<dyn Interpolator>,
    /// Inverse distance, whether it is the surface or not: it judges single samples.
    pub inverse_distance: Surface,
    /// The samples' variogram; none where they are too few.
    pub fitted: Option<Fitted>,
    pub report: SurfaceReport,
}

/// How a field's surface was chosen.
#[derive(Clone, Debug)]
pub struct SurfaceReport {
    /// The method that was used.
    pub method: Method,
    /// How inverse distance was chosen, whether it was used or not.
    pub choice: Choice,
    /// Kriging, used or not; none where the samples give no variogram or are too many to compare.
    pub kriging: Option<KrigingReport>,
}

/// What kriging would do, or does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KrigingReport {
    /// The variogram.
    pub fit: Fit,
    /// Its leave-one-out errors.
    pub errors: CrossValidation,
}

impl SurfaceReport {
    /// Kriging is offered when its RMSE is under this share of inverse distance's.
    const WORTH_IT: f64 = 0.95;

    /// The leave-one-out errors of the surface; none when there are too few samples.
    #[must_use]
    pub fn errors(&self) -> Option<CrossValidation> {
        match self.method {
            Method::InverseDistance => self.choice.chosen.map(|trial| trial.errors),
            Method::Kriging => self.kriging.map(|kriging| kriging.errors),
        }
    }

    /// Kriging, where it is not used and predicts the samples better by more than 5 %.
    #[must_use]
    pub fn better_kriging(&self) -> Option<KrigingReport> {
        let chosen = self.choice.chosen.filter(|_| self.method == Method::InverseDistance)?;
        self.kriging.filter(|kriging| kriging.errors.rmse < Self::WORTH_IT * chosen.errors.rmse)
    }
}

impl Model {
    /// With more samples kriging is tried only when it is asked for: its time grows with their cube.
    const MOST_TO_COMPARE: usize = 300;

    pub fn new(points: &[Point], settings: &SurfaceSettings) -> Result<Self, SurfaceError> {
        let choice = choose(points, &settings.search())?;
        let inverse_distance = Surface::new(points.to_vec(), choice.idw)?;
        let fitted = Variogram::fit(points);
        let asked = settings.method == Method::Kriging;
        let kriging = match &fitted {
            Ok(fitted) if asked || points.len() <= Self::MOST_TO_COMPARE => {
                Self::kriging(points, fitted)
            }
            Ok(_) => Ok(None),
            Err(error) => Err(error.clone()),
        };
        let kriging = if asked { kriging? } else { kriging.unwrap_or(None) };
        let (surface, kriging): (Box<dyn Interpolator>, _) = match kriging {
            Some((surface, report)) if asked => (Box::new(surface), Some(report)),
            other => (Box::new(inverse_distance.clone()), other.map(|(_, report)| report)),
        };
        let report = SurfaceReport { method: settings.method, choice, kriging };
        Ok(Self { surface, inverse_distance, fitted: fitted.ok(), report })
    }

    fn kriging(
        points: &[Point],
        fitted: &Fitted,
    ) -> Result<Option<(Kriging, KrigingReport)>, SurfaceError> {
        let surface = Kriging::new(points, fitted.nearest.variogram)?;
        let errors = surface.cross_validation();
        Ok(errors.map(|errors| (surface, KrigingReport { fit: fitted.nearest, errors })))
    }
}
