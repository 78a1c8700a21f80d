use super::error::quoted;
use super::table::Table;
use super::{ReadError, heading};

/// A column that is looked for.
pub(super) struct WantedColumn {
    /// What it is called in messages.
    pub what: &'static str,
    /// The setting that names it.
    pub key: &'static str,
    /// Its usual headers.
    pub spellings: Spellings,
}

/// The usual headers of a column.
pub(super) enum Spellings {
    /// As [`key`] makes them, in tiers: a later tier counts only when no column matches an earlier
    /// one.
    Tiers(&'static [&'static [&'static str]]),
    /// Those that a rule takes.
    Fitting(fn(&str) -> bool),
}

impl WantedColumn {
    /// The columns with usual headers, those of the first tier that has any.
    pub fn fitting(&self, table: &Table) -> Vec<usize> {
        match &self.spellings {
            Spellings::Fitting(fits) => matching(table, fits),
            Spellings::Tiers(tiers) => {
                let keys: Vec<String> = table.columns.iter().map(|header| key(header)).collect();
                let of = |tier: &&[&str]| positions(&keys, |key| tier.contains(&key.as_str()));
                tiers.iter().map(of).find(|columns| !columns.is_empty()).unwrap_or_default()
            }
        }
    }

    /// Whether a header is a usual one of this column.
    pub fn is_usual(&self, header: &str) -> bool {
        self.is_usual_with_key(header, &key(header))
    }

    /// The same of a header whose key is known.
    fn is_usual_with_key(&self, header: &str, key: &str) -> bool {
        match &self.spellings {
            Spellings::Fitting(fits) => fits(header),
            Spellings::Tiers(tiers) => tiers.iter().any(|tier| tier.contains(&key)),
        }
    }
}

/// The columns that a sample's name may be in, for a join: where there are several, that which the
/// other side knows is meant.
pub(super) fn ids(table: &Table) -> Vec<usize> {
    let Spellings::Tiers([first, second, rest @ ..]) = &ID.spellings else { return Vec::new() };
    let of = |tiers: &[&[&str]]| {
        matching(table, |header| tiers.iter().any(|tier| tier.contains(&key(header).as_str())))
    };
    let ids = of(&[first, second]);
    if !ids.is_empty() {
        return ids;
    }
    rest.iter().map(|tier| of(&[tier])).find(|columns| !columns.is_empty()).unwrap_or_default()
}

/// Whether one of some headers is that of a CEC column.
pub(super) fn have_cec(headers: &[String]) -> bool {
    headers.iter().any(|header| CEC.is_usual(header))
}

/// Whether some headers have those of positions.
pub(super) fn have_positions(headers: &[String]) -> bool {
    let have = |wanted: &WantedColumn| headers.iter().any(|header| wanted.is_usual(header));
    (have(&LONGITUDE) && have(&LATITUDE)) || (have(&EASTING) && have(&NORTHING))
}

/// Whether a header is a usual one of samples or results.
pub(super) fn is_usual(header: &str) -> bool {
    const BESIDE: &[&str] =
        &["ph", "soilph", "waterph", "bufferph", "om", "organicmatter", "depth"];
    // Most cells of a table are numbers.
    if !header.contains(char::is_alphabetic) {
        return false;
    }
    let (sought, key) = ([&ID, &CEC, &LONGITUDE, &LATITUDE, &EASTING, &NORTHING], key(header));
    sought.iter().any(|wanted| wanted.is_usual_with_key(header, &key))
        || BESIDE.contains(&key.as_str())
}

pub(super) const ID: WantedColumn = WantedColumn {
    what: "id",
    key: "id",
    spellings: Spellings::Tiers(&[
        &[
            "sampleid",
            "samplename",
            "samplenumber",
            "sampleno",
            "samplenum",
            "sample",
            "sampleidentification",
            "clientsampleid",
            "customersampleid",
            "growersampleid",
            "clientid",
            "fmissampleid",
            "samplenr",
            "samplecode",
            "soilsampleid",
        ],
        &[
            "id",
            "pointid",
            "pointno",
            "pointnumber",
            "pointname",
            "point",
            "pt",
            "ptid",
            "siteid",
            "site",
            "gridid",
            "gridno",
            "gridnumber",
            "gridpoint",
            "grid",
            "cell",
            "cellid",
            "identification",
            "location",
            "locationid",
            "station",
        ],
        &["name", "label"],
        &[
            "no",
            "number",
            "labid",
            "labno",
            "labnum",
            "labnumber",
            "laboratorynumber",
            "labsampleid",
            "barcode",
            "bagnumber",
        ],
    ]),
};

pub(super) const CEC: WantedColumn =
    WantedColumn { what: "CEC", key: "cec", spellings: Spellings::Fitting(heading::is_cec) };

/// The field that a sample is of, in a table of several.
pub(super) const FIELD: WantedColumn = WantedColumn {
    what: "field",
    key: "field_column",
    spellings: Spellings::Tiers(&[
        &["field", "fieldname", "fieldlabel", "fldname", "fld"],
        &["fieldid", "fieldnumber", "fieldno"],
    ]),
};

pub(super) const LONGITUDE: WantedColumn = WantedColumn {
    what: "longitude",
    key: "longitude",
    spellings: Spellings::Tiers(&[&[
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
    ]]),
};

pub(super) const LATITUDE: WantedColumn = WantedColumn {
    what: "latitude",
    key: "latitude",
    spellings: Spellings::Tiers(&[&[
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
    ]]),
};

pub(super) const EASTING: WantedColumn = WantedColumn {
    what: "easting",
    key: "easting",
    spellings: Spellings::Tiers(&[
        &["easting", "east", "eastingm", "eastingft", "utmeasting", "utme"],
        &["x", "xcoord", "pointx", "xcoordinate", "coordx"],
    ]),
};

pub(super) const NORTHING: WantedColumn = WantedColumn {
    what: "northing",
    key: "northing",
    spellings: Spellings::Tiers(&[
        &["northing", "north", "northingm", "northingft", "utmnorthing", "utmn"],
        &["y", "ycoord", "pointy", "ycoordinate", "coordy"],
    ]),
};

/// The column that a setting names or, without one, that has a usual spelling; `None` if there is
/// no such column.
///
/// # Errors
/// When the named column is absent, or several columns match.
pub(super) fn find(
    table: &Table,
    wanted: &WantedColumn,
    setting: Option<&str>,
) -> Result<Option<usize>, ReadError> {
    if let Some(name) = setting {
        return named(table, wanted.what, wanted.key, name).map(Some);
    }
    single(table, wanted.what, wanted.key, &wanted.fitting(table))
}

/// Refuses a column that is named for the CEC and headed as another result.
pub(super) fn refuse_other_result(
    table: &Table,
    named: &str,
    column: usize,
) -> Result<(), ReadError> {
    const OTHERS: &[&str] = &[
        "om",
        "organicmatter",
        "ph",
        "soilph",
        "waterph",
        "phwater",
        "bufferph",
        "phbuffer",
        "buffer",
        "p",
        "phosphorus",
        "k",
        "potassium",
        "ca",
        "calcium",
        "mg",
        "magnesium",
        "na",
        "sodium",
        "s",
        "sulfur",
        "sulphur",
        "zn",
        "zinc",
        "b",
        "boron",
        "n",
        "nitrate",
        "no3",
        "no3n",
        "al",
        "h",
        "sand",
        "silt",
        "clay",
        "depth",
        "esp",
        "sar",
        "ec",
    ];
    if !OTHERS.contains(&key(table.header(column)).as_str()) {
        return Ok(());
    }
    Err(ReadError::Unexpected {
        place: format!("{}, cec = \"{named}\"", table.name),
        found: format!("the column \"{}\", which is another result", table.header(column)),
        expected: "the column of the CEC; give the column its right heading if it is the CEC"
            .to_owned(),
    })
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
    let in_any_case =
        || matching(table, |header| header.trim().to_lowercase() == name.to_lowercase());
    // A unit of the row below may have been put into the header's brackets.
    let bare = |header: &str| header.split(['(', '[']).next().unwrap_or("").trim().to_lowercase();
    let without_unit = || matching(table, |header| bare(header) == name.to_lowercase());
    let mut alike = exact;
    if alike.is_empty() {
        alike = in_any_case();
    }
    if alike.is_empty() {
        alike = without_unit();
    }
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
            candidates: several
                .iter()
                .map(|&column| shown(table, column))
                .collect::<Vec<_>>()
                .join(", "),
            key,
        }),
    }
}

/// A column's header with its first values, for a choice.
pub(super) fn shown(table: &Table, column: usize) -> String {
    const FEW: usize = 3;
    let values: Vec<&str> = table
        .rows
        .iter()
        .map(|row| row.cell(column))
        .filter(|cell| !cell.is_empty())
        .take(FEW)
        .collect();
    if values.is_empty() {
        quoted([table.header(column)])
    } else {
        format!("\"{}\" ({})", table.header(column), values.join("; "))
    }
}

fn matching(table: &Table, matches: impl Fn(&str) -> bool) -> Vec<usize> {
    positions(&table.columns, |header| matches(header))
}

fn positions(all: &[String], matches: impl Fn(&String) -> bool) -> Vec<usize> {
    all.iter().enumerate().filter(|(_, one)| matches(one)).map(|(i, _)| i).collect()
}

/// A header without its unit in brackets, blanks, punctuation and letter case.
fn key(header: &str) -> String {
    let bare = header.split(['(', '[']).next().unwrap_or("");
    if bare.is_ascii() {
        let letters = bare.bytes().filter(u8::is_ascii_alphanumeric);
        return letters.map(|byte| char::from(byte.to_ascii_lowercase())).collect();
    }
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
