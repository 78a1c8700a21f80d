//! What the job's layers hold, to be drawn: each thing once, though it be kept out and kept from.

use super::Plan;
use crate::field::Nearby;
use crate::geometry::Feature;

/// A layer as it is drawn.
pub struct DrawnLayer<'a> {
    /// What it is.
    pub why: &'a str,
    /// Its features, in the field's meters.
    pub features: Vec<&'a Feature>,
    /// Whether a part of the field is not spread for it, and told so.
    pub is_kept_out: bool,
}

/// The layers that are kept out, then those that only piles keep from.
pub fn layers(plan: &Plan) -> Vec<DrawnLayer<'_>> {
    let field = &plan.field;
    let out = field.kept_from.iter().enumerate().map(|(number, layer)| DrawnLayer {
        why: &layer.why,
        features: layer.features.iter().collect(),
        is_kept_out: field.keep_outs.iter().any(|part| part.layer == number),
    });
    let is_new =
        |feature: &&Feature| !field.kept_from.iter().any(|layer| layer.features.contains(feature));
    let stated = field.site.iter().flat_map(|site| &site.setbacks);
    let piles = stated.filter(|setback| setback.is_stated).map(|setback: &Nearby| DrawnLayer {
        why: &setback.why,
        features: setback.features.iter().filter(is_new).collect(),
        is_kept_out: false,
    });
    out.chain(piles).filter(|layer| !layer.features.is_empty()).collect()
}

/// Where road trucks stand, if the job says so.
pub fn access(plan: &Plan) -> Option<&Nearby> {
    plan.field.site.as_ref()?.access.as_ref()
}
