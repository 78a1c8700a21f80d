use super::amounts::Amounts;
use super::{Settings, SoilReasons, Surfaced, stockpiled};
use crate::field::Field;
use crate::soil::high_mean;
use crate::stockpile::Stockpile;
use crate::surface::Choice;
use crate::warning::{Warning, by_gravity};

/// What the settings, the field and the plan itself have to say, the gravest first.
pub(super) fn warnings(
    surfaced: &Surfaced,
    settings: &Settings,
    amounts: &Amounts,
    soil: Option<&SoilReasons>,
    stockpile: Option<&Stockpile>,
) -> Vec<Warning> {
    let field = &surfaced.field;
    let mut warnings = settings.warnings.clone();
    warnings.extend(field.warnings.iter().cloned());
    warnings.extend(high_mean(amounts.total.mass / amounts.total.area));
    warnings.extend(one_cec(field));
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
    warnings.extend(soil.into_iter().flat_map(SoilReasons::warnings));
    warnings
        .extend(stockpile.into_iter().flat_map(|all| stockpiled::warnings(all, settings.system)));
    by_gravity(&mut warnings);
    warnings
}

/// What is said where all samples have the same CEC: a soil test hardly ever has.
fn one_cec(field: &Field) -> Option<Warning> {
    let (first, others) = field.samples.split_first()?;
    let same = !others.is_empty() && others.iter().all(|sample| sample.cec == first.cec);
    same.then(|| Warning::OneCec { samples: field.samples.len(), cec: first.cec })
}
