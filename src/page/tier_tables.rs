//! The tiers of a job, changed where they stand.

use serde::Deserialize;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike, Value};

use super::toml_text::set;
use crate::soil::TierSetting;

/// A tier as the page sets it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TierEdit {
    /// Which of the tiers before it was, from 0; none for a new one.
    pub of: Option<usize>,
    /// The CEC that it ends at, meq/100 g; none for the highest.
    pub end: Option<f64>,
    /// Its rate, such as `1.25 ton/ac`; as it was when absent.
    pub rate: Option<String>,
}

/// Writes tiers in place of those that a job has, itself or from its farm or by custom (`before`). A
/// tier keeps its comments and label; which of two neighbors has the break's own CEC stays as it was.
/// None where the job's own list is something else than tables.
pub(super) fn write(
    document: &mut DocumentMut,
    before: &[TierSetting],
    tiers: &[TierEdit],
) -> Option<()> {
    let old = tables(document, before)?;
    let mut new: Vec<Table> = Vec::new();
    for tier in tiers {
        let mut table = tier.of.and_then(|of| old.get(of)).cloned().unwrap_or_default();
        if tier.of.is_none() {
            table.decor_mut().set_prefix("\n");
        }
        if let Some(rate) = &tier.rate {
            set(&mut table, "rate", Some(rate.as_str().into()));
        }
        new.push(table);
    }
    let last = new.len().saturating_sub(1);
    let ends: Vec<Option<f64>> = tiers.iter().map(|tier| tier.end).collect();
    // Whether the lower of two neighbors has the break itself.
    let in_lower: Vec<bool> = new.iter().map(|table| table.contains_key("to")).collect();
    for (number, table) in new.iter_mut().enumerate() {
        let below = number
            .checked_sub(1)
            .and_then(|below| Some((*ends.get(below)?, *in_lower.get(below)?)));
        let (from, over) = match below {
            Some((Some(end), true)) => (None, Some(end)),
            Some((end, _)) => (end, None),
            None => (None, None),
        };
        let end = ends.get(number).copied().flatten().filter(|_| number != last);
        let (to, under) =
            if in_lower.get(number) == Some(&true) { (end, None) } else { (None, end) };
        let mut is_new = false;
        for (key, bound) in [("from", from), ("over", over), ("to", to), ("under", under)] {
            is_new |= bounded(table, key, bound);
        }
        // The rate after a bound that is new, as people write it.
        if let Some((key, rate)) = is_new.then(|| table.remove_entry("rate")).flatten() {
            table.insert_formatted(&key, rate);
        }
    }
    let all = Item::ArrayOfTables(new.into_iter().collect::<ArrayOfTables>());
    match document.get_mut("tier") {
        Some(item) => *item = all,
        None => _ = document.insert("tier", all),
    }
    Some(())
}

/// Sets a bound, or takes it out; says whether there was none of that key before.
fn bounded(table: &mut Table, key: &str, bound: Option<f64>) -> bool {
    let is_new = bound.is_some() && !table.contains_key(key);
    let same =
        |item: &Item| item.as_float().or(item.as_integer().map(|whole| whole as f64)) == bound;
    if bound.is_none() || !table.get(key).is_some_and(same) {
        set(table, key, bound.map(number));
    }
    is_new
}

/// A number as people write it: whole where it is.
pub(super) fn number(value: f64) -> Value {
    #[expect(clippy::cast_possible_truncation, reason = "whole and small")]
    if value.fract() == 0.0 && value.abs() < 1e9 { Value::from(value as i64) } else { value.into() }
}

/// The tables that stand for the tiers now, in the order of the list.
fn tables(document: &DocumentMut, before: &[TierSetting]) -> Option<Vec<Table>> {
    match document.get("tier") {
        None => Some(before.iter().map(written).collect()),
        Some(Item::ArrayOfTables(list)) => Some(list.iter().cloned().collect()),
        Some(Item::Value(Value::Array(list))) => {
            let table =
                |value: &Value| value.as_inline_table().map(|table| table.clone().into_table());
            list.iter().map(table).collect()
        }
        Some(_) => None,
    }
}

/// A tier that stands nowhere in the job yet.
fn written(setting: &TierSetting) -> Table {
    let TierSetting { label, from, over, to, under, rate } = setting;
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    let put = &mut table as &mut dyn TableLike;
    set(put, "label", label.as_deref().map(Value::from));
    for (key, bound) in [("from", from), ("over", over), ("to", to), ("under", under)] {
        set(put, key, bound.map(number));
    }
    set(put, "rate", Some(rate.to_string().into()));
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::toml_text::TomlText;
    use crate::soil::Tiers;

    fn tier(of: usize, end: Option<f64>) -> TierEdit {
        TierEdit { of: Some(of), end, rate: None }
    }

    fn after(text: &str, tiers: &[TierEdit]) -> String {
        let mut read = TomlText::read(text).unwrap();
        write(&mut read.document, &Tiers::common_practice_written(), tiers).unwrap();
        read.text()
    }

    const JOB: &str = "# Two rates.\na = 1\n\n# The light ground.\n[[tier]]\nunder = 10 # weak\nrate = \"0.5 ton/ac\"\n\n# The rest.\n[[tier]]\nlabel = \"rest\"\nfrom = 10\nrate = \"1 ton/ac\" # as ever\n\n[order]\nloss = \"2 %\"\n";

    #[test]
    fn a_break_moves_and_all_else_stays() {
        let moved = after(JOB, &[tier(0, Some(11.5)), tier(1, None)]);
        assert_eq!(moved, JOB.replace("= 10", "= 11.5"));
        assert_eq!(after(&moved, &[tier(0, Some(10.0)), tier(1, None)]), JOB);
    }

    #[test]
    fn tiers_come_and_go() {
        let new = TierEdit { of: None, end: Some(14.0), rate: Some("0.75 ton/ac".to_owned()) };
        let more = after(JOB, &[tier(0, Some(10.0)), new, tier(1, None)]);
        let expected = JOB.replace(
            "# The rest.\n[[tier]]\nlabel = \"rest\"\nfrom = 10",
            "[[tier]]\nfrom = 10\nunder = 14\nrate = \"0.75 ton/ac\"\n\n# The rest.\n[[tier]]\nlabel = \"rest\"\nfrom = 14",
        );
        assert_eq!(more, expected);
        assert_eq!(after(&more, &[tier(0, Some(10.0)), tier(2, None)]), JOB);
    }

    /// The usual tiers are written out when one of them changes, and say the same.
    #[test]
    fn the_usual_tiers_are_written_out() {
        let text = after("a = 1\n", &[tier(0, Some(10.0)), tier(1, Some(15.0)), tier(2, None)]);
        let expected = "a = 1\n\n[[tier]]\nunder = 10\nrate = \"0.5 ton/ac\"\n\n[[tier]]\nfrom = 10\nto = 15\nrate = \"1 ton/ac\"\n\n[[tier]]\nover = 15\nrate = \"2 ton/ac\"\n";
        assert_eq!(text, expected);
    }

    /// Where the middle one goes, the neighbors meet again, the value in one of them.
    #[test]
    fn neighbors_meet_again() {
        let text = after("", &[tier(0, Some(12.0)), tier(2, None)]);
        assert!(
            text.contains("under = 12") && text.contains("from = 12") && !text.contains("over")
        );
    }
}
