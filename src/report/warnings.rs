//! What the warnings say: what is wrong, what it does to the map, what to do.

use crate::units::{Quantity, System, count};
use crate::warning::{Apart, Gravity, Warning};

/// A warning's sentence. Quantities are in the job's units, but for distances of samples, whose
/// readers may have either.
#[must_use]
pub fn sentence(warning: &Warning, system: System) -> String {
    use Warning as W;
    match warning {
        W::RowDeleted { place } => format!("{place}: deleted in the table; left out"),
        W::CrsContradiction { file, setting, by, declared, apart } => {
            let apart = match apart {
                Apart::By(distance) => format!("{:.0} m apart", distance.as_metres()),
                Apart::Meaningless => {
                    "where these coordinates have no meaning in one of them".to_owned()
                }
            };
            format!(
                "{file}: the crs setting says {setting}, {by} says {declared}, {apart}; the setting is used"
            )
        }
        W::NoResult { points, laboratory, ids } => {
            format!("{points}: found no result in {laboratory} for {}; left out", quoted(ids))
        }
        W::NoPoint { points, laboratory, ids } => {
            format!("{laboratory}: found no point in {points} for {}; left out", quoted(ids))
        }
        W::NoId { place } => format!("{place}: found no id; left out"),
        W::NoPosition { place } => format!("{place}: found no position; left out"),
        W::CecInBothTables { samples, laboratory } => {
            format!("{samples}: found a CEC column here and in {laboratory}; the latter is used")
        }
        W::CecNotSummed { file, column } => format!(
            "{file}: found a CEC column, \"{column}\"; it is used, and CEC is not summed from cations"
        ),
        W::SodiumNotMeasured { file } => {
            format!("{file}: found no Na column; CEC is summed without sodium")
        }
        W::RowsIncomplete { file, rows } => {
            let lack = if *rows == 1 { "lacks" } else { "lack" };
            format!("{file}: {} {lack} a place or a number; left out", count(*rows, "row", "rows"))
        }
        W::NoShape { place } => format!("{place}: it has no shape; left out"),
        W::RingClosed { place } => {
            format!("{place}: a ring does not end where it begins; it was closed")
        }
        W::TaskDataIncomplete { place, reason } => format!("{place}: {reason}"),
        W::PolygonsWithoutNames { file, polygons } => format!(
            "{file}: its {polygons} polygons have no names and are taken as one field; if they are several, give each a file or a name"
        ),
        W::Merged { file, polygons, before, after, pieces } => {
            let pieces = match pieces {
                1 => "in one piece".to_owned(),
                pieces => format!("in {pieces} pieces that do not touch"),
            };
            format!(
                "{file}: its {polygons} polygons were made one field (merge): {} counted one by one, {} as one, {pieces}",
                before.show(system, 2),
                after.show(system, 2),
            )
        }
        W::MergedCutOut { file, polygon, area, within } => {
            let area = area.show(system, 2);
            let outer: Vec<String> = within.iter().map(ToString::to_string).collect();
            let outer = outer.join(" and ");
            if within.len() % 2 == 1 {
                format!(
                    "{file}: polygon {polygon}, {area}, lies inside polygon {outer} and was cut out (merge): nothing is spread there"
                )
            } else {
                format!(
                    "{file}: polygon {polygon}, {area}, lies inside polygons {outer}, of which one was cut out (merge): it belongs to the field"
                )
            }
        }
        W::MergedOverlap { file, first, second, area } => format!(
            "{file}: polygons {first} and {second} overlap by {}, which counts once (merge)",
            area.show(system, 2)
        ),
        W::MergedGaps { file, gaps, smallest } => format!(
            "{file}: {} between its polygons, the smallest {}, left as holes (merge): nothing is spread there; if these are slips of drawing, draw the polygons to the same line",
            count(*gaps, "gap", "gaps"),
            smallest.show(system, 3)
        ),
        W::NoCec { place } => format!("{place}: found no CEC; the sample is left out"),
        W::SampleOutside { place, distance } => {
            format!(
                "{place}: the sample lies {} outside the boundary",
                distance.in_feet_and_metres()
            )
        }
        W::SameSampleTwice { first, second } => {
            format!("{first} and {second}: the same position with the same CEC; used once")
        }
        W::ExcludedIdShared { id, places } => {
            let (last, others) = places.split_last().map_or(("", [].as_slice()), |(l, o)| (l, o));
            format!(
                "{} and {last}: {} samples have the excluded id \"{id}\"; none of them counts",
                others.join(", "),
                places.len(),
            )
        }
        W::OneCec { samples, cec } => {
            format!("all {samples} samples have CEC {cec:.1}; is this the right column?")
        }
        W::SodicSoil { over, samples } => format!(
            "exchangeable sodium is over {:.0} % of the CEC at {}: this is sodic soil, which the tiers are not made for; leave it to licensed practice (NRCS Conservation Practice Standard 333 sends sodic soils to Code 610)",
            over.as_percent(),
            named(samples),
        ),
        W::MagnesiumShort { samples } => format!(
            "CEC is under 10 meq/100 g (common practice, no source) and magnesium is short, 3 % of Ca + Mg + K or less, or less than K (Michigan State University Extension), at {}: gypsum drives magnesium out; ask the adviser about magnesium first",
            named(samples),
        ),
        W::KeepOutCovered { called, distance } => {
            format!("{called}: all of it within {} is kept out already", distance)
        }
        W::KeepOutWithoutArea { called } => {
            format!("{called}: points and lines have no area; say a distance above 0 ft")
        }
        W::KeepOutMissing { called, distance } => {
            format!("{called}: no part within {} of the field; check the file", distance)
        }
        W::SetbackMissing { called } => {
            format!("{called}: no part within a mile of the field; check the file")
        }
        W::RateLimited { tier, found, limit, planned } => format!(
            "{tier}: {} is {limit}, planned with {}",
            found.show(system, 2),
            planned.show(system, 2),
        ),
        W::RateHigh { what, rate } => format!(
            "{what}: {} is more than is usually spread in one pass (common practice, no source)",
            rate.show(system, 2),
        ),
        W::SwathDiffers { job, spreader } => format!(
            "swath: found {} in the job and {} in the spreader's file; zones go by the first, hours by the second",
            job.show(system, 1),
            spreader.show(system, 1),
        ),
        W::MachineImplausible { place, found, expected } => {
            format!("{place}: found {found}, expected {expected}; check the number and its unit")
        }
        W::MapNoBetterThanMean { r2, rate, cec_mean, mass } => format!(
            "the map predicts the samples no better than their mean does (left out one by one, R2 {r2:.2}): this soil test does not support a variable rate; one rate, {} of the field at its mean CEC of {cec_mean:.1}, takes {}",
            rate.show(system, 2),
            mass.show(system, 2),
        ),
        W::TooFewToJudge { samples, expected } => format!(
            "{samples} samples are too few to say how well the map predicts, expected {expected} or more"
        ),
        W::PilePlaceRefused { faults, best_used } => {
            let instead = if *best_used { "; the best place is used" } else { "" };
            format!("no pile may lie at the named place: {}{instead}", faults.join("; "))
        }
        W::NoPilePlace { faults } => format!(
            "no pile may lie anywhere in this field; at the best place: {}",
            faults.join("; ")
        ),
    }
}

