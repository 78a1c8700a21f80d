//! Which pile serves which load.

use geo::Coord;

use super::loads::{Load, apart};
use super::queue::Queue;

/// The part of all masses that counts as nothing: rounding of sums.
const NOTHING: f64 = 1e-12;

/// Loads shared out among piles.
#[derive(Debug)]
pub struct Shares {
    piles: usize,
    /// Kilograms of load `i` from pile `j` at `i * piles + j`.
    mass: Vec<f64>,
    /// The loaded travel, kilogram meters.
    pub travel: f64,
}

impl Shares {
    /// The loads that a pile serves, with the mass that it gives.
    pub fn of(&self, pile: usize, loads: &[Load]) -> Vec<Load> {
        let given = self.mass.iter().skip(pile).step_by(self.piles);
        let own = loads.iter().zip(given).filter(|(_, mass)| **mass > 0.0);
        own.map(|(load, &mass)| Load { mass, ..*load }).collect()
    }

    /// Shares loads out among piles that hold `capacity` kilograms each, with the least travel that
    /// there is. The piles must hold the loads together.
    ///
    /// From the nearest pile each, then by successive shortest paths (R. G. Busacker, P. J. Gowen,
    /// "A procedure for determining a family of minimum-cost network flow patterns", 1960): while a
    /// pile gives more than it holds, material moves along the way from pile to pile, down to one
    /// that has some left, on which the travel grows the least.
    pub fn least(loads: &[Load], places: &[Coord<f64>], capacity: f64) -> Self {
        let mut moves = Moves::new(loads, places);
        let total: f64 = loads.iter().map(|load| load.mass).sum();
        let nothing = NOTHING * total;
        while moves.given.iter().any(|given| *given > capacity + nothing) {
            let Some(path) = moves.shortest_path(capacity, nothing) else { break };
            moves.push(&path, capacity, nothing);
        }
        let Moves { piles, mass, ways, .. } = moves;
        let travel = mass.iter().zip(&ways).map(|(mass, way)| mass * way).sum();
        Self { piles, mass, travel }
    }
}

/// What may move where, while loads are shared out.
struct Moves {
    piles: usize,
    /// Kilograms and meters of load `i` from pile `j` at `i * piles + j`.
    mass: Vec<f64>,
    ways: Vec<f64>,
    /// What each pile gives.
    given: Vec<f64>,
    /// The loads of pile `j` by what it takes more to serve them from `l`, at `j * piles + l`. A
    /// load that the pile no longer serves is left in until it comes up.
    by_price: Vec<Queue<usize>>,
}

/// A step on a path: from one pile to another, by moving a load.
type Step = (usize, usize, usize);

impl Moves {
    fn new(loads: &[Load], places: &[Coord<f64>]) -> Self {
        let piles = places.len();
        let ways: Vec<f64> = loads
            .iter()
            .flat_map(|load| places.iter().map(|place| apart(load.at, *place)))
            .collect();
        let mut moves = Self {
            piles,
            mass: vec![0.0; ways.len()],
            ways,
            given: vec![0.0; piles],
            by_price: (0..piles * piles).map(|_| Queue::new()).collect(),
        };
        for (number, load) in loads.iter().enumerate() {
            let way = |pile: &usize| moves.ways.get(number * piles + pile).copied();
            let nearest = (0..piles).min_by(|a, b| {
                way(a).unwrap_or(f64::INFINITY).total_cmp(&way(b).unwrap_or(f64::INFINITY))
            });
            if let Some(pile) = nearest {
                moves.give(number, pile, load.mass);
            }
        }
        moves
    }

    fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
        list.get(index).copied().unwrap_or_default()
    }

    /// Gives a load more from a pile.
    fn give(&mut self, load: usize, pile: usize, more: f64) {
        let piles = self.piles;
        let own = Self::at(&self.ways, load * piles + pile);
        if let Some(given) = self.given.get_mut(pile) {
            *given += more;
        }
        let Some(mass) = self.mass.get_mut(load * piles + pile) else { return };
        let is_new = *mass <= 0.0;
        *mass += more;
        for other in (0..piles).filter(|other| is_new && *other != pile) {
            let price = Self::at(&self.ways, load * piles + other) - own;
            if let Some(queue) = self.by_price.get_mut(pile * piles + other) {
                queue.push(price, load);
            }
        }
    }

    /// Takes a load's mass from a pile.
    fn take(&mut self, load: usize, pile: usize, less: f64) {
        if let Some(mass) = self.mass.get_mut(load * self.piles + pile) {
            // What is as good as all is all: a rest would come up again and again.
            *mass = if *mass <= less { 0.0 } else { *mass - less };
        }
        if let Some(given) = self.given.get_mut(pile) {
            *given -= less;
        }
    }

    /// The cheapest load to move from one pile to another, and what it takes more a kilogram.
    fn cheapest(&mut self, from: usize, to: usize) -> Option<(f64, usize)> {
        let (piles, mass) = (self.piles, &self.mass);
        let queue = self.by_price.get_mut(from * piles + to)?;
        while let Some((price, &load)) = queue.peek() {
            if Self::at(mass, load * piles + from) > 0.0 {
                return Some((price, load));
            }
            queue.pop();
        }
        None
    }

    /// The cheapest way from a pile that gives too much to one that has some left (R. Bellman, "On
    /// a routing problem", 1958: prices may be below zero, but never all around a circle).
    fn shortest_path(&mut self, capacity: f64, nothing: f64) -> Option<Vec<Step>> {
        let piles = self.piles;
        let mut steps = Vec::new();
        for (from, to) in (0..piles).flat_map(|from| (0..piles).map(move |to| (from, to))) {
            if from != to
                && let Some((price, load)) = self.cheapest(from, to)
            {
                steps.push((price, (from, to, load)));
            }
        }
        let start = |given: &f64| if *given > capacity + nothing { 0.0 } else { f64::INFINITY };
        let mut price: Vec<f64> = self.given.iter().map(start).collect();
        let mut by: Vec<Option<Step>> = vec![None; piles];
        for _ in 1..piles {
            for &(more, step) in &steps {
                let through = Self::at(&price, step.0) + more;
                let (Some(known), Some(by)) = (price.get_mut(step.1), by.get_mut(step.1)) else {
                    continue;
                };
                // Not for a rounding: a circle of no price must not be gone around.
                if through < *known - 1e-9 {
                    (*known, *by) = (through, Some(step));
                }
            }
        }
        let has_left = |pile: &usize| Self::at(&self.given, *pile) < capacity - nothing;
        let mut end = (0..piles)
            .filter(has_left)
            .min_by(|a, b| Self::at(&price, *a).total_cmp(&Self::at(&price, *b)))?;
        let mut path = Vec::new();
        while let Some(step) = Self::at(&by, end) {
            path.push(step);
            end = step.0;
            if path.len() > piles {
                return None;
            }
        }
        (!path.is_empty()).then_some(path)
    }

    /// Moves as much along a path as there is.
    fn push(&mut self, path: &[Step], capacity: f64, nothing: f64) {
        let first = path.last().map_or(0, |step| step.0);
        let last = path.first().map_or(0, |step| step.1);
        let held = |(from, _, load): &Step| Self::at(&self.mass, load * self.piles + from);
        let mut amount = path.iter().map(held).fold(f64::INFINITY, f64::min);
        amount = amount
            .min(Self::at(&self.given, first) - capacity)
            .min(capacity - Self::at(&self.given, last))
            .max(nothing);
        for &(from, to, load) in path {
            self.take(load, from, amount);
            self.give(load, to, amount);
        }
    }
}

#[cfg(test)]
mod tests;
