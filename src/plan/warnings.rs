use std::ops::RangeInclusive;

use super::amounts::ZoneAmounts;
use super::{SecondLook, Settings, SoilReasons, Surfaced, Zoned, near_water, stockpiled};
use crate::field::Field;
use crate::order::OrderSettings;
use crate::soil::{Tiers, high_mean};
use crate::stockpile::Stockpile;
use crate::surface::Choice;
use crate::warning::{Warning, by_gravity};

/// What the settings, the field and the plan itself have to say, the gravest first; of these what
/// can reach water.
pub(super) fn warnings(
    (surfaced, zoned): (&Surfaced, &Zoned),
    settings: &Settings,
    amounts: &ZoneAmounts,
    looks: &[SecondLook],
    soil: Option<&SoilReasons>,
    stockpile: Option<&Stockpile>,
) -> Vec<Warning> {
    let field = &surfaced.field;
    let mut warnings = near_water::warnings(field, settings.piles.is_some());
    warnings.extend(settings.warnings.iter().cloned());
    warnings.extend(field.warnings.iter().cloned());
    let mean = amounts.total.mass / amounts.total.area;
    let pure = settings.order.as_ref().and_then(OrderSettings::pure);
    warnings.extend(rate_falls(&settings.tiers));
    warnings.extend(high_mean(mean, pure.map(|product| product.pure(mean))));
    warnings.extend(one_cec(field));
    warnings.extend(cec_implausible(field));
    warnings.extend(looks.iter().map(SecondLook::warning));
    match surfaced.report().errors() {
        Some(errors) if !errors.beats_the_mean() => warnings.push(Warning::MapNoBetterThanMean {
            r2: errors.r2_against_mean,
            rate: amounts.flat.rate,
            cec_mean: amounts.flat.cec_mean,
            mass: amounts.flat.mass,
        }),
        None => warnings.push(Warning::TooFewToJudge {
            samples: field.samples.len(),
            expected: Choice::FEWEST_SAMPLES,
        }),
        Some(_) => {}
    }
    if zoned.lost > 0 {
        warnings.push(Warning::TooThinToWrite { pieces: zoned.lost });
    }
    warnings.extend(soil.into_iter().flat_map(SoilReasons::warnings));
    warnings
        .extend(stockpile.into_iter().flat_map(|all| stockpiled::warnings(all, settings.system)));
    by_gravity(&mut warnings);
    warnings
}

/// What is said where soil that holds more gets less.
fn rate_falls(tiers: &Tiers) -> Option<Warning> {
    let (under, over) = tiers
        .tiers()
        .iter()
        .zip(tiers.tiers().iter().skip(1))
        .find(|(under, over)| over.rate < under.rate)?;
    Some(Warning::RateFalls {
        under: under.label.clone(),
        most: under.rate,
        over: over.label.clone(),
        least: over.rate,
    })
}

/// What is said where the middle of the CEC is that of hardly any farmed soil: sands with little clay
/// and humus have 2 or more, heavy clays 45 or less (common practice, no source).
fn cec_implausible(field: &Field) -> Option<Warning> {
    const USUAL: RangeInclusive<f64> = 2.0..=45.0;
    let mut cec: Vec<f64> = field.samples.iter().map(|sample| sample.cec).collect();
    cec.sort_by(f64::total_cmp);
    let median = cec.get(cec.len() / 2).copied()?;
    (!USUAL.contains(&median)).then_some(Warning::CecImplausible { median })
}

/// What is said where all samples have the same CEC: a soil test hardly ever has.
fn one_cec(field: &Field) -> Option<Warning> {
    let (first, others) = field.samples.split_first()?;
    let same = !others.is_empty() && others.iter().all(|sample| sample.cec == first.cec);
    same.then(|| Warning::OneCec { samples: field.samples.len(), cec: first.cec })
}
