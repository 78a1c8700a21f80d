use geo::{Coord, Rect};

/// The pieces of a line that lie in a window, in order: by Liang and Barsky ("A new concept and
/// method for line clipping", 1984), segment by segment. A piece ends where the line leaves.
pub(super) fn line(line: &[Coord<f64>], window: &Rect<f64>) -> Vec<Vec<Coord<f64>>> {
    if let [only] = line {
        return if segment(*only, *only, window).is_some() { vec![vec![*only]] } else { vec![] };
    }
    let mut pieces: Vec<Vec<Coord<f64>>> = Vec::new();
    for (&from, &to) in line.iter().zip(line.iter().skip(1)) {
        let Some((enters, leaves)) = segment(from, to, window) else { continue };
        match pieces.last_mut().filter(|piece| piece.last() == Some(&enters)) {
            Some(piece) => piece.push(leaves),
            None => pieces.push(vec![enters, leaves]),
        }
    }
    pieces
}

fn segment(
    from: Coord<f64>,
    to: Coord<f64>,
    window: &Rect<f64>,
) -> Option<(Coord<f64>, Coord<f64>)> {
    let along = to - from;
    let (low, high) = (window.min(), window.max());
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-along.x, from.x - low.x),
        (along.x, high.x - from.x),
        (-along.y, from.y - low.y),
        (along.y, high.y - from.y),
    ] {
        if step == 0.0 && room < 0.0 {
            return None;
        } else if step < 0.0 {
            enters = enters.max(room / step);
        } else if step > 0.0 {
            leaves = leaves.min(room / step);
        }
    }
    let start = if enters > 0.0 { from + along * enters } else { from };
    let end = if leaves < 1.0 { from + along * leaves } else { to };
    (enters <= leaves).then_some((start, end))
}

/// A ring within a window, by Sutherland and Hodgman ("Reentrant polygon clipping", 1974): inside
/// the window it encloses what it did before, with any number of other rings; parts of it may run
/// to and fro on the window's edge.
pub(super) fn ring(ring: &[Coord<f64>], window: &Rect<f64>) -> Vec<Coord<f64>> {
    let (low, high) = (window.min(), window.max());
    let west = cut(ring, |at| at.x - low.x);
    let east = cut(&west, |at| high.x - at.x);
    let south = cut(&east, |at| at.y - low.y);
    cut(&south, |at| high.y - at.y)
}

/// The ring on the side of a straight line where `depth` is not negative.
#[must_use]
pub fn cut(ring: &[Coord<f64>], depth: impl Fn(Coord<f64>) -> f64) -> Vec<Coord<f64>> {
    let mut kept = Vec::with_capacity(ring.len());
    let before = ring.iter().cycle().skip(ring.len().saturating_sub(1));
    for (&from, &to) in before.zip(ring) {
        let (start, end) = (depth(from), depth(to));
        if (start < 0.0) != (end < 0.0) {
            kept.push(from + (to - from) * (start / (start - end)));
        }
        if end >= 0.0 {
            kept.push(to);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use geo::{Area, LineString, Polygon, coord};

    use super::*;

    fn window() -> Rect<f64> {
        Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 10.0, y: 10.0 })
    }

    fn coords(pairs: &[(f64, f64)]) -> Vec<Coord<f64>> {
        pairs.iter().map(|&(x, y)| Coord { x, y }).collect()
    }

    #[test]
    fn lines_are_cut_where_they_leave() {
        let through = coords(&[(-5.0, 5.0), (5.0, 5.0), (5.0, 15.0), (8.0, 15.0), (8.0, -5.0)]);
        assert_eq!(
            line(&through, &window()),
            [coords(&[(0.0, 5.0), (5.0, 5.0), (5.0, 10.0)]), coords(&[(8.0, 10.0), (8.0, 0.0)])]
        );
        let inside = coords(&[(1.0, 1.0), (2.0, 3.0), (1.0, 1.0)]);
        assert_eq!(line(&inside, &window()), std::slice::from_ref(&inside));
        assert!(line(&coords(&[(-1.0, 0.0), (-1.0, 9.0)]), &window()).is_empty());
        assert!(line(&coords(&[(11.0, 3.0)]), &window()).is_empty());
        assert!(line(&[], &window()).is_empty());
        assert_eq!(line(&coords(&[(3.0, 3.0)]), &window()), [coords(&[(3.0, 3.0)])]);
    }

    #[test]
    fn rings_keep_the_area_that_is_inside() {
        let area = |corners: &[(f64, f64)]| {
            Polygon::new(LineString(ring(&coords(corners), &window())), vec![]).unsigned_area()
        };
        // A square over a corner, one around it all, one apart; the triangle's apex is cut off.
        assert_eq!(area(&[(5.0, 5.0), (15.0, 5.0), (15.0, 15.0), (5.0, 15.0)]), 25.0);
        assert_eq!(area(&[(-9.0, -9.0), (99.0, -9.0), (99.0, 99.0), (-9.0, 99.0)]), 100.0);
        assert_eq!(area(&[(11.0, 0.0), (12.0, 0.0), (12.0, 1.0)]), 0.0);
        assert_eq!(area(&[(0.0, 0.0), (10.0, 0.0), (5.0, 20.0)]), 75.0);
    }
}
