use geo::{BoundingRect, Coord, MultiPolygon, Rect, Validation};

use super::Boundary;
use super::KeepOutLayer;
use super::elsewhere::{elsewhere, swapped};
use super::ground_left::{GroundLeft, Taken};
use crate::geometry::{Feature, OutOfReach, buffer, is_sound};
use crate::units::Length;
use crate::warning::Warning;

/// Meters in a degree of latitude, nowhere more.
const METRES_PER_DEGREE: f64 = 110_500.0;
/// Room in degrees for the difference between an edge that is straight in degrees and one that is
/// straight in meters: 5 km, what an edge of 500 km bends by.
const BEND_DEGREES: f64 = 0.05;

/// The part of a field that is not spread for one cause.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOut {
    /// The number of the layer that it comes from, from 0; the holes' comes after all others.
    pub layer: usize,
    /// The cause.
    pub why: String,
    /// How far from it nothing is spread.
    pub distance: Length,
    /// The part, in the meters of the field's frame: sound polygons, outer rings counter-clockwise,
    /// none smaller than 1 cm² or narrower than 1 mm. It has nothing in common with the part of any
    /// other cause.
    pub area: MultiPolygon<f64>,
}

/// Why a part of a field cannot be kept out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum KeepOutError {
    #[error("{called}: found {at}, expected longitude -180 to 180 and latitude -90 to 90; {hint}")]
    NotDegrees { called: String, at: String, hint: &'static str },
    #[error("{called}: {error}")]
    Position { called: String, error: OutOfReach },
    #[error(
        "{called}: the whole field is within {distance}{others}, nothing is left to spread; check the file and the distance"
    )]
    WholeField { called: String, distance: String, others: &'static str },
    #[error("{called}: the part of the field within {distance} is not sound: {reason}")]
    Unsound { called: String, distance: String, reason: String },
}

/// The parts of a field near the features of each layer, in the layers' order, and warnings of
/// layers that have no part in the field. Where two layers meet, the earlier has the ground.
///
/// # Errors
/// When a feature has no place on Earth, or nothing of the field is left.
pub fn keep_outs(
    boundary: &Boundary,
    layers: Vec<KeepOutLayer>,
) -> Result<(Vec<KeepOut>, Vec<Warning>), KeepOutError> {
    let (mut found, mut warnings) = (Vec::new(), Vec::new());
    let Some(mut ground) = GroundLeft::of(boundary) else { return Ok((found, warnings)) };
    for (number, layer) in layers.into_iter().enumerate() {
        let (called, shown) = (layer.called.clone(), layer.distance.to_string());
        let distance = layer.distance.value;
        let of = layer.features.len();
        let features = swapped(&layer, boundary);
        if features > 0 && features < of {
            let called = called.clone();
            warnings.push(Warning::FeaturesSwapped { called, features, of });
        }
        let near = local(&layer, boundary, distance)?;
        let area = match ground.take(&buffer(&near, distance.as_metres(), &ground.window)) {
            Taken::Part(area) => area,
            Taken::Covered => {
                warnings.push(Warning::KeepOutCovered { called, distance: layer.distance });
                continue;
            }
            Taken::Elsewhere => {
                let bare = distance == Length::ZERO && layer.features.iter().all(|f| !f.filled);
                warnings.push(if bare {
                    Warning::KeepOutWithoutArea { called }
                } else {
                    let elsewhere = elsewhere(&layer, boundary);
                    Warning::KeepOutMissing { called, distance: layer.distance, elsewhere }
                });
                continue;
            }
            Taken::Everything => {
                let others = if found.is_empty() { "" } else { " or kept out already" };
                return Err(KeepOutError::WholeField { called, distance: shown, others });
            }
        };
        // By themselves: the pieces of an intersection have nothing in common.
        if let Some(piece) = area.0.iter().find(|piece| !is_sound(piece)) {
            let reason =
                piece.check_validation().map_or_else(|e| e.to_string(), |()| String::new());
            return Err(KeepOutError::Unsound { called, distance: shown, reason });
        }
        found.push(KeepOut { layer: number, why: layer.why, distance, area });
    }
    Ok((found, warnings))
}

/// The features of a layer that may be within a distance of a field, in the meters of its frame.
pub(super) fn local(
    layer: &KeepOutLayer,
    boundary: &Boundary,
    distance: Length,
) -> Result<Vec<Feature>, KeepOutError> {
    let called = || layer.called.clone();
    let mut near = layer.features.clone();
    let mut places = near.iter().flat_map(|feature| feature.lines.iter().flatten());
    if let Some(at) = places.find(|at| !(at.x.abs() <= 180.0 && at.y.abs() <= 90.0)) {
        let hint = if at.x.abs() <= 90.0 && at.y.abs() <= 180.0 {
            "longitude and latitude look swapped, longitude comes first"
        } else {
            "if the coordinates are feet or meters, say which coordinate system they are in (crs)"
        };
        let at = format!("{:.6}, {:.6}", at.x, at.y);
        return Err(KeepOutError::NotDegrees { called: called(), at, hint });
    }
    if let Some(window) = boundary.wgs84().bounding_rect() {
        let window = grown(window, distance);
        near.retain(|feature| is_near(feature, &window));
    }
    let mut places: Vec<Coord<f64>> =
        near.iter().flat_map(|feature| feature.lines.iter().flatten().copied()).collect();
    let converted = boundary.frame().all_to_local(&mut places);
    converted.map_err(|error| KeepOutError::Position { called: called(), error })?;
    let vertices = near.iter_mut().flat_map(|feature| feature.lines.iter_mut().flatten());
    vertices.zip(places).for_each(|(vertex, place)| *vertex = place);
    Ok(near)
}

/// A box in degrees with room for a distance around it.
fn grown(window: Rect<f64>, distance: Length) -> Rect<f64> {
    let north = distance.as_metres() / METRES_PER_DEGREE + BEND_DEGREES;
    // Fields lie between 60° S and 72° N: the cosine is never near 0.
    let squash = libm::cos(window.max().y.abs().max(window.min().y.abs()).to_radians());
    let room = Coord { x: north / squash, y: north };
    Rect::new(window.min() - room, window.max() + room)
}

fn is_near(feature: &Feature, window: &Rect<f64>) -> bool {
    let (low, high) = (window.min(), window.max());
    let any = |test: &dyn Fn(&Coord<f64>) -> bool| feature.lines.iter().flatten().any(test);
    any(&|at| at.x >= low.x)
        && any(&|at| at.x <= high.x)
        && any(&|at| at.y >= low.y)
        && any(&|at| at.y <= high.y)
}

#[cfg(test)]
mod tests;
