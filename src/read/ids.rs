//! Sample names as people type them: `001` for `1`, `HL-1` for `hl001`.
//!
//! Two lists of names are matched as they are or, where that does not do, by one rule for all of
//! them. A rule counts only when it leaves the names of each list different from each other and
//! finds nearly all of the shorter list in the other one.

use std::collections::BTreeMap;

/// The part of the shorter list that a rule must find, in percent.
const NEARLY_ALL: usize = 90;

/// How names are made alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum IdRule {
    /// Without blanks around them and without letter case.
    Exact,
    /// Letters and digits alone count.
    Punctuation,
    /// Numbers within names count by their value.
    Zeros,
    /// What all names of a list begin with does not count.
    Prefix,
}

impl IdRule {
    const LENIENT: [IdRule; 3] = [IdRule::Punctuation, IdRule::Zeros, IdRule::Prefix];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            IdRule::Exact => "as they are",
            IdRule::Punctuation => "without their blanks and punctuation",
            IdRule::Zeros => "without blanks, punctuation and the zeros before their numbers",
            IdRule::Prefix => {
                "by their numbers alone, without what all names of a file begin with and without zeros before"
            }
        }
    }

    /// The names made alike; `prefix` characters of each do not count.
    fn keys(self, names: &[&str], prefix: usize) -> Vec<String> {
        let rest = |name: &str| name.trim().chars().skip(prefix).collect::<String>();
        let key = |name: &&str| match self {
            IdRule::Exact => name.trim().to_lowercase(),
            IdRule::Punctuation => letters(name),
            IdRule::Zeros | IdRule::Prefix => without_zeros(&plain_number(&rest(name))),
        };
        names.iter().map(key).collect()
    }
}

/// Which of the second list's names each of the first one's is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct IdMatch {
    pub rule: IdRule,
    /// The index in the second list, for each name of the first one.
    pub found: Vec<Option<usize>>,
}

impl IdMatch {
    pub fn count(&self) -> usize {
        self.found.iter().flatten().count()
    }
}

/// Matches two lists of names, empty ones left out. `None` where a name stands twice in a list, so
/// that no rule tells them apart, or nothing matches.
pub(super) fn matched(first: &[&str], second: &[&str]) -> Option<IdMatch> {
    let shorter = filled(first).min(filled(second));
    let is_nearly_all = |count: usize| count * 100 >= shorter * NEARLY_ALL;
    let exact = by(IdRule::Exact, first, second);
    if let Some(exact) = &exact
        && is_nearly_all(exact.count())
    {
        return Some(exact.clone());
    }
    let keeps_exact = |lenient: &IdMatch| {
        let exact = exact.iter().flat_map(|exact| &exact.found);
        exact.zip(&lenient.found).all(|(exact, found)| exact.is_none() || exact == found)
    };
    let lenient = IdRule::LENIENT.into_iter().filter_map(|rule| by(rule, first, second));
    let mut lenient = lenient.filter(|found| found.count() > 0 && is_nearly_all(found.count()));
    lenient.find(keeps_exact).or(exact.clone().filter(|exact| exact.count() > 0))
}

fn filled(names: &[&str]) -> usize {
    names.iter().filter(|name| !name.trim().is_empty()).count()
}

/// The match by one rule; `None` where it makes two names of a list the same, or nothing of one.
fn by(rule: IdRule, first: &[&str], second: &[&str]) -> Option<IdMatch> {
    let (prefixes, lengths) = match rule {
        IdRule::Prefix => {
            let prefixes = [first, second].map(common_prefix);
            let lengths = prefixes.each_ref().map(|prefix| prefix.chars().count());
            (prefixes.map(|prefix| letters(&prefix)), lengths)
        }
        _ => Default::default(),
    };
    // "HL-1" may be "1", but never "PQ-1".
    let [one, other] = &prefixes;
    if !(one.ends_with(other.as_str()) || other.ends_with(one.as_str())) {
        return None;
    }
    let index = |names: &[&str], prefix| -> Option<(Vec<String>, BTreeMap<String, usize>)> {
        let keys = rule.keys(names, prefix);
        let mut index = BTreeMap::new();
        for (at, (key, name)) in keys.iter().zip(names).enumerate() {
            let empty = name.trim().is_empty();
            if !empty && (key.is_empty() || index.insert(key.clone(), at).is_some()) {
                return None;
            }
        }
        Some((keys, index))
    };
    let ((keys, own), (_, index)) = (index(first, lengths[0])?, index(second, lengths[1])?);
    let found = |key: &String| own.contains_key(key).then(|| index.get(key).copied()).flatten();
    Some(IdMatch { rule, found: keys.iter().map(found).collect() })
}

