//! The main job on one screen: a checked field and its settings in, a prescription out.
//!
//! It goes in stages that can be kept: [`Surfaced`] (the field and its CEC surface), [`Zoned`] (the
//! tiers' zones), [`Plan`] (amounts, certainty, piles, the order). Who keeps the first changes tiers,
//! clean-up or prices and runs only what depends on them.

mod amounts;
mod checked;
mod clean_up;
mod layers;
mod model;
mod near_water;
mod ordering;
mod printed_piles;
mod second_look;
mod settings;
mod soil_reasons;
mod stockpiled;
mod sureness;
mod surfaced;
mod warnings;
mod zone_row;
mod zoned;

use geo::Polygon;

pub use clean_up::{CleanedUp, TierChange};
pub(crate) use layers::{Layer, access, layers};
pub use model::{KrigingReport, SurfaceReport};
pub(crate) use printed_piles::{printed_tons, printed_zones};
pub use second_look::SecondLook;
pub use settings::{About, Heading, Method, Rows, Settings, SurfaceSettings, Unspread};
pub use soil_reasons::{SampleReasons, SoilReasons};
pub use surfaced::{KeptOutError, Surfaced};
pub(crate) use zone_row::{CEC_DECIMALS, ZoneRow, written_rate, zone_rate};
pub use zoned::Zoned;

pub use crate::stockpile::Asked;
pub use crate::zones::{CleanUp, Islands, Joined, Prefer};

use crate::certainty::Certainty;
use crate::field::{Field, KeepOut};
use crate::geometry::OutOfReach;
use crate::order::Order;
use crate::soil::Tier;
use crate::stockpile::{Stockpile, StockpileError};
use crate::surface::SurfaceError;
use crate::tonnage::Amount;
use crate::units::{Area, Length, Mass, Rate};
use crate::warning::Warning;
use crate::zones::RimError;
use amounts::Amounts;
use checked::check;
use ordering::order_of;
use second_look::Doubt;
use stockpiled::stockpile;
use sureness::certainty_of;
use warnings::warnings;

/// A connected piece of the field that takes one rate.
#[derive(Clone, Debug)]
pub struct Zone {
    /// From 1: by tier, the larger first.
    pub number: usize,
    /// Its tier, from 0.
    pub tier: usize,
    /// WGS84, degrees, rounded as written, outer ring counter-clockwise.
    pub polygon: Polygon<f64>,
    /// Its area and material.
    pub amount: Amount,
    /// The mean of the interpolated CEC over it, meq/100 g.
    pub cec_mean: f64,
}

/// A connected piece of the field that is not spread.
#[derive(Clone, Debug)]
pub struct UnspreadPiece {
    /// Which of the field's keep-outs it belongs to, from 0.
    pub keep_out: usize,
    /// What it is kept from.
    pub why: String,
    /// How far.
    pub distance: Length,
    /// WGS84, degrees, rounded as written, outer ring counter-clockwise.
    pub polygon: Polygon<f64>,
    /// Its area.
    pub area: Area,
    /// The mean of the interpolated CEC over it, meq/100 g.
    pub cec_mean: f64,
}

/// What one rate for the whole field would take, and what the map's tons are spread evenly.
#[derive(Clone, Debug)]
pub struct FlatRate {
    /// The mean of the interpolated CEC over the field, meq/100 g.
    pub cec_mean: f64,
    /// The tier of that CEC, from 0.
    pub tier: usize,
    /// Whether the job states the rate.
    pub is_stated: bool,
    /// The stated rate, or else that tier's: a step, which a little more or less of mean CEC may turn
    /// into another.
    pub rate: Rate,
    /// The CEC nearest to the mean at which it would be another tier's, and that tier's rate; none for a
    /// stated rate, or a single tier.
    pub step: Option<(f64, Rate)>,
    /// The material for the field.
    pub mass: Mass,
    /// The rate of the map's own material, spread evenly.
    pub even: Rate,
}

/// The prescription of one field.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What it was made by.
    pub settings: Settings,
    /// Where it came from and what was noticed.
    pub field: Field,
    /// How the surface was chosen.
    pub surface: SurfaceReport,
    /// The zones, by number.
    pub zones: Vec<Zone>,
    /// What is not spread, by cause.
    pub unspread: Vec<UnspreadPiece>,
    /// Per tier, from the lowest.
    pub tiers: Vec<(Tier, Amount)>,
    /// For what is spread.
    pub total: Amount,
    /// One rate instead.
    pub flat: FlatRate,
    /// What the clean-up of the zones moved; none when there was none.
    pub cleaned_up: Option<CleanedUp>,
    /// How sure the zones are; none for fewer than two samples.
    pub certainty: Option<Certainty>,
    /// The piles in the field; none where nobody asked.
    pub stockpile: Option<Stockpile>,
    /// Samples that do not fit their neighbors.
    pub second_looks: Vec<SecondLook>,
    /// What is ordered, trucked and loaded; none unless the settings ask for it.
    pub order: Option<Order>,
    /// What the soil test says beside the CEC; none if it has no cations and no sodium.
    pub soil: Option<SoilReasons>,
    /// What somebody should look at before using the plan.
    pub warnings: Vec<Warning>,
}

