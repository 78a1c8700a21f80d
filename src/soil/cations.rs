use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, de::Error};

/// A base cation held on the soil's exchange sites.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Element {
    /// Potassium, K.
    Potassium,
    /// Magnesium, Mg.
    Magnesium,
    /// Calcium, Ca.
    Calcium,
    /// Sodium, Na.
    Sodium,
}

impl Element {
    /// Pounds per acre that make 1 meq/100 g in a furrow slice of 2,000,000 lb/ac (Clemson
    /// Agricultural Service Laboratory).
    #[must_use]
    pub fn pounds_per_acre_each(self) -> f64 {
        match self {
            Element::Potassium => 782.0,
            Element::Magnesium => 240.0,
            Element::Calcium => 400.0,
            Element::Sodium => 460.0,
        }
    }
}

/// How a laboratory writes the amount of an exchangeable cation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CationUnit {
    /// Pounds per acre, in 2,000,000 lb of soil.
    PoundsPerAcre,
    /// Parts per million, the same as mg/kg.
    PartsPerMillion,
    /// Milliequivalents per 100 g, the same as cmol(+)/kg.
    Milliequivalents,
}

impl CationUnit {
    /// Reads a unit as people write it, such as `lb/ac`, `mg/kg` or `meq/100g`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let letters: String = text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
        match letters.as_str() {
            "lbac" | "lbsac" | "lba" | "lbsa" | "lbacre" | "lbsacre" | "lbperac" | "lbsperac"
            | "lbperacre" | "lbsperacre" => Some(CationUnit::PoundsPerAcre),
            "ppm" | "mgkg" | "mgperkg" | "ugg" => Some(CationUnit::PartsPerMillion),
            "meq" | "me" | "meq100g" | "meqper100g" | "me100g" | "cmolkg" | "cmolckg"
            | "cmolperkg" | "cmolcperkg" => Some(CationUnit::Milliequivalents),
            _ => None,
        }
    }

    /// The spelling that is printed.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            CationUnit::PoundsPerAcre => "lb/ac",
            CationUnit::PartsPerMillion => "ppm",
            CationUnit::Milliequivalents => "meq/100 g",
        }
    }

    /// An amount in this unit as meq/100 g.
    #[must_use]
    pub fn milliequivalents(self, amount: f64, element: Element) -> f64 {
        match self {
            CationUnit::PoundsPerAcre => amount / element.pounds_per_acre_each(),
            CationUnit::PartsPerMillion => 2.0 * amount / element.pounds_per_acre_each(),
            CationUnit::Milliequivalents => amount,
        }
    }
}

impl<'de> Deserialize<'de> for CationUnit {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        CationUnit::read(&text).ok_or_else(|| {
            D::Error::custom(format!(
                "\"{text}\": found an unknown unit, expected \"lb/ac\", \"ppm\" or \"meq/100 g\""
            ))
        })
    }
}

impl JsonSchema for CationUnit {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "CationUnit".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let units = [Self::PoundsPerAcre, Self::PartsPerMillion, Self::Milliequivalents];
        json_schema!({ "enum": units.map(CationUnit::symbol) })
    }
}

/// The base cations of a sample, each in meq/100 g.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cations {
    /// Exchangeable potassium.
    pub potassium: f64,
    /// Exchangeable magnesium.
    pub magnesium: f64,
    /// Exchangeable calcium.
    pub calcium: f64,
    /// Exchangeable sodium; `None` where the laboratory did not measure it.
    pub sodium: Option<f64>,
}

impl Cations {
    /// The sum of the bases, meq/100 g; sodium counts as nothing where it was not measured.
    #[must_use]
    pub fn bases(&self) -> f64 {
        self.potassium + self.magnesium + self.calcium + self.sodium.unwrap_or(0.0)
    }

    /// The mean of several, each counting the same; sodium only if all have it.
    #[must_use]
    pub fn mean(several: &[Self]) -> Option<Self> {
        let count = several.len() as f64;
        let mean = |of: fn(&Self) -> f64| several.iter().map(of).sum::<f64>() / count;
        let sodium: Option<Vec<f64>> = several.iter().map(|one| one.sodium).collect();
        (!several.is_empty()).then(|| Self {
            potassium: mean(|one| one.potassium),
            magnesium: mean(|one| one.magnesium),
            calcium: mean(|one| one.calcium),
            sodium: sodium.map(|all| all.into_iter().sum::<f64>() / count),
        })
    }

    /// CEC by summation, meq/100 g: the bases and the acidity in meq/100 g.
    #[must_use]
    pub fn cec(&self, acidity: f64) -> f64 {
        self.bases() + acidity
    }
}

/// Acidity in meq/100 g from a buffer pH: `factor * (reference - buffer_ph)`, and none above the
/// reference. Both constants belong to the laboratory's buffer; Clemson's are 8 and 8.00.
#[must_use]
pub fn buffer_acidity(buffer_ph: f64, reference: f64, factor: f64) -> f64 {
    (factor * (reference - buffer_ph)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example of the Clemson Agricultural Service Laboratory: buffer pH 7.70 and K 221,
    /// Mg 28, Ca 400, Na 12 lb/ac give 3.83 meq/100 g.
    #[test]
    fn clemson_example() {
        let meq = |amount, element| CationUnit::PoundsPerAcre.milliequivalents(amount, element);
        let cations = Cations {
            potassium: meq(221.0, Element::Potassium),
            magnesium: meq(28.0, Element::Magnesium),
            calcium: meq(400.0, Element::Calcium),
            sodium: Some(meq(12.0, Element::Sodium)),
        };
        let acidity = buffer_acidity(7.70, 8.00, 8.0);
        assert!((acidity - 2.40).abs() < 1e-12);
        assert_eq!(format!("{:.2}", cations.cec(acidity)), "3.83");
    }

    #[test]
    fn units_agree() {
        let ppm = CationUnit::PartsPerMillion.milliequivalents(200.0, Element::Calcium);
        assert_eq!(ppm, 1.0);
        assert_eq!(CationUnit::Milliequivalents.milliequivalents(1.5, Element::Sodium), 1.5);
        for text in ["lb/ac", "lbs/A", "LB/ACRE", "lb per ac"] {
            assert_eq!(CationUnit::read(text), Some(CationUnit::PoundsPerAcre), "{text}");
        }
        assert_eq!(CationUnit::read("cmol(+)/kg"), Some(CationUnit::Milliequivalents));
        assert_eq!(CationUnit::read("mg/kg"), Some(CationUnit::PartsPerMillion));
        assert_eq!(CationUnit::read("g/l"), None);
    }

    #[test]
    fn no_acidity_above_the_reference() {
        assert_eq!(buffer_acidity(8.1, 8.0, 8.0), 0.0);
    }
}
