//! The main job on one screen: a checked field and its settings in, a prescription out.

mod clean_up;
mod model;
mod ordering;
mod second_look;
mod settings;
mod soil_reasons;
mod stockpiled;
mod sureness;

use geo::{Coord, Geodesic, Length as _, MapCoords, Polygon};

pub use clean_up::{CleanedUp, TierChange};
pub use model::{KrigingReport, SurfaceReport};
pub use second_look::SecondLook;
pub use settings::{CleanUp, Heading, Method, Rows, Settings, SurfaceSettings, Unspread};
pub use soil_reasons::{SampleReasons, SoilReasons};

pub use crate::stockpile::Asked;
pub use crate::zones::Prefer;

use crate::certainty::Certainty;
use crate::field::{Field, KeepOut};
use crate::geometry::{Coverage, geodesic_area, is_sound};
use crate::order::Order;
use crate::projection::CrsError;
use crate::soil::{Tier, high_mean};
use crate::stockpile::{Stockpile, StockpileError};
use crate::surface::{Choice, Lattice, Point, SurfaceError};
use crate::tonnage::{Amount, Tonnage, tonnage};
use crate::units::{Area, Length, Mass, Quantity, Rate};
use crate::warning::{Warning, by_gravity};
use crate::written;
use model::Model;
use ordering::order_of;
use second_look::second_looks;
use stockpiled::stockpile;
use sureness::certainty_of;

use crate::zones::{
    Between, KEEP_OUT, Mesh, Nodes, RimError, Tiered, along_passes, clean_up, means, partition,
};

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

/// What one rate for the whole field would take.
#[derive(Clone, Debug)]
pub struct FlatRate {
    /// The mean of the interpolated CEC over the field, meq/100 g.
    pub cec_mean: f64,
    /// The tier of that CEC, from 0.
    pub tier: usize,
    /// That tier's rate.
    pub rate: Rate,
    /// The material for the field.
    pub mass: Mass,
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
    /// Samples that do not fit their neighbours.
    pub second_looks: Vec<SecondLook>,
    /// What is ordered, trucked and loaded; none unless the settings ask for it.
    pub order: Option<Order>,
    /// What the soil test says beside the CEC; none if it has no cations and no sodium.
    pub soil: Option<SoilReasons>,
    /// What somebody should look at before using the plan.
    pub warnings: Vec<Warning>,
}

