use geo::Coord;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::ground::squared;

/// Up to so many places, looking at each is faster than a tree.
const FEW: usize = 100;

/// Places among which the nearest is looked for.
pub(super) struct Places<'a> {
    all: &'a [Coord<f64>],
    tree: Option<RTree<GeomWithData<[f64; 2], usize>>>,
}

impl<'a> Places<'a> {
    pub fn new(all: &'a [Coord<f64>]) -> Self {
        let entry = |(number, at): (usize, &Coord<f64>)| GeomWithData::new([at.x, at.y], number);
        let tree = (all.len() > FEW)
            .then(|| RTree::bulk_load(all.iter().enumerate().map(entry).collect()));
        Self { all, tree }
    }

    /// The number of the nearest place and its squared distance; infinite where there is none.
    pub fn nearest(&self, at: Coord<f64>) -> (usize, f64) {
        if let Some(found) =
            self.tree.as_ref().and_then(|tree| tree.nearest_neighbor(&[at.x, at.y]))
        {
            let [x, y] = *found.geom();
            return (found.data, squared(Coord { x, y } - at));
        }
        let mut best = (0, f64::INFINITY);
        for (number, place) in self.all.iter().enumerate() {
            let apart = squared(*place - at);
            if apart < best.1 {
                best = (number, apart);
            }
        }
        best
    }
}

/// The mean of the squared distances of nodes to the nearest of some places, m².
#[must_use]
pub fn mean_squared_distance(nodes: &[Coord<f64>], places: &[Coord<f64>]) -> f64 {
    let places = Places::new(places);
    nodes.iter().map(|node| places.nearest(*node).1).sum::<f64>() / nodes.len() as f64
}
