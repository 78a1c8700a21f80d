use super::OrderFigures;
use super::rounded::rounded;
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS, RATE_DECIMALS};
use crate::totals::{Tier, Totals};
use crate::units::{Quantity, Rate, System, apportion, round_to};
use crate::warning::Gravity;

/// A field's figures as printed, in the units of the farm: acres and tons, or hectares and tonnes.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// The job's name.
    pub job: String,
    /// How many zones it has.
    pub zones: usize,
    /// What is spread on.
    pub area: f64,
    /// What is spread.
    pub mass: f64,
    /// What all ground at the rate its soil calls for would take with 80 % probability, from and to; none if that is not known.
    pub range: Option<[f64; 2]>,
    /// What one rate for the whole field would take.
    pub flat: f64,
    /// Per tier, from the lowest.
    pub tiers: Vec<TierFigures>,
    /// How many warnings it came with.
    pub warnings: usize,
    /// What must be settled before it is spread, in words.
    pub stops: Vec<String>,
    /// What the farm keeps all fields from and is not near this one.
    pub kept_from_elsewhere: Vec<String>,
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
    pub zones: usize,
    /// What it is spread on.
    pub area: f64,
    /// What is spread.
    pub mass: f64,
}

impl Figures {
    /// Takes them from a field's totals; what is in other units is converted and rounded as it is
    /// printed, the tiers so that they still add up.
    #[must_use]
    pub fn of(totals: &Totals, system: System) -> Self {
        let area = rounded(&totals.total.area, system, AREA_DECIMALS);
        let mass = rounded(&totals.total.mass, system, MASS_DECIMALS);
        let mut tiers: Vec<TierFigures> =
            totals.tiers.iter().map(|tier| TierFigures::of(tier, totals.units, system)).collect();
        if totals.units != system {
            add_up(&mut tiers, area, mass);
        }
        let range = totals.certainty.as_ref().map(|certainty| {
            [
                rounded(&certainty.low, system, MASS_DECIMALS),
                rounded(&certainty.high, system, MASS_DECIMALS),
            ]
        });
        Self {
            job: totals.job.clone(),
            zones: tiers.iter().map(|tier| tier.zones).sum(),
            area,
            mass,
            range,
            flat: rounded(&totals.flat_rate.mass, system, MASS_DECIMALS),
            tiers,
            warnings: totals.warnings.len(),
            stops: stops(totals),
            kept_from_elsewhere: kept_from_elsewhere(totals),
            order: totals.order.as_ref().map(|order| OrderFigures::of(order, system)),
        }
    }
}

/// The texts of the gravest warnings.
fn stops(totals: &Totals) -> Vec<String> {
    let grave = totals.warnings.iter().filter(|warning| warning.gravity == Gravity::Stop);
    grave.map(|warning| warning.text.clone()).collect()
}

fn kept_from_elsewhere(totals: &Totals) -> Vec<String> {
    let elsewhere = |code: &str| code == "farm-keep-out-elsewhere";
    let told = totals.warnings.iter().filter(|warning| elsewhere(&warning.code));
    told.map(|warning| warning.text.clone()).collect()
}

impl TierFigures {
    fn of(tier: &Tier, written: System, system: System) -> Self {
        let rate = if written == system {
            tier.rate
        } else {
            Rate::from_si(tier.rate * Rate::unit(written).si).value_in(system)
        };
        Self {
            label: tier.label.clone(),
            rate: round_to(rate, RATE_DECIMALS),
            zones: tier.zones,
            area: tier.amount.area.value_in(system),
            mass: tier.amount.mass.value_in(system),
        }
    }
}

/// Rounds converted figures, which no longer add up by themselves, so that they do.
fn add_up(tiers: &mut [TierFigures], area: f64, mass: f64) {
    let areas: Vec<f64> = tiers.iter().map(|tier| tier.area).collect();
    let masses: Vec<f64> = tiers.iter().map(|tier| tier.mass).collect();
    let areas = apportion(&areas, area, AREA_DECIMALS);
    let parts = areas.into_iter().zip(apportion(&masses, mass, MASS_DECIMALS));
    for (tier, (area, mass)) in tiers.iter_mut().zip(parts) {
        (tier.area, tier.mass) = (area, mass);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::totals::{Amount, CREEK_BOTTOM, InUnits};

    /// A field of one hectare and two tonnes, the rest as in the golden totals.
    fn hectare() -> Totals {
        let mut totals = Totals::read(CREEK_BOTTOM).unwrap();
        let metric = System::Metric;
        let amount = Amount { area: InUnits::new(1.0, metric), mass: InUnits::new(2.0, metric) };
        totals.tiers.truncate(1);
        let tier = &mut totals.tiers[0];
        (tier.rate, tier.zones, tier.amount) = (2.0, 3, amount.clone());
        totals.total = amount;
        totals.flat_rate.mass = InUnits::new(2.0, metric);
        let certainty = totals.certainty.as_mut().unwrap();
        certainty.low = InUnits::new(1.5, metric);
        certainty.high = InUnits::new(2.5, metric);
        totals
    }

    /// NIST Handbook 44, appendix C: 1 ha = 2.47104 ac, 1 t = 1.10231 short ton; so 1 t/ha is
    /// 0.44609 ton/ac.
    #[test]
    fn other_units_are_converted() {
        let figures = Figures::of(&hectare(), System::Us);
        assert_eq!((figures.area, figures.mass, figures.flat), (2.47, 2.2, 2.2));
        assert_eq!(figures.range, Some([1.65, 2.76]));
        let tier = &figures.tiers[0];
        assert_eq!((tier.rate, tier.area, tier.zones), (0.8922, 2.47, 3));
        assert_eq!(figures.zones, 3);
        let same = Figures::of(&hectare(), System::Metric);
        assert_eq!((same.area, same.mass, same.tiers[0].rate), (1.0, 2.0, 2.0));
    }
}
