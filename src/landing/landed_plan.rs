use geo::Polygon;
use rayon::prelude::*;

use super::against_zones::{Verdict, inside, verdict};
use super::runs::inset;
use super::{
    Course, DrivenField, Landed, LandedCells, LandingTrial, Ledger, OnGround, Ramp, Response,
    Scene, SpreaderAtWork, TRACE, Throw, TurnedPlane, best_lead, headings, least_misplaced, wider,
};
use crate::geometry::OutOfReach;
use crate::plan::{Heading, Plan};
use crate::spreader::Machine;
use crate::spreader::gate::{GateTier, Limits, Solution, solve};
use crate::spreader::pans::Pattern;
use crate::units::{Length, Mass, Quantity, Rate, Speed, Time};
use crate::warning::Warning;
use crate::zones::longest_side;

/// What is asked of a landed map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LandingSettings {
    /// How the passes run.
    pub heading: PassDirection,
    /// How often the machine goes round before the passes.
    pub rounds: usize,
    /// The speed; the middle of the machine's ground speeds where none is given.
    pub speed: Option<Speed>,
    /// The controller's look-ahead; the machine's where none is given.
    pub lead: Option<Time>,
    /// The side of the cells; where none is given 2 ft, or as much wider as a large field needs.
    pub side: Option<Length>,
    /// Whether other headings and swaths are tried.
    pub tries: bool,
}

impl Default for LandingSettings {
    fn default() -> Self {
        Self {
            heading: PassDirection::Rows,
            rounds: 1,
            speed: None,
            lead: None,
            side: None,
            tries: false,
        }
    }
}

/// How the passes run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PassDirection {
    /// As the job's rows do, or else along the longest side.
    Rows,
    /// At a heading, in radians clockwise from north.
    Heading(f64),
    /// Along the longest side, whatever the rows say.
    Longest,
    /// As misplaces least.
    Best,
}

/// The landed map of a plan, and what other settings would do.
///
/// ```
/// use std::path::Path;
///
/// use landplaster::landing::Landing;
/// use landplaster::plan::plan;
/// use landplaster::spreader::machine;
/// use landplaster::work::{Memory, Work};
///
/// # let field = r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
/// #     [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;
/// # let samples = "id,longitude,latitude,cec\n\
/// #     A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
/// #     B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";
/// # let text = r#"
/// # [machine]
/// # name = "belt spreader"
/// # swath = "40 ft"
/// # belt_width = "30 in"
/// # belt_speed = ["3 ft/min", "60 ft/min"]
/// # gate_opening = ["2 in", "14 in"]
/// # hopper_volume = "300 ft3"
/// # legal_load = "8 ton"
/// # fill_factor = "85 %"
/// # ground_speed = ["6 mph", "10 mph"]
/// #
/// # [material]
/// # name = "mined gypsum"
/// # bulk_density = "60 lb/ft3"
/// # "#;
/// let mut files = Memory::default();
/// files.put("field.geojson", field).put("samples.csv", samples);
/// let job = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";
/// let prepared = Work::of_file(Path::new("corner.toml"), job)?.prepare(&files)?;
/// let plan = plan(prepared.field, prepared.settings)?;
/// let machine = machine::read("machine.toml", text)?;
/// let landed = Landing::new(&plan, &machine, None, &prepared.landing)?.landed;
///
/// // What is over and what is short make up the whole difference to the plan.
/// let planned: f64 = landed.zones.iter().map(|zone| zone.planned).sum();
/// assert!((landed.total - (planned + landed.over - landed.short)).abs() < 1e-6 * planned);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Landing {
    /// What was driven.
    pub driven: DrivenField,
    /// How the field was driven.
    pub course: Course,
    /// How the machine answered and threw.
    pub spreading: SpreaderAtWork,
    /// The gate opening that sets what the belt can carry.
    pub opening: Length,
    /// What landed.
    pub cells: LandedCells,
    /// Held against the zones.
    pub landed: Landed,
    /// The keep-outs on which more than a trace lands.
    pub wider: Vec<WiderKeepOut>,
    /// The same along the edge of the field.
    pub headland: Headland,
    /// What a machine without delay, ramps and belt bounds would misplace on the same way.
    pub at_once: Mass,
    /// The look-ahead that misplaces least.
    pub lead: Option<LandingTrial<Time>>,
    /// What each heading misplaces, radians clockwise from north; the first is the one driven. Empty
    /// where none were tried.
    pub headings: Vec<LandingTrial<f64>>,
    /// What each swath misplaces, the rate controller knowing it; narrower, wider.
    pub swaths: Vec<LandingTrial<Length>>,
}

/// How much wider a keep-out must be made to stay clean; none where no width in reach does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WiderKeepOut {
    /// Which of the field's keep-outs.
    pub number: usize,
    /// The highest rate on it.
    pub highest: Rate,
    /// What lands on it.
    pub mass: Mass,
    /// With the machine as it is.
    pub as_it_is: Option<Length>,
    /// With the look-ahead that misplaces least.
    pub with_best_lead: Option<Length>,
}

