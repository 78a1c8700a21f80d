//! What is wrong with a TOML file: on which lines, and for which known key an unknown one may stand.

use std::collections::BTreeSet;
use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer, Error};

use crate::faults::nearest;

/// A fault of a TOML text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TomlFault {
    /// The line, from 1.
    pub line: usize,
    /// What was found and expected there.
    pub reason: String,
}

/// What a text with faults comes to.
#[derive(Debug)]
pub struct Faulty<T> {
    /// All of them, by line.
    pub faults: Vec<TomlFault>,
    /// The value without what is at fault, if that makes one.
    pub rest: Option<T>,
    /// The keys that something is wrong with, each with its tables before it: `zones.heading`.
    pub in_keys: BTreeSet<String>,
}

/// What may stand where a key is missing, so that the rest can be read too: a text, a path, or a
/// quantity.
const STAND_INS: [&str; 3] = ["", "1 ft", "1 ton/ac"];
/// Where a stand-in is in the text: nowhere.
const NOWHERE: Range<usize> = usize::MAX..usize::MAX;
/// The most faults that are looked for.
const MOST: usize = 200;

/// Reads a text.
///
/// # Errors
/// When it is no TOML, a key is unknown or missing, or a value is not what its key takes.
pub fn read<'de, T: Deserialize<'de>>(text: &'de str) -> Result<T, Faulty<T>> {
    read_table(text, document(text)?)
}

/// The document of a text, which is bare TOML.
///
/// # Errors
/// When it is none.
pub fn document<T>(text: &str) -> Result<Spanned<DeTable<'_>>, Faulty<T>> {
    let (document, errors) = DeTable::parse_recoverable(text);
    let mut faults: Vec<TomlFault> = errors.iter().map(|error| told(text, error)).collect();
    if faults.is_empty() {
        return Ok(document);
    }
    // What follows on a line is mostly what the first fault there led to.
    faults.sort_by_key(|fault| fault.line);
    faults.dedup_by_key(|fault| fault.line);
    Err(Faulty { faults, rest: None, in_keys: BTreeSet::new() })
}

/// Reads a text's document.
///
/// A reader stops at the first fault. So what is at fault is taken out, a missing key stood in for,
/// and the rest read again, until it is sound.
///
/// # Errors
/// When a key is unknown or missing, or a value is not what its key takes.
pub fn read_table<'de, T: Deserialize<'de>>(
    text: &str,
    mut document: Spanned<DeTable<'de>>,
) -> Result<T, Faulty<T>> {
    let (mut faults, mut in_keys) = (Vec::new(), BTreeSet::new());
    let mut missing: Option<(Range<usize>, String, usize)> = None;
    // Keys that are missing for what was taken out: told already.
    let mut known: BTreeSet<(usize, String)> = BTreeSet::new();
    while faults.len() < MOST {
        let error = match T::deserialize(Deserializer::from(document.clone())) {
            Ok(value) if faults.is_empty() => return Ok(value),
            Ok(rest) => return Err(faulty(faults, Some(rest), in_keys)),
            Err(error) => error,
        };
        let span = error.span().unwrap_or_else(|| document.span());
        if span == NOWHERE {
            let next = missing.take().and_then(|(table, key, tried)| {
                let stands = stand_in(&mut document, &table, &key, tried + 1);
                stands.then_some((table, key, tried + 1))
            });
            if next.is_none() {
                break;
            }
            missing = next;
            continue;
        }
        let path = at(document.get_ref(), &span).unwrap_or_default();
        if let Some(key) = missing_key(error.message()) {
            if !known.contains(&(span.start, key.to_owned())) {
                faults.push(told(text, &error));
            }
            in_keys.insert(dotted(&path, Some(key)));
            if !stand_in(&mut document, &span, key, 0) {
                break;
            }
            missing = Some((span, key.to_owned(), 0));
            continue;
        }
        faults.push(told(text, &error));
        let all = document.span();
        let Some((table, key)) = remove(document.get_mut(), all, &path) else { break };
        let (_, tables) =
            path.split_last().map_or((None, [].as_slice()), |(last, tables)| (Some(last), tables));
        let meant = unknown_key(error.message().trim()).and_then(|(key, all)| nearest(key, &all));
        for key in std::iter::once(key.as_str()).chain(meant) {
            known.insert((table.start, key.to_owned()));
            in_keys.insert(dotted(tables, Some(key)));
        }
    }
    Err(faulty(faults, None, in_keys))
}

fn faulty<T>(mut faults: Vec<TomlFault>, rest: Option<T>, in_keys: BTreeSet<String>) -> Faulty<T> {
    faults.sort_by_key(|fault| fault.line);
    Faulty { faults, rest, in_keys }
}