impl Plan {
    /// The area that is not spread.
    #[must_use]
    pub fn unspread_area(&self) -> Area {
        self.unspread.iter().map(|piece| piece.area).sum()
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
    Position(#[from] CrsError),
    /// The piles that were asked for cannot be placed.
    #[error(transparent)]
    Stockpile(#[from] StockpileError),
    /// Zones that do not add up to the field, or cross themselves, are never written.
    #[error(
        "zones: {found}, expected zones that tile the field; set another surface grid and tell the developers, with the job's files"
    )]
    Zones {
        /// What is wrong.
        found: String,
    },
}

/// Plans a field.
///
/// # Errors
/// When the grid does not suit the field, or the zones do not tile it.
pub fn plan(field: Field, settings: Settings) -> Result<Plan, PlanError> {
    let boundary = &field.boundary;
    let points: Vec<Point> = field.samples.iter().map(point).collect();
    let model = Model::new(&points, &settings.surface)?;
    let surface = &*model.surface;
    let lattice = Lattice::over(boundary.local(), settings.grid.as_metres())?;
    let tiered = Tiered { surface, tiers: &settings.tiers };
    let places = field.samples.iter().map(|sample| sample.position);
    let places: Vec<Coord<f64>> = places.filter(|at| tiered.has_extent(*at)).collect();
    let keep_outs: Vec<_> = field.keep_outs.iter().map(|keep_out| keep_out.area.clone()).collect();
    let mesh = Mesh::fill(boundary.local(), &keep_outs, &places, lattice)?;
    let nodes = surface.on_lattice(&lattice);
    let off_lattice = mesh.extras().iter().map(|at| surface.at(at.x, at.y));
    let values: Vec<f64> = nodes.iter().copied().chain(off_lattice).collect();
    let classes: Vec<u32> = values.iter().map(|&value| settings.tiers.class(value)).collect();
    let raw = partition(&mesh, &values, &classes, Between::Strips, &tiered);
    let drivable = settings.clean_up.as_ref().map(CleanUp::drivable);
    let drawn = match (&settings.rows, &drivable) {
        (None, None) => None,
        (None, Some(drivable)) => Some(clean_up(&mesh, &values, &classes, &tiered, drivable)),
        (Some(rows), _) => {
            let nodes = Nodes { lattice: &lattice, inside: mesh.inside(), classes: &classes };
            let class_at = |at: Coord<f64>| settings.tiers.class(surface.at(at.x, at.y));
            let least =
                drivable.map_or((0.0, Prefer::Nearest), |asked| (asked.min_zone, asked.prefer));
            let passes = rows.passes(boundary.local());
            Some(along_passes(boundary.local(), &keep_outs, nodes, class_at, &passes, least)?)
        }
    };
    let cleaned_up = drawn
        .as_ref()
        .map(|pieces| CleanedUp::new(&raw.coverage, &pieces.coverage, &settings.tiers));
    let pieces = drawn.unwrap_or(raw);
    let cec_means = means(&pieces.coverage, &lattice, &nodes, |at| surface.at(at.x, at.y));
    let places = written::places(&pieces, boundary)?;
    let grid = (&lattice, nodes.as_slice());
    let second_looks =
        second_looks(&field, &model.inverse_distance, &lattice, &mesh, &settings.tiers)?;
    let drawn = Drawn::new(&pieces.coverage, &places, &cec_means, &field);
    let faces: Vec<usize> = drawn.spread.iter().map(|piece| piece.face).collect();
    let tiers = settings.tiers.clone();
    let plan = drawn.add_up(field, settings, model.report);
    let cautious = model.cautious.as_ref();
    let certainty =
        certainty_of(&plan.zones, &faces, &pieces.coverage, grid, surface, cautious, &tiers);
    let soil = SoilReasons::new(&plan.field, &plan.settings.sodic);
    let stockpile = stockpile(&plan, &faces, &pieces.coverage)?;
    let mut plan = Plan { cleaned_up, certainty, stockpile, second_looks, soil, ..plan };
    plan.order = order_of(&plan);
    plan.warnings = warnings(&plan);
    check(&plan)?;
    Ok(plan)
}

fn point(sample: &crate::field::Sample) -> Point {
    Point { easting: sample.position.x, northing: sample.position.y, value: sample.cec }
}

/// The pieces as they are written.
struct Drawn {
    /// By tier, the larger first.
    spread: Vec<SpreadPiece>,
    unspread: Vec<UnspreadPiece>,
}

struct SpreadPiece {
    /// Its number in the coverage.
    face: usize,
    tier: usize,
    polygon: Polygon<f64>,
    area: Area,
    cec_mean: f64,
}

impl Drawn {
    fn new(coverage: &Coverage, places: &[Coord<f64>], cec_means: &[f64], field: &Field) -> Self {
        let nowhere = Coord { x: f64::NAN, y: f64::NAN };
        let place = |id: u32| places.get(id as usize).copied().unwrap_or(nowhere);
        let (mut spread, mut unspread) = (Vec::new(), Vec::new());
        for (number, (face, &cec_mean)) in coverage.faces.iter().zip(cec_means).enumerate() {
            let polygon = coverage.polygon(face, place);
            let area = geodesic_area(&polygon);
            let keep_out = face.class.checked_sub(KEEP_OUT).map(|number| number as usize);
            match keep_out.and_then(|number| Some((number, field.keep_outs.get(number)?))) {
                None => spread.push(SpreadPiece {
                    face: number,
                    tier: face.class as usize,
                    polygon,
                    area,
                    cec_mean,
                }),
                Some((number, keep_out)) => unspread.push(UnspreadPiece {
                    keep_out: number,
                    why: keep_out.why.clone(),
                    distance: keep_out.distance,
                    polygon,
                    area,
                    cec_mean,
                }),
            }
        }
        spread.sort_by(|a: &SpreadPiece, b| {
            a.tier.cmp(&b.tier).then(b.area.si().total_cmp(&a.area.si()))
        });
        Self { spread, unspread }
    }

