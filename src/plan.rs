//! The main job on one screen: a checked field and its settings in, a prescription out.
//!
//! It goes in stages that can be kept: [`Surfaced`] (the field and its CEC surface), [`Zoned`] (the
//! tiers' zones), [`Plan`] (amounts, certainty, piles, the order). Who keeps the first changes tiers,
//! clean-up or prices and runs only what depends on them.

mod amounts;
mod area_by_cec;
mod certainty;
mod checked;
mod clean_up;
mod fit;
mod layers;
mod model;
mod more_samples;
mod near_water;
mod node_odds;
mod ordering;
mod printed_piles;
mod representative_nodes;
mod sampled_ground;
mod second_look;
mod settings;
mod soil_reasons;
mod stockpiled;
mod surfaced;
mod warnings;
mod zone_row;
mod zoned;

use geo::Polygon;

pub use area_by_cec::AreaByCec;
pub use clean_up::{CleanedUp, TierChange};
pub use fit::Fit;
pub(crate) use layers::{DrawnLayer, access, layers};
pub use model::{KrigingReport, SurfaceReport};
pub use more_samples::MoreSamples;
pub(crate) use printed_piles::{printed_tons, printed_zones};
pub use second_look::SecondLook;
pub use settings::{About, Heading, Method, Rows, Settings, SurfaceSettings, Unspread};
pub use soil_reasons::{SampleReasons, SoilReasons};
pub use surfaced::{AreasApartError, Surfaced};
pub(crate) use zone_row::{CEC_DECIMALS, ZoneRow, written_rate, zone_rate};
pub use zoned::Zoned;

pub use crate::stockpile::PileRequest;
pub use crate::zones::{CleanUp, Islands, Joined, Prefer};

use self::certainty::certainty_of;
use crate::certainty::Certainty;
use crate::field::{Field, KeepOut};
use crate::geometry::OutOfReach;
use crate::order::Order;
use crate::soil::{Tier, TierIndex};
use crate::stockpile::{Stockpile, StockpileError};
use crate::surface::SurfaceError;
use crate::tonnage::Amount;
use crate::units::{Area, Length, Mass, Rate};
use crate::warning::Warning;
use crate::zones::RimError;
use amounts::ZoneAmounts;
use checked::check;
use ordering::order_of;
use second_look::DoubtfulSample;
use stockpiled::stockpile;
use warnings::warnings;

/// A connected piece of the field that takes one rate.
#[derive(Clone, Debug)]
pub struct Zone {
    /// From 1: by tier, the larger first.
    pub number: usize,
    /// Its tier.
    pub tier: TierIndex,
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
    /// The tier of that CEC.
    pub tier: TierIndex,
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
///
/// ```
/// use std::path::Path;
///
/// use landplaster::plan::{Plan, Surfaced, Zoned};
/// use landplaster::soil::Tiers;
/// use landplaster::work::{Memory, Work};
///
/// # let field = r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
/// #     [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;
/// # let samples = "id,longitude,latitude,cec\n\
/// #     A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
/// #     B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";
/// let mut files = Memory::default();
/// files.put("field.geojson", field).put("samples.csv", samples);
/// let job = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";
/// let prepared = Work::of_file(Path::new("corner.toml"), job)?.prepare(&files)?;
/// let settings = prepared.settings;
///
/// // The surface is kept; the stages after it are made twice, the second time at one rate.
/// let surfaced = Surfaced::new(prepared.field, &settings.surface, settings.grid)?;
/// let plan = Plan::new(&surfaced, &Zoned::new(&surfaced, &settings)?, settings.clone())?;
/// assert_eq!(plan.tiers.len(), 3);
///
/// let mut one_rate = settings;
/// one_rate.tiers = Tiers::new(&["all: 1 ton/ac".parse()?])?;
/// let plan = Plan::new(&surfaced, &Zoned::new(&surfaced, &one_rate)?, one_rate)?;
/// assert_eq!(plan.zones.len(), 1);
/// assert_eq!(plan.total.printed_mass, plan.total.printed_area);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
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
        let amounts = ZoneAmounts::new(surfaced, zoned, &settings);
        check(&amounts, &field.boundary)?;
        let certainty = certainty_of(surfaced, &amounts, coverage, &settings.tiers);
        let soil = SoilReasons::new(field, &settings.sodic);
        let stockpile = stockpile(field, &settings, &amounts, coverage)?;
        let order = order_of(field, &settings, &amounts, stockpile.as_ref());
        let (lattice, inside) = (&surfaced.ground.lattice, surfaced.mesh.inside());
        let weighed = |doubt: &DoubtfulSample| doubt.weighed(lattice, inside, &settings.tiers);
        let second_looks: Vec<SecondLook> = surfaced.ground.doubts.iter().map(weighed).collect();
        let warnings = warnings(
            (surfaced, zoned),
            &settings,
            &amounts,
            &second_looks,
            soil.as_ref(),
            stockpile.as_ref(),
        );
        let ZoneAmounts { zones, unspread, tiers, total, flat, .. } = amounts;
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

    /// The zones of a tier.
    pub fn zones_of(&self, tier: TierIndex) -> impl Iterator<Item = &Zone> {
        self.zones.iter().filter(move |zone| zone.tier == tier)
    }

    /// How the machine drives where zones are made of its rows: the heading in radians clockwise from
    /// true north, and the distance from pass to pass.
    #[must_use]
    pub fn pass_heading(&self) -> Option<(f64, Length)> {
        let rows = self.settings.rows?;
        Some((rows.passes(self.field.boundary.local()).heading, rows.swath))
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
        "zones: {found}, expected zones that cover the field once; set another [surface] grid, and tell the developers, with the job's files"
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
