use geo::Coord;
use rayon::prelude::*;

use super::ground::{Ground, squared};
use super::knowledge::misplaced_by_knowledge;
use super::layout_variance::LayoutVariance;
use crate::soil::Tiers;
use crate::surface::{Interpolator, Kriging, Point, SurfaceError, Variogram};
use crate::units::{Area, Mass};

/// Nodes by which a sample is judged, and nodes at which one may be taken: about so many of each.
const JUDGES: f64 = 1200.0;
const CANDIDATES: usize = 500;
/// Steps in which the loss at a node is kept, by the part of the standard deviation that is known.
const STEPS: usize = 24;

/// What the next samples of a field are chosen for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The fewest tons misplaced: the probability of each wrong tier times the difference of rates.
    Tons,
    /// The least mean kriging variance.
    Variance,
}

/// What is expected of a map after one more sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextSample {
    /// Where it is taken, in the field's meters.
    pub place: Coord<f64>,
    /// The tons that are expected to be misplaced after it and those before it.
    pub misplaced: Mass,
    /// The mean kriging variance then, in the samples' unit squared.
    pub variance: f64,
}

/// What a field's samples leave unknown, and what more of them would show.
///
/// Kriging from the samples says at every node what a new sample is expected to show, and how far that
/// may be off; the errors of any two nodes go together by a covariance that follows from the
/// variogram. A sample at a node takes away of every other node's variance the square of that
/// covariance over the sample's own variance, and the covariances change alike: an update of rank
/// one, whatever the sample will show. How the map will then be cut into tiers does depend on it: so
/// the loss is averaged over what the map may show, which is normal about today's value with the
/// variance that was taken away (preposterior analysis: H. Raiffa, R. Schlaifer, *Applied Statistical
/// Decision Theory*, 1961).
///
/// The samples are chosen one after the other, each the best for those before it.
#[derive(Clone, Debug)]
pub struct NextSamples {
    judges: Vec<Coord<f64>>,
    candidates: Vec<Coord<f64>>,
    /// Misplaced kg/m² at each judge, by the part of the standard deviation that is known by then.
    losses: Vec<Vec<f64>>,
    /// The variance of a new sample at each judge, today.
    variances: Vec<f64>,
    /// Covariances of the errors: of candidates with judges, and of candidates with each other.
    with_judges: Vec<Vec<f64>>,
    among: Vec<Vec<f64>>,
    nugget: f64,
    area: f64,
}

impl NextSamples {
    /// Of a field with samples, by a variogram: a cautious one, scaled to what cross-validation found.
    ///
    /// # Errors
    /// When the samples or the variogram cannot be kriged by.
    pub fn new(
        ground: &Ground,
        samples: &[Point],
        variogram: Variogram,
        tiers: &Tiers,
    ) -> Result<Self, SurfaceError> {
        let coarse = ground.by_nodes(JUDGES).unwrap_or_else(|_| ground.clone());
        let judges = coarse.nodes().to_vec();
        let every = coarse.may_hold().len().div_ceil(CANDIDATES).max(1);
        let candidates = coarse.may_hold().iter().step_by(every).copied().collect();
        Self::among((judges, candidates), ground.area(), samples, variogram, tiers)
    }

    /// The same with the judging nodes and the places at which a sample may be taken, and the area
    /// that the nodes stand for.
    ///
    /// # Errors
    /// When the samples or the variogram cannot be kriged by.
    pub fn among(
        (judges, candidates): (Vec<Coord<f64>>, Vec<Coord<f64>>),
        area: Area,
        samples: &[Point],
        variogram: Variogram,
        tiers: &Tiers,
    ) -> Result<Self, SurfaceError> {
        let kriging = Kriging::new(samples, variogram)?;
        let at = |point: &Point| Coord { x: point.easting, y: point.northing };
        let taken: Vec<Coord<f64>> = kriging.points().iter().map(at).collect();
        let layout = LayoutVariance::new(taken, variogram)?;
        let seen = |place: &Coord<f64>| layout.seen(*place);
        let of_judges: Vec<_> = judges.par_iter().map(seen).collect();
        let of_candidates: Vec<_> = candidates.par_iter().map(seen).collect();
        let nugget = variogram.nugget;
        let variances: Vec<f64> =
            of_judges.par_iter().map(|seen| layout.unknown(seen, seen).max(0.0) + nugget).collect();
        let loss = |(place, variance): (&Coord<f64>, &f64)| -> Vec<f64> {
            misplaced_by_knowledge(kriging.at(place.x, place.y), *variance, tiers, STEPS)
        };
        let losses = judges.par_iter().zip(&variances).map(loss).collect();
        let against = |of: &Vec<_>| -> Vec<Vec<f64>> {
            let row = |one| of.iter().map(|other| layout.unknown(one, other)).collect();
            of_candidates.par_iter().map(row).collect()
        };
        let (with_judges, among) = (against(&of_judges), against(&of_candidates));
        let area = area.as_square_metres();
        Ok(Self { judges, candidates, losses, variances, with_judges, among, nugget, area })
    }

    /// The tons that are expected to be misplaced by today's samples.
    #[must_use]
    pub fn misplaced_now(&self) -> Mass {
        let start: f64 = self.losses.iter().filter_map(|losses| losses.first()).sum();
        self.mass(start)
    }