fn letters(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// A whole number that a spreadsheet gave decimals, without them.
fn plain_number(name: &str) -> String {
    let name = name.trim();
    let whole = name.split_once('.').filter(|(whole, decimals)| {
        !whole.is_empty()
            && whole.bytes().all(|b| b.is_ascii_digit())
            && !decimals.is_empty()
            && decimals.bytes().all(|b| b == b'0')
    });
    whole.map_or(name, |(whole, _)| whole).to_owned()
}

/// Letters and digits, each run of digits without the zeros before it. Runs that punctuation parts
/// stay apart: `1-11` and `11-1` are two names.
fn without_zeros(name: &str) -> String {
    let mut key = String::new();
    let (mut digits, mut in_number) = (String::new(), false);
    let flush = |digits: &mut String, key: &mut String| {
        if !digits.is_empty() {
            let value = digits.trim_start_matches('0');
            key.push_str(if value.is_empty() { "0" } else { value });
            digits.clear();
        }
    };
    for c in name.chars() {
        if c.is_ascii_digit() {
            if digits.is_empty() && in_number {
                key.push('-');
            }
            digits.push(c);
            in_number = true;
            continue;
        }
        flush(&mut digits, &mut key);
        if c.is_alphanumeric() {
            key.extend(c.to_lowercase());
            in_number = false;
        }
    }
    flush(&mut digits, &mut key);
    key
}

/// What all names begin with, letter case aside, up to where a number begins.
fn common_prefix(names: &[&str]) -> String {
    let lower = |name: &str| name.trim().to_lowercase().chars().collect::<Vec<char>>();
    let mut names = names.iter().filter(|name| !name.trim().is_empty()).map(|name| lower(name));
    let Some(mut prefix) = names.next() else { return String::new() };
    for name in names {
        let same = prefix.iter().zip(&name).take_while(|(a, b)| a == b).count();
        prefix.truncate(same);
    }
    // Not into a number: "11" and "12" have no prefix, "F2-11" and "F2-12" have "F2-".
    while prefix.last().is_some_and(char::is_ascii_digit) {
        prefix.pop();
    }
    prefix.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(first: &[&str], second: &[&str]) -> Option<(IdRule, Vec<Option<usize>>)> {
        matched(first, second).map(|found| (found.rule, found.found))
    }

    #[test]
    fn the_mildest_rule_that_does() {
        let all = vec![Some(0), Some(1), Some(2)];
        for (second, rule) in [
            (["hl-1", " HL-2", "HL-3 "], IdRule::Exact),
            (["HL 1", "hl_2", "HL3"], IdRule::Punctuation),
            (["HL001", "HL002", "HL-003"], IdRule::Zeros),
            (["1", "2.0", "003"], IdRule::Prefix),
        ] {
            assert_eq!(
                said(&["HL-1", "HL-2", "HL-3"], &second),
                Some((rule, all.clone())),
                "{second:?}"
            );
        }
        let long = ["F12-01", "F12-02", "F12-03"];
        assert_eq!(said(&["1", "2", "3"], &long), Some((IdRule::Prefix, all.clone())));
        assert_eq!(said(&["1", "2", "3"], &["001", "2", "3.0"]), Some((IdRule::Zeros, all)));
    }

    #[test]
    fn never_two_to_one() {
        assert_eq!(said(&["1", "2"], &["HL-1", "HL-2", "PQ-1", "PQ-2"]), None);
        // Without the dash both would be 111.
        let apart = Some((IdRule::Zeros, vec![Some(0), Some(1)]));
        assert_eq!(said(&["1-11", "11-1"], &["1_11", "11_1"]), apart);
        assert_eq!(said(&["1", "01"], &["001", "002"]), None);
        // "10" is in both as it is, "1" only by the rule, which then holds for all.
        assert_eq!(
            said(&["1", "2", "10"], &["01", "02", "10"]),
            Some((IdRule::Zeros, vec![Some(0), Some(1), Some(2)]))
        );
        assert_eq!(said(&["A", "B"], &["C", "D"]), None);
        assert_eq!(said(&["HL-1", "HL-2"], &["PQ-1", "PQ-2"]), None);
    }
}