/// A key with the tables that it is in.
fn dotted(tables: &[Step], key: Option<&str>) -> String {
    let tables = tables.iter().map(|step| step.key.as_str());
    tables.chain(key).collect::<Vec<_>>().join(".")
}

/// A key of a table, and the item of the array that it holds where it goes on there.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    key: String,
    item: Option<usize>,
}

/// The way to the smallest value, or key, that a span lies in.
fn at(table: &DeTable<'_>, span: &Range<usize>) -> Option<Vec<Step>> {
    let holds = |outer: &Range<usize>| outer.start <= span.start && span.end <= outer.end;
    let mut best: Option<(usize, Vec<Step>)> = None;
    let mut found = |outer: Range<usize>, path: &dyn Fn() -> Vec<Step>| {
        if holds(&outer) && best.as_ref().is_none_or(|(length, _)| outer.len() < *length) {
            best = Some((outer.len(), path()));
        }
    };
    walk(table, &mut Vec::new(), &mut found);
    best.map(|(_, path)| path)
}

/// Shows each key and each value's place to `found`.
fn walk(
    table: &DeTable<'_>,
    path: &mut Vec<Step>,
    found: &mut impl FnMut(Range<usize>, &dyn Fn() -> Vec<Step>),
) {
    for (key, value) in table {
        path.push(Step { key: key.get_ref().to_string(), item: None });
        found(key.span(), &|| path.clone());
        found(value.span(), &|| path.clone());
        match value.get_ref() {
            DeValue::Table(inner) => walk(inner, path, found),
            DeValue::Array(items) => {
                for (number, item) in items.iter().enumerate() {
                    if let Some(step) = path.last_mut() {
                        step.item = Some(number);
                    }
                    found(item.span(), &|| path.clone());
                    if let DeValue::Table(inner) = item.get_ref() {
                        walk(inner, path, found);
                    }
                }
            }
            _ => {}
        }
        path.pop();
    }
}

/// Takes out what is at the end of a path, and gives the place of its table and its key.
fn remove(
    table: &mut DeTable<'_>,
    place: Range<usize>,
    path: &[Step],
) -> Option<(Range<usize>, String)> {
    let (step, rest) = path.split_first()?;
    let key = table.keys().find(|key| key.get_ref() == step.key.as_str()).cloned()?;
    if rest.is_empty() {
        table.remove(&key)?;
        return Some((place, step.key.clone()));
    }
    let mut value = table.get_mut(&key)?;
    if let Some(number) = step.item {
        let DeValue::Array(items) = value.get_mut() else { return None };
        value = items.get_mut(number)?;
    }
    let place = value.span();
    let DeValue::Table(inner) = value.get_mut() else { return None };
    remove(inner, place, rest)
}

/// Puts a stand-in for a missing key into the table at a place; whether there was another one.
fn stand_in(
    document: &mut Spanned<DeTable<'_>>,
    place: &Range<usize>,
    key: &str,
    number: usize,
) -> bool {
    let Some(text) = STAND_INS.get(number) else { return false };
    let of_all = document.span() == *place;
    let Some(table) =
        (if of_all { Some(document.get_mut()) } else { inside(document.get_mut(), place) })
    else {
        return false;
    };
    let value = Spanned::new(NOWHERE, DeValue::String((*text).into()));
    table.insert(Spanned::new(NOWHERE, key.to_owned().into()), value);
    true
}

/// The table at a place.
fn inside<'a, 'de>(
    table: &'a mut DeTable<'de>,
    place: &Range<usize>,
) -> Option<&'a mut DeTable<'de>> {
    table.iter_mut().find_map(|(_, value)| table_at(value, place))
}

fn table_at<'a, 'de>(
    value: &'a mut Spanned<DeValue<'de>>,
    place: &Range<usize>,
) -> Option<&'a mut DeTable<'de>> {
    let here = value.span() == *place;
    match value.get_mut() {
        DeValue::Table(table) => {
            if here {
                return Some(table);
            }
            inside(table, place)
        }
        DeValue::Array(items) => items.iter_mut().find_map(|item| table_at(item, place)),
        _ => None,
    }
}

/// The line of a fault, and what was found and expected there.
#[must_use]
pub fn told(text: &str, error: &Error) -> TomlFault {
    let start = error.span().map_or(0, |span| span.start);
    let line = 1 + text.bytes().take(start).filter(|byte| *byte == b'\n').count();
    let message = error.message().trim();
    let plain = || {
        let missing = missing_key(message)
            .map(|key| format!("found no \"{key}\", expected one; add it to this table"));
        missing
            .or_else(|| backslash(message).map(str::to_owned))
            .or_else(|| other_type(message))
            .unwrap_or_else(|| message.replace('\n', "; "))
    };
    let reason = match unknown_key(message) {
        None => plain(),
        Some((key, known)) => format!(
            "found unknown key \"{key}\"{}; known keys here: {}",
            nearest(key, &known)
                .map_or_else(String::new, |known| format!(", did you mean \"{known}\"?")),
            known.join(", ")
        ),
    };
    TomlFault { line, reason }
}

