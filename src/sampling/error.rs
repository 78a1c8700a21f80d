use crate::surface::SurfaceError;

/// Why no samples can be laid out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum SamplingError {
    #[error(
        "no ground is left to sample: every place is within {edge} of an edge or within the distance of an avoided layer; use a smaller --edge or --avoid distance"
    )]
    NoGround { edge: String },
    #[error("found {found} points, expected 1 to {most}; {advice}")]
    Points { found: usize, most: usize, advice: &'static str },
    #[error(
        "found {found} an acre or hectare and more points than {most}, expected fewer; use a larger area for each sample"
    )]
    TooDense { found: String, most: usize },
    #[error(
        "found a target of {found}, expected more than {least}: so large is the error of the closest grid, by the nugget alone"
    )]
    BelowNugget { found: String, least: String },
    #[error(transparent)]
    Surface(#[from] SurfaceError),
    #[error("the point at {at} has no longitude and latitude: {reason}")]
    Position { at: String, reason: String },
}
