use geo::{Area, Contains, Coord, LineString, Polygon};

/// Sorts the rings of one shape into parts, each its outer ring and then its holes.
///
/// Rings are nested by what contains what, not by the direction they run in, which files in the
/// field get wrong: a ring inside an even number of others is an outer ring, one inside an odd
/// number is a hole of the smallest that contains it. Order is the file's.
pub(super) fn nest(rings: &[Vec<Coord<f64>>]) -> Vec<Vec<Vec<Coord<f64>>>> {
    let shapes: Vec<Polygon<f64>> =
        rings.iter().map(|ring| Polygon::new(LineString(ring.clone()), vec![])).collect();
    let area = |i: usize| shapes.get(i).map_or(0.0, Area::unsigned_area);
    // For each ring, the rings around it. Of two that cross, only the larger can be around.
    let around: Vec<Vec<usize>> = shapes
        .iter()
        .map(|inner| {
            let holds = |outer: &Polygon<f64>| {
                outer.unsigned_area() > inner.unsigned_area()
                    && inner.exterior().0.iter().any(|vertex| outer.contains(vertex))
            };
            shapes.iter().enumerate().filter(|(_, outer)| holds(outer)).map(|(j, _)| j).collect()
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
    let strays = rings.iter().enumerate().filter(|&(i, _)| is_hole(i) && owner(i).is_none());
    parts.extend(strays.map(|(_, ring)| vec![ring.clone()]));
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
        let parts = nest(&rings);
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
        assert!(nest(&[]).is_empty());
        assert_eq!(nest(&[vec![]]), [vec![Vec::<Coord<f64>>::new()]]);
        assert_eq!(nest(&[square(0.0, 1.0), square(0.0, 1.0)]).len(), 2);
    }
}
