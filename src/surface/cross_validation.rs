/// How well a surface predicts samples that it was not given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossValidation {
    /// The number of samples.
    pub samples: usize,
    /// The root of the mean squared error, in the samples' unit.
    pub rmse: f64,
    /// The mean absolute error, in the samples' unit.
    pub mean_absolute_error: f64,
    /// The mean of predicted less observed, in the samples' unit.
    pub mean_error: f64,
    /// One less the squared errors over the squared deviations from the mean of all samples: 1 is
    /// perfect, 0 is no better than the mean, below 0 is worse. 0 when all samples are equal.
    pub r2_against_mean: f64,
}

impl CrossValidation {
    /// The errors of predictions; none for fewer than two samples.
    #[must_use]
    pub fn new(observed: &[f64], predicted: &[f64]) -> Option<Self> {
        let samples = observed.len().min(predicted.len());
        if samples < 2 {
            return None;
        }
        let count = samples as f64;
        let mean = observed.iter().sum::<f64>() / count;
        let errors = || predicted.iter().zip(observed).map(|(made, seen)| made - seen);
        let squares: f64 = errors().map(|error| error * error).sum();
        let spread: f64 = observed.iter().map(|seen| (seen - mean) * (seen - mean)).sum();
        Some(Self {
            samples,
            rmse: (squares / count).sqrt(),
            mean_absolute_error: errors().map(f64::abs).sum::<f64>() / count,
            mean_error: errors().sum::<f64>() / count,
            r2_against_mean: if spread > 0.0 { 1.0 - squares / spread } else { 0.0 },
        })
    }

    /// Whether the surface predicts better than the mean of the samples does.
    #[must_use]
    pub fn beats_the_mean(&self) -> bool {
        self.r2_against_mean > 0.0
    }
}
