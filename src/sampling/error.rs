use crate::surface::SurfaceError;

/// Why no samples can be laid out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum SamplingError {
    #[error(
        "no ground is left to sample: every place is within {edge} of an edge, or too near to what is avoided; use a smaller --edge or --avoid distance"
    )]
    NoGround { edge: String },
    #[error("found {found}, expected 1 to {most}; {advice}")]
    Points { found: String, most: usize, advice: &'static str },
    #[error(
        "a standard error of {found} is below what any grid reaches, {least}: samples side by side differ by as much; ask for a larger one, or for the mean of a block"
    )]
    BelowNugget { found: String, least: String },
    #[error(transparent)]
    Surface(#[from] SurfaceError),
    #[error("a sample has no longitude and latitude: {0}")]
    Position(String),
}
