use super::elsewhere::{elsewhere, swapped};
use super::keep_out::local;
use super::{Boundary, KeepOutError, KeepOutLayer};
use crate::geometry::Feature;
use crate::units::Length;
use crate::warning::Warning;

/// Where piles of material may lie: what they keep a distance from, and where road trucks reach.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Site {
    /// What piles keep a distance from.
    pub setbacks: Vec<Nearby>,
    /// Where road trucks stand, and how far from there they dump; anywhere when absent.
    pub access: Option<Nearby>,
}

/// Features in a field or near it, and the distance that counts around them.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearby {
    /// What messages call the layer.
    pub called: String,
    /// What they are.
    pub why: String,
    /// The distance.
    pub distance: Length,
    /// Those of them that may be within [`Nearby::KNOWN`] of the field, in the meters of its frame.
    pub features: Vec<Feature>,
    /// Whether the job itself says so; else it is common practice around water that is known.
    pub is_stated: bool,
}

/// Why a site is not sound.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum SiteError {
    #[error(transparent)]
    Layer(#[from] KeepOutError),
    #[error(
        "{called}: found a polygon, expected lines or points where road trucks can stand; draw the lane as a line"
    )]
    NotALine { called: String },
    #[error("{called}: no part within a mile of the field; check the file")]
    FarAway { called: String },
}

impl Nearby {
    /// Up to this distance from the field features are known: a mile, the longest setback.
    pub const KNOWN: Length = Length::feet(5280.0);

    /// A layer near a field.
    ///
    /// # Errors
    /// When a feature has no place on Earth.
    pub fn new(layer: &KeepOutLayer, boundary: &Boundary) -> Result<Self, KeepOutError> {
        Ok(Self {
            called: layer.called.clone(),
            why: layer.why.clone(),
            distance: layer.distance.value,
            features: local(layer, boundary, Self::KNOWN)?,
            is_stated: true,
        })
    }
}

impl Site {
    /// How far piles keep from water unless the job says another distance: common practice, no
    /// source; local rules govern.
    pub const SETBACK: Length = Length::feet(200.0);

    /// Whether nothing is known that a pile would have to keep from.
    #[must_use]
    pub fn knows_no_water(&self) -> bool {
        self.setbacks.iter().all(|setback| setback.features.is_empty())
    }

    /// The site of some layers, and warnings of setbacks that are elsewhere.
    pub(super) fn new(
        boundary: &Boundary,
        setbacks: &[KeepOutLayer],
        access: Option<&KeepOutLayer>,
    ) -> Result<(Self, Vec<Warning>), SiteError> {
        let (mut site, mut warnings) = (Self::default(), Vec::new());
        for layer in setbacks {
            let setback = Nearby::new(layer, boundary)?;
            let features = swapped(layer, boundary);
            if features > 0 && features < layer.features.len() {
                let (called, of) = (layer.called.clone(), layer.features.len());
                warnings.push(Warning::FeaturesSwapped { called, features, of });
            }
            if setback.features.is_empty() {
                let (called, elsewhere) = (layer.called.clone(), elsewhere(layer, boundary));
                warnings.push(Warning::SetbackMissing { called, elsewhere });
            }
            site.setbacks.push(setback);
        }
        if let Some(layer) = access {
            let called = || layer.called.clone();
            if layer.features.iter().any(|feature| feature.filled) {
                return Err(SiteError::NotALine { called: called() });
            }
            let access = Nearby::new(layer, boundary)?;
            if access.features.is_empty() {
                return Err(SiteError::FarAway { called: called() });
            }
            site.access = Some(access);
        }
        Ok((site, warnings))
    }
}
