//! `farm.json`: all fields and what they come to.

use super::{FormatError, OutputFile, farm_order_json};
use crate::farm::{FarmTotals, Figures, TierFigures};
use crate::report::cautions::CAUTIONS;
use crate::totals::{
    self, Amount, Failure, FarmField, FarmFile, FarmTier, FarmTotal, InUnits, SchemaNumber, Spread,
};
use crate::units::{Quantity, Rate, System};

pub(super) fn file(farm: &FarmTotals) -> Result<OutputFile, FormatError> {
    let text = totals::text(&farm_totals(farm))
        .map_err(|error| FormatError { file: "farm.json", reason: error.to_string() })?;
    Ok(OutputFile { name: "farm.json".to_owned(), bytes: text.into_bytes() })
}

/// The content of `farm.json`.
#[must_use]
pub fn farm_totals(farm: &FarmTotals) -> FarmFile {
    let system = farm.system;
    let planned = farm.fields.iter().filter_map(|field| {
        let figures = field.figures.as_ref().ok()?;
        Some(self::field(&field.file, figures, system))
    });
    let fields: Vec<FarmField> = planned.collect();
    let failures = farm
        .failures()
        .map(|(file, error)| Failure { file: file.to_owned(), error: error.to_owned() });
    FarmFile {
        schema: SchemaNumber,
        farm: farm.farm.clone(),
        units: system,
        total: FarmTotal {
            fields: fields.len(),
            spread: spread(farm.area, farm.mass, farm.range, farm.flat, system),
        },
        tiers: tiers(&farm.tiers, system),
        order: farm.order.as_ref().map(|order| farm_order_json::farm(order, system)),
        fields,
        failures: failures.collect(),
        unmet: farm.unmet.clone(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

fn field(file: &str, figures: &Figures, system: System) -> FarmField {
    FarmField {
        job: figures.job.clone(),
        file: file.to_owned(),
        spread: spread(figures.area, figures.mass, figures.range, figures.flat, system),
        zones: figures.zones,
        warnings: figures.warnings,
        stops: figures.stops.clone(),
        tiers: tiers(&figures.tiers, system),
        order: figures.order.as_ref().map(|order| farm_order_json::field(order, system)),
    }
}

fn spread(area: f64, mass: f64, range: Option<[f64; 2]>, flat: f64, system: System) -> Spread {
    Spread {
        area: InUnits::new(area, system),
        mass: InUnits::new(mass, system),
        low: InUnits::new(range.map(|[low, _]| low), system),
        high: InUnits::new(range.map(|[_, high]| high), system),
        flat: InUnits::new(flat, system),
    }
}

fn tiers(tiers: &[TierFigures], system: System) -> Vec<FarmTier> {
    let tier = |tier: &TierFigures| FarmTier {
        label: tier.label.clone(),
        rate: tier.rate,
        rate_unit: Rate::unit(system).symbol().to_owned(),
        zones: tier.zones,
        amount: Amount {
            area: InUnits::new(tier.area, system),
            mass: InUnits::new(tier.mass, system),
        },
    };
    tiers.iter().map(tier).collect()
}
