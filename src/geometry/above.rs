//! Where values on a lattice are above a level, as rings.

use std::collections::BTreeMap;

use geo::Coord;

/// The rings around the nodes whose value is above a level, in steps of the lattice from its first
/// node, first position not repeated. Rows of `columns` values follow each other; beyond the lattice
/// nothing is above. Rings inside others are holes (even-odd rule).
///
/// Marching triangles: each cell is two triangles, on whose edges the level is found by linear
/// interpolation; unlike squares they have no ambiguous case.
#[must_use]
pub fn rings_above(values: &[f64], columns: usize, level: f64) -> Vec<Vec<Coord<f64>>> {
    let rows = values.len().checked_div(columns).unwrap_or(0);
    let wide = columns + 2;
    // A frame of nodes that are just not above.
    let value = |node: usize| {
        let (row, column) = (node / wide, node % wide);
        let inside = (1..=rows).contains(&row) && (1..=columns).contains(&column);
        let value = inside.then(|| values.get((row - 1) * columns + column - 1)).flatten();
        value.copied().filter(|value| value.is_finite()).unwrap_or(f64::NEG_INFINITY)
    };
    let is_above = |node: usize| value(node) > level;
    let mut links: BTreeMap<[usize; 2], Vec<[usize; 2]>> = BTreeMap::new();
    for row in 0..=rows {
        for column in 0..=columns {
            let south_west = row * wide + column;
            let [south_east, north_west] = [south_west + 1, south_west + wide];
            let north_east = north_west + 1;
            for [a, b, c] in
                [[south_west, south_east, north_east], [south_west, north_east, north_west]]
            {
                let cut = [[a, b], [b, c], [a, c]].map(|[a, b]| [a.min(b), a.max(b)]);
                let cut: Vec<[usize; 2]> =
                    cut.into_iter().filter(|&[a, b]| is_above(a) != is_above(b)).collect();
                if let [one, other] = cut[..] {
                    links.entry(one).or_default().push(other);
                    links.entry(other).or_default().push(one);
                }
            }
        }
    }
    let place = |[a, b]: [usize; 2]| {
        let at =
            |node: usize| Coord { x: (node % wide) as f64 - 1.0, y: (node / wide) as f64 - 1.0 };
        let share = (level - value(a)) / (value(b) - value(a));
        // At the frame the level is half way.
        let share = if share.is_finite() && share > 0.0 && share < 1.0 { share } else { 0.5 };
        at(a) + (at(b) - at(a)) * share
    };
    let mut rings = Vec::new();
    while let Some((&start, _)) = links.first_key_value() {
        let (mut ring, mut at) = (Vec::new(), start);
        while let Some(next) = links.remove(&at) {
            ring.push(place(at));
            // Both ways are free at the start; one of them is gone at all others.
            match next.into_iter().find(|edge| links.contains_key(edge)) {
                Some(next) => at = next,
                None => break,
            }
        }
        rings.push(ring);
    }
    rings
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn area(ring: &[Coord<f64>]) -> f64 {
        let next = ring.iter().cycle().skip(1);
        let twice: f64 = ring.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
        0.5 * twice.abs()
    }

    fn field(of: impl Fn(f64, f64) -> f64) -> Vec<f64> {
        (0..60 * 40).map(|node| of(f64::from(node % 60), f64::from(node / 60))).collect()
    }

    /// A circle is a circle: its area to a part in a hundred, with chords for arcs.
    #[test]
    fn a_cone_is_cut_in_a_circle() {
        let cone = field(|x, y| 20.0 - (x - 30.3).hypot(y - 19.6));
        let rings = rings_above(&cone, 60, 8.0);
        let [ring] = &rings[..] else { panic!("{} rings", rings.len()) };
        assert!((area(ring) / (PI * 144.0) - 1.0).abs() < 0.01, "{}", area(ring));
        assert!(ring.iter().all(|at| ((at.x - 30.3).hypot(at.y - 19.6) - 12.0).abs() < 0.1));
    }

    #[test]
    fn a_moat_has_two_rings_and_all_ground_one() {
        let moat = field(|x, y| -((x - 30.0).hypot(y - 20.0) - 10.0).abs());
        let mut areas: Vec<f64> = rings_above(&moat, 60, -3.0).iter().map(|r| area(r)).collect();
        areas.sort_by(f64::total_cmp);
        let [inner, outer] = areas[..] else { panic!("{areas:?}") };
        assert!((inner / (PI * 49.0) - 1.0).abs() < 0.02, "{inner}");
        assert!((outer / (PI * 169.0) - 1.0).abs() < 0.02, "{outer}");
        // Half a step beyond the outermost nodes, less the corners.
        let whole = rings_above(&field(|_, _| 1.0), 60, 0.5);
        let [ring] = &whole[..] else { panic!() };
        assert!((area(ring) - 60.0 * 40.0).abs() < 1.0, "{}", area(ring));
        assert!(rings_above(&field(|_, _| 0.0), 60, 0.5).is_empty());
        assert!(rings_above(&[], 0, 0.5).is_empty());
    }
}
