//! Several depths of one point: the top one, or the one that is asked for.

use super::ReadError;
use super::columns::{self, Spellings, WantedColumn};
use super::error::quoted;
use super::number::parse;
use super::table::{Row, Table};
use crate::warning::Warning;

const DEPTH: WantedColumn = WantedColumn {
    what: "depth",
    key: "depth",
    spellings: Spellings::Tiers(&[&[
        "depth",
        "depthin",
        "depthinches",
        "depthcm",
        "depthid",
        "depthrange",
        "sampledepth",
        "sampledepthin",
        "samplingdepth",
        "soildepth",
        "depthname",
    ]]),
};

const TOP: WantedColumn = WantedColumn {
    what: "top of depth",
    key: "depth",
    spellings: Spellings::Tiers(&[&[
        "bdepth",
        "begdepth",
        "begindepth",
        "beginningdepth",
        "startdepth",
        "startingdepth",
        "topdepth",
        "depthtop",
        "upperdepth",
        "depthupper",
        "depthfrom",
        "fromdepth",
        "depthstart",
        "depthbegin",
        "mindepth",
    ]]),
};

const BOTTOM: WantedColumn = WantedColumn {
    what: "bottom of depth",
    key: "depth",
    spellings: Spellings::Tiers(&[&[
        "edepth",
        "enddepth",
        "endingdepth",
        "bottomdepth",
        "depthbottom",
        "lowerdepth",
        "depthlower",
        "depthto",
        "todepth",
        "depthend",
        "maxdepth",
    ]]),
};

/// From where to where a sample was taken, in the table's own unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Depth {
    top: f64,
    bottom: f64,
}

impl Depth {
    /// Reads `0-6`, `0 to 6 in`, or one number, which is taken from the surface down.
    fn read(text: &str) -> Option<Self> {
        let plain = |c: char| c.is_ascii_digit() || c == '.';
        let numbers: Vec<f64> =
            text.split(|c| !plain(c)).filter_map(|part| parse(part, false)).collect();
        match numbers.as_slice() {
            [bottom] if *bottom > 0.0 => Some(Depth { top: 0.0, bottom: *bottom }),
            [top, bottom] if top < bottom => Some(Depth { top: *top, bottom: *bottom }),
            _ => None,
        }
    }

    fn shown(self) -> String {
        format!("{}-{}", self.top, self.bottom)
    }
}

/// Keeps the rows of one depth. Without a setting that is the one at the surface; where all rows
/// begin there, or no depth can be read, all are kept.
///
/// # Errors
/// When the depth that the setting asks for is not there.
pub(super) fn keep_one(
    table: &mut Table,
    asked: Option<&str>,
    warnings: &mut Vec<Warning>,
) -> Result<(), ReadError> {
    let texts = texts(table)?;
    no_dates(table, &texts)?;
    let depths: Vec<Option<Depth>> = texts.iter().map(|text| Depth::read(text)).collect();
    let mut shown: Vec<String> = Vec::new();
    for (text, depth) in texts.iter().zip(&depths) {
        let text = depth.map_or_else(|| text.clone(), Depth::shown);
        if !text.is_empty() && !shown.contains(&text) {
            shown.push(text);
        }
    }
    let keep: Vec<bool> = if let Some(asked) = asked.map(str::trim) {
        let wanted = Depth::read(asked);
        let same = |text: &str, depth: &Option<Depth>| {
            (wanted.is_some() && *depth == wanted) || text.eq_ignore_ascii_case(asked)
        };
        texts.iter().zip(&depths).map(|(text, depth)| same(text, depth)).collect()
    } else {
        let tops = depths.iter().flatten().map(|depth| depth.top);
        let top = tops.fold(f64::INFINITY, f64::min);
        depths.iter().map(|depth| depth.is_none_or(|depth| depth.top <= top)).collect()
    };
    if !keep.contains(&true) {
        return Err(ReadError::Unexpected {
            place: table.name.clone(),
            found: format!("no sample of depth \"{}\"", asked.unwrap_or_default()),
            expected: if shown.is_empty() {
                "a depth column, such as \"Depth\"; remove the setting".to_owned()
            } else {
                format!("one of {} (depth = \"…\")", quoted(&shown))
            },
        });
    }
    let left_out = keep.iter().filter(|keep| !**keep).count();
    if left_out == 0 {
        return Ok(());
    }
    let of = |kept: bool| -> Vec<String> {
        let mut found: Vec<Depth> =
            depths.iter().zip(&keep).filter(|(_, k)| **k == kept).filter_map(|(d, _)| *d).collect();
        found.sort_by(|a, b| a.top.total_cmp(&b.top).then(a.bottom.total_cmp(&b.bottom)));
        found.dedup();
        found.into_iter().map(Depth::shown).collect()
    };
    warnings.push(Warning::DepthTaken {
        file: table.name.clone(),
        taken: of(true),
        others: of(false),
        rows: left_out,
    });
    table.keep(&keep);
    Ok(())
}

/// Refuses what a spreadsheet made of a depth such as 6-12: the twelfth of June.
fn no_dates(table: &Table, texts: &[String]) -> Result<(), ReadError> {
    let is_date = |text: &String| {
        let parts: Vec<usize> = text.split('-').map(str::len).collect();
        parts == [4, 2, 2] && text.bytes().all(|b| b.is_ascii_digit() || b == b'-')
    };
    match table.rows.iter().zip(texts).find(|(_, text)| is_date(text)) {
        None => Ok(()),
        Some((row, text)) => Err(ReadError::Unexpected {
            place: row.place.clone(),
            found: format!("the date {text} for a depth"),
            expected: "one such as 6-12; type it as text, or remove the column".to_owned(),
        }),
    }
}

/// What each row says about its depth; empty where it says nothing.
fn texts(table: &Table) -> Result<Vec<String>, ReadError> {
    let all = |text: &dyn Fn(&Row) -> String| table.rows.iter().map(text).collect();
    let ends = (columns::find(table, &TOP, None)?, columns::find(table, &BOTTOM, None)?);
    if let (Some(top), Some(bottom)) = ends {
        return Ok(all(&|row| match (row.cell(top), row.cell(bottom)) {
            ("", "") => String::new(),
            (top, bottom) => format!("{top}-{bottom}"),
        }));
    }
    let column = columns::find(table, &DEPTH, None)?.or(ends.0);
    Ok(all(&|row| column.map_or_else(String::new, |column| row.cell(column).to_owned())))
}
