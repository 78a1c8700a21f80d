//! The main job on one screen: a checked field and its settings in, a prescription out.

use geo::{Coord, Geodesic, Length as _, MapCoords, Polygon};

use crate::field::Field;
use crate::geometry::{Coverage, geodesic_area, is_sound};
use crate::projection::CrsError;
use crate::soil::{Tier, Tiers};
use crate::surface::{Idw, Lattice, Point, Surface, SurfaceError};
use crate::tonnage::{Amount, Tonnage, tonnage};
use crate::units::{Area, Length, Mass, Quantity, Rate, System};
use crate::written;
use crate::zones::{Mesh, RimError, Tiered, means, partition};

/// What a plan is made by, beside the field.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The job's name, which is its folder's too.
    pub job: String,
    /// The units that it prints in.
    pub system: System,
    /// How much goes on which CEC.
    pub tiers: Tiers,
    /// How the CEC between samples is found.
    pub idw: Idw,
    /// The distance between the lattice's nodes.
    pub grid: Length,
}

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
    /// The zones, by number.
    pub zones: Vec<Zone>,
    /// Per tier, from the lowest.
    pub tiers: Vec<(Tier, Amount)>,
    /// For the field.
    pub total: Amount,
    /// One rate instead.
    pub flat: FlatRate,
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
    let samples = &field.samples;
    let points = samples.iter().map(|s| Point {
        easting: s.position.x,
        northing: s.position.y,
        value: s.cec,
    });
    let surface = Surface::new(points.collect(), settings.idw)?;
    let lattice = Lattice::over(boundary.local(), settings.grid.as_metres())?;
    let tiered = Tiered { surface: &surface, tiers: &settings.tiers };
    let places: Vec<Coord<f64>> =
        samples.iter().map(|sample| sample.position).filter(|at| tiered.has_extent(*at)).collect();
    let mesh = Mesh::fill(boundary.local(), &places, lattice)?;
    let nodes = surface.on_lattice(&lattice);
    let off_lattice = mesh.extras().iter().map(|at| surface.at(at.x, at.y));
    let values: Vec<f64> = nodes.iter().copied().chain(off_lattice).collect();
    let pieces = partition(&mesh, &values, &tiered);
    let cec_means = means(&pieces.coverage, &lattice, &nodes, |at| surface.at(at.x, at.y));
    let places = written::places(&pieces, &mesh, boundary)?;
    finish(field, settings, &pieces.coverage, &places, &cec_means)
}

fn finish(
    field: Field,
    settings: Settings,
    coverage: &Coverage,
    places: &[Coord<f64>],
    cec_means: &[f64],
) -> Result<Plan, PlanError> {
    let nowhere = Coord { x: f64::NAN, y: f64::NAN };
    let place = |id: u32| places.get(id as usize).copied().unwrap_or(nowhere);
    let mut pieces: Vec<(usize, Polygon<f64>, Area, f64)> = Vec::new();
    for (face, &cec_mean) in coverage.faces.iter().zip(cec_means) {
        let polygon = coverage.polygon(face, place);
        let area = geodesic_area(&polygon);
        pieces.push((face.class as usize, polygon, area, cec_mean));
    }
    pieces.sort_by(|a, b| a.0.cmp(&b.0).then(b.2.si().total_cmp(&a.2.si())));
    let rates: Vec<Rate> = settings.tiers.tiers().iter().map(|tier| tier.rate).collect();
    let areas: Vec<(usize, Area)> = pieces.iter().map(|piece| (piece.0, piece.2)).collect();
    let Tonnage { zones: amounts, tiers: tier_amounts, total } =
        tonnage(&areas, &rates, settings.system);
    let zones: Vec<Zone> = pieces
        .into_iter()
        .zip(amounts)
        .enumerate()
        .map(|(i, ((tier, polygon, _, cec_mean), amount))| Zone {
            number: i + 1,
            tier,
            polygon,
            amount,
            cec_mean,
        })
        .collect();
    check(&zones, total.area, &field)?;
    let cec_mean = zones.iter().map(|zone| zone.cec_mean * (zone.amount.area / total.area)).sum();
    let tier = settings.tiers.class(cec_mean) as usize;
    let rate = settings.tiers.rate(cec_mean);
    let flat = FlatRate { cec_mean, tier, rate, mass: rate * total.area };
    let tiers = settings.tiers.tiers().iter().cloned().zip(tier_amounts).collect();
    Ok(Plan { settings, field, zones, tiers, total, flat })
}

/// The last look before anything is written: every zone is a sound polygon, and together they are
/// the field, to one part in a million of the boundary as it is written.
fn check(zones: &[Zone], sum: Area, field: &Field) -> Result<(), PlanError> {
    if let Some(zone) = zones.iter().find(|zone| !is_sound(&zone.polygon)) {
        return Err(PlanError::Zones { found: format!("zone {} crosses itself", zone.number) });
    }
    let written = field.boundary.wgs84().map_coords(written::rounded);
    let area: Area = written.iter().map(geodesic_area).sum();
    // A small field with long edges may bend by the millimetre that coordinates are written to.
    let around = written.iter().map(|part| Geodesic.length(part.exterior())).sum::<f64>();
    let allowed = (1e-6 * area.as_square_metres()).max(0.001 * around);
    if (sum - area).as_square_metres().abs() <= allowed {
        return Ok(());
    }
    let (sum, area) = (sum.as_acres(), area.as_acres());
    Err(PlanError::Zones { found: format!("{sum:.4} ac in zones and {area:.4} ac in the field") })
}
