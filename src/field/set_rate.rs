//! Areas that have a rate of their own, whatever the soil test says: what somebody knows of the field.

use geo::{MultiPolygon, Validation as _};

use super::elsewhere::{elsewhere, swapped};
use super::ground_left::{GroundLeft, Taken};
use super::keep_out::local;
use super::{Field, KeepOut, KeepOutError, KeepOutLayer};
use crate::geometry::{Feature, buffer, is_sound};
use crate::units::{Length, System, Written};
use crate::warning::Warning;

/// Areas whose rate is set, as read.
#[derive(Clone, Debug)]
pub struct SetRateLayer {
    /// What messages call it.
    pub called: String,
    /// What they are.
    pub why: String,
    /// The areas, WGS84 longitude and latitude in degrees.
    pub features: Vec<Feature>,
}

/// The part of a field whose rate is set for one cause.
#[derive(Clone, Debug, PartialEq)]
pub struct SetArea {
    /// The number of the layer that it comes from, from 0.
    pub layer: usize,
    /// The cause.
    pub why: String,
    /// The part, in the meters of the field's frame, as [`KeepOut::area`] is.
    pub area: MultiPolygon<f64>,
}

/// A part of a field that takes no rate by its CEC.
#[derive(Clone, Copy, Debug)]
pub enum AreaApart<'a> {
    /// It is not spread.
    KeptOut(&'a KeepOut),
    /// Its rate is set.
    Set(&'a SetArea),
}

/// Why the rate of a part of a field cannot be set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum SetRateError {
    #[error("{called}: found only points and lines, expected areas; draw the area around them")]
    WithoutArea { called: String },
    #[error(
        "{called}: the whole field has its rate set{others}, nothing takes one by its CEC; give the field that rate as its one [[tier]], or check the file"
    )]
    WholeField { called: String, others: &'static str },
    #[error("{called}: the part of the field is not sound: {reason}")]
    Unsound { called: String, reason: String },
    #[error(transparent)]
    Place(#[from] KeepOutError),
}

impl Field {
    /// The field with the rate set in the areas of some layers, but for what is kept out of it. Where
    /// two layers meet, the earlier has the ground. A layer with no part in the field is a warning.
    ///
    /// # Errors
    /// When a layer has no area, a feature no place on Earth, or nothing is left to take a rate by its
    /// CEC.
    pub fn setting_rates(mut self, layers: Vec<SetRateLayer>) -> Result<Self, SetRateError> {
        let Some(ground) = GroundLeft::of(&self.boundary) else { return Ok(self) };
        let mut ground = ground.without(self.keep_outs.iter().map(|kept| &kept.area));
        self.set_areas.clear();
        for (number, SetRateLayer { called, why, features }) in layers.into_iter().enumerate() {
            let of = features.len();
            let features: Vec<Feature> = features.into_iter().filter(|f| f.filled).collect();
            if of > 0 && features.is_empty() {
                return Err(SetRateError::WithoutArea { called });
            }
            let distance = Written { value: Length::ZERO, system: System::default() };
            let layer = KeepOutLayer { called, why, distance, features };
            let features = swapped(&layer, &self.boundary);
            if features > 0 && features < of {
                let called = layer.called.clone();
                self.warnings.push(Warning::FeaturesSwapped { called, features, of });
            }
            let areas = local(&layer, &self.boundary, Length::ZERO)?;
            let taken = ground.take(&buffer(&areas, 0.0, &ground.window));
            let called = layer.called.clone();
            match taken {
                Taken::Part(area) => {
                    if let Some(piece) = area.0.iter().find(|piece| !is_sound(piece)) {
                        let reason = piece.check_validation().err();
                        let reason = reason.map_or_else(String::new, |error| error.to_string());
                        return Err(SetRateError::Unsound { called, reason });
                    }
                    self.set_areas.push(SetArea { layer: number, why: layer.why, area });
                }
                Taken::Covered => self.warnings.push(Warning::SetRateCovered { called }),
                Taken::Elsewhere => {
                    let elsewhere = elsewhere(&layer, &self.boundary);
                    self.warnings.push(Warning::SetRateMissing { called, elsewhere });
                }
                Taken::Everything => {
                    let alone = self.keep_outs.is_empty() && self.set_areas.is_empty();
                    let others = if alone { "" } else { " or is kept out" };
                    return Err(SetRateError::WholeField { called, others });
                }
            }
        }
        Ok(self)
    }

    /// The areas that take no rate by their CEC, in the meters of the field's frame: what is kept out,
    /// then what has its rate set.
    #[must_use]
    pub fn areas_apart(&self) -> Vec<MultiPolygon<f64>> {
        let kept = self.keep_outs.iter().map(|kept| &kept.area);
        kept.chain(self.set_areas.iter().map(|set| &set.area)).cloned().collect()
    }

    /// One of them, from 0.
    #[must_use]
    pub fn area_apart(&self, number: usize) -> Option<AreaApart<'_>> {
        let kept = self.keep_outs.get(number).map(AreaApart::KeptOut);
        let set = || self.set_areas.get(number.checked_sub(self.keep_outs.len())?);
        kept.or_else(|| set().map(AreaApart::Set))
    }
}