/// How the ground along the edge of the field, as wide as the headland and one swath, is spread.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Headland {
    /// Its area, m2.
    pub area: f64,
    /// Of that, what got less than nine tenths of its rate.
    pub too_little: f64,
    /// Of that, what got more than eleven tenths.
    pub too_much: f64,
}

/// Why a plan cannot be spread.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LandingError {
    /// A zone has no place in the field's frame.
    #[error(transparent)]
    Position(#[from] OutOfReach),
    /// The cells would fill the memory.
    #[error(
        "what lands: found {count:.0} cells, expected at most 20 million; take a larger cell, such as --cell \"4 ft\""
    )]
    TooManyCells {
        /// How many it would be.
        count: f64,
    },
}

/// Fine enough for any pattern: pans stand farther apart.
const SIDE: Length = Length::feet(2.0);

/// A field of 2 miles square in cells of 2 ft; 160 MB.
const MOST_CELLS: f64 = 2e7;

/// Swaths that are tried, as shares of the machine's own.
const SWATHS: [f64; 7] = [0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3];

impl Landing {
    /// Spreads a plan with a machine and its pattern; a triangle where none was measured.
    ///
    /// # Errors
    /// When the cells are too many to count, or as [`Scene::of`].
    pub fn new(
        plan: &Plan,
        machine: &Machine,
        pattern: Option<&Pattern>,
        asked: &LandingSettings,
    ) -> Result<Self, LandingError> {
        Self::of_scene(plan, &Scene::of(plan)?, machine, pattern, asked)
    }

    /// The same where the controller reads a map of its own in place of the zones, such as the
    /// grid of the task data: rates and where they hold, in WGS84.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn reading(
        map: &[(Rate, Polygon<f64>)],
        plan: &Plan,
        machine: &Machine,
        pattern: Option<&Pattern>,
        asked: &LandingSettings,
    ) -> Result<Self, LandingError> {
        let scene = Scene::of(plan)?.asking(map, plan.field.boundary.frame())?;
        Self::of_scene(plan, &scene, machine, pattern, asked)
    }

    fn of_scene(
        plan: &Plan,
        scene: &Scene,
        machine: &Machine,
        pattern: Option<&Pattern>,
        asked: &LandingSettings,
    ) -> Result<Self, LandingError> {
        let speed =
            asked.speed.unwrap_or((machine.ground_speed.least + machine.ground_speed.most) / 2.0);
        let (spreading, opening) = spreading(plan, machine, pattern, asked.lead);
        let side = cells_of(scene, &spreading, asked.side)?;
        let course = Course {
            swath: machine.swath,
            rounds: asked.rounds,
            speed,
            run_out: run_out(&spreading.response, speed),
        };
        let rows = match (asked.heading, plan.settings.rows.map(|rows| rows.heading)) {
            (PassDirection::Heading(heading), _) => heading,
            (PassDirection::Rows | PassDirection::Best, Some(Heading::Degrees(degrees))) => {
                degrees.to_radians()
            }
            (PassDirection::Rows | PassDirection::Best | PassDirection::Longest, _) => {
                longest_side(plan.field.boundary.local())
            }
        };
        let rows = TurnedPlane::northward(rows);
        let is_best = asked.heading == PassDirection::Best;
        let mut tried = if asked.tries || is_best {
            headings(scene, &[rows], &course, &spreading, side)
        } else {
            Vec::new()
        };
        if is_best && let Some(best) = least_misplaced(&tried) {
            tried.insert(0, best);
        }
        let heading = tried.first().map_or(rows, |trial| trial.setting);
        let driven = scene.driven(heading, &course);
        let cells = driven.spread(&spreading, side);
        let ledger = Ledger::new(&driven.ground, &cells);
        let ideal = Response { belt: None, ..Response::IDEAL };
        let at_once = driven.spread(&SpreaderAtWork { response: ideal, ..spreading.clone() }, side);
        let at_once = Mass::from_si(ledger.misplaced(&at_once));
        let landed = ledger.judged(&cells);
        let headland = Headland::new(&driven, &course, &ledger, &cells);
        let lead = best_lead(&driven, &spreading, side);
        let best =
            Response { lead: lead.map_or(Time::ZERO, |best| best.setting), ..spreading.response };
        let best = SpreaderAtWork { response: best, ..spreading.clone() };
        let wider = |spreading, number| wider(scene, heading, &course, spreading, side, number);
        let dirty = landed.kept_out.iter().filter(|one| one.highest > TRACE);
        let wider = dirty.map(|one| WiderKeepOut {
            number: one.number,
            highest: Rate::from_si(one.highest),
            mass: Mass::from_si(one.landed),
            as_it_is: wider(&spreading, one.number),
            with_best_lead: wider(&best, one.number),
        });
        let wider = wider.collect();
        let swaths = if asked.tries {
            swaths(scene, heading, &course, &spreading, side)
        } else {
            Vec::new()
        };
        Ok(Self {
            driven,
            course,
            spreading,
            opening,
            cells,
            landed,
            wider,
            headland,
            at_once,
            lead,
            headings: tried,
            swaths,
        })
    }

    /// What lands where nothing may.
    #[must_use]
    pub fn warnings(&self, plan: &Plan) -> Vec<Warning> {
        let warning = |of: &WiderKeepOut| {
            let keep_out = plan.field.keep_outs.get(of.number)?;
            let needed = of.as_it_is.map(|wider| keep_out.distance + wider);
            let better = of.with_best_lead.map(|wider| keep_out.distance + wider);
            // A foot less is worth a word.
            let better = better
                .filter(|better| needed.is_none_or(|needed| *better + Length::feet(1.0) <= needed));
            Some(Warning::LandsOnKeepOut {
                why: keep_out.why.clone(),
                distance: keep_out.distance,
                highest: of.highest,
                mass: of.mass,
                needed,
                with_look_ahead: self.lead.map(|lead| lead.setting).zip(better),
            })
        };
        self.wider.iter().filter_map(warning).collect()
    }

    /// What there is to draw.
    #[must_use]
    pub fn on_ground(&self) -> OnGround<'_> {
        OnGround { ground: &self.driven.ground, cells: &self.cells }
    }

    /// The heading that was driven, radians clockwise from north.
    #[must_use]
    pub fn heading(&self) -> f64 {
        self.driven.ground.turned().heading()
    }
}

