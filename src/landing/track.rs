use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Contains, Coord, Line};
use rstar::primitives::{GeomWithData, Line as Edge, Rectangle};
use rstar::{AABB, RTree};

use super::{LandingGround, Patch, Prescription, Run, Stretch};

/// The zones of a ground, found by place: for ways of many short legs, as machines log them.
pub(super) struct Lookup<'a> {
    ground: &'a LandingGround,
    edges: RTree<Edge<[f64; 2]>>,
    patches: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

impl<'a> Lookup<'a> {
    pub(super) fn new(ground: &'a LandingGround) -> Self {
        let patches = || ground.patches().iter().filter(|patch| patch.rate > 0.0);
        let edges = patches().flat_map(Patch::edges);
        let edges = edges.map(|[a, b]| Edge::new([a.x, a.y], [b.x, b.y])).collect();
        let boxes = ground.patches().iter().enumerate().filter_map(|(number, patch)| {
            let bounds = patch.bounds().filter(|_| patch.rate > 0.0)?;
            let [low, high] = [bounds.min(), bounds.max()].map(|at| [at.x, at.y]);
            Some(GeomWithData::new(Rectangle::from_corners(low, high), number))
        });
        Self { ground, edges: RTree::bulk_load(edges), patches: RTree::bulk_load(boxes.collect()) }
    }

    /// What the zones ask for along a run, nothing on legs that are not `on`.
    pub(super) fn asked(&self, run: &Run, on: &[bool]) -> Prescription {
        let mut stretches: Vec<Stretch> = Vec::new();
        for (leg, on) in run.places.windows(2).zip(on) {
            let [(from, start), (to, end)] = *leg else { continue };
            let mut shares = vec![0.0];
            if *on {
                shares.extend(self.crossings(from, to));
                shares.sort_by(f64::total_cmp);
            }
            shares.push(1.0);
            for pair in shares.windows(2) {
                let [a, b] = *pair else { continue };
                if b <= a {
                    continue;
                }
                let rate =
                    if *on { self.rate(from + (to - from) * f64::midpoint(a, b)) } else { 0.0 };
                if stretches.last().is_none_or(|last| last.rate != rate) {
                    stretches.push(Stretch { from: start + (end - start) * a, rate });
                }
            }
        }
        // Where the run ends, the belt stops.
        if let Some((_, from)) = run.places.last() {
            stretches.push(Stretch { from: *from, rate: 0.0 });
        }
        Prescription { stretches }
    }

    /// Where a leg crosses the zones' edges, as shares of it.
    fn crossings(&self, from: Coord<f64>, to: Coord<f64>) -> Vec<f64> {
        let low = [from.x.min(to.x), from.y.min(to.y)];
        let high = [from.x.max(to.x), from.y.max(to.y)];
        let near = self.edges.locate_in_envelope_intersecting(&AABB::from_corners(low, high));
        let (leg, way) = (Line::new(from, to), to - from);
        let squared = way.x * way.x + way.y * way.y;
        near.filter_map(|edge| {
            let ends = [edge.from, edge.to].map(|[x, y]| Coord { x, y });
            match line_intersection(leg, Line::new(ends[0], ends[1]))? {
                LineIntersection::SinglePoint { intersection, .. } => {
                    let off = intersection - from;
                    Some((off.x * way.x + off.y * way.y) / squared)
                }
                LineIntersection::Collinear { .. } => None,
            }
        })
        .filter(|share| *share > 0.0 && *share < 1.0)
        .collect()
    }

    /// The rate at a place, kg/m2.
    fn rate(&self, at: Coord<f64>) -> f64 {
        let mut numbers: Vec<usize> =
            self.patches.locate_all_at_point(&[at.x, at.y]).map(|found| found.data).collect();
        numbers.sort_unstable();
        let mut found = numbers.into_iter().filter_map(|number| self.ground.patches().get(number));
        found.find(|patch| patch.polygon.contains(&at)).map_or(0.0, |patch| patch.rate)
    }
}