/// A warning as it is printed: how grave it is, then its sentence.
#[must_use]
pub fn line(warning: &Warning, system: System) -> String {
    let grave = match warning.gravity() {
        Gravity::Stop => "STOP",
        Gravity::Look => "Look",
        Gravity::Know => "Note",
    };
    format!("{grave}: {}", sentence(warning, system))
}

/// How many names are listed before the rest is only counted.
const SHOWN: usize = 5;

/// Names in quotes, the first of them.
fn quoted(names: &[String]) -> String {
    let shown = names.iter().take(SHOWN).map(|name| format!("\"{name}\""));
    let shown = shown.collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// How many samples, and the names of the first of them.
fn named(ids: &[String]) -> String {
    let shown: Vec<&str> =
        ids.iter().map(String::as_str).filter(|id| !id.is_empty()).take(SHOWN).collect();
    let count = count(ids.len(), "sample", "samples");
    match shown.len() {
        0 => count,
        all if all == ids.len() => format!("{count} ({})", shown.join(", ")),
        _ => format!("{count} ({}, …)", shown.join(", ")),
    }
}

/// The sentences of some warnings, for tests of the rooms that give them.
#[cfg(test)]
pub(crate) fn said(warnings: &[Warning]) -> Vec<String> {
    warnings.iter().map(|warning| sentence(warning, System::Us)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_are_named() {
        let named =
            |ids: &[&str]| super::named(&ids.iter().map(ToString::to_string).collect::<Vec<_>>());
        assert_eq!(named(&["A1"]), "1 sample (A1)");
        assert_eq!(named(&["", ""]), "2 samples");
        assert_eq!(named(&["1", "2", "3", "4", "5", "6"]), "6 samples (1, 2, 3, 4, 5, …)");
    }

    #[test]
    fn many_ids_are_counted() {
        let ids: Vec<String> = (1..=7).map(|i| i.to_string()).collect();
        assert_eq!(quoted(&ids), "\"1\", \"2\", \"3\", \"4\", \"5\" and 2 more");
    }
}
