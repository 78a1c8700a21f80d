//! What is too narrow on a lattice of classes.

use std::f64::consts::TAU;

use super::class::OUTSIDE;
use super::nearest_marked::NearestMarked;
use super::node_set::NodeSet;
use super::parts::{ClassPart, parts};

/// How deep, in steps, a part may reach beyond what is wide enough and be left: what the lattice
/// cannot tell from a corner.
const SHALLOW: f64 = 0.25;

/// How deep, in steps, a corner may reach where zones meet: some corner is always left there.
const CORNER: f64 = 1.0;

/// What a disc may cover outside the field.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum BeyondField {
    /// Nothing: strips along the boundary go too, but for corners of the field.
    Other,
    /// Anything: what then is narrow lies between zones, however near to the boundary.
    Free,
}

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
        let (sine, cosine) = libm::sincos(turn);
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
    /// What one covers.
    covered: NodeSet,
    /// What none covers or touches.
    uncovered: NodeSet,
    /// What of that lies deeper than corners do.
    deep: NodeSet,
}

impl Narrow {
    /// None if no class has a place wide enough.
    pub fn of(field: &[u32], disc: Disc, outside: BeyondField) -> Option<Self> {
        let Disc { columns, radius } = disc;
        let mut classes = NodeSet::by_value(field, columns);
        let nothing = NodeSet::empty_like(classes.values().next()?);
        let beyond = classes.remove(&OUTSIDE).unwrap_or_else(|| nothing.clone());
        let inside = classes.values().fold(nothing.clone(), |inside, class| inside.or(class));
        let [mut covered, mut shallow, mut corners] = [&nothing; 3].map(NodeSet::clone);
        for own in classes.values() {
            let mut others = inside.minus(own);
            if outside == BeyondField::Other {
                others = others.or(&beyond);
            }
            // The same disc both times, so that a second opening by itself changes nothing.
            let core = own.or(&beyond).minus(&others.dilated(radius));
            let reached = |far: f64| core.dilated(far).and(own);
            covered = covered.or(&reached(radius));
            shallow = shallow.or(&reached(radius + SHALLOW));
            corners = corners.or(&reached(radius + CORNER));
        }
        let [uncovered, deep] = [shallow, corners].map(|near| inside.minus(&near));
        (!covered.is_empty()).then_some(Self { covered, uncovered, deep })
    }

    /// Whether there is nothing narrow.
    pub fn is_nowhere(&self) -> bool {
        self.uncovered.is_empty()
    }

    /// For each node that none covers the class of the nearest node that one does.
    pub fn nearest(&self, field: &[u32], columns: usize) -> Vec<u32> {
        let mut marked = NearestMarked::new(&self.covered.flags(), columns);
        let mut nearest = vec![OUTSIDE; field.len()];
        for node in self.uncovered.nodes() {
            let class = field.get(marked.to(node));
            if let (Some(slot), Some(class)) = (nearest.get_mut(node), class) {
                *slot = *class;
            }
        }
        nearest
    }

    /// The nodes that go to a neighbor, by the nearest classes. One stays whose own class is the
    /// nearest by: it is in a corner of the field, or at a tip.
    pub fn goes(&self, field: &[u32], nearest: &[u32]) -> Vec<bool> {
        let nodes = self.uncovered.flags().into_iter().zip(nearest.iter().zip(field));
        nodes.map(|(narrow, (near, own))| narrow && near != own).collect()
    }

    /// The tips of zones that are too narrow: those that reach deeper than corners do, and those
    /// where zones meet crosswise.
    pub fn tips(&self, field: &[u32], disc: Disc) -> Vec<ClassPart> {
        let mut tips = parts(self.uncovered.flags(), field, disc.columns);
        tips.retain(|tip| {
            tip.nodes.iter().any(|node| self.deep.has(*node))
                || disc.is_crosswise(tip.middle(disc.columns), field)
        });
        tips
    }
}
