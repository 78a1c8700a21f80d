//! Rates as the data dictionary has them.

use super::fault;
use crate::units::{Quantity, Rate, System};
use crate::write::FormatError;

/// ISO 11783-11, DDI 6: setpoint mass per area application rate, mg/m², as hexadecimal.
pub const DDI: &str = "0006";

/// A rate in whole mg/m².
pub fn of(rate: Rate) -> Result<i32, FormatError> {
    let value = rate.as_milligrams_per_square_metre().round();
    #[expect(clippy::cast_possible_truncation, reason = "within the range")]
    if value >= 0.0 && value <= f64::from(i32::MAX) {
        return Ok(value as i32);
    }
    Err(fault(format!(
        "found a rate of {}, expected 0 to {} (32 bits of mg/m2)",
        rate.show(System::Metric, 2),
        self::rate(i32::MAX).show(System::Metric, 0)
    )))
}

/// The rate that a value stands for.
pub fn rate(value: i32) -> Rate {
    Rate::milligrams_per_square_metre(f64::from(value))
}

/// How a controller shows a rate in the job's units.
pub struct Presentation {
    /// Units shown for a mg/m².
    pub scale: String,
    /// Decimals shown.
    pub decimals: u8,
    /// The unit's name.
    pub unit: &'static str,
}

/// ton/ac or kg/ha, to under 0.5 % of any usual rate.
pub fn presentation(system: System) -> Presentation {
    let (decimals, one, unit) = match system {
        System::Us => (3, Rate::tons_per_acre(1.0), "ton/ac"),
        System::Metric => (0, Rate::kilograms_per_hectare(1.0), "kg/ha"),
    };
    // A decimal without exponent (XML Schema, decimal), to nine significant digits and more.
    let scale = format!("{:.15}", 1.0 / one.as_milligrams_per_square_metre());
    Presentation { scale: scale.trim_end_matches('0').to_owned(), decimals, unit }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: half a short ton, 453.59237 kg, on an acre, 4046.8564224 m².
    #[test]
    fn half_a_ton_an_acre() {
        assert_eq!(of(Rate::tons_per_acre(0.5)).unwrap(), 112_085);
        assert_eq!(of(Rate::kilograms_per_hectare(1000.0)).unwrap(), 100_000);
        let shown = presentation(System::Us).scale.parse::<f64>().unwrap() * 112_085.0;
        assert!((shown - 0.5).abs() < 1e-6, "{shown}");
        assert_eq!(presentation(System::Metric).scale, "0.01");
    }

    #[test]
    fn what_does_not_fit() {
        assert_eq!(
            of(Rate::tonnes_per_hectare(30_000.0)).unwrap_err().to_string(),
            "TASKDATA/TASKDATA.XML: found a rate of 30000.00 t/ha, expected 0 to 21475 t/ha (32 bits of mg/m2)"
        );
        assert!(of(Rate::from_si(f64::NAN)).is_err() && of(Rate::from_si(-1.0)).is_err());
    }
}
