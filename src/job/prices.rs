//! Prices as a job writes them, in whatever money they are.

use serde::Deserialize;

use super::JobError;
use super::range::{NotApplied, fault};
use crate::faults::Faults;
use crate::order::{Money, Prices, SpreadingPer};
use crate::units::{Mass, System};

/// What the price of product is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ProductPer {
    /// A short ton.
    Ton,
    /// A tonne.
    Tonne,
}

/// What a job says about prices.
#[derive(Clone, Copy, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PricesEntry {
    /// What product costs, delivered; not known when absent.
    pub product: Option<f64>,
    /// What product is paid by; the ton or tonne, by the job's units when absent.
    pub product_per: Option<ProductPer>,
    /// What spreading costs; not known when absent.
    pub spreading: Option<f64>,
    /// What spreading is paid by; the acre or hectare when absent.
    pub spreading_per: Option<SpreadingPer>,
}

impl PricesEntry {
    pub(super) fn prices(&self, file: &str, system: System) -> Result<Prices, JobError> {
        let price = |setting: &str, written: Option<f64>| match written {
            Some(price) if !price.is_finite() || price < 0.0 => {
                Err(fault(file, setting, price.to_string(), "a price of 0 or more"))
            }
            written => Ok(written.map(Money)),
        };
        let mut faults = Faults::default();
        let product = faults.of(price("[prices] product", self.product)).flatten();
        let spreading = faults.of(price("[prices] spreading", self.spreading)).flatten();
        if self.spreading.is_none() {
            let written = [("[prices] spreading_per", self.spreading_per.is_some())];
            faults.of(NotApplied { file, when: "without spreading" }.check(written));
        }
        if self.product.is_none() {
            let written = [("[prices] product_per", self.product_per.is_some())];
            faults.of(NotApplied { file, when: "without product" }.check(written));
        }
        faults.all()?;
        let (by_mass, by_area) = match system {
            System::Us => (ProductPer::Ton, SpreadingPer::Acre),
            System::Metric => (ProductPer::Tonne, SpreadingPer::Hectare),
        };
        let each = match self.product_per.unwrap_or(by_mass) {
            ProductPer::Ton => Mass::tons(1.0),
            ProductPer::Tonne => Mass::tonnes(1.0),
        };
        let per = self.spreading_per.unwrap_or(by_area);
        Ok(Prices {
            product: product.map(|price| (each, price)),
            spreading: spreading.map(|price| (per, price)),
        })
    }
}
