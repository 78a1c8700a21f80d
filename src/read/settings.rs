use serde::Deserialize;

use crate::soil::CationUnit;

/// How a boundary file is to be understood.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BoundarySettings {
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one when absent.
    pub layer: Option<String>,
    /// The name of the field, of several in the file; not needed for one when absent.
    pub field: Option<String>,
    /// The column with the fields' names; found by the name, or its usual spellings, when absent.
    pub field_column: Option<String>,
    /// Whether all polygons are one field: those that touch or overlap are made one, and those that
    /// lie inside others are cut out; `false` when absent.
    pub merge: bool,
}

/// How a file with the boundaries of several fields is to be understood.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct FieldsSettings {
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one when absent.
    pub layer: Option<String>,
    /// The column with the fields' names; found by its usual spellings when absent.
    pub names: Option<String>,
}

/// How a file with features, such as ditches or a lane, is to be understood.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct FeatureSettings {
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one when absent. Of task data the
    /// kind: `obstacle` when absent.
    pub layer: Option<String>,
    /// The name of the field that they belong to, where the file says it; all when absent.
    pub field: Option<String>,
}

/// How a samples file is to be understood. A column that is not named is found by its usual
/// spellings.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SampleSettings {
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one when absent.
    pub layer: Option<String>,
    /// The column with the sample's name; found by its usual spellings when absent.
    pub id: Option<String>,
    /// The column with the CEC; found by its usual spellings when absent.
    pub cec: Option<String>,
    /// The unit of the CEC, such as `mmol(c)/kg`; that of the header, or meq/100 g, when absent.
    pub cec_unit: Option<String>,
    /// The column with the longitude, degrees; found by its usual spellings when absent.
    pub longitude: Option<String>,
    /// The column with the latitude, degrees; found by its usual spellings when absent.
    pub latitude: Option<String>,
    /// The column with the easting, in the unit of `crs`; found by its usual spellings when absent.
    pub easting: Option<String>,
    /// The column with the northing, in the unit of `crs`; found by its usual spellings when absent.
    pub northing: Option<String>,
    /// The sheet of a spreadsheet; the one that has the columns when absent.
    pub sheet: Option<String>,
    /// The field whose rows count, in a table of several; all rows, or those that do not lie in the
    /// boundary file's other fields, when absent.
    pub field: Option<String>,
    /// The column with the fields' names; found by its usual spellings when absent.
    pub field_column: Option<String>,
    /// The depth to take, such as `0-6`; the top one when absent.
    pub depth: Option<String>,
    /// What results below detection count as: `half` of the limit, another share such as `70 %`, or
    /// `leave out`; `"half"` when absent.
    pub below_detection: Option<String>,
}

/// How a laboratory's table is to be understood. It is joined to the samples by id.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct LaboratorySettings {
    /// The column with the sample's name; found by its usual spellings when absent.
    pub id: Option<String>,
    /// The column with the CEC; found by its usual spellings when absent.
    pub cec: Option<String>,
    /// The unit of the CEC, such as `mmol(c)/kg`; that of the header, or meq/100 g, when absent.
    pub cec_unit: Option<String>,
    /// The sheet of a spreadsheet; the one that has the columns when absent.
    pub sheet: Option<String>,
    /// The field whose rows count, in a table of several; all rows when absent.
    pub field: Option<String>,
    /// The column with the fields' names; found by its usual spellings when absent.
    pub field_column: Option<String>,
    /// The depth to take, such as `0-6`; the top one when absent.
    pub depth: Option<String>,
    /// What results below detection count as: `half` of the limit, another share such as `70 %`, or
    /// `leave out`; `"half"` when absent.
    pub below_detection: Option<String>,
}

/// How exchangeable cations are written, and what CEC is summed from where there is no CEC column.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CationSettings {
    /// The unit, for headers that do not name one; none when absent.
    pub unit: Option<CationUnit>,
    /// Where the acidity comes from; CEC is not summed when absent.
    pub acidity: Option<Acidity>,
    /// The column with potassium; found by its usual spellings when absent.
    pub potassium: Option<String>,
    /// The column with magnesium; found by its usual spellings when absent.
    pub magnesium: Option<String>,
    /// The column with calcium; found by its usual spellings when absent.
    pub calcium: Option<String>,
    /// The column with sodium; found by its usual spellings when absent.
    pub sodium: Option<String>,
}

/// The acidity term of a CEC by summation.
#[derive(Clone, Debug, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(
    untagged,
    deny_unknown_fields,
    expecting = "found an acidity that is neither a column's name, such as acidity = \"H\", nor a buffer, such as acidity = { buffer_ph = \"column\", reference = 8.0, factor = 8.0 }"
)]
pub enum Acidity {
    /// A column that is in meq/100 g already.
    Column(String),
    /// `factor * (reference - buffer pH)`, meq/100 g. The constants belong to the laboratory.
    Buffer {
        /// The column with the buffer pH.
        buffer_ph: String,
        /// The buffer's own pH.
        reference: f64,
        /// Acidity for each unit of pH below the reference, meq/100 g.
        factor: f64,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_in_toml() {
        let read: CationSettings = toml::from_str(
            "unit = \"lb/ac\"\nacidity = { buffer_ph = \"BpH\", reference = 8.0, factor = 8.0 }",
        )
        .unwrap();
        assert_eq!(read.unit, Some(CationUnit::PoundsPerAcre));
        let buffer_ph = "BpH".to_owned();
        assert_eq!(read.acidity, Some(Acidity::Buffer { buffer_ph, reference: 8.0, factor: 8.0 }));
        let read: CationSettings = toml::from_str("acidity = \"H\"").unwrap();
        assert_eq!(read.acidity, Some(Acidity::Column("H".to_owned())));
        let read: SampleSettings = toml::from_str("crs = \"EPSG:2965\"\ncec = \"CEC\"").unwrap();
        assert_eq!(read.cec.as_deref(), Some("CEC"));
    }

    #[test]
    fn what_is_not_known_is_refused() {
        let said = |text| toml::from_str::<CationSettings>(text).unwrap_err().message().to_owned();
        assert_eq!(
            said("unit = \"stone\""),
            "\"stone\": found an unknown unit, expected \"lb/ac\", \"ppm\" or \"meq/100 g\""
        );
        assert!(
            said("acidity = { buffer = \"x\" }").starts_with("found an acidity that is neither")
        );
        assert!(toml::from_str::<SampleSettings>("cecc = \"x\"").is_err());
    }
}
