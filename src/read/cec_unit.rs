use super::ReadError;
use super::heading;
use super::table::Table;
use crate::soil::CationUnit;
use crate::warning::Warning;

/// What is told of units of CEC.
const KNOWN: &str = "meq/100 g or cmol(+)/kg, or mmol(c)/kg, which is a tenth of it";

/// How many meq/100 g one of a unit of CEC is: moles of charge in a mass of soil, so that 1 cmol(+)/kg
/// is 1 meq/100 g, 1 mmol(c)/kg a tenth, and 1 mol(c)/kg or meq/g a hundred.
pub(super) fn milliequivalents(unit: &str) -> Option<f64> {
    if CationUnit::read(unit) == Some(CationUnit::Milliequivalents) {
        return Some(1.0);
    }
    let letters: String = unit.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
    // `kg-1` is `/kg`, and the mass is of soil.
    let letters = letters.replace("per", "").replace("kg1", "kg").replace("grams", "g");
    match letters.strip_suffix("soil").unwrap_or(&letters) {
        "meq100g" | "me100g" | "cmolkg" | "cmolckg" | "mmol100g" | "mmolc100g" => Some(1.0),
        "mmolkg" | "mmolckg" | "meqkg" | "mekg" => Some(0.1),
        "molkg" | "molckg" | "eqkg" | "meqg" | "mmolg" | "mmolcg" => Some(100.0),
        _ => None,
    }
}

/// How many meq/100 g one of a column's unit is: that in its header, else that which the job gives
/// (`cec_unit`), else meq/100 g itself. Other units than this are told.
///
/// # Errors
/// When the header or the job has a unit that is none of charge, or both have one and differ.
pub(super) fn factor(
    table: &Table,
    column: usize,
    given: Option<&str>,
    warnings: &mut Vec<Warning>,
) -> Result<f64, ReadError> {
    let header = table.header(column);
    let bad = |unit: &str, expected: String| ReadError::BadUnit {
        name: table.name.clone(),
        column: header.to_owned(),
        unit: unit.to_owned(),
        expected,
    };
    let known = |unit: &str| milliequivalents(unit).ok_or_else(|| bad(unit, KNOWN.to_owned()));
    let in_header = heading::unit(header);
    let (unit, factor) = match (in_header, given) {
        (None, None) => return Ok(1.0),
        (Some(unit), None) | (None, Some(unit)) => (unit, known(unit)?),
        (Some(unit), Some(given)) if known(unit)? == known(given)? => (unit, known(unit)?),
        (Some(unit), Some(given)) => {
            return Err(bad(
                unit,
                format!("{given} as cec_unit says; leave it out, or mend the header"),
            ));
        }
    };
    if factor != 1.0 {
        let (file, column, unit) = (table.name.clone(), header.to_owned(), unit.to_owned());
        warnings.push(Warning::CecConverted { file, column, unit, factor });
    }
    Ok(factor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::warnings::said;

    fn read(header: &str, given: Option<&str>) -> Result<(f64, Vec<String>), String> {
        let table = Table {
            name: "s.csv".to_owned(),
            columns: vec![header.to_owned()],
            rows: vec![],
            points: None,
            decimal_comma: false,
            warnings: vec![],
        };
        let mut warnings = Vec::new();
        let found = factor(&table, 0, given, &mut warnings).map_err(|error| error.to_string())?;
        Ok((found, said(&warnings)))
    }

    /// By definition: a mole of charge is an equivalent, and 1 kg is ten times 100 g.
    #[test]
    fn units_of_charge() {
        for header in [
            "CEC",
            "CEC (meq/100g)",
            "CEC [cmol(+)/kg]",
            "CEC (Sum) meq/100 g",
            "CEC (cmol+ kg-1)",
            "CEC by ammonium acetate, meq/100g soil",
        ] {
            assert_eq!(read(header, None), Ok((1.0, vec![])), "{header}");
        }
        for header in [
            "CEC (mmol(c)/kg)",
            "CEC (mmol/kg)",
            "CEC [mmolc/kg]",
            "CEC (meq/kg)",
            "CEC mmolc kg-1",
        ] {
            assert_eq!(read(header, None).unwrap().0, 0.1, "{header}");
        }
        assert_eq!(read("CEC (mol/kg)", None).unwrap().0, 100.0);
        assert_eq!(
            read("CEC", Some("mmol(c)/kg")).unwrap().1,
            ["s.csv: the column \"CEC\" is in mmol(c)/kg; turned into meq/100 g (times 0.1)"]
        );
    }

    #[test]
    fn other_units_are_refused() {
        assert_eq!(
            read("CEC (Sum) ppm", None).unwrap_err(),
            "s.csv, column \"CEC (Sum) ppm\": found unit \"ppm\", expected meq/100 g or cmol(+)/kg, or mmol(c)/kg, which is a tenth of it"
        );
        assert!(read("CEC", Some("g/l")).unwrap_err().contains("found unit \"g/l\""));
        assert_eq!(
            read("CEC (meq/100 g)", Some("mmol/kg")).unwrap_err(),
            "s.csv, column \"CEC (meq/100 g)\": found unit \"meq/100 g\", expected mmol/kg as cec_unit says; leave it out, or mend the header"
        );
    }
}
