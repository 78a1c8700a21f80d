//! What is too narrow on a lattice of classes.

use std::f64::consts::TAU;

use super::distance_map::DistanceMap;
use super::parts::{Part, parts};

/// How deep, in steps, a part may reach beyond what is wide enough and be left: what the lattice
/// cannot tell from a corner.
const SHALLOW: f64 = 0.25;

/// How deep, in steps, a corner may reach where zones meet: some corner is always left there.
const CORNER: f64 = 1.0;

/// What a disc may cover outside the field.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Outside {
    /// Nothing: strips along the boundary go too, but for corners of the field.
    Other,
    /// Anything: what then is narrow lies between zones, however near to the boundary.
    Free,
}

/// No class: a node outside the field.
pub const OUTSIDE: u32 = u32::MAX;

/// A disc on a lattice, in steps.
#[derive(Clone, Copy)]
pub struct Disc {
    /// The lattice's columns.
    pub columns: usize,
    /// Its radius.
    pub radius: f64,
}

impl Disc {
    /// The nodes that it covers around one, of so many.
    pub fn around(self, centre: usize, count: usize) -> impl Iterator<Item = usize> {
        let columns = self.columns.max(1);
        let (row, column) = (centre / columns, centre % columns);
        let reach = (1..=columns).take_while(|&steps| steps as f64 <= self.radius).count();
        let rows = row.saturating_sub(reach)..=(row + reach).min((count / columns).max(1) - 1);
        let away = |a: usize, b: usize| (a.abs_diff(b) as f64).powi(2);
        rows.flat_map(move |r| {
            (column.saturating_sub(reach)..=(column + reach).min(columns - 1))
                .filter(move |&c| away(r, row) + away(c, column) <= self.radius.powi(2))
                .map(move |c| r * columns + c)
        })
    }

    /// Whether the class changes four times or more on the way round it: a zone gets through here
    /// between two others, or two parts of another.
    fn is_crosswise(self, centre: usize, field: &[u32]) -> bool {
        const PLACES: i32 = 64;
        let around: Vec<u32> = (0..PLACES)
            .filter_map(|place| {
                let turn = TAU * f64::from(place) / f64::from(PLACES);
                field.get(self.at(centre, turn)?).copied().filter(|class| *class != OUTSIDE)
            })
            .collect();
        let next = around.iter().cycle().skip(1);
        around.iter().zip(next).filter(|(one, other)| one != other).count() >= 4
    }

    /// The node nearest to its edge in a direction (radians).
    fn at(self, centre: usize, turn: f64) -> Option<usize> {
        let columns = self.columns.max(1);
        let (sine, cosine) = turn.sin_cos();
        let row = ((centre / columns) as f64 + self.radius * sine).round();
        let column = ((centre % columns) as f64 + self.radius * cosine).round();
        if row < 0.0 || !(0.0..columns as f64).contains(&column) {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not below 0")]
        let [row, column] = [row, column].map(|whole| whole as usize);
        Some(row * columns + column)
    }
}

/// What no disc within its class covers.
pub struct Narrow {
    /// How far each node is, in steps, from what a disc covers.
    depth: Vec<f64>,
    /// The class of the nearest node that is covered.
    pub nearest: Vec<u32>,
}

impl Narrow {
    /// None if no class has a place wide enough.
    pub fn of(field: &[u32], disc: Disc, outside: Outside) -> Option<Self> {
        let Disc { columns, radius } = disc;
        let mut present: Vec<u32> =
            field.iter().copied().filter(|class| *class != OUTSIDE).collect();
        present.sort_unstable();
        present.dedup();
        let mut kept = vec![OUTSIDE; field.len()];
        let mut depth = vec![0.0; field.len()];
        for class in present {
            let free =
                |other: u32| other == class || (outside == Outside::Free && other == OUTSIDE);
            let others: Vec<bool> = field.iter().map(|other| !free(*other)).collect();
            // The same disc both times, so that a second opening by itself changes nothing.
            let inner = DistanceMap::to_marked(&others, columns);
            let core: Vec<bool> = inner.squared.iter().map(|d| d.sqrt() > radius).collect();
            let reach = DistanceMap::to_marked(&core, columns);
            let nodes = kept.iter_mut().zip(&mut depth).zip(field.iter().zip(&reach.squared));
            for ((kept, depth), (own, squared)) in nodes {
                if *own != class {
                    continue;
                }
                if *squared <= radius * radius {
                    *kept = class;
                } else {
                    *depth = squared.sqrt() - radius;
                }
            }
        }
        if kept.iter().all(|class| *class == OUTSIDE) {
            return None;
        }
        let anchors: Vec<bool> = kept.iter().map(|class| *class != OUTSIDE).collect();
        let map = DistanceMap::to_marked(&anchors, columns);
        let anchor = |node: &usize| kept.get(*node).copied().unwrap_or(OUTSIDE);
        let nearest: Vec<u32> = map.nearest.iter().map(anchor).collect();
        Some(Self { depth, nearest })
    }

    /// The nodes that go to a neighbour. One stays whose own class is the nearest by: it is in a
    /// corner of the field, or at a tip.
    pub fn goes(&self, field: &[u32]) -> Vec<bool> {
        let nodes = self.depth.iter().zip(self.nearest.iter().zip(field));
        nodes.map(|(depth, (near, own))| *depth > SHALLOW && near != own).collect()
    }

    /// The tips of zones that are too narrow: those that reach deeper than corners do, and those
    /// where zones meet crosswise.
    pub fn tips(&self, field: &[u32], disc: Disc) -> Vec<Part> {
        let deep = self.depth.iter().map(|depth| *depth > SHALLOW).collect();
        let mut tips = parts(deep, field, disc.columns);
        tips.retain(|tip| {
            let depths = tip.nodes.iter().filter_map(|node| self.depth.get(*node));
            depths.fold(0.0, |most: f64, depth| most.max(*depth)) > CORNER
                || disc.is_crosswise(tip.middle(disc.columns), field)
        });
        tips
    }
}
