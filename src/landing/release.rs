use super::response::{Ramp, Response};
use super::{Prescription, Run};
use crate::units::{Length, Quantity};

/// What leaves the machine along a run: the mass released up to any time.
#[derive(Clone, Debug, PartialEq)]
pub struct Release {
    pieces: Vec<Piece>,
}

/// A piece of time in which the flow keeps, or changes by one law.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    /// From when, s.
    from: f64,
    /// What was released before, kg.
    before: f64,
    /// The flow at its beginning, kg/s.
    flow: f64,
    /// How it goes on.
    law: Law,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Law {
    /// By so much a second, kg/s2.
    Straight(f64),
    /// To a flow, with a time constant in seconds.
    FirstOrder(f64, f64),
}

impl Piece {
    fn steady(from: f64, flow: f64) -> Self {
        Self { from, before: 0.0, flow, law: Law::Straight(0.0) }
    }

    /// The flow so long after its beginning.
    fn flow_after(&self, time: f64) -> f64 {
        match self.law {
            Law::Straight(slope) => self.flow + slope * time,
            Law::FirstOrder(to, constant) => to + (self.flow - to) * libm::exp(-time / constant),
        }
    }

    /// The mass released so long after its beginning.
    fn mass_after(&self, time: f64) -> f64 {
        match self.law {
            Law::Straight(slope) => time * (self.flow + 0.5 * slope * time),
            Law::FirstOrder(to, constant) => {
                to * time - (self.flow - to) * constant * libm::expm1(-time / constant)
            }
        }
    }
}

impl Release {
    /// What a machine releases that is asked for rates along a run, each over its swath.
    ///
    /// The controller asks for rate x speed x swath: the rate of the place that is its lead ahead
    /// in time, by the speed of the moment. The belt carries what it can of that; the flow begins
    /// to follow after the delay. A change that comes while the flow is still on its way starts a
    /// ramp of its own from where the flow is.
    #[must_use]
    pub fn new(run: &Run, asked: &Prescription, response: &Response, swath: Length) -> Self {
        let start = run.places.first().map_or(0.0, |place| place.1);
        let mut release = Self { pieces: vec![Piece::steady(start, 0.0)] };
        // When a straight ramp is complete, and at which flow.
        let mut complete: Option<(f64, f64)> = None;
        for (time, wanted) in wanted(run, asked, response, swath) {
            if let Some((end, flow)) = complete.take_if(|(end, _)| *end < time) {
                release.push(Piece::steady(end, flow));
            }
            let flow = release.flow_at(time);
            let ramp = if wanted > flow { response.rise } else { response.fall };
            complete = None;
            let law = match ramp {
                Ramp::Straight(duration) if duration.si() > 0.0 => {
                    complete = Some((time + duration.si(), wanted));
                    Law::Straight((wanted - flow) / duration.si())
                }
                Ramp::FirstOrder(constant) if constant.si() > 0.0 => {
                    Law::FirstOrder(wanted, constant.si())
                }
                Ramp::Straight(_) | Ramp::FirstOrder(_) => {
                    release.push(Piece::steady(time, wanted));
                    continue;
                }
            };
            release.push(Piece { from: time, before: 0.0, flow, law });
        }
        if let Some((end, flow)) = complete {
            release.push(Piece::steady(end, flow));
        }
        release
    }

    /// A flow that does not change, kg/s.
    #[must_use]
    pub fn steady(from: f64, flow: f64) -> Self {
        Self { pieces: vec![Piece::steady(from, flow)] }
    }

    /// The mass released up to a time, kg; nothing before the run.
    #[must_use]
    pub fn until(&self, time: f64) -> f64 {
        self.piece(time).map_or(0.0, |piece| piece.before + piece.mass_after(time - piece.from))
    }

    /// The flow at a time, kg/s.
    #[must_use]
    pub fn flow_at(&self, time: f64) -> f64 {
        self.piece(time).map_or(0.0, |piece| piece.flow_after(time - piece.from))
    }

    fn piece(&self, time: f64) -> Option<&Piece> {
        let after = self.pieces.partition_point(|piece| piece.from <= time);
        after.checked_sub(1).and_then(|i| self.pieces.get(i))
    }

    fn push(&mut self, piece: Piece) {
        let before = self.until(piece.from);
        self.pieces.push(Piece { before, ..piece });
    }
}

/// The flows that are wanted of the belt, kg/s, by the time at which each begins to take effect.
fn wanted(run: &Run, asked: &Prescription, response: &Response, swath: Length) -> Vec<(f64, f64)> {
    let start = run.places.first().map_or(0.0, |place| place.1);
    let delay = response.delay.si();
    let late = delay - response.lead.si();
    let rates = asked.stretches.iter().map(|at| (at.from + late, Change::Rate(at.rate)));
    let speeds = run.places.windows(2).filter_map(|leg| {
        let [(from, begin), (to, end)] = leg else { return None };
        let speed = libm::hypot(to.x - from.x, to.y - from.y) / (end - begin);
        speed.is_finite().then_some((begin + delay, Change::Speed(speed)))
    });
    let mut changes: Vec<(f64, Change)> = rates.chain(speeds).collect();
    changes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let first = changes.iter().find_map(|(_, change)| match change {
        Change::Speed(speed) => Some(*speed),
        Change::Rate(_) => None,
    });
    let (mut rate, mut speed) = (0.0, first.unwrap_or(0.0));
    let mut found: Vec<(f64, f64)> = Vec::new();
    for (time, change) in changes {
        match change {
            Change::Rate(now) => rate = now,
            Change::Speed(now) => speed = now,
        }
        let flow = response.carried(rate * speed * swath.si());
        // What takes effect before the run begins has done so when it does.
        let time = time.max(start);
        match found.last_mut() {
            Some(last) if last.0 == time => last.1 = flow,
            Some(last) if last.1 == flow => {}
            _ => found.push((time, flow)),
        }
    }
    found
}

/// What changes the wanted flow.
#[derive(Clone, Copy, Debug)]
enum Change {
    /// kg/m2.
    Rate(f64),
    /// m/s.
    Speed(f64),
}
