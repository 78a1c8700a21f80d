use geo::Coord;

use super::deposit::lay;
use super::landed_plan::spreading;
use super::runs::SpreadPart;
use super::track::Lookup;
use super::{
    Landed, LandedCells, LandingError, Ledger, OnGround, Release, Response, Run, Scene,
    SpreaderAtWork, Throw, TurnedPlane, cells_of,
};
use crate::plan::Plan;
use crate::spreader::Machine;
use crate::spreader::pans::Pattern;
use crate::timelog::{Drive, Log, MassSource, Pose, way};
use crate::units::{Length, Mass, Quantity, Time};

/// What landed by the machines' own logs, and what the map would have landed on the same way.
#[derive(Clone, Debug)]
pub struct Logged {
    ground: super::LandingGround,
    /// What landed: what was logged, laid down with the pattern.
    pub cells: LandedCells,
    /// Held against the zones.
    pub landed: Landed,
    /// How the machine threw, and answers to the map.
    pub spreading: SpreaderAtWork,
    /// How many logs had something spread on the field.
    pub logs: usize,
    /// What the masses are known by, each once.
    pub by: Vec<MassSource>,
    /// The mass that the logs put on the cells and beyond.
    pub mass: Mass,
    /// What lands where the machine follows the map on the same way, switched on where it was.
    pub by_map: Landed,
}

/// From one logged position to the next.
struct Leg {
    poses: [Pose; 2],
    /// The middle of what was spread, at both; in the turned plane as all that follows.
    middles: [Coord<f64>; 2],
    /// Whether no section was on.
    is_off: bool,
    /// kg.
    mass: f64,
    /// Where some sections were off, those that were not: their middles at both, width and mass.
    parts: Vec<([Coord<f64>; 2], f64, f64)>,
}

impl Logged {
    /// Lays logs on a plan's field with a machine's pattern; a triangle where none was measured.
    /// None where nothing was spread near the field.
    ///
    /// # Errors
    /// As [`Landing::new`](super::Landing::new).
    pub fn new(
        plan: &Plan,
        logs: &[Log],
        machine: &Machine,
        pattern: Option<&Pattern>,
        (lead, side): (Option<Time>, Option<Length>),
    ) -> Result<Option<Self>, LandingError> {
        let scene = Scene::of(plan)?;
        let (spreading, _) = spreading(plan, machine, pattern, lead);
        let side = cells_of(&scene, &spreading, side)?;
        let turned = TurnedPlane::to(0.0);
        let ground = super::LandingGround::new(&scene.field, &scene.patches, turned);
        let mut cells = LandedCells::over(ground.field(), spreading.room(), side.si());
        let mut followed = cells.clone();
        let lookup = Lookup::new(&ground);
        let frame = plan.field.boundary.frame();
        let (mut count, mut by, mut mass) = (0, Vec::new(), 0.0);
        for log in logs {
            let poses = way(log, frame);
            let drives = log.machines.iter();
            let drives = drives
                .filter_map(|machine_of| Drive::new(log, machine_of, &poses, Some(machine.swath)));
            for drive in drives {
                let runs = runs(&drive, &cells);
                let laid: f64 = runs.iter().flatten().map(|leg| leg.mass).sum();
                if laid <= 0.0 {
                    continue;
                }
                count += 1;
                mass += laid;
                by.push(drive.by);
                let is_placed = drive.machine.sections.iter().any(|s| s.ahead != Length::ZERO);
                let behind = if is_placed { Length::ZERO } else { spreading.response.behind };
                for leg in runs.iter().flatten() {
                    leg.lay(&spreading.throw, behind, &mut cells);
                }
                for legs in &runs {
                    follow(legs, &lookup, &spreading, &mut followed);
                }
            }
        }
        if count == 0 {
            return Ok(None);
        }
        by.sort_unstable();
        by.dedup();
        let ledger = Ledger::new(&ground, &cells);
        let (landed, by_map) = (ledger.judged(&cells), ledger.judged(&followed));
        let mass = Mass::from_si(mass);
        Ok(Some(Self { ground, cells, landed, spreading, logs: count, by, mass, by_map }))
    }

    /// What there is to draw.
    #[must_use]
    pub fn on_ground(&self) -> OnGround<'_> {
        OnGround { ground: &self.ground, cells: &self.cells }
    }
}

impl Leg {
    fn seconds(&self) -> f64 {
        let [from, to] = &self.poses;
        to.time - from.time
    }

    fn lay(&self, throw: &Throw, behind: Length, cells: &mut LandedCells) {
        let seconds = self.seconds();
        let mut drop = |[from, to]: [Coord<f64>; 2], throw: &Throw, mass: f64| {
            if mass > 0.0 && seconds > 0.0 {
                let run = Run { places: vec![(from, 0.0), (to, seconds)], over: SpreadPart::Field };
                lay(&run, &Release::steady(0.0, mass / seconds), behind, throw, cells);
            }
        };
        if self.parts.is_empty() {
            drop(self.middles, throw, self.mass);
        }
        for (middles, width, mass) in &self.parts {
            drop(*middles, &Throw::even(Length::metres(*width)), *mass);
        }
    }
}

/// The legs of a machine that come near the cells, in runs without a gap.
fn runs(drive: &Drive<'_>, cells: &LandedCells) -> Vec<Vec<Leg>> {
    let mut runs: Vec<Vec<Leg>> = vec![Vec::new()];
    let sections = drive.machine.sections.len();
    drive.steps(|step| {
        let middles = [step.from, step.to].map(|pose| drive.middle(pose));
        let is_near = middles.iter().any(|at| cells.at(*at).is_some());
        if step.to.begins || !is_near {
            if runs.last().is_some_and(|legs| !legs.is_empty()) {
                runs.push(Vec::new());
            }
            return;
        }
        let mass: f64 = step.strips.iter().map(|strip| strip.rate * strip.area).sum();
        let some_are_off = step.strips.len() < sections;
        let parts = step.strips.iter().filter(|_| some_are_off).map(|strip| {
            let [left, right, far_right, far_left] = strip.corners;
            let width = libm::hypot((right - left).x, (right - left).y);
            ([(left + right) / 2.0, (far_left + far_right) / 2.0], width, strip.rate * strip.area)
        });
        let leg = Leg {
            poses: [*step.from, *step.to],
            middles,
            is_off: step.is_off,
            mass,
            parts: parts.collect(),
        };
        if let Some(legs) = runs.last_mut() {
            legs.push(leg);
        }
    });
    runs
}

/// Lays down what a machine that follows the map releases along legs, switched on where it was.
fn follow(legs: &[Leg], lookup: &Lookup<'_>, spreading: &SpreaderAtWork, cells: &mut LandedCells) {
    let Some(first) = legs.first() else { return };
    let start = first.poses[0].time;
    let ends = legs.iter().map(|leg| &leg.poses[1]);
    let places = std::iter::once(&first.poses[0]).chain(ends);
    let places = places.map(|pose| (pose.at, pose.time - start)).collect();
    let run = Run { places, over: SpreadPart::Field };
    let on: Vec<bool> = legs.iter().map(|leg| !leg.is_off).collect();
    let asked = lookup.asked(&run, &on);
    let Response { behind, .. } = spreading.response;
    let release = Release::new(&run, &asked, &spreading.response, spreading.swath);
    lay(&run, &release, behind, &spreading.throw, cells);
}
