//! Where edges meet elsewhere than in a vertex of both.

use std::collections::BTreeMap;

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Distance as _, Euclidean, Line};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line as Stretch};

use super::coordinate_pair::pair;

/// What a crossing may be off by its own rounding, in meters.
const ROUNDING: f64 = 1e-7;

/// For edges by their number the vertices to part them at: their crossings with others, or the
/// others' ends that lie on them. Each edge is its two ends, and the edge of the boundary that it is
/// a part of. Two of the boundary do not cross. Crossings are added to the positions.
pub fn crossings(
    positions: &mut Vec<Coord<f64>>,
    edges: &[([u32; 2], Option<usize>)],
) -> BTreeMap<usize, Vec<u32>> {
    let at = |id: u32| positions.get(id as usize).copied().unwrap_or_default();
    let line = |(number, (ends, _)): (usize, &([u32; 2], Option<usize>))| {
        let [from, to] = ends.map(|id| pair(at(id)));
        GeomWithData::new(Stretch::new(from, to), number)
    };
    let tree = RTree::bulk_load(edges.iter().enumerate().map(line).collect());
    let pairs = tree.intersection_candidates_with_other_tree(&tree);
    let mut pairs: Vec<_> =
        pairs.map(|(one, other)| [one.data, other.data]).filter(|[a, b]| a < b).collect();
    pairs.sort_unstable();

    let mut stops: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
    let mut found: Vec<Coord<f64>> = Vec::new();
    for numbers in pairs {
        let [Some(&(one, on_one)), Some(&(other, on_other))] = numbers.map(|n| edges.get(n)) else {
            continue;
        };
        if on_one.is_some() && on_other.is_some() {
            continue;
        }
        let lines = [one, other].map(|[a, b]| Line::new(at(a), at(b)));
        let meet = match line_intersection(lines[0], lines[1]) {
            None => continue,
            Some(LineIntersection::SinglePoint { intersection, is_proper: true }) => {
                let same = |at: Coord<f64>| Euclidean.distance(at, intersection) < ROUNDING;
                let ends = [one, other].concat();
                let known = ends.into_iter().find(|id| same(at(*id)));
                vec![known.unwrap_or_else(|| {
                    let place = found.iter().position(|known| same(*known));
                    let place = place.unwrap_or_else(|| {
                        found.push(intersection);
                        found.len() - 1
                    });
                    u32::try_from(positions.len() + place).unwrap_or(u32::MAX)
                })]
            }
            Some(LineIntersection::SinglePoint { intersection, .. }) => {
                let ends = [one, other].concat();
                ends.into_iter().filter(|id| at(*id) == intersection).collect()
            }
            Some(LineIntersection::Collinear { intersection }) => {
                let ends = [one, other].concat();
                ends.into_iter()
                    .filter(|id| [intersection.start, intersection.end].contains(&at(*id)))
                    .collect()
            }
        };
        for (number, ends) in numbers.into_iter().zip([one, other]) {
            for id in meet.iter().filter(|id| !ends.contains(id)) {
                let between = stops.entry(number).or_default();
                if !between.contains(id) {
                    between.push(*id);
                }
            }
        }
    }
    positions.extend(found);
    stops
}
