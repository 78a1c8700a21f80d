//! What the warnings say: what is wrong, what it does to the map, what to do.

mod lists;
mod measures;

use std::fmt::Write as _;

use self::lists::{and, few, listed, named, quoted, shared};
use self::measures::{far, found, holes_told, lying, outside, rate_told, twins, whole};
pub(super) use self::measures::{in_all, on_keep_out, setback};
use super::farm_stops::OF_ALL_FIELDS;
use crate::units::{Length, Mass, Quantity, System, count};
use crate::warning::{Gravity, SystemsApart, Warning};

/// A warning's sentence. Quantities are in the job's units, but for distances of samples, whose
/// readers may have either.
#[must_use]
#[expect(clippy::too_many_lines, reason = "one sentence for each warning")]
pub fn sentence(warning: &Warning, system: System) -> String {
    use Warning as W;
    match warning {
        W::RowDeleted { place } => format!("{place}: deleted in the table; left out"),
        W::CrsContradiction { file, setting, by, declared, apart } => {
            let apart = match apart {
                SystemsApart::By(distance) => format!("{:.0} m apart", distance.as_metres()),
                SystemsApart::Meaningless => {
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
        W::SamplesOfOtherFields { file, samples, fields } => format!(
            "{file}: {} of other fields left out ({})",
            count(*samples, "sample", "samples"),
            few(fields)
        ),
        W::NoId { place } => format!("{place}: found no id; left out"),
        W::NoPosition { place } => format!("{place}: found no position; left out"),
        W::TakenOffGround { ids, within } => format!(
            "--taken: {} left out, more than {} off the ground that is sampled",
            named(ids),
            within.show(system, 0)
        ),
        W::TakenTwice { ids } => format!(
            "--taken: {} of a name or at a place that was there before; a place counts once",
            named(ids)
        ),
        W::CecInBothTables { samples, laboratory } => {
            format!("{samples}: found a CEC column here and in {laboratory}; the latter is used")
        }
        W::CecNotSummed { file, column } => format!(
            "{file}: found a CEC column, \"{column}\"; it is used, and CEC is not summed from cations"
        ),
        W::CecConverted { file, column, unit, factor } => format!(
            "{file}: the column \"{column}\" is in {unit}; turned into meq/100 g (times {factor})"
        ),
        W::CationsWithoutUnit { file, columns } => format!(
            "{file}: nothing says the unit of {}, so base saturation is left out; write it behind the name (\"K ppm\"), or say [cations] unit = \"ppm\", \"lb/ac\" or \"meq/100 g\"",
            quoted(columns)
        ),
        W::CationsUnclear { reason } => format!("{reason}; base saturation is left out"),
        W::CecContradicted { file, share, with_acidity } => format!(
            "{file}: {} come to {} % of the CEC in the middle of the samples, expected {}: the unit of the CEC or of the cations is mistaken, and every rate goes by the CEC; write units into the headers, or say cec_unit = \"mmol(c)/kg\" or [cations] unit",
            if *with_acidity { "Ca, Mg, K and H" } else { "Ca, Mg and K" },
            whole(100.0 * share),
            if *with_acidity { "about all of it" } else { "20 to 130 %" },
        ),
        W::BasesOverCec { file, share } => format!(
            "{file}: Ca, Mg and K come to {} % of the CEC in the middle of the samples, more than the soil can hold: free lime that the test dissolved (pH over 7.3 or so), or a unit mistaken ([cations] unit, cec_unit); no rate goes by them",
            whole(100.0 * share),
        ),
        W::SodiumNotMeasured { file } => {
            format!("{file}: found no Na column; CEC is summed without sodium")
        }
        W::RowsIncomplete { file, rows } => {
            let lack = if *rows == 1 { "lacks" } else { "lack" };
            format!("{file}: {} {lack} a place or a number; left out", count(*rows, "row", "rows"))
        }
        W::NoSamples { file, cells } => {
            format!("{file}: found rows that are no samples, {}; left out", quoted(cells))
        }
        W::DepthTaken { file, taken, others, rows } => format!(
            "{file}: found several depths; those of {} are used, {} of {} left out (depth = \"…\" takes another)",
            taken.join(", "),
            count(*rows, "row", "rows"),
            others.join(", "),
        ),
        W::ResultMissing { place, cells } => format!(
            "{place}: found {}, words for no result; these samples are left out",
            few(cells)
        ),
        W::ResultAboveRange { place, cells } => format!(
            "{place}: found {}, above what the laboratory measures; these samples are left out",
            few(cells)
        ),
        W::ResultBelowDetection { place, cells, used: None } => {
            format!("{place}: found {}, below detection; these samples are left out", few(cells))
        }
        W::ResultBelowDetection { place, cells, used: Some(share) } => format!(
            "{place}: found {}, below detection; {} % of the limit is used (below_detection = \"leave out\" leaves such samples out)",
            few(cells),
            share.as_percent()
        ),
        W::IdsMatched { points, laboratory, how, point, result } => format!(
            "{points} and {laboratory}: the ids are matched {how}: \"{point}\" is \"{result}\"; check that this is so for all"
        ),
        W::NoShape { place } => format!("{place}: it has no shape; left out"),
        W::RingClosed { place } => {
            format!("{place}: a ring does not end where it begins; it was closed")
        }
        W::TaskDataIncomplete { place, reason } => format!("{place}: {reason}"),
        W::LogCut { place, records, share } => format!(
            "{place}: the log is cut or broken after {}, {} % of the file; what comes after is in no figure, so copy the task data from the terminal again",
            count(*records, "record", "records"),
            whole(100.0 * share),
        ),
        W::LogWithoutPositions { place, records, all } => format!(
            "{place}: {} of {} have no position (no satellite fix); the way between the others is taken as straight",
            records, count(*all, "record", "records"),
        ),
        W::OtherShapes { file, shapes } => format!(
            "{file}: {} among the boundaries, not kept from: {}. If water, a well or a lane is in the field, add a [[keep_out]] with this file",
            count(shapes.len(), "line or point", "lines and points"),
            named(shapes),
        ),
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
        W::SamplesOutside { samples, reach } => {
            let who = count(
                samples.len(),
                "sample counts though it lies",
                "samples count though they lie",
            );
            format!("{who} outside the boundary, up to {}: {}", far(reach), outside(samples))
        }
        W::SamplesTooFar { samples, reach, enough } => {
            let who = count(
                samples.len(),
                "sample does not count, for it lies",
                "samples do not count, for they lie",
            );
            let lift = enough.map_or(String::new(), |enough| {
                let enough = enough.as_feet();
                format!("; to count all of them, set samples_within = \"{enough:.0} ft\"")
            });
            format!(
                "{who} more than {} outside the boundary: {}{lift}",
                far(reach),
                outside(samples)
            )
        }
        W::SameSampleTwice { places } => {
            let places = places.iter().map(|same| and(same.iter().map(String::as_str)));
            format!("{}: the same position with the same CEC; used once", listed(places))
        }
        W::SamplesAveraged { places } => format!(
            "{}: within a centimeter of each other with different CEC; each place counts once, with the mean",
            listed(places.iter().map(twins))
        ),
        W::IdShared { ids } => format!(
            "ids that several samples have, at different places: {}; all count, but check that none is mistyped or of another field",
            listed(ids.iter().map(|(id, places)| shared(id, places)))
        ),
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
        W::CecImplausible { median } => {
            let (told, unit) = if *median < 10.0 {
                ("under 2, and hardly any farmed soil is", "mol(c)/kg")
            } else {
                ("over 45, and hardly any farmed soil is", "mmol(c)/kg")
            };
            format!(
                "the middle of the samples' CEC is {median} meq/100 g, {told}: if the laboratory's unit is another, every rate is wrong; write it into the column's header, or say cec_unit = \"{unit}\""
            )
        }
        W::SampleUnlikeNeighbors { id, cec, neighbors_say, mass } => {
            let (name, lift) = if id.is_empty() {
                ("a sample without id".to_owned(), String::new())
            } else {
                (format!("sample {id}"), format!("; to leave it out: exclude = [\"{id}\"]"))
            };
            format!(
                "{name}: CEC {cec:.1}, its neighbors say {neighbors_say:.1}: is it mistyped? it moves {:+.2} {}{lift}",
                mass.value_in(system),
                Mass::unit(system).plural(),
            )
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
        W::DatesRead { place, month_first, is_shown } => {
            let order = if *month_first { "month/day/year" } else { "day/month/year" };
            let doubt = if *is_shown {
                ""
            } else {
                "; no date shows which number is the day: check one against its ticket, or write 2026-04-14"
            };
            format!("{place}: dates are read as {order}{doubt}")
        }
        W::KeepOutCovered { called, distance } => {
            format!("{called}: all of it within {distance} is kept out already")
        }
        W::KeepOutWithoutArea { called } => {
            format!("{called}: points and lines have no area; say a distance above 0 ft")
        }
        W::FeaturesSwapped { called, features, of } => format!(
            "{called}: {features} of {of} features have longitude and latitude swapped and do not count; the other way round they are at the field"
        ),
        W::KeepOutMissing { called, distance, elsewhere } => format!(
            "{called}: no part within {distance} of the field, so nothing is kept off; {}",
            found(*elsewhere, system),
        ),
        W::FarmKeepOutElsewhere { called, distance } => {
            format!("{called}{OF_ALL_FIELDS}: no part within {distance} of this one")
        }
        W::SetRateMissing { called, elsewhere } => format!(
            "{called}: no part in the field, so no rate is set; {}",
            found(*elsewhere, system),
        ),
        W::SetRateCovered { called } => {
            format!("{called}: all of it is kept out, or has its rate set already")
        }
        W::SetbackMissing { called, elsewhere } => format!(
            "{called}: no part within a mile of the field; {}",
            found(*elsewhere, system),
        ),
        W::SetbackSpreadOver { called, why, points, length, area } => format!(
            "{called}, {why}: the map spreads over it, {} in the field; a pile setback holds back the pile alone. Add a [[keep_out]] with the same file and the distance that your rules ask",
            lying(*points, *length, *area, system),
        ),
        W::HoleNotKeptOff { holes } => format!(
            "the map spreads up to the edge of {} in the boundary ({}). Water or a yard? Set hole_setback = \"{}\", or what your rules ask, at the top of the job, or add a [[keep_out]]; with hole_setback = \"0 {}\" nothing is kept off",
            count(holes.len(), "hole", "holes"),
            holes_told(holes, system),
            if system == System::Us { "35 ft" } else { "10 m" },
            Length::unit(system).symbol(),
        ),
        W::PileUnchecked => {
            "the pile is checked against no water: the job names none. Add a [[pile.setback]] for each well, ditch, drain and pond in the field or near it".to_owned()
        }
        W::LandsOnKeepOut { why, distance, highest, mass, needed, with_look_ahead } => {
            let mut remedy = needed.map_or_else(
                || "no wider setback in reach keeps it clean".to_owned(),
                |needed| format!("a setback of {} keeps it clean", setback(needed, system)),
            );
            if let Some((lead, needed)) = with_look_ahead {
                let (needed, lead) = (setback(*needed, system), lead.show(system, 1));
                let _ = write!(remedy, ", or of {needed} with a look-ahead of {lead}");
            }
            format!(
                "on the keep-out {why} ({}) lands up to {}{}; {remedy}",
                setback(*distance, system),
                on_keep_out(*highest, system),
                in_all(*mass, system),
            )
        }
        W::RateFalls { under, most, over, least } => format!(
            "{over} gets {}, less than {under} with {}, though soil with more CEC holds more; is that meant?",
            least.show(system, 2),
            most.show(system, 2),
        ),
        W::PansOffTarget { test, caught, target, off } => format!(
            "{test}: the pans caught {}, {:+.0} % off the target of {}; weigh and set the machine anew before it spreads",
            caught.show(system, 2),
            off.as_percent(),
            target.show(system, 2),
        ),
        W::PansUneven { test, swath, cv, limit } => format!(
            "{test}: at the swath of {} the CV is {:.1} %, over the limit of {:.0} %; mend the pattern first (landplaster pans says how)",
            swath.show(system, 0),
            cv.as_percent(),
            limit.as_percent(),
        ),
        W::RateLimited { tier, found, pure, limit, planned } => format!(
            "{tier}: {} is {limit}, planned with {}",
            rate_told(*found, *pure, system),
            planned.show(system, 2),
        ),
        W::RateHigh { what, rate, pure } => format!(
            "{what}: {} is more than is usually spread in one pass (common practice, no source)",
            rate_told(*rate, *pure, system),
        ),
        W::WeighTestsFew { file, machine, material, tests } => format!(
            "{file}: {} of \"{machine}\" with \"{material}\"; two or more say how far the order may be off (machine and material are called as in the spreader's file)",
            count(*tests, "weigh test", "weigh tests"),
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
        W::TooThinToWrite { pieces } => format!(
            "{} thinner than files can say (a millimeter); that ground gets the rate beside it",
            count(*pieces, "piece of a zone is", "pieces of zones are")
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

/// The sentences of some warnings, for tests of the rooms that give them.
#[cfg(test)]
pub(crate) fn said(warnings: &[Warning]) -> Vec<String> {
    warnings.iter().map(|warning| sentence(warning, System::Us)).collect()
}
