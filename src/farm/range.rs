use crate::tonnage::MASS_DECIMALS;
use crate::units::round_to;

/// What fields take together, by ranges of the same probability for each, around what is planned.
///
/// The errors of different fields are taken as independent, as their samples are: variances add up,
/// so half-widths do as the root of the sum of their squares.
pub fn together(ranges: &[[f64; 2]], planned: f64) -> [f64; 2] {
    let middle: f64 = ranges.iter().map(|[low, high]| (low + high) / 2.0).sum();
    let squares: f64 = ranges.iter().map(|[low, high]| ((high - low) / 2.0).powi(2)).sum();
    let [low, high] = [middle - squares.sqrt(), middle + squares.sqrt()];
    [low.min(planned), high.max(planned)].map(|end| round_to(end, MASS_DECIMALS))
}
