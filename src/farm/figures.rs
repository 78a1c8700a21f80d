use serde_json::Value;

use super::OrderFigures;
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::units::{Area, Mass, Quantity, Rate, System, apportion, round_to};
use crate::write::{RATE_DECIMALS, amount_names};

/// A field's figures as printed, in the units of the farm: acres and tons, or hectares and tonnes.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// The job's name.
    pub job: String,
    /// How many zones it has.
    pub zones: u64,
    /// What is spread on.
    pub area: f64,
    /// What is spread.
    pub mass: f64,
    /// What a perfect map would take with 80 % probability, from and to; none if that is not known.
    pub range: Option<[f64; 2]>,
    /// What one rate for the whole field would take.
    pub flat: f64,
    /// Per tier, from the lowest.
    pub tiers: Vec<TierFigures>,
    /// How many warnings it came with.
    pub warnings: usize,
    /// Its order, if it has one.
    pub order: Option<OrderFigures>,
}

/// A tier's figures as printed.
#[derive(Clone, Debug, PartialEq)]
pub struct TierFigures {
    /// What it is called.
    pub label: String,
    /// Its rate, in ton/ac or t/ha.
    pub rate: f64,
    /// How many zones have it.
    pub zones: u64,
    /// What it is spread on.
    pub area: f64,
    /// What is spread.
    pub mass: f64,
}

/// Why figures cannot be taken from a `totals.json`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("totals.json: found no {key}, expected what this program writes there")]
pub struct FiguresError {
    /// What is missing, or is not what it should be.
    pub key: String,
}

impl Figures {
    /// Takes them from the content of a `totals.json`; what is in other units is converted and
    /// rounded as it is printed, the tiers so that they still add up.
    ///
    /// # Errors
    /// When a figure is missing.
    pub fn read(totals: &Value, system: System) -> Result<Self, FiguresError> {
        let units = totals.get("units").cloned().unwrap_or_default();
        let written: System =
            serde_json::from_value(units).map_err(|_| FiguresError { key: "units".into() })?;
        let [area_name, mass_name] = amount_names(written);
        let area = |value| round_to(converted::<Area>(value, written, system), AREA_DECIMALS);
        let mass = |value| round_to(converted::<Mass>(value, written, system), MASS_DECIMALS);
        let rate = |value| round_to(converted::<Rate>(value, written, system), RATE_DECIMALS);
        let (total, flat) = (within(totals, "total")?, within(totals, "flat_rate")?);
        let range = match within(totals, "certainty")? {
            Value::Null => None,
            certainty => Some([
                mass(number(certainty, &format!("{mass_name}_low"))?),
                mass(number(certainty, &format!("{mass_name}_high"))?),
            ]),
        };
        let tiers = list(totals, "tiers")?.iter().map(|tier| {
            Ok(TierFigures {
                label: text(tier, "label")?,
                rate: rate(number(tier, "rate")?),
                zones: count(tier, "zones")?,
                area: converted::<Area>(number(tier, area_name)?, written, system),
                mass: converted::<Mass>(number(tier, mass_name)?, written, system),
            })
        });
        let mut tiers: Vec<TierFigures> = tiers.collect::<Result<_, FiguresError>>()?;
        let (area, whole) = (area(number(total, area_name)?), mass(number(total, mass_name)?));
        // Converted figures no longer add up by themselves; others are left as they are.
        let areas: Vec<f64> = tiers.iter().map(|tier| tier.area).collect();
        let masses: Vec<f64> = tiers.iter().map(|tier| tier.mass).collect();
        let parts = apportion(&areas, area, AREA_DECIMALS).into_iter().zip(apportion(
            &masses,
            whole,
            MASS_DECIMALS,
        ));
        for (tier, (area, mass)) in tiers.iter_mut().zip(parts).filter(|_| written != system) {
            (tier.area, tier.mass) = (area, mass);
        }
        Ok(Self {
            job: text(totals, "job")?,
            zones: tiers.iter().map(|tier| tier.zones).sum(),
            area,
            mass: whole,
            range,
            flat: mass(number(flat, mass_name)?),
            tiers,
            warnings: list(totals, "warnings")?.len(),
            order: OrderFigures::read(totals, written, system)?,
        })
    }
}

pub(super) fn converted<Q: Quantity>(value: f64, from: System, to: System) -> f64 {
    if from == to { value } else { Q::from_si(value * Q::unit(from).si).value_in(to) }
}

pub(super) fn within<'a>(value: &'a Value, key: &str) -> Result<&'a Value, FiguresError> {
    value.get(key).ok_or_else(|| FiguresError { key: key.to_owned() })
}

pub(super) fn number(value: &Value, key: &str) -> Result<f64, FiguresError> {
    within(value, key)?.as_f64().ok_or_else(|| FiguresError { key: key.to_owned() })
}

pub(super) fn count(value: &Value, key: &str) -> Result<u64, FiguresError> {
    within(value, key)?.as_u64().ok_or_else(|| FiguresError { key: key.to_owned() })
}

fn text(value: &Value, key: &str) -> Result<String, FiguresError> {
    let text = within(value, key)?.as_str();
    text.map(str::to_owned).ok_or_else(|| FiguresError { key: key.to_owned() })
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, FiguresError> {
    within(value, key)?.as_array().ok_or_else(|| FiguresError { key: key.to_owned() })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn hectare() -> Value {
        json!({
            "job": "a", "units": "metric", "total": { "hectares": 1.0, "tonnes": 2.0 },
            "tiers": [{ "label": "all", "rate": 2.0, "zones": 3, "hectares": 1.0, "tonnes": 2.0 }],
            "flat_rate": { "tonnes": 2.0 },
            "certainty": { "tonnes_low": 1.5, "tonnes_high": 2.5 },
            "warnings": ["one"], "order": null,
        })
    }

    /// NIST Handbook 44, appendix C: 1 ha = 2.47104 ac, 1 t = 1.10231 short ton; so 1 t/ha is
    /// 0.44609 ton/ac.
    #[test]
    fn other_units_are_converted() {
        let figures = Figures::read(&hectare(), System::Us).unwrap();
        assert_eq!((figures.area, figures.mass, figures.flat), (2.47, 2.2, 2.2));
        assert_eq!(figures.range, Some([1.65, 2.76]));
        let tier = &figures.tiers[0];
        assert_eq!((tier.rate, tier.area, tier.zones), (0.8922, 2.47, 3));
        assert_eq!((figures.zones, figures.warnings), (3, 1));
        let same = Figures::read(&hectare(), System::Metric).unwrap();
        assert_eq!((same.area, same.mass, same.tiers[0].rate), (1.0, 2.0, 2.0));
    }

    #[test]
    fn what_is_missing_is_named() {
        let mut totals = hectare();
        totals["total"] = json!({ "hectares": 1.0 });
        let said = Figures::read(&totals, System::Us).unwrap_err().to_string();
        assert_eq!(said, "totals.json: found no tonnes, expected what this program writes there");
        assert_eq!(Figures::read(&json!(3), System::Us).unwrap_err().key, "units");
    }
}
