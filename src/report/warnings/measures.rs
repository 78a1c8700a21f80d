//! Distances, rates and places, as the sentences of warnings have them.

use super::lists::{SHOWN, and, listed};
use crate::units::{Area, Length, Mass, Quantity, Rate, System, count};
use crate::warning::{Elsewhere, OutsideSample, SampleReach, SamplesAtOnePlace};

/// A rate as setbacks are judged by.
pub fn on_keep_out(rate: Rate, system: System) -> String {
    match system {
        System::Us => format!("{:.0} lb/ac", rate.as_pounds_per_acre()),
        System::Metric => format!("{:.0} kg/ha", rate.si() * 10_000.0),
    }
}

/// The mass on a keep-out, where it is more than nothing as printed.
pub fn in_all(mass: Mass, system: System) -> String {
    let shown = mass.show(system, 2);
    if shown == Mass::ZERO.show(system, 2) { String::new() } else { format!(", {shown} in all") }
}

/// A setback up to the next whole foot or half meter, so that it does keep clean.
pub fn setback(distance: Length, system: System) -> String {
    let (step, decimals) = match system {
        System::Us => (Length::feet(1.0), 0),
        System::Metric => (Length::metres(0.5), 1),
    };
    // A billionth of a step is rounding, and no reason for another.
    (step * (distance / step - 1e-9).ceil()).show(system, decimals)
}

/// Where a layer is that is not at the field, and what to do.
pub fn found(elsewhere: Elsewhere, system: System) -> String {
    match elsewhere {
        Elsewhere::Swapped => {
            "its longitudes and latitudes look swapped: the other way round it is at the field"
                .into()
        }
        Elsewhere::Away(None) => "the file holds no features".into(),
        Elsewhere::Away(Some(away)) => {
            let away = match system {
                System::Us if away < Length::miles(1.0) => format!("{:.0} ft", away.as_feet()),
                System::Us => format!("{:.1} miles", away.as_miles()),
                System::Metric if away < Length::metres(1000.0) => away.show(system, 0),
                System::Metric => format!("{:.1} km", away.as_metres() / 1000.0),
            };
            format!("the nearest of it is {away} from the field's middle; check the file")
        }
    }
}

/// How much of a layer lies somewhere.
pub fn lying(points: usize, length: Length, area: Area, system: System) -> String {
    let points = (points > 0).then(|| count(points, "point", "points"));
    let length = (length > Length::ZERO).then(|| length.show(system, 0));
    let area = (area > Area::ZERO).then(|| area.show(system, 2));
    [points, length, area].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The first holes by area, latitude and longitude.
pub fn holes_told(holes: &[(Area, [f64; 2])], system: System) -> String {
    let told = holes.iter().take(SHOWN).map(|(area, [longitude, latitude])| {
        format!("{} at {latitude:.5}, {longitude:.5}", area.show(system, 2))
    });
    let told = told.collect::<Vec<_>>().join("; ");
    match holes.len().saturating_sub(SHOWN) {
        0 => told,
        more => format!("{told} and {more} more"),
    }
}

/// A percentage without decimals, but never 0 of something.
pub fn whole(percent: f64) -> String {
    if percent < 1.0 { format!("{percent:.1}") } else { format!("{percent:.0}") }
}

pub fn outside(samples: &[OutsideSample]) -> String {
    listed(samples.iter().map(|OutsideSample { place, distance }| {
        format!("{place}, {}", distance.in_feet_and_metres())
    }))
}

pub fn far(reach: &SampleReach) -> String {
    let whose = if reach.is_set { "as the job says" } else { "about one sample spacing" };
    format!("{} ({whose})", reach.distance.in_feet_and_metres())
}

pub fn twins(twins: &SamplesAtOnePlace) -> String {
    let values: Vec<String> = twins.samples.iter().map(|(_, cec)| cec.to_string()).collect();
    format!(
        "{} (CEC {}, used: {:.2})",
        and(twins.samples.iter().map(|(place, _)| place.as_str())),
        and(values.iter().map(String::as_str)),
        twins.mean
    )
}

/// A rate of product, with the pure gypsum that the job says.
pub fn rate_told(rate: Rate, pure: Option<Rate>, system: System) -> String {
    let rate = rate.show(system, 2);
    match pure {
        Some(pure) => format!("{rate} as spread ({} of pure gypsum)", pure.show(system, 2)),
        None => rate,
    }
}