    fn add_up(self, field: Field, settings: Settings, surface: SurfaceReport) -> Plan {
        let rates: Vec<Rate> = settings.tiers.tiers().iter().map(|tier| tier.rate).collect();
        let areas: Vec<(usize, Area)> =
            self.spread.iter().map(|piece| (piece.tier, piece.area)).collect();
        let Tonnage { zones: amounts, tiers: tier_amounts, total } =
            tonnage(&areas, &rates, settings.system);
        let numbered = (1..).zip(self.spread).zip(amounts);
        let zones: Vec<Zone> = numbered
            .map(|((number, piece), amount)| Zone {
                number,
                tier: piece.tier,
                polygon: piece.polygon,
                amount,
                cec_mean: piece.cec_mean,
            })
            .collect();
        let share = |zone: &Zone| zone.amount.area / total.area;
        let cec_mean = zones.iter().map(|zone| zone.cec_mean * share(zone)).sum();
        let rate = settings.tiers.rate(cec_mean);
        let flat = FlatRate {
            cec_mean,
            tier: settings.tiers.class(cec_mean) as usize,
            rate,
            mass: rate * total.area,
        };
        let tiers = settings.tiers.tiers().iter().cloned().zip(tier_amounts).collect();
        Plan {
            settings,
            field,
            surface,
            zones,
            unspread: self.unspread,
            tiers,
            total,
            flat,
            cleaned_up: None,
            certainty: None,
            stockpile: None,
            second_looks: Vec::new(),
            order: None,
            soil: None,
            warnings: Vec::new(),
        }
    }
}

/// What the settings, the field and the plan itself have to say, the gravest first.
fn warnings(plan: &Plan) -> Vec<Warning> {
    let mut warnings = plan.settings.warnings.clone();
    warnings.extend(plan.field.warnings.iter().cloned());
    warnings.extend(high_mean(plan.total.mass / plan.total.area));
    warnings.extend(one_cec(&plan.field));
    match plan.surface.errors() {
        Some(errors) if !errors.beats_the_mean() => warnings.push(Warning::MapNoBetterThanMean {
            r2: errors.r2_against_mean,
            rate: plan.flat.rate,
            cec_mean: plan.flat.cec_mean,
            mass: plan.flat.mass,
        }),
        None => warnings.push(Warning::TooFewToJudge {
            samples: plan.field.samples.len(),
            expected: Choice::FEWEST_SAMPLES,
        }),
        Some(_) => {}
    }
    warnings.extend(plan.soil.iter().flat_map(SoilReasons::warnings));
    warnings.extend(stockpiled::warnings(plan));
    by_gravity(&mut warnings);
    warnings
}

/// What is said where all samples have the same CEC: a soil test hardly ever has.
fn one_cec(field: &Field) -> Option<Warning> {
    let (first, others) = field.samples.split_first()?;
    let same = !others.is_empty() && others.iter().all(|sample| sample.cec == first.cec);
    same.then(|| Warning::OneCec { samples: field.samples.len(), cec: first.cec })
}

/// The last look before anything is written: every piece is a sound polygon, and together they are
/// the field, to one part in a million of the boundary as it is written.
fn check(plan: &Plan) -> Result<(), PlanError> {
    if let Some(zone) = plan.zones.iter().find(|zone| !is_sound(&zone.polygon)) {
        return Err(PlanError::Zones { found: format!("zone {} crosses itself", zone.number) });
    }
    if let Some(piece) = plan.unspread.iter().find(|piece| !is_sound(&piece.polygon)) {
        return Err(PlanError::Zones {
            found: format!("the keep-out \"{}\" crosses itself", piece.why),
        });
    }
    let written = plan.field.boundary.wgs84().map_coords(written::rounded);
    let area: Area = written.iter().map(geodesic_area).sum();
    // A small field with long edges may bend by the millimetre that coordinates are written to.
    let around = written.iter().map(|part| Geodesic.length(part.exterior())).sum::<f64>();
    let allowed = (1e-6 * area.as_square_metres()).max(0.001 * around);
    let sum = plan.total.area + plan.unspread_area();
    if (sum - area).as_square_metres().abs() <= allowed {
        return Ok(());
    }
    let (sum, area) = (sum.as_acres(), area.as_acres());
    Err(PlanError::Zones { found: format!("{sum:.4} ac in zones and {area:.4} ac in the field") })
}
