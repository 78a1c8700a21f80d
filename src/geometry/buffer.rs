use std::f64::consts::{FRAC_PI_4, PI, TAU};

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, Rect, Winding, unary_union};

use super::{Feature, clip};

/// How far outside the true circle the corners of a round end may lie, in meters: less than any
/// machine steers to.
const SAGITTA_M: f64 = 0.005;

/// Room around the window, in meters, so that nothing that is cut off ends on its edge.
const MARGIN_M: f64 = 1.0;

/// What lies within a distance (meters) of features, as far as the window shows it; outside the
/// window what is given means nothing.
///
/// Nothing within the distance is left out, but for the grid of the polygon operations (under
/// 0.1 mm within 50 km), and nothing farther than the distance and 5 mm is in: sides are straight at
/// the very distance, and round ends are drawn around their circle, not inside it.
#[must_use]
pub fn buffer(features: &[Feature], distance: f64, window: &Rect<f64>) -> MultiPolygon<f64> {
    let room = Coord { x: distance + MARGIN_M, y: distance + MARGIN_M };
    let window = Rect::new(window.min() - room, window.max() + room);
    let mut pieces: Vec<Polygon<f64>> = Vec::new();
    for feature in features {
        if feature.filled {
            let rings = feature.lines.iter().map(|ring| clip::ring(ring, &window));
            let rings = rings.map(piece);
            // Even-odd, as the rings of one feature are meant; gives rings that are sound.
            let filled = MultiPolygon(rings.collect()).union(&MultiPolygon(vec![]));
            pieces.extend(filled);
        }
        if distance > 0.0 {
            for line in &feature.lines {
                let closing = line.first().filter(|_| feature.filled);
                let line: Vec<Coord<f64>> = line.iter().chain(closing).copied().collect();
                for piece in clip::line(&line, &window) {
                    stroke(piece, distance, &mut pieces);
                }
            }
        }
    }
    unary_union(&pieces)
}

/// Adds what lies within a distance of a line: a rectangle for each segment, a sector outside each
/// bend, a half disc at each end, all counter-clockwise.
fn stroke(mut line: Vec<Coord<f64>>, distance: f64, pieces: &mut Vec<Polygon<f64>>) {
    line.dedup();
    let (Some(&first), Some(&last)) = (line.first(), line.last()) else { return };
    let mut sector = |centre, from, to, sweep| {
        pieces.push(sector(centre, from, to, sweep, distance));
    };
    // To the left of each segment, as long as the distance.
    let left = |(from, to): (&Coord<f64>, &Coord<f64>)| {
        let along = *to - *from;
        let length = along.x.hypot(along.y);
        Coord { x: -along.y / length, y: along.x / length } * distance
    };
    let lefts: Vec<Coord<f64>> = line.iter().zip(line.iter().skip(1)).map(left).collect();
    let (Some(&start), Some(&end)) = (lefts.first(), lefts.last()) else {
        let east = Coord { x: distance, y: 0.0 };
        sector(first, east, -east, PI);
        sector(first, -east, east, PI);
        return;
    };
    let mut bend = |at: Coord<f64>, before: Coord<f64>, after: Coord<f64>| {
        let cross = before.x * after.y - before.y * after.x;
        let turn = cross.atan2(before.x * after.x + before.y * after.y);
        if turn > 0.0 {
            sector(at, -before, -after, turn);
        } else if turn < 0.0 {
            sector(at, after, before, -turn);
        }
    };
    let bends = line.iter().skip(1).zip(lefts.iter().zip(lefts.iter().skip(1)));
    bends.for_each(|(&at, (&before, &after))| bend(at, before, after));
    if first == last {
        bend(first, end, start);
    } else {
        sector(first, start, -start, PI);
        sector(last, -end, end, PI);
    }
    for ((&from, &to), &left) in line.iter().zip(line.iter().skip(1)).zip(&lefts) {
        let corners = vec![from - left, to - left, to + left, from + left];
        pieces.push(piece(corners));
    }
}

/// The part of a disc between two radii, counter-clockwise; its arc is drawn by tangents, so that
/// the disc is inside.
fn sector(
    centre: Coord<f64>,
    from: Coord<f64>,
    to: Coord<f64>,
    sweep: f64,
    radius: f64,
) -> Polygon<f64> {
    let half = (radius / (radius + SAGITTA_M)).acos().min(FRAC_PI_4);
    let tangents = (sweep / (2.0 * half)).ceil().clamp(1.0, TAU / half);
    let half = sweep / (2.0 * tangents);
    let corner = |number: u32| {
        let (sin, cos) = (half * f64::from(2 * number + 1)).sin_cos();
        let turned = Coord { x: from.x * cos - from.y * sin, y: from.x * sin + from.y * cos };
        centre + turned / half.cos()
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped above")]
    let corners = (0..tangents as u32).map(corner);
    let arc = std::iter::once(centre + from).chain(corners).chain([centre + to]);
    piece(std::iter::once(centre).chain(arc).collect())
}

/// A polygon without holes, counter-clockwise, on the grid: rounding may turn the smallest ones.
fn piece(ring: Vec<Coord<f64>>) -> Polygon<f64> {
    let mut ring = LineString(ring.into_iter().map(on_grid).collect());
    ring.close();
    ring.make_ccw_winding();
    Polygon::new(ring, vec![])
}

/// The nearest whole multiple of 2^-16 m (15 µm) in both coordinates.
///
/// Polygon operations work on a grid of a power of two of a meter. Between numbers like these and
/// the grid's no rounding comes, so that what is sound there is sound here.
#[must_use]
pub fn on_grid(at: Coord<f64>) -> Coord<f64> {
    const CELLS: f64 = 65_536.0;
    Coord { x: (at.x * CELLS).round() / CELLS, y: (at.y * CELLS).round() / CELLS }
}

#[cfg(test)]
mod tests;
