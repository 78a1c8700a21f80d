//! The attributes of a zone as printed and written, the same everywhere.

use geo::Polygon;

use super::{Plan, Unspread, UnspreadPiece, Zone};
use crate::tonnage::{AREA_DECIMALS, RATE_DECIMALS};
use crate::units::{Quantity, Rate, System, round_to};

/// Decimals of a written CEC; laboratories print one.
pub const CEC_DECIMALS: u32 = 2;

/// One zone as it is written.
#[derive(Debug)]
pub struct ZoneRow<'a> {
    pub polygon: &'a Polygon<f64>,
    pub zone: usize,
    /// 0 for what is not spread.
    pub tier: usize,
    pub label: &'a str,
    pub rate: f64,
    pub rate_unit: &'static str,
    pub area: f64,
    pub mass: f64,
    pub cec_mean: f64,
}

impl<'a> ZoneRow<'a> {
    /// The zones, then what is not spread, if it is to be written.
    pub fn all(plan: &'a Plan) -> Vec<Self> {
        let mut rows: Vec<Self> = plan.zones.iter().map(|zone| Self::of(plan, zone)).collect();
        if plan.settings.unspread == Unspread::RateZero {
            rows.extend(Self::unspread(plan));
        }
        rows
    }

    /// What is not spread, numbered on from the zones, whether it is to be written as zones or not.
    pub fn unspread(plan: &'a Plan) -> Vec<Self> {
        let system = plan.settings.system;
        let row = |(zone, piece): (usize, &'a UnspreadPiece)| Self {
            polygon: &piece.polygon,
            zone,
            tier: 0,
            label: &piece.why,
            rate: 0.0,
            rate_unit: Rate::unit(system).symbol(),
            area: round_to(piece.area.value_in(system), AREA_DECIMALS),
            mass: 0.0,
            cec_mean: round_to(piece.cec_mean, CEC_DECIMALS),
        };
        (plan.zones.len() + 1..).zip(&plan.unspread).map(row).collect()
    }

    pub fn of(plan: &'a Plan, zone: &'a Zone) -> Self {
        let system = plan.settings.system;
        let tier = plan.settings.tiers.get(zone.tier);
        Self {
            polygon: &zone.polygon,
            zone: zone.number,
            tier: zone.tier.number(),
            label: tier.map_or("", |tier| tier.label.as_str()),
            rate: written_rate(zone_rate(plan, zone), system),
            rate_unit: Rate::unit(system).symbol(),
            area: zone.amount.printed_area,
            mass: zone.amount.printed_mass,
            cec_mean: round_to(zone.cec_mean, CEC_DECIMALS),
        }
    }
}

/// What goes on a zone.
pub fn zone_rate(plan: &Plan, zone: &Zone) -> Rate {
    plan.settings.tiers.rate_of(zone.tier)
}

pub fn written_rate(rate: Rate, system: System) -> f64 {
    round_to(rate.value_in(system), RATE_DECIMALS)
}