/// The key of serde's message: ``missing field `a` ``.
fn missing_key(message: &str) -> Option<&str> {
    message.trim().strip_prefix("missing field `")?.strip_suffix('`')
}

/// Serde's message of a value of another type, in words: ``invalid type: integer `4`, expected …``.
fn other_type(message: &str) -> Option<String> {
    let message = message.replace('\n', "; ");
    let rest = message.strip_prefix("invalid type: ").or(message.strip_prefix("invalid value: "))?;
    let (found, expected) = rest.split_once(", expected ")?;
    let found = match found {
        "map" => "a table",
        "sequence" => "a list",
        _ => found.trim_start_matches(|letter: char| letter.is_ascii_lowercase() || letter == ' '),
    };
    let found = found.trim_matches('`');
    let expected = match expected {
        "a string" => "text in quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list in [ ]",
        "u16" | "u32" | "u64" | "usize" => "a whole number of 0 or more",
        "f64" => "a number",
        other => other,
    };
    Some(format!("found {found}, expected {expected}"))
}

/// The parser's messages of a `\` that begins nothing: mostly that of a path on Windows.
fn backslash(message: &str) -> Option<&'static str> {
    let escapes = ["missing escaped value", "unicode hexadecimal value"];
    escapes.iter().any(|escape| message.contains(escape)).then_some(
        "found \\ in double quotes, where it begins a control character; in a path write / between folders, or put it in single quotes",
    )
}

/// The key and the known ones of serde's message: ``unknown field `a`, expected one of `b`, `c` ``.
fn unknown_key(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message.strip_prefix("unknown field `")?;
    let (key, rest) = rest.split_once('`')?;
    Some((key, rest.split('`').skip(1).step_by(2).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Everything that is wrong, each on its line, and what is left.
    #[test]
    fn all_faults_of_a_text() {
        #[derive(Debug, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[expect(dead_code, reason = "read alone")]
        struct File {
            name: String,
            size: Option<u32>,
            #[serde(default)]
            part: Vec<Part>,
            inner: Option<Part>,
        }
        #[derive(Debug, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[expect(dead_code, reason = "read alone")]
        struct Part {
            width: crate::units::Written<crate::units::Length>,
            why: String,
        }
        let text = "sise = 4\nsize = \"four\"\n\n[inner]\nwidth = 4\nwhy = \"a\"\nwhat = 1\n\n\
            [[part]]\nwhy = \"b\"\n\n[[part]]\nwidth = \"3 ft\"\n";
        let faulty = read::<File>(text).unwrap_err();
        let lines: Vec<usize> = faulty.faults.iter().map(|fault| fault.line).collect();
        let said: Vec<String> = faulty.faults.iter().map(|f| f.reason.clone()).collect();
        assert_eq!(lines, [1, 1, 2, 5, 7, 9, 12], "{said:#?}");
        let keys: Vec<&str> = faulty.in_keys.iter().map(String::as_str).collect();
        let expected =
            ["inner.what", "inner.width", "name", "part.why", "part.width", "sise", "size"];
        assert_eq!(keys, expected);
        assert!(faulty.rest.is_some_and(|rest| rest.size.is_none() && rest.part.len() == 2));
        let syntax = read::<File>("name = \nsize = 4\npart = [\n").unwrap_err().faults;
        assert!(syntax.first().is_some_and(|fault| fault.line == 1), "{syntax:#?}");
    }

    #[test]
    fn only_what_is_really_near_is_meant() {
        let near = |written| nearest(written, &["file", "distance", "crs", "power", "swath"]);
        assert_eq!(near("pwer"), Some("power"), "one of four letters");
        assert_eq!(near("swtah"), Some("swath"), "two letters changed places");
        assert_eq!(near("distanec"), Some("distance"));
        assert_eq!(near("fle"), Some("file"), "one of three letters");
        assert_eq!(near("fl"), None, "two letters wrong of two");
        assert_eq!(near("dist"), None, "as near to crs as to distance, and to neither");
        assert_eq!(near("bower"), Some("power"));
        assert_eq!(near("tower2"), Some("power"), "two of six letters");
        assert_eq!(near("towel"), None, "two of five letters");
        assert_eq!(nearest("a", &[]), None);
    }
}
