//! Where a line is crossed by edges.

use geo::{Coord, MultiPolygon};

/// Where a line is crossed by the edges of rings, as distances along it from its first place,
/// sorted. An edge crosses when exactly one of its ends lies to the right of the line, so that each
/// vertex counts once; two patches that share an edge have the very same number.
pub(super) fn crossings(
    edges: impl Iterator<Item = [Coord<f64>; 2]>,
    [from, to]: [Coord<f64>; 2],
) -> Vec<f64> {
    let length = libm::hypot(to.x - from.x, to.y - from.y);
    let along = Coord { x: (to.x - from.x) / length, y: (to.y - from.y) / length };
    let right = |at: Coord<f64>| (at.x - from.x) * along.y - (at.y - from.y) * along.x;
    let mut found: Vec<f64> = edges
        .filter_map(|[a, b]| {
            let (low, high) = if (a.x, a.y) <= (b.x, b.y) { (a, b) } else { (b, a) };
            let (of_low, of_high) = (right(low), right(high));
            ((of_low > 0.0) != (of_high > 0.0)).then(|| {
                let share = of_low / (of_low - of_high);
                let x = low.x + share * (high.x - low.x) - from.x;
                let y = low.y + share * (high.y - low.y) - from.y;
                x * along.x + y * along.y
            })
        })
        .collect();
    found.sort_by(f64::total_cmp);
    found
}

/// The edges of all rings.
pub(super) fn edges(polygons: &MultiPolygon<f64>) -> Vec<[Coord<f64>; 2]> {
    let rings =
        polygons.iter().flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
    rings.flat_map(|ring| ring.lines().map(|line| [line.start, line.end])).collect()
}
