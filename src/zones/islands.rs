//! Joins islands to what is around them, where that is more probable there.

use std::collections::BTreeMap;

use geo::{Area as _, Coord, Intersects};

use super::class::ClassOfGround;
use super::merge::{common_borders, longest};
use super::sharing::faces_of_nodes;
use crate::geometry::{Coverage, Face};
use crate::surface::Lattice;
use crate::units::Area;

/// A zone with more samples than this is no island. On simulated fields (`cargo bench --bench simulated`)
/// 59.14 % of the ground is in its right tier where all zones stay, 59.19 % where those with one sample
/// or none may join, and kriging by the true covariance reaches 59.84 %. Where all zones may join, fields
/// with much nugget lose up to 1.2 points: whole soils go where the odds are off by a little.
const MOST_SAMPLES: usize = 1;

/// How probable each class is at some nodes of a lattice, which stand for the ground around them.
#[derive(Clone, Debug)]
pub struct NodeOdds<'a> {
    /// The lattice.
    pub lattice: &'a Lattice,
    /// The nodes, each with the probability of every class from the lowest; none where islands stay.
    pub nodes: Vec<(usize, Vec<f64>)>,
    /// Where the samples are.
    pub samples: Vec<Coord<f64>>,
}

/// Islands that joined what is around them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Joined {
    /// How many.
    pub count: usize,
    /// Their area.
    pub area: Area,
}

impl Joined {
    /// Joins each face that holds one sample or none to the class with the longest common border, where
    /// that is more probable over the face than its own, the smallest face first. Areas apart stay.
    pub(super) fn join(coverage: Coverage, odds: &NodeOdds<'_>) -> (Coverage, Self) {
        let (mut coverage, mut joined) = (coverage, Self::default());
        if odds.nodes.is_empty() {
            return (coverage, joined);
        }
        while let Some((face, class)) = most_doubtful(&coverage, odds) {
            let mut classes: Vec<u32> = coverage.faces.iter().map(|face| face.class).collect();
            if let (Some(slot), Some(face)) = (classes.get_mut(face), coverage.faces.get(face)) {
                *slot = class;
                joined.count += 1;
                joined.area = joined.area + area(&coverage, face);
            }
            coverage = coverage.dissolved(&classes);
        }
        (coverage, joined)
    }
}

fn area(coverage: &Coverage, face: &Face) -> Area {
    Area::square_metres(coverage.plane_polygon(face).unsigned_area())
}

/// The smallest face that another class is more probable on, and that class.
fn most_doubtful(coverage: &Coverage, odds: &NodeOdds<'_>) -> Option<(usize, u32)> {
    let owners = faces_of_nodes(coverage, odds.lattice);
    let mut sums: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (node, of) in &odds.nodes {
        let Some(face) = owners.get(*node).copied().flatten() else { continue };
        let sum = sums.entry(face.index()).or_insert_with(|| vec![0.0; of.len()]);
        for (sum, odds) in sum.iter_mut().zip(of) {
            *sum += odds;
        }
    }
    let borders = common_borders(coverage);
    let doubtful = sums.into_iter().filter_map(|(face, sum)| {
        let own =
            coverage.faces.get(face).filter(|face| ClassOfGround::of(face.class).by_surface())?;
        let polygon = coverage.plane_polygon(own);
        if odds.samples.iter().filter(|at| polygon.intersects(*at)).count() > MOST_SAMPLES {
            return None;
        }
        let around = longest(coverage, borders.get(&face)?)?;
        let of = |class: u32| sum.get(class as usize).copied().unwrap_or(0.0);
        (of(around) > of(own.class)).then(|| (face, around, polygon.unsigned_area()))
    });
    let smallest = doubtful.min_by(|a, b| a.2.total_cmp(&b.2).then(a.0.cmp(&b.0)));
    smallest.map(|(face, class, _)| (face, class))
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, Rect, coord};

    use super::*;
    use crate::geometry::HalfEdge;

    fn square(least: f64, most: f64) -> [Coord<f64>; 4] {
        [(least, least), (most, least), (most, most), (least, most)]
            .map(|(x, y)| coord! { x: x, y: y })
    }

    /// A square of 20 m of class 0 in one of 100 m of class 1.
    fn island() -> Coverage {
        let vertices = [square(0.0, 100.0), square(40.0, 60.0)].concat();
        let ring = |first: u32, class: u32, turned: bool| {
            (0..4).map(move |i| {
                let (from, to) = (first + i, first + (i + 1) % 4);
                let (from, to) = if turned { (to, from) } else { (from, to) };
                HalfEdge { class, from, to }
            })
        };
        let edges = ring(0, 1, false).chain(ring(4, 1, true)).chain(ring(4, 0, false)).collect();
        Coverage::from_half_edges(vertices, edges)
    }

    fn lattice() -> Lattice {
        let field = Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 100.0, y: 100.0 });
        Lattice::over(&MultiPolygon(vec![field.to_polygon()]), 4.0).unwrap()
    }

    fn joined(own: f64, samples: &[[f64; 2]]) -> Joined {
        let lattice = lattice();
        // Outside the island nothing is in doubt.
        let odds = |node: usize| {
            let at = lattice.node(node);
            let inside = (40.0..60.0).contains(&at.x) && (40.0..60.0).contains(&at.y);
            (node, if inside { vec![own, 1.0 - own] } else { vec![0.0, 1.0] })
        };
        let nodes = (0..lattice.columns() * lattice.rows()).map(odds).collect();
        let samples = samples.iter().map(|[x, y]| coord! { x: *x, y: *y }).collect();
        let odds = NodeOdds { lattice: &lattice, nodes, samples };
        let (coverage, joined) = Joined::join(island(), &odds);
        assert_eq!(coverage.faces.len(), 2 - joined.count);
        joined
    }

    #[test]
    fn an_island_goes_where_the_ground_around_it_is_more_probable() {
        let gone = Joined { count: 1, area: Area::square_metres(400.0) };
        assert_eq!(joined(0.22, &[[50.0, 50.0], [10.0, 10.0]]), gone);
        assert_eq!(joined(0.22, &[]), gone);
        assert_eq!(joined(0.6, &[[50.0, 50.0]]), Joined::default());
    }

    /// One sample may be a slip of the hand or of the ground; two that agree are a soil.
    #[test]
    fn an_island_with_two_samples_stays() {
        assert_eq!(joined(0.22, &[[45.0, 50.0], [55.0, 50.0]]), Joined::default());
    }
}
