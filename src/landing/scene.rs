use geo::{BoundingRect, MapCoordsInPlace as _, MultiPolygon, Polygon};

use super::deposit::lay;
use super::{
    Course, LandedCells, LandingGround, PatchUse, Prescription, Release, Response, Run, Throw,
    TurnedPlane,
};
use crate::geometry::{Frame, OutOfReach};
use crate::plan::Plan;
use crate::soil::TierIndex;
use crate::units::{Length, Quantity, Rate};

/// A spreader at work: how it answers to the map and where it throws.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreaderAtWork {
    /// How it answers.
    pub response: Response,
    /// Where it throws.
    pub throw: Throw,
    /// The swath that its controller reckons with.
    pub swath: Length,
}

impl SpreaderAtWork {
    /// How far from the way anything lands, in meters.
    pub(super) fn room(&self) -> f64 {
        let [left, right] = self.throw.reach();
        left.abs().max(right.abs()) + self.response.behind.si().abs()
    }
}

/// A field and its map, in the field's meters, to be driven in any way.
#[derive(Clone, Debug)]
pub struct Scene {
    /// The field's parts.
    pub field: MultiPolygon<f64>,
    /// What tiles it: zones and what is kept out, with rates in kg/m2.
    pub patches: Vec<(PatchUse, f64, Polygon<f64>)>,
    /// What the controller reads, where that is not the zones themselves: rates in kg/m2.
    pub asked: Option<Vec<(f64, Polygon<f64>)>>,
}

impl Scene {
    /// The field and the zones of a plan.
    ///
    /// # Errors
    /// When a zone's position is none in the field's frame, which no plan gives.
    pub fn of(plan: &Plan) -> Result<Self, OutOfReach> {
        let frame = plan.field.boundary.frame();
        let local = |polygon: &Polygon<f64>| {
            let mut polygon = polygon.clone();
            polygon.try_map_coords_in_place(|at| frame.to_local(at))?;
            Ok(polygon)
        };
        let rate = |tier: TierIndex| plan.settings.tiers.rate_of(tier).si();
        let zones = plan
            .zones
            .iter()
            .map(|zone| Ok((PatchUse::Zone(zone.number), rate(zone.tier), local(&zone.polygon)?)));
        let kept_out = plan
            .unspread
            .iter()
            .map(|piece| Ok((PatchUse::KeptOut(piece.keep_out), 0.0, local(&piece.polygon)?)));
        let patches = zones.chain(kept_out).collect::<Result<_, OutOfReach>>()?;
        Ok(Self { field: plan.field.boundary.local().clone(), patches, asked: None })
    }

    /// With a map that the controller reads in place of the zones, such as a grid, in WGS84.
    ///
    /// # Errors
    /// When a position is none in the field's frame.
    pub fn asking(self, map: &[(Rate, Polygon<f64>)], frame: &Frame) -> Result<Self, OutOfReach> {
        let local = |(rate, polygon): &(Rate, Polygon<f64>)| {
            let mut polygon = polygon.clone();
            polygon.try_map_coords_in_place(|at| frame.to_local(at))?;
            Ok((rate.si(), polygon))
        };
        let asked = map.iter().map(local).collect::<Result<_, OutOfReach>>()?;
        Ok(Self { asked: Some(asked), ..self })
    }

    /// At least as many cells as any heading needs.
    #[must_use]
    pub fn most_cells(&self, spreading: &SpreaderAtWork, side: Length) -> f64 {
        let Some(bounds) = self.field.bounding_rect() else { return 0.0 };
        let across = libm::hypot(bounds.width(), bounds.height()) + 2.0 * spreading.room();
        (across / side.si()).powi(2)
    }

    /// The field driven at a heading, in radians clockwise from north.
    #[must_use]
    pub fn driven(&self, heading: f64, course: &Course) -> DrivenField {
        let turned = TurnedPlane::to(heading);
        let ground = LandingGround::new(&self.field, &self.patches, turned);
        let (runs, inside) = course.runs(ground.field());
        let ground = ground.with_inside(&inside);
        let Some(asked) = &self.asked else { return DrivenField::new(ground, runs) };
        let asked: Vec<_> =
            asked.iter().map(|(rate, cells)| (PatchUse::Zone(0), *rate, cells.clone())).collect();
        let map = LandingGround::new(&self.field, &asked, turned).with_inside(&inside);
        let asked = runs.iter().map(|run| Prescription::of(&map, run)).collect();
        DrivenField { ground, runs, asked }
    }
}

/// A field and the ways over it, with what the map asks for along them: settings of the machine are
/// tried without reading the map again.
#[derive(Clone, Debug)]
pub struct DrivenField {
    /// The field.
    pub ground: LandingGround,
    /// The ways.
    pub runs: Vec<Run>,
    asked: Vec<Prescription>,
}

impl DrivenField {
    /// The ways over a field.
    #[must_use]
    pub fn new(ground: LandingGround, runs: Vec<Run>) -> Self {
        let asked = runs.iter().map(|run| Prescription::of(&ground, run)).collect();
        Self { ground, runs, asked }
    }

    /// What lands, in cells of a side.
    #[must_use]
    pub fn spread(&self, spreading: &SpreaderAtWork, side: Length) -> LandedCells {
        let mut cells = LandedCells::over(self.ground.field(), spreading.room(), side.si());
        for (run, asked) in self.runs.iter().zip(&self.asked) {
            let release = Release::new(run, asked, &spreading.response, spreading.swath);
            lay(run, &release, spreading.response.behind, &spreading.throw, &mut cells);
        }
        cells
    }
}
