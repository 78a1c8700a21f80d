use geo::{Area, Contains, Coord, LineString, Polygon};

/// Sorts the rings of one shape into parts, each its outer ring and then its holes.
///
/// Rings are nested by what contains what, not by the direction they run in, which files in the
/// field get wrong: a ring inside an even number of others is an outer ring, one inside an odd
/// number is a hole of the smallest that contains it. Order is the file's.
pub(super) fn nest(rings: Vec<Vec<Coord<f64>>>) -> Vec<Vec<Vec<Coord<f64>>>> {
    let shapes: Vec<Polygon<f64>> =
        rings.iter().map(|ring| Polygon::new(LineString(ring.clone()), vec![])).collect();
    let areas: Vec<f64> = shapes.iter().map(Area::unsigned_area).collect();
    let area = |i: usize| areas.get(i).copied().unwrap_or(0.0);
    // For each ring, the rings around it. Of two that cross, only the larger can be around.
    let around: Vec<Vec<usize>> = (0..shapes.len())
        .map(|i| {
            let holds = |j: usize| {
                i != j && area(j) > area(i) && matches!((shapes.get(i), shapes.get(j)), (Some(inner), Some(outer)) if inner.exterior().0.iter().any(|vertex| outer.contains(vertex)))
            };
            (0..shapes.len()).filter(|&j| holds(j)).collect()
        })
        .collect();
    let is_hole = |i: usize| around.get(i).is_some_and(|rings| rings.len() % 2 == 1);
    let owner = |i: usize| {
        let outer = around.get(i)?.iter().copied().filter(|&j| !is_hole(j));
        outer.min_by(|&a, &b| area(a).total_cmp(&area(b)))
    };
    let mut parts = Vec::new();
    for (i, ring) in rings.iter().enumerate().filter(|&(i, _)| !is_hole(i)) {
        let holes = rings.iter().enumerate().filter(|&(j, _)| is_hole(j) && owner(j) == Some(i));
        parts.push(
            std::iter::once(ring.clone()).chain(holes.map(|(_, hole)| hole.clone())).collect(),
        );
    }
    // A hole without an owner comes of rings that cross: as a part of its own it will be noticed.
    for (i, ring) in rings.iter().enumerate().filter(|&(i, _)| is_hole(i) && owner(i).is_none()) {
        debug_assert!(i < rings.len());
        parts.push(vec![ring.clone()]);
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, side: f64) -> Vec<Coord<f64>> {
        [(x, x), (x + side, x), (x + side, x + side), (x, x + side), (x, x)]
            .map(|(x, y)| Coord { x, y })
            .to_vec()
    }

    #[test]
    fn an_island_in_a_pond_is_a_part_of_its_own() {
        let rings = vec![
            square(4.0, 1.0),
            square(20.0, 5.0),
            square(3.0, 4.0),
            square(0.0, 10.0),
            square(21.0, 1.0),
        ];
        let parts = nest(rings.clone());
        assert_eq!(
            parts,
            [
                vec![rings[0].clone()],
                vec![rings[1].clone(), rings[4].clone()],
                vec![rings[3].clone(), rings[2].clone()]
            ]
        );
    }

    #[test]
    fn nothing_is_lost() {
        assert!(nest(vec![]).is_empty());
        assert_eq!(nest(vec![vec![]]), [vec![Vec::<Coord<f64>>::new()]]);
        assert_eq!(nest(vec![square(0.0, 1.0), square(0.0, 1.0)]).len(), 2);
    }
}
