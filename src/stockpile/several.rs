//! Where several piles go.

use std::f64::consts::PI;

use geo::{BoundingRect, Coord, MultiPoint};

use super::loads::{Load, Travel, apart, fewer};
use super::search::lowest;
use super::shares::Shares;
use crate::geometry::Feature;

/// Loads that stand for all of them while piles are still moved about.
const FEW: f64 = 400.0;
/// Ways in which the field is cut into equal parts to start from.
const CUTS: u8 = 6;
/// Squares over the allowed area, each with a place where a pile is tried.
const TRIES: f64 = 60.0;
/// With more piles none is tried all over: it would take minutes.
const MOST_TRIED: usize = 4;
/// A gain below this share of the travel is none.
const GAIN: f64 = 1e-4;
/// The most rounds of moving: what later ones gain is below what the places are sure to.
const ROUNDS: usize = 12;

/// The places of so many piles in an area, which hold `capacity` kilograms each and the loads
/// together, with little travel.
///
/// One pile is placed by [`lowest`]. Several: loads go to piles with the least travel
/// ([`Shares::least`]), then each pile goes to the best place for its loads, in turn (L. Cooper,
/// "Heuristic methods for location-allocation problems", 1964), from several starts; then each
/// pile in turn, if they are few, is tried all over the area (M. B. Teitz, P. Bart, "Heuristic methods for estimating
/// the generalized vertex median of a weighted graph", 1968).
pub fn places(loads: &[Load], area: &Feature, count: usize, capacity: f64) -> Vec<Coord<f64>> {
    if count == 1 {
        return lowest(area, &Travel(loads)).map(|(at, _)| at).into_iter().collect();
    }
    let few = fewer(loads, FEW);
    let starts =
        (0..CUTS).map(|cut| parts(&few, area, count, PI * f64::from(cut) / f64::from(CUTS)));
    let settled = starts.map(|start| settle(&few, area, start, capacity));
    let Some(mut best) = settled.min_by(|a, b| a.travel.total_cmp(&b.travel)) else {
        return Vec::new();
    };
    let tries = if count > MOST_TRIED { Vec::new() } else { tries(area) };
    for _ in 0..ROUNDS {
        let Some(better) = exchange(&few, &best, &tries, capacity) else { break };
        best = settle(&few, area, better, capacity);
    }
    settle(loads, area, best.places, capacity).places
}

struct Settled {
    places: Vec<Coord<f64>>,
    travel: f64,
}

/// A place for each of so many parts of one mass, side by side along a direction.
fn parts(loads: &[Load], area: &Feature, count: usize, turn: f64) -> Vec<Coord<f64>> {
    let (sin, cos) = libm::sincos(turn);
    let along = |load: &Load| load.at.x * cos + load.at.y * sin;
    let mut sorted = loads.to_vec();
    sorted.sort_by(|a, b| along(a).total_cmp(&along(b)));
    let whole: f64 = sorted.iter().map(|load| load.mass).sum();
    let mut parts = vec![Vec::new(); count];
    let mut before = 0.0;
    for load in sorted {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a few piles"
        )]
        let part = ((before + 0.5 * load.mass) / whole * count as f64) as usize;
        before += load.mass;
        if let Some(part) = parts.get_mut(part.min(count - 1)) {
            part.push(load);
        }
    }
    parts.iter().filter_map(|part| lowest(area, &Travel(part))).map(|(at, _)| at).collect()
}

/// Shares out and moves piles in turn until neither gains anything.
fn settle(loads: &[Load], area: &Feature, mut places: Vec<Coord<f64>>, capacity: f64) -> Settled {
    let mut shares = Shares::least(loads, &places, capacity);
    for _ in 0..ROUNDS {
        let moved = |(pile, at): (usize, &Coord<f64>)| {
            let own = shares.of(pile, loads);
            let found = if own.is_empty() { None } else { lowest(area, &Travel(&own)) };
            found.map_or(*at, |(at, _)| at)
        };
        let next: Vec<Coord<f64>> = places.iter().enumerate().map(moved).collect();
        let next_shares = Shares::least(loads, &next, capacity);
        if next_shares.travel >= shares.travel {
            break;
        }
        let gain = shares.travel - next_shares.travel;
        (places, shares) = (next, next_shares);
        if gain < GAIN * shares.travel {
            break;
        }
    }
    Settled { places, travel: shares.travel }
}

/// Places all over an area.
fn tries(area: &Feature) -> Vec<Coord<f64>> {
    let corners: MultiPoint<f64> = area.lines.iter().flatten().copied().collect();
    let Some(bounds) = corners.bounding_rect() else { return Vec::new() };
    let step = (bounds.width() * bounds.height() / TRIES).sqrt().max(f64::MIN_POSITIVE);
    let mut places = Vec::new();
    let mut north = bounds.min().y + 0.5 * step;
    while north < bounds.max().y + 0.5 * step {
        let mut east = bounds.min().x + 0.5 * step;
        while east < bounds.max().x + 0.5 * step {
            let middle = Coord { x: east, y: north };
            match area.nearest(middle) {
                (_, away) if away <= 0.0 => places.push(middle),
                (nearest, away) if away < step => places.push(nearest),
                _ => {}
            }
            east += step;
        }
        north += step;
    }
    places
}

/// The places with one of them exchanged for the try that makes the travel least, if any gains.
fn exchange(
    loads: &[Load],
    best: &Settled,
    tries: &[Coord<f64>],
    capacity: f64,
) -> Option<Vec<Coord<f64>>> {
    let mut found: Option<Vec<Coord<f64>>> = None;
    let mut least = best.travel * (1.0 - GAIN);
    for pile in 0..best.places.len() {
        for at in tries {
            let mut places = best.places.clone();
            if let Some(place) = places.get_mut(pile) {
                *place = *at;
            }
            // The capacity only makes it longer.
            if to_nearest(loads, &places) >= least {
                continue;
            }
            let travel = Shares::least(loads, &places, capacity).travel;
            if travel < least {
                (least, found) = (travel, Some(places));
            }
        }
    }
    found
}

/// The travel if each load came from the nearest pile.
fn to_nearest(loads: &[Load], places: &[Coord<f64>]) -> f64 {
    let nearest =
        |load: &Load| places.iter().map(|at| apart(load.at, *at)).fold(f64::INFINITY, f64::min);
    loads.iter().map(|load| load.mass * nearest(load)).sum()
}
