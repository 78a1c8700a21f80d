//! Which headers speak of the soil's CEC, and of nothing made from it.
//!
//! A header is taken by its words: one of [`CORES`], units, and words that change nothing of what
//! is measured. Any other word, such as a cation's or "rating", makes it another column: a wrong
//! column is worse than none.

/// What is left of a CEC header once its harmless words are gone.
const CORES: &[&str] = &[
    "cec",
    "tec",
    "cationexchangecapacity",
    "cationexchangecapacitycec",
    "ceccationexchangecapacity",
    "cationexchangecap",
    "cationexchcapacity",
    "cationexchcap",
    "catexchangecapacity",
    "catexchcapacity",
    "catexchcap",
    "catexcap",
    "exchangecapacity",
];

/// Words that do not change what is measured: how it was found, and the pH that it was found at.
const HARMLESS: &[&str] = &[
    "est",
    "estimated",
    "calc",
    "calcd",
    "calculated",
    "meas",
    "measured",
    "sum",
    "summation",
    "of",
    "by",
    "cations",
    "total",
    "soil",
    "value",
    "result",
    "results",
    "ph",
    "nh4oac",
    "ammonium",
    "acetate",
    "in",
    "inch",
    "inches",
    "cm",
];

/// Words of units of charge in a mass of soil.
const CHARGE: &[&str] = &[
    "meq",
    "me",
    "milliequivalents",
    "meq100g",
    "meq100",
    "me100g",
    "per",
    "100g",
    "g",
    "cmol",
    "cmolc",
    "cmolkg",
    "cmolckg",
    "mmol",
    "mmolc",
    "mmolkg",
    "mmolckg",
    "c",
    "kg",
    "molc",
    "mol",
    "eq",
];

/// Words of units that no CEC is in. A column with one is still meant, and refused by name.
const OTHER_UNITS: &[&str] = &["ppm", "mg", "ug", "lb", "lbs", "ac", "acre"];

/// Whether a header is that of a CEC column, whatever its unit.
pub(super) fn is_cec(header: &str) -> bool {
    // Every way to write it has a c and an e; most cells have not.
    let has = |letter: [char; 2]| header.contains(letter);
    if header.contains('%') || !has(['c', 'C']) || !has(['e', 'E']) {
        return false;
    }
    let known = |word: &String| {
        let word = word.as_str();
        HARMLESS.contains(&word) || is_unit(word) || word.bytes().all(|b| b.is_ascii_digit())
    };
    let left: String =
        words(header).into_iter().map(|(_, word)| word).filter(|w| !known(w)).collect();
    CORES.contains(&left.as_str())
}

/// The unit that a CEC header ends with, if any: `meq/100g` of `CEC (Sum) meq/100g`.
pub(super) fn unit(header: &str) -> Option<&str> {
    let (at, _) = words(header).into_iter().find(|(_, word)| is_unit(word))?;
    let unit = header.get(at..)?.trim();
    // A bracket that opens before the unit closes behind it.
    let unbalanced = |open, close| unit.matches(open).count() < unit.matches(close).count();
    let closed = unbalanced('(', ')') || unbalanced('[', ']');
    Some(if closed { unit.trim_end_matches([')', ']']) } else { unit })
}

fn is_unit(word: &str) -> bool {
    CHARGE.contains(&word) || OTHER_UNITS.contains(&word)
}

/// A header's words in lower case and where each begins: letters and digits, with single letters
/// between full stops as one (`C.E.C.`), and a unit that is written onto `cec` as its own.
fn words(header: &str) -> Vec<(usize, String)> {
    let mut words: Vec<(usize, String)> = Vec::new();
    let mut end = None;
    for (at, part) in parts(header) {
        let lower = part.to_lowercase();
        let initials = end.is_some_and(|end| header.get(end..at) == Some("."))
            && part.chars().count() == 1
            && words.last().is_some_and(|(_, word)| word.chars().count() < 4);
        end = Some(at + part.len());
        let glued = lower.strip_prefix("cec").filter(|rest| is_unit(rest));
        match (words.last_mut(), glued) {
            (Some((_, word)), _) if initials => word.push_str(&lower),
            (_, Some(unit)) => {
                words.push((at, "cec".to_owned()));
                words.push((at + 3, unit.to_owned()));
            }
            _ => words.push((at, lower)),
        }
    }
    words
}

/// The runs of letters and digits, and where each begins.
fn parts(header: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    header.split(|c: char| !c.is_alphanumeric()).filter_map(move |part| {
        let rest = header.get(at..)?;
        let start = at + rest.find(part)?;
        at = start + part.len();
        (!part.is_empty()).then_some((start, part))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_headers() {
        let said = |header: &str| words(header).into_iter().map(|(_, w)| w).collect::<Vec<_>>();
        assert_eq!(said("C.E.C. (meq/100g)"), ["cec", "meq", "100g"]);
        assert_eq!(said("Total Exchange Capacity (M.E.)"), ["total", "exchange", "capacity", "me"]);
        assert_eq!(said("CECmeq"), ["cec", "meq"]);
    }

    #[test]
    fn units_of_headers() {
        for (header, expected) in [
            ("CEC", None),
            ("CEC (NH4OAc)", None),
            ("CEC (meq/100g)", Some("meq/100g")),
            ("CEC (Sum) meq/100 g", Some("meq/100 g")),
            ("CEC [cmol(+)/kg]", Some("cmol(+)/kg")),
            ("CEC cmol(+)/kg", Some("cmol(+)/kg")),
            ("CEC mg/kg", Some("mg/kg")),
            ("CEC (Sum) ppm", Some("ppm")),
            ("CECmeq", Some("meq")),
        ] {
            assert_eq!(unit(header), expected, "{header}");
        }
    }
}
