//! The outlines of what is near a line, one stretch at a time, as ribbons along their inside.

use std::f64::consts::{FRAC_PI_4, TAU};

use geo::Coord;

/// How far outside the true circle the corners of a round end may lie, in meters: less than any
/// machine steers to.
const SAGITTA_M: f64 = 0.005;
/// How deep a ribbon is, in meters: many cells of the grid of the polygon operations, so that none
/// has a gap, and little, so that few cross.
const DEPTH_M: f64 = 0.01;
/// How far a side may leave its line's distance where it reaches past its end, in meters: less than a
/// cell of the grid.
const OVER_M: f64 = 1e-5;
const MOST_OVERLAP_M: f64 = 1e-3;

/// What ribbons at a distance are like.
#[derive(Clone, Copy, Debug)]
pub struct Ribbon {
    pub distance: f64,
    pub depth: f64,
    overlap: f64,
    /// Half the angle that a tangent of a round end spans.
    half: f64,
}

/// A stretch of ribbon: its outer corners in order, the line to their left.
pub struct Stretch {
    pub outer: Vec<Coord<f64>>,
    inner: Vec<Coord<f64>>,
}

impl Ribbon {
    pub fn at(distance: f64) -> Self {
        Self {
            distance,
            depth: DEPTH_M.min(distance / 2.0),
            // Along a tangent the distance grows by t²/2r.
            overlap: (2.0 * distance * OVER_M).sqrt().min(MOST_OVERLAP_M),
            half: libm::acos(distance / (distance + SAGITTA_M)).min(FRAC_PI_4),
        }
    }

    /// The right side of a segment, whose right is the distance long. It reaches past both ends by
    /// more than rounding moves it, so that it always meets its neighbors.
    pub fn side(&self, from: Coord<f64>, to: Coord<f64>, right: Coord<f64>) -> Stretch {
        let past = Coord { x: -right.y, y: right.x } * (self.overlap / self.distance);
        let (from, to) = (from - past, to + past);
        let inner = right * (1.0 - self.depth / self.distance);
        Stretch { outer: vec![from + right, to + right], inner: vec![to + inner, from + inner] }
    }
}

/// The arc around a place between two spokes, counter-clockwise, by tangents of the same length, so that
/// the disc is inside.
pub struct Arc {
    center: Coord<f64>,
    from: Coord<f64>,
    to: Coord<f64>,
    half: f64,
    pub tangents: u32,
    inner: f64,
}

impl Arc {
    pub fn new(
        ribbon: &Ribbon,
        center: Coord<f64>,
        from: Coord<f64>,
        to: Coord<f64>,
        sweep: f64,
    ) -> Self {
        let tangents = (sweep / (2.0 * ribbon.half)).ceil().clamp(1.0, TAU / ribbon.half);
        let inner = 1.0 - ribbon.depth / ribbon.distance;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let count = tangents as u32;
        Self { center, from, to, half: sweep / (2.0 * tangents), tangents: count, inner }
    }

    /// Some of its tangents, by number: of the first the start, of the last the end is its own.
    pub fn part(&self, tangents: std::ops::Range<u32>) -> Stretch {
        let turned = |halves: u32| {
            let (sin, cos) = libm::sincos(self.half * f64::from(halves));
            Coord {
                x: self.from.x * cos - self.from.y * sin,
                y: self.from.x * sin + self.from.y * cos,
            }
        };
        let end = |number: u32| match number {
            0 => self.from,
            last if last == self.tangents => self.to,
            number => turned(2 * number),
        };
        let corners = tangents.clone().map(|number| turned(2 * number + 1) / libm::cos(self.half));
        let spokes: Vec<Coord<f64>> = std::iter::once(end(tangents.start))
            .chain(corners)
            .chain([end(tangents.end)])
            .collect();
        Stretch {
            outer: spokes.iter().map(|spoke| self.center + *spoke).collect(),
            inner: spokes.iter().rev().map(|spoke| self.center + *spoke * self.inner).collect(),
        }
    }
}

impl Stretch {
    /// The ribbon's corners.
    pub fn corners(self) -> Vec<Coord<f64>> {
        [self.outer, self.inner].concat()
    }
}

/// The spokes between which the outline is round on the outside of a bend, counter-clockwise, and the
/// angle between them. Both rights are as long as the distance.
pub fn bend(before: Coord<f64>, after: Coord<f64>) -> Option<(Coord<f64>, Coord<f64>, f64)> {
    let cross = before.x * after.y - before.y * after.x;
    let turn = libm::atan2(cross, before.x * after.x + before.y * after.y);
    if turn > 0.0 {
        Some((before, after, turn))
    } else if turn < 0.0 {
        Some((-after, -before, -turn))
    } else {
        None
    }
}
