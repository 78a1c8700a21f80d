//! The layers of a job: what is kept from, and where road trucks reach.

use super::{Inputs, WorkError};
use crate::field::{KeepOutLayer, SetRateLayer};
use crate::job::{Job, KeepOutEntry, SetRateEntry};
use crate::path_text::shown;
use crate::read;
use crate::warning::Warning;

pub(super) fn layers(
    entries: &[KeepOutEntry],
    list: &str,
    inputs: &mut Inputs,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<KeepOutLayer>, WorkError> {
    let mut layers = Vec::new();
    for (number, entry) in (1..).zip(entries) {
        let source = inputs.source(list, &entry.file)?;
        let read = read::features(&source, &entry.settings())?;
        warnings.extend(read.warnings);
        layers.push(KeepOutLayer {
            called: entry.called(list, number),
            why: entry.why.clone(),
            distance: entry.distance,
            features: read.value,
        });
    }
    Ok(layers)
}

/// The areas whose rate is set.
pub(super) fn set_rates(
    entries: &[SetRateEntry],
    inputs: &mut Inputs,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<SetRateLayer>, WorkError> {
    let mut layers = Vec::new();
    for (number, entry) in (1..).zip(entries) {
        let source = inputs.source("set_rate", &entry.file)?;
        let read = read::features(&source, &entry.settings())?;
        warnings.extend(read.warnings);
        let (called, why) = (entry.called(number), entry.why.clone());
        layers.push(SetRateLayer { called, why, features: read.value });
    }
    Ok(layers)
}

/// What piles keep a distance from, and where road trucks reach.
pub(super) type Site = (Vec<KeepOutLayer>, Option<KeepOutLayer>);

pub(super) fn site(
    job: &Job,
    inputs: &mut Inputs,
    warnings: &mut Vec<Warning>,
) -> Result<Option<Site>, WorkError> {
    let Some(pile) = &job.pile else { return Ok(None) };
    let setbacks = layers(&pile.setbacks(), "[[pile.setback]]", inputs, warnings)?;
    let Some(access) = &pile.access else { return Ok(Some((setbacks, None))) };
    let entry = KeepOutEntry {
        file: access.file.clone(),
        distance: pile.reach(),
        why: "the truck access".to_owned(),
        crs: access.settings.crs.clone(),
        layer: access.settings.layer.clone(),
        field: access.settings.field.clone(),
    };
    let called = format!("[pile] access ({})", shown(&access.file));
    let access = layers(&[entry], "[pile] access", inputs, warnings)?.into_iter().next();
    Ok(Some((setbacks, access.map(|layer| KeepOutLayer { called, ..layer }))))
}