impl Plan {
    /// The last stage: amounts, how sure they are, piles, the order.
    ///
    /// # Errors
    /// When the zones were made by other settings or do not tile the field, or the piles that are
    /// asked for cannot be placed.
    pub fn new(surfaced: &Surfaced, zoned: &Zoned, settings: Settings) -> Result<Self, PlanError> {
        if !(surfaced.suits(&settings) && zoned.suits(&settings)) {
            return Err(PlanError::OtherStage);
        }
        let (field, coverage) = (&surfaced.field, &zoned.pieces.coverage);
        let amounts = Amounts::new(surfaced, zoned, &settings);
        check(&amounts, &field.boundary)?;
        let certainty = certainty_of(surfaced, &amounts, coverage, &settings.tiers);
        let soil = SoilReasons::new(field, &settings.sodic);
        let stockpile = stockpile(field, &settings, &amounts, coverage)?;
        let order = order_of(field, &settings, &amounts, stockpile.as_ref());
        let (lattice, inside) = (&surfaced.ground.lattice, surfaced.mesh.inside());
        let weighed = |doubt: &Doubt| doubt.weighed(lattice, inside, &settings.tiers);
        let second_looks: Vec<SecondLook> = surfaced.ground.doubts.iter().map(weighed).collect();
        let warnings = warnings(
            (surfaced, zoned),
            &settings,
            &amounts,
            &second_looks,
            soil.as_ref(),
            stockpile.as_ref(),
        );
        let Amounts { zones, unspread, tiers, total, flat, .. } = amounts;
        Ok(Self {
            field: field.clone(),
            surface: surfaced.report().clone(),
            cleaned_up: zoned.cleaned_up.clone(),
            zones,
            unspread,
            tiers,
            total,
            flat,
            certainty,
            stockpile,
            second_looks,
            order,
            soil,
            warnings,
            settings,
        })
    }

    /// The area that is not spread.
    #[must_use]
    pub fn unspread_area(&self) -> Area {
        self.unspread.iter().map(|piece| piece.area).sum()
    }

    /// Whether ground inside the field is in no zone as written.
    #[must_use]
    pub fn has_gaps(&self) -> bool {
        self.settings.unspread == Unspread::LeaveOut && !self.unspread.is_empty()
    }

    /// Each of the field's keep-outs with the area that is not spread because of it.
    pub fn unspread_by_cause(&self) -> impl Iterator<Item = (&KeepOut, Area)> {
        self.field.keep_outs.iter().enumerate().map(|(number, keep_out)| {
            let pieces = self.unspread.iter().filter(|piece| piece.keep_out == number);
            (keep_out, pieces.map(|piece| piece.area).sum())
        })
    }
}

/// Why a field could not be planned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The surface or its lattice cannot be made.
    #[error("surface: {0}")]
    Surface(#[from] SurfaceError),
    /// The field could not be filled with triangles.
    #[error(transparent)]
    Mesh(#[from] RimError),
    /// A position of the field has no longitude and latitude.
    #[error(transparent)]
    Position(#[from] OutOfReach),
    /// The piles that were asked for cannot be placed.
    #[error(transparent)]
    Stockpile(#[from] StockpileError),
    /// A surface or zones of some settings are asked to serve others.
    #[error("plan: surface or zones were made by other settings; make that stage again with these")]
    OtherStage,
    /// Zones that do not add up to the field, or cross themselves, are never written.
    #[error(
        "zones: {found}, expected zones that tile the field; set another surface grid and tell the developers, with the job's files"
    )]
    Zones {
        /// What is wrong.
        found: String,
    },
}

/// Plans a field: one stage after the other.
///
/// # Errors
/// When the grid does not suit the field, or the zones do not tile it.
pub fn plan(field: Field, settings: Settings) -> Result<Plan, PlanError> {
    let surfaced = Surfaced::new(field, &settings.surface, settings.grid)?;
    let zoned = Zoned::new(&surfaced, &settings)?;
    Plan::new(&surfaced, &zoned, settings)
}