/// The side of the cells: as asked, else 2 ft or as much wider as a large field needs.
pub(super) fn cells_of(
    scene: &Scene,
    spreading: &SpreaderAtWork,
    asked: Option<Length>,
) -> Result<Length, LandingError> {
    let count = |side| scene.most_cells(spreading, side);
    if let Some(count) = asked.map(count).filter(|count| *count > MOST_CELLS) {
        return Err(LandingError::TooManyCells { count });
    }
    let mut side = asked.unwrap_or(SIDE);
    while count(side) > MOST_CELLS {
        side = side * 2.0;
    }
    Ok(side)
}

/// The machine as it spreads the plan's rates, under the gate opening that its table recommends.
pub(super) fn spreading(
    plan: &Plan,
    machine: &Machine,
    pattern: Option<&Pattern>,
    lead: Option<Time>,
) -> (SpreaderAtWork, Length) {
    let of_plan = plan.tiers.iter().filter(|(_, amount)| amount.mass > Mass::ZERO);
    let tiers: Vec<GateTier> = of_plan
        .map(|(tier, _)| GateTier { label: tier.label.clone(), rate: tier.rate, area: None })
        .collect();
    let opening = match solve(&Limits::from(machine), &tiers) {
        Solution::Opening(found) => found.opening,
        Solution::NoOpening(found) => found.nearest,
    };
    let response = Response::of(machine, opening);
    let response = Response { lead: lead.unwrap_or(response.lead), ..response };
    let throw = pattern.and_then(Throw::of).unwrap_or_else(|| Throw::triangle(machine.swath));
    (SpreaderAtWork { response, throw, swath: machine.swath }, opening)
}

/// How far the machine must drive on before nothing falls any more: past its delay and its ramp.
fn run_out(response: &Response, speed: Speed) -> Length {
    // After seven time constants a thousandth of the flow is left.
    let ramp = match response.fall {
        Ramp::Straight(time) => time,
        Ramp::FirstOrder(constant) => constant * 7.0,
    };
    let time = response.delay + ramp;
    Length::from_si(time.si() * speed.si() + response.behind.si().max(0.0))
}

/// What each swath misplaces.
fn swaths(
    scene: &Scene,
    heading: f64,
    course: &Course,
    spreading: &SpreaderAtWork,
    side: Length,
) -> Vec<LandingTrial<Length>> {
    let tried = |share: f64| {
        let swath = course.swath * share;
        let driven = scene.driven(heading, &Course { swath, ..*course });
        let cells = driven.spread(&SpreaderAtWork { swath, ..spreading.clone() }, side);
        let misplaced = Ledger::new(&driven.ground, &cells).misplaced(&cells);
        LandingTrial { setting: swath, misplaced }
    };
    SWATHS.into_par_iter().map(tried).collect()
}

impl Headland {
    fn new(
        driven: &DrivenField,
        course: &Course,
        ledger: &Ledger<'_>,
        cells: &LandedCells,
    ) -> Self {
        let middle = inset(driven.ground.field(), (course.rounds + 1) as f64 * course.swath.si());
        let mut inner = vec![false; cells.mass.len()];
        inside(&middle.0, cells, |run| {
            if let Some(cells) = inner.get_mut(run) {
                cells.fill(true);
            }
        });
        let mut headland = Self::default();
        for ((cell, mass), inner) in cells.mass.iter().enumerate().zip(inner) {
            let patch = ledger.patch(cell).and_then(|i| driven.ground.patches().get(i));
            let Some(patch) = patch.filter(|patch| patch.rate > 0.0 && !inner) else { continue };
            let share = mass / cells.area() / patch.rate;
            headland.area += cells.area();
            match verdict(share) {
                Verdict::TooLittle => headland.too_little += cells.area(),
                Verdict::TooMuch => headland.too_much += cells.area(),
                Verdict::Within => {}
            }
        }
        headland
    }
}
