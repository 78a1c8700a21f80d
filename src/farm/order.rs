use serde_json::Value;

use super::FiguresError;
use super::figures::{converted, count, number, within};
use crate::tonnage::MASS_DECIMALS;
use crate::units::{Mass, System, round_to};
use crate::write::amount_names;

/// Decimals by which payloads are told apart, in tons or tonnes: less than a tenth of a kilogram.
const PAYLOAD_DECIMALS: u32 = 4;

/// A field's order as printed, masses in the units of the farm.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderFigures {
    /// What is ordered for the map as planned.
    pub ordered: f64,
    /// What would be ordered for what a perfect map would take with 80 % probability, from and to.
    pub range: Option<[f64; 2]>,
    /// The trucks that bring it; none where no payload is set.
    pub trucks: Option<Trucks>,
    /// The spreader's work; none without a spreader.
    pub spreading: Option<Spreading>,
    /// The money; none without prices.
    pub costs: Option<Costs>,
}

/// The trucks of one payload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trucks {
    /// What each brings.
    pub payload: f64,
    /// How many.
    pub count: u64,
}

/// The spreader's work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreading {
    /// Its loads.
    pub loads: u64,
    /// The hours that it takes, the least and the most.
    pub hours: [f64; 2],
}

/// What the map costs and what one rate for the whole field would.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costs {
    /// The map.
    pub variable: Cost,
    /// One rate.
    pub flat: Cost,
}

/// A cost as printed, in whatever money the prices are in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// The product that is ordered.
    pub product: f64,
    /// Spreading it.
    pub spreading: f64,
    /// Both.
    pub total: f64,
}

impl OrderFigures {
    /// Takes them from the order in a `totals.json`; none where that is null.
    pub(super) fn read(
        totals: &Value,
        written: System,
        system: System,
    ) -> Result<Option<Self>, FiguresError> {
        let Some(order) = known(totals, "order")? else { return Ok(None) };
        let [_, name] = amount_names(written);
        let ordered = |need: &Value| {
            let mass = number(need, &format!("{name}_ordered"))?;
            Ok(round_to(converted::<Mass>(mass, written, system), MASS_DECIMALS))
        };
        let planned = within(order, "planned")?;
        let range = match (known(order, "low")?, known(order, "high")?) {
            (Some(low), Some(high)) => Some([ordered(low)?, ordered(high)?]),
            _ => None,
        };
        let payload = format!("{name}_per_delivery");
        let trucks = match known(order, &payload)? {
            Some(_) => {
                let payload = converted::<Mass>(number(order, &payload)?, written, system);
                let payload = round_to(payload, PAYLOAD_DECIMALS);
                Some(Trucks { payload, count: count(planned, "trucks")? })
            }
            None => None,
        };
        let spreading = match (known(order, "loads")?, known(order, "hours")?) {
            (Some(loads), Some(hours)) => Some(Spreading {
                loads: count(loads, "count")?,
                hours: [number(hours, "least")?, number(hours, "most")?],
            }),
            _ => None,
        };
        let costs = match known(order, "money")? {
            Some(money) => {
                Some(Costs { variable: cost(money, "variable")?, flat: cost(money, "flat")? })
            }
            None => None,
        };
        Ok(Some(Self { ordered: ordered(planned)?, range, trucks, spreading, costs }))
    }
}

/// What a key holds; none where it is null.
fn known<'a>(value: &'a Value, key: &str) -> Result<Option<&'a Value>, FiguresError> {
    Ok(Some(within(value, key)?).filter(|value| !value.is_null()))
}

fn cost(money: &Value, key: &str) -> Result<Cost, FiguresError> {
    let cost = within(money, key)?;
    let [product, spreading, total] =
        ["product", "spreading", "total"].map(|key| number(cost, key));
    Ok(Cost { product: product?, spreading: spreading?, total: total? })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn metric() -> Value {
        let cost = json!({ "product": 1.0, "spreading": 2.0, "total": 3.0 });
        json!({ "order": {
            "low": { "tonnes_ordered": 18.0, "trucks": 1 },
            "planned": { "tonnes_ordered": 20.0, "trucks": 1 },
            "high": { "tonnes_ordered": 22.0, "trucks": 2 },
            "tonnes_per_delivery": 20.865_249,
            "loads": { "count": 3 },
            "hours": { "least": 1.25, "most": 2.5 },
            "money": { "variable": cost, "flat": cost },
        }})
    }

    /// NIST Handbook 44, appendix C: 1 short ton = 0.907 184 74 t, so 20 t are 22.046 ton, 18 and 22
    /// t 19.842 and 24.251 ton, and 20.865 249 t are the 23 ton that they were.
    #[test]
    fn masses_are_converted_and_nothing_else() {
        let read = OrderFigures::read(&metric(), System::Metric, System::Us).unwrap().unwrap();
        assert_eq!((read.ordered, read.range), (22.05, Some([19.84, 24.25])));
        assert_eq!(read.trucks, Some(Trucks { payload: 23.0, count: 1 }));
        assert_eq!(read.spreading, Some(Spreading { loads: 3, hours: [1.25, 2.5] }));
        let cost = Cost { product: 1.0, spreading: 2.0, total: 3.0 };
        assert_eq!(read.costs, Some(Costs { variable: cost, flat: cost }));
    }

    #[test]
    fn what_is_not_known_is_none_and_what_is_missing_is_named() {
        let read = |totals: &Value| OrderFigures::read(totals, System::Metric, System::Metric);
        assert_eq!(read(&json!({ "order": null })), Ok(None));
        let mut totals = metric();
        for key in ["low", "tonnes_per_delivery", "loads", "money"] {
            totals["order"][key] = Value::Null;
        }
        let order = read(&totals).unwrap().unwrap();
        assert_eq!((order.ordered, order.range, order.trucks), (20.0, None, None));
        assert_eq!((order.spreading, order.costs), (None, None));
        totals["order"].as_object_mut().unwrap().remove("hours");
        assert_eq!(read(&totals).unwrap_err().key, "hours");
        assert_eq!(read(&json!({})).unwrap_err().key, "order");
    }
}
