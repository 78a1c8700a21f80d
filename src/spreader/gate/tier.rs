use crate::totals::{self, FarmFile, Totals};
use crate::units::{Area, Mass, Quantity, Rate, System, Written};

/// A rate that the field asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct GateTier {
    /// What the map calls it.
    pub label: String,
    /// Its rate, of material as spread.
    pub rate: Rate,
    /// Its area on the map, if there is a map.
    pub area: Option<Area>,
}

impl GateTier {
    /// The same tier at half its rate.
    #[must_use]
    pub fn halved(&self) -> Self {
        Self { rate: self.rate / 2.0, ..self.clone() }
    }

    /// What its area takes.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        self.area.map(|area| self.rate * area)
    }
}

/// Why there are no tiers to set the gate for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {reason}")]
pub struct GateTierError {
    /// The file or option.
    pub place: String,
    /// What was found, what was expected and what to do.
    pub reason: String,
}

fn fault(place: &str, reason: impl Into<String>) -> GateTierError {
    GateTierError { place: place.to_owned(), reason: reason.into() }
}

/// Reads rates as typed, such as `"0.5 ton/ac,1 ton/ac"`, lightest first or not.
///
/// # Errors
/// When one is not a rate, or [`check`] refuses them.
pub fn read_rates(place: &str, text: &str) -> Result<Vec<GateTier>, GateTierError> {
    let tier = |(i, written): (usize, &str)| {
        let read =
            Written::<Rate>::read(written).map_err(|error| fault(place, error.to_string()))?;
        Ok(GateTier { label: format!("rate {}", i + 1), rate: read.value, area: None })
    };
    let written = text.split(',').map(str::trim).filter(|written| !written.is_empty());
    let tiers: Vec<GateTier> = written.enumerate().map(tier).collect::<Result<_, _>>()?;
    check(place, &tiers)?;
    Ok(tiers)
}

/// Reads the tiers of a plan's `totals.json`. A tier without area is left out.
///
/// # Errors
/// When the text is not such a file, or [`check`] refuses its tiers.
pub fn read_totals(file: &str, text: &str) -> Result<Vec<GateTier>, GateTierError> {
    let totals = Totals::read(text).map_err(|error| match FarmFile::read(text) {
        Ok(_) => fault(file, "found the totals of a farm, expected those of one field".to_owned()),
        Err(_) => fault(file, error.to_string()),
    })?;
    let tier = |written: totals::Tier| {
        let rate = Written::<Rate>::read(&format!("{} {}", written.rate, written.rate_unit));
        let rate = rate.map_err(|error| fault(file, error.to_string()))?.value;
        Ok(GateTier { label: written.label, rate, area: Some(written.amount.area.quantity()) })
    };
    let tiers: Vec<GateTier> = totals.tiers.into_iter().map(tier).collect::<Result<_, _>>()?;
    let on_map = |tier: &GateTier| tier.area.is_none_or(|area| area > Area::ZERO);
    let tiers: Vec<GateTier> = tiers.into_iter().filter(on_map).collect();
    check(file, &tiers)?;
    Ok(tiers)
}

/// Checks that there is something to spread.
///
/// # Errors
/// When a rate is negative, or none is above zero.
pub fn check(place: &str, tiers: &[GateTier]) -> Result<(), GateTierError> {
    if let Some(tier) = tiers.iter().find(|tier| tier.rate.si() < 0.0) {
        let (label, rate) = (&tier.label, tier.rate.show(System::Us, 2));
        return Err(fault(
            place,
            format!("{label}: found {rate}, expected zero or more; correct the sign"),
        ));
    }
    if !tiers.iter().any(|tier| tier.rate.si() > 0.0) {
        return Err(fault(
            place,
            "found no rate above zero, expected at least one; give rates such as \"0.5 ton/ac,1 ton/ac\"",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::totals::{CREEK_BOTTOM, InUnits};

    #[test]
    fn rates_as_typed() {
        let tiers = read_rates("--rates", "0.5 ton/ac, 2 ton/ac").unwrap();
        assert_eq!(tiers.len(), 2);
        assert!((tiers[1].rate.as_tons_per_acre() - 2.0).abs() < 1e-12);
        let said = |text| read_rates("--rates", text).unwrap_err().to_string();
        assert_eq!(
            said("0.5 ton/ac,-1 ton/ac"),
            "--rates: rate 2: found -1.00 ton/ac, expected zero or more; correct the sign"
        );
        assert_eq!(
            said("0 ton/ac"),
            "--rates: found no rate above zero, expected at least one; \
             give rates such as \"0.5 ton/ac,1 ton/ac\""
        );
        assert_eq!(said(""), said("0 ton/ac"));
        assert_eq!(
            said("5"),
            "--rates: \"5\": found no unit, expected a rate such as \"1 ton/ac\""
        );
    }

    #[test]
    fn totals_of_a_plan() {
        let mut totals = Totals::read(CREEK_BOTTOM).unwrap();
        totals.tiers.truncate(2);
        for (tier, hectares) in totals.tiers.iter_mut().zip([10.0, 0.0]) {
            tier.rate = 2.5;
            tier.amount.area = InUnits::new(hectares, System::Metric);
        }
        let text = totals::text(&totals).unwrap();
        let tiers = read_totals("totals.json", &text).unwrap();
        assert_eq!(tiers.len(), 1, "a tier without area is left out");
        assert!((tiers[0].mass().unwrap().as_tonnes() - 25.0).abs() < 1e-9);
        let said = |text: &str| read_totals("totals.json", text).unwrap_err().to_string();
        assert_eq!(
            said("{}"),
            "totals.json: missing field `schema` at line 1 column 2; \
             expected the totals.json that a plan writes; plan again"
        );
        assert_eq!(
            said(&text.replace("\"schema\": 1", "\"schema\": 2")),
            "totals.json: invalid value: integer `2`, expected schema number 1 at line 2 column 13; \
             expected the totals.json that a plan writes; plan again"
        );
    }
}
