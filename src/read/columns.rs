use super::ReadError;
use super::error::quoted;
use super::table::Table;

/// A column that is looked for.
pub(super) struct Wanted {
    /// What it is called in messages.
    pub what: &'static str,
    /// The setting that names it.
    pub key: &'static str,
    /// The usual spellings as [`key`] makes them, in tiers: a later tier counts only when no
    /// column matches an earlier one.
    pub spellings: &'static [&'static [&'static str]],
}

pub(super) const ID: Wanted = Wanted {
    what: "id",
    key: "id",
    spellings: &[
        &["sampleid", "samplename", "samplenumber", "sampleno", "samplenum", "sample"],
        &["id", "pointid", "point", "siteid", "site", "gridid", "grid", "cell"],
        &["name", "label", "labid", "labno", "labnumber"],
    ],
};

pub(super) const CEC: Wanted = Wanted {
    what: "CEC",
    key: "cec",
    spellings: &[&[
        "cec",
        "cecmeq",
        "cecmeq100g",
        "cecmeqper100g",
        "cecme100g",
        "ceccmolkg",
        "ceccmolckg",
        "ceccmolperkg",
        "ceccmolcperkg",
        "soilcec",
        "cationexchangecapacity",
        "cationexchangecapacitymeq100g",
        "cationexchangecapacitymeq",
        "cationexchangecapacitycec",
        "cationexchcapacity",
        "cationexchcap",
        "catexcap",
    ]],
};

pub(super) const LONGITUDE: Wanted = Wanted {
    what: "longitude",
    key: "longitude",
    spellings: &[&[
        "longitude",
        "lon",
        "long",
        "lng",
        "longdd",
        "londd",
        "longitudedd",
        "longitudewgs84",
        "lonwgs84",
        "gpslongitude",
        "gpslon",
        "gpslong",
        "longitudedeg",
        "londeg",
    ]],
};

pub(super) const LATITUDE: Wanted = Wanted {
    what: "latitude",
    key: "latitude",
    spellings: &[&[
        "latitude",
        "lat",
        "latdd",
        "latitudedd",
        "latitudewgs84",
        "latwgs84",
        "gpslatitude",
        "gpslat",
        "latitudedeg",
        "latdeg",
    ]],
};

pub(super) const EASTING: Wanted = Wanted {
    what: "easting",
    key: "easting",
    spellings: &[
        &["easting", "east", "eastingm", "eastingft", "utmeasting", "utme"],
        &["x", "xcoord", "pointx", "xcoordinate", "coordx"],
    ],
};

pub(super) const NORTHING: Wanted = Wanted {
    what: "northing",
    key: "northing",
    spellings: &[
        &["northing", "north", "northingm", "northingft", "utmnorthing", "utmn"],
        &["y", "ycoord", "pointy", "ycoordinate", "coordy"],
    ],
};

/// The column that a setting names or, without one, that has a usual spelling; `None` if there is
/// no such column.
///
/// # Errors
/// When the named column is absent, or several columns match.
pub(super) fn find(
    table: &Table,
    wanted: &Wanted,
    setting: Option<&str>,
) -> Result<Option<usize>, ReadError> {
    if let Some(name) = setting {
        return named(table, wanted.what, wanted.key, name).map(Some);
    }
    for tier in wanted.spellings {
        let matching = matching(table, |header| tier.contains(&key(header).as_str()));
        if let Some(column) = single(table, wanted.what, wanted.key, &matching)? {
            return Ok(Some(column));
        }
    }
    Ok(None)
}

/// The column of that very name or, if there is none, of that name in other letter case.
pub(super) fn named(
    table: &Table,
    what: &'static str,
    key: &'static str,
    name: &str,
) -> Result<usize, ReadError> {
    let name = name.trim();
    let exact = matching(table, |header| header.trim() == name);
    let alike = if exact.is_empty() {
        matching(table, |header| header.trim().to_lowercase() == name.to_lowercase())
    } else {
        exact
    };
    let expected = || format!("\"{name}\" as the setting says");
    single(table, what, key, &alike)?.ok_or_else(|| absent(table, what, expected(), String::new()))
}

/// The error for a column that is not there; it lists those that are.
pub(super) fn absent(
    table: &Table,
    what: &'static str,
    expected: String,
    hint: String,
) -> ReadError {
    let columns = quoted(table.columns.iter().map(|header| header.trim()));
    ReadError::NoColumn { name: table.name.clone(), what, expected, columns, hint }
}

/// The one column among the candidates; several are an error.
pub(super) fn single(
    table: &Table,
    what: &'static str,
    key: &'static str,
    candidates: &[usize],
) -> Result<Option<usize>, ReadError> {
    match candidates {
        [] => Ok(None),
        [column] => Ok(Some(*column)),
        several => Err(ReadError::SeveralColumns {
            name: table.name.clone(),
            what,
            candidates: quoted(several.iter().map(|&column| table.header(column))),
            key,
        }),
    }
}

fn matching(table: &Table, matches: impl Fn(&str) -> bool) -> Vec<usize> {
    table.columns.iter().enumerate().filter(|(_, header)| matches(header)).map(|(i, _)| i).collect()
}

/// A header without its unit in brackets, blanks, punctuation and letter case.
fn key(header: &str) -> String {
    let bare = header.split(['(', '[']).next().unwrap_or("");
    bare.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The unit that a header has in brackets, if any.
pub(super) fn bracketed_unit(header: &str) -> Option<&str> {
    let (_, rest) = header.split_once(['(', '['])?;
    let unit = rest.trim_end().trim_end_matches([')', ']']).trim();
    (!unit.is_empty()).then_some(unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(columns: &[&str]) -> Table {
        Table {
            name: "s.csv".to_owned(),
            columns: columns.iter().map(|&c| c.to_owned()).collect(),
            rows: vec![],
            points: None,
            decimal_comma: false,
            warnings: vec![],
        }
    }

    #[test]
    fn usual_spellings() {
        for header in [
            "CEC",
            "cec_meq",
            "CEC (meq/100g)",
            " Cation Exchange Capacity ",
            "CEC meq/100 g",
            "CEC [cmol(+)/kg]",
            "CEC, cmol/kg",
        ] {
            assert_eq!(find(&table(&["pH", header]), &CEC, None), Ok(Some(1)), "{header}");
        }
        assert_eq!(find(&table(&["ID", "Sample ID"]), &ID, None), Ok(Some(1)));
        assert_eq!(find(&table(&["Lat.", "Long."]), &LONGITUDE, None), Ok(Some(1)));
        assert_eq!(find(&table(&["X", "Easting"]), &EASTING, None), Ok(Some(1)));
        assert_eq!(find(&table(&["x", "base sat CEC"]), &CEC, None), Ok(None));
    }

    #[test]
    fn several_and_absent() {
        assert_eq!(
            find(&table(&["CEC", "cec_meq"]), &CEC, None).unwrap_err().to_string(),
            "s.csv: found several CEC columns, \"CEC\", \"cec_meq\"; say which one to use (cec = \"…\")"
        );
        assert_eq!(
            find(&table(&["id", "ph"]), &CEC, Some("CEC_A")).unwrap_err().to_string(),
            "s.csv: found no CEC column, expected \"CEC_A\" as the setting says; the columns are \"id\", \"ph\""
        );
        assert_eq!(find(&table(&["CEC", "Cec_a"]), &CEC, Some("CEC_A")), Ok(Some(1)));
    }

    #[test]
    fn units_in_brackets() {
        assert_eq!(bracketed_unit("CEC (meq/100g)"), Some("meq/100g"));
        assert_eq!(bracketed_unit("CEC (cmol(+)/kg)"), Some("cmol(+)/kg"));
        assert_eq!(bracketed_unit("CEC"), None);
    }
}
