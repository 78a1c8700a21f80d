use geo::{BooleanOps, BoundingRect, MultiPolygon};

use super::against_zones::{Ledger, TRACE};
use super::{Course, PatchUse, Scene, SpreaderAtWork};
use crate::geometry::{Feature, buffer};
use crate::units::{Length, Quantity};

/// How near the answer is looked for, in meters: half a foot.
const NEAR_M: f64 = 0.15;

/// How much wider a keep-out must be made so that no more than a trace lands on it as it is, driven
/// the same way; none where even the whole throw and the way that the machine needs to stop do not
/// do. Found by spreading the field again with wider ones.
#[must_use]
pub fn wider(
    scene: &Scene,
    heading: f64,
    course: &Course,
    spreading: &SpreaderAtWork,
    side: Length,
    number: usize,
) -> Option<Length> {
    let mine: Vec<Feature> = scene
        .patches
        .iter()
        .filter(|(is, ..)| *is == PatchUse::KeptOut(number))
        .map(|(.., polygon)| {
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            Feature::polygon(rings.map(|ring| ring.0.clone()).collect())
        })
        .collect();
    let bounds = scene.field.bounding_rect()?;
    let as_it_is = scene.driven(heading, course);
    let is_clean = |by: f64| {
        let off = buffer(&mine, by, &bounds);
        let narrower = scene.patches.iter().flat_map(|(is, rate, polygon)| {
            let left = match is {
                PatchUse::KeptOut(_) => MultiPolygon(vec![polygon.clone()]),
                PatchUse::Zone(_) => polygon.difference(&off),
            };
            left.into_iter().map(move |polygon| (*is, *rate, polygon))
        });
        let narrower =
            Scene { field: scene.field.clone(), patches: narrower.collect(), asked: None };
        let cells = narrower.driven(heading, course).spread(spreading, side);
        Ledger::new(&as_it_is.ground, &cells).highest(&cells, PatchUse::KeptOut(number)) <= TRACE
    };
    let [left, right] = spreading.throw.reach();
    let throw = left.abs().max(right.abs());
    let (mut dirty, mut clean) = (0.0, libm::hypot(throw, course.run_out.si()) + side.si());
    if !is_clean(clean) {
        return None;
    }
    while clean - dirty > NEAR_M {
        let middle = f64::midpoint(dirty, clean);
        if is_clean(middle) {
            clean = middle;
        } else {
            dirty = middle;
        }
    }
    Some(Length::metres(clean))
}