    /// The mean kriging variance by today's samples.
    #[must_use]
    pub fn variance_now(&self) -> f64 {
        self.variances.iter().sum::<f64>() / self.variances.len() as f64
    }

    /// The next samples, one after the other.
    #[must_use]
    pub fn chosen(&self, count: usize, aim: Aim) -> Vec<NextSample> {
        let mut state = State::new(self);
        let mut chosen = Vec::new();
        for _ in 0..count.min(self.candidates.len()) {
            let gains: Vec<f64> = (0..self.candidates.len())
                .into_par_iter()
                .map(
                    |candidate| {
                        if state.free(candidate) { state.gain(candidate, aim) } else { -1.0 }
                    },
                )
                .collect();
            let best = (0..gains.len()).max_by(|a, b| {
                let gain = |number: &usize| gains.get(*number).copied().unwrap_or(-1.0);
                gain(a).total_cmp(&gain(b)).then(b.cmp(a))
            });
            let Some(best) = best else { break };
            state.take(best);
            chosen.extend(state.told(best));
        }
        chosen
    }

    /// What samples at other places would do, each at the nearest candidate.
    #[must_use]
    pub fn of_places(&self, places: &[Coord<f64>]) -> Option<NextSample> {
        let mut state = State::new(self);
        let mut last = None;
        for place in places {
            let apart = |number: &usize| {
                self.candidates.get(*number).map_or(f64::INFINITY, |at| squared(*at - *place))
            };
            let free = (0..self.candidates.len()).filter(|number| state.free(*number));
            let nearest = free.min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
            state.take(nearest);
            last = state.told(nearest);
        }
        last
    }

    /// The loss at a judge where a part of its variance is known: linear between the steps.
    fn loss(&self, judge: usize, known: f64) -> f64 {
        let Some(losses) = self.losses.get(judge) else { return 0.0 };
        let variance = self.variances.get(judge).copied().unwrap_or(1.0);
        let place = (known / variance).clamp(0.0, 1.0).sqrt() * STEPS as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to STEPS")]
        let step = (place.floor() as usize).min(STEPS - 1);
        match losses.get(step..step + 2) {
            Some([low, high]) => low + (high - low) * (place - step as f64),
            _ => 0.0,
        }
    }

    fn mass(&self, losses: f64) -> Mass {
        Mass::kilograms(losses / self.judges.len() as f64 * self.area)
    }
}

/// What is known once some samples are chosen.
struct State<'a> {
    of: &'a NextSamples,
    known: Vec<f64>,
    with_judges: Vec<Vec<f64>>,
    among: Vec<Vec<f64>>,
    taken: Vec<bool>,
}

impl<'a> State<'a> {
    fn new(of: &'a NextSamples) -> Self {
        Self {
            of,
            known: vec![0.0; of.judges.len()],
            with_judges: of.with_judges.clone(),
            among: of.among.clone(),
            taken: vec![false; of.candidates.len()],
        }
    }

    fn free(&self, candidate: usize) -> bool {
        self.taken.get(candidate) == Some(&false)
    }

    /// The variance of a new sample at a candidate.
    fn own(&self, candidate: usize) -> f64 {
        let own = self.among.get(candidate).and_then(|row| row.get(candidate)).copied();
        own.unwrap_or(0.0).max(0.0) + self.of.nugget
    }

    fn gain(&self, candidate: usize, aim: Aim) -> f64 {
        let own = self.own(candidate);
        let Some(with) = self.with_judges.get(candidate) else { return -1.0 };
        if own <= 0.0 {
            return 0.0;
        }
        let pairs = with.iter().zip(&self.known).enumerate();
        match aim {
            Aim::Variance => with.iter().map(|with| with * with).sum::<f64>() / own,
            Aim::Tons => pairs
                .map(|(judge, (with, known))| {
                    let more = with * with / own;
                    self.of.loss(judge, *known) - self.of.loss(judge, known + more)
                })
                .sum(),
        }
    }

    /// Takes a sample: covariances change by an update of rank one.
    fn take(&mut self, candidate: usize) {
        let own = self.own(candidate);
        let (Some(judges), Some(others)) =
            (self.with_judges.get(candidate).cloned(), self.among.get(candidate).cloned())
        else {
            return;
        };
        if let Some(taken) = self.taken.get_mut(candidate) {
            *taken = true;
        }
        if own <= 0.0 {
            return;
        }
        for (known, with) in self.known.iter_mut().zip(&judges) {
            *known += with * with / own;
        }
        let less = |row: &mut Vec<f64>, part: f64, with: &[f64]| {
            row.iter_mut().zip(with).for_each(|(each, with)| *each -= part * with);
        };
        let rows = self.with_judges.par_iter_mut().zip(&mut self.among).zip(&others);
        rows.for_each(|((with_judges, among), other)| {
            less(with_judges, other / own, &judges);
            less(among, other / own, &others);
        });
    }

    fn told(&self, candidate: usize) -> Option<NextSample> {
        let place = self.of.candidates.get(candidate).copied()?;
        let losses: f64 =
            self.known.iter().enumerate().map(|(judge, known)| self.of.loss(judge, *known)).sum();
        let known = self.known.iter().sum::<f64>() / self.known.len() as f64;
        let variance = (self.of.variance_now() - known).max(0.0);
        Some(NextSample { place, misplaced: self.of.mass(losses), variance })
    }
}
