//! Names and other things in a row, as a sentence has them: cut where there are many.

use crate::units::count;

/// How many names are listed before the rest is only counted.
pub const SHOWN: usize = 5;

/// Names in quotes, the first of them.
pub fn quoted(names: &[String]) -> String {
    few(&names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>())
}

/// The first of some names.
pub fn few(names: &[String]) -> String {
    let shown = names.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// How many things of a list are told before the rest is only counted.
pub const TOLD: usize = 8;

/// The first of several things, and how many more there are.
pub fn listed(things: impl Iterator<Item = String>) -> String {
    let things: Vec<String> = things.collect();
    let shown = things.iter().take(TOLD).cloned().collect::<Vec<_>>().join("; ");
    match things.len().saturating_sub(TOLD) {
        0 => shown,
        more => format!("{shown}; and {more} more"),
    }
}

/// Things with commas between them, the last with "and".
pub fn and<'a>(things: impl Iterator<Item = &'a str>) -> String {
    let mut things: Vec<&str> = things.collect();
    let last = things.pop().unwrap_or_default();
    if things.is_empty() { last.to_owned() } else { format!("{} and {last}", things.join(", ")) }
}

pub fn shared(id: &str, places: &[String]) -> String {
    const NAMED: usize = 4;
    let more = places.len().saturating_sub(NAMED);
    let others = (more > 0).then(|| format!("{more} more"));
    let named = places.iter().take(NAMED).map(String::as_str);
    format!("\"{id}\" ({})", and(named.chain(others.as_deref())))
}

/// How many samples, and the names of the first of them.
pub fn named(ids: &[String]) -> String {
    let shown: Vec<&str> =
        ids.iter().map(String::as_str).filter(|id| !id.is_empty()).take(SHOWN).collect();
    let count = count(ids.len(), "sample", "samples");
    match shown.len() {
        0 => count,
        all if all == ids.len() => format!("{count} ({})", shown.join(", ")),
        _ => format!("{count} ({}, …)", shown.join(", ")),
    }
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
    fn long_lists_are_cut() {
        let things = || (1..=10).map(|number: u32| number.to_string());
        assert_eq!(listed(things()), "1; 2; 3; 4; 5; 6; 7; 8; and 2 more");
        assert_eq!(and(["1", "2", "3"].into_iter()), "1, 2 and 3");
        assert_eq!(and(["1"].into_iter()), "1");
        let places: Vec<String> = things().collect();
        assert_eq!(shared("A7", &places), "\"A7\" (1, 2, 3, 4 and 6 more)");
    }

    #[test]
    fn many_ids_are_counted() {
        let ids: Vec<String> = (1..=7).map(|i| i.to_string()).collect();
        assert_eq!(quoted(&ids), "\"1\", \"2\", \"3\", \"4\", \"5\" and 2 more");
    }
}
