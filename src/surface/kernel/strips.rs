//! The samples in their canonical order, which is an index too.

use super::tile::{Rectangle, Shortlist};
use crate::surface::Point;

/// Samples in strips from south to north, each strip from west to east.
///
/// The strips are so high that a strip holds as many samples as there are strips, times four: a
/// square of the field then crosses few strips, and within each its samples are one run.
#[derive(Clone, Debug)]
pub(in crate::surface) struct Strips {
    points: Vec<Point>,
    /// Where each strip begins, and where the last one ends.
    starts: Vec<usize>,
    south: f64,
    height: f64,
}

impl Strips {
    /// Puts samples in order; equal places are in the order of their values.
    pub fn new(points: Vec<Point>) -> Self {
        let northings = || points.iter().map(|point| point.northing);
        let south = northings().fold(f64::INFINITY, f64::min);
        let north = northings().fold(f64::NEG_INFINITY, f64::max);
        let count = ((points.len() as f64 / 4.0).sqrt().ceil()).max(1.0);
        let height = (north / count - south / count).max(f64::MIN_POSITIVE);
        let strip = |northing: f64| strip_of(south, height, count, northing);
        let mut keyed: Vec<(usize, Point)> =
            points.into_iter().map(|point| (strip(point.northing), point)).collect();
        keyed.sort_unstable_by(|one, other| {
            one.0.cmp(&other.0).then_with(|| one.1.canonical(&other.1))
        });
        let mut starts = Vec::with_capacity(strip(f64::INFINITY) + 2);
        for wanted in 0..=strip(f64::INFINITY) + 1 {
            starts.push(keyed.partition_point(|(strip, _)| *strip < wanted));
        }
        let points = keyed.into_iter().map(|(_, point)| point).collect();
        Self { points, starts, south, height }
    }

    /// All samples, in order.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// Lists the samples within a reach of a box, in order.
    pub(super) fn within(&self, place: &Rectangle, reach: f64, list: &mut Shortlist) {
        let [easting, northing] = place.centre;
        let (east, north) = (place.half[0] + reach, place.half[1] + reach);
        let count = self.starts.len().saturating_sub(1) as f64;
        let southern = strip_of(self.south, self.height, count, northing - north);
        let northern = strip_of(self.south, self.height, count, northing + north);
        list.clear();
        let starts = self.starts.get(southern..=northern + 1).unwrap_or_default();
        for (start, end) in starts.iter().zip(starts.iter().skip(1)) {
            let strip = self.points.get(*start..*end).unwrap_or_default();
            let west = strip.partition_point(|point| point.easting < easting - east);
            let strip = strip.get(west..).unwrap_or_default();
            let past = strip.partition_point(|point| point.easting <= easting + east);
            list.add(strip.get(..past).unwrap_or_default(), place, reach * reach);
        }
    }
}

/// The strip that a northing falls in, or the nearest one.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped before")]
fn strip_of(south: f64, height: f64, count: f64, northing: f64) -> usize {
    ((northing - south) / height).floor().clamp(0.0, count - 1.0) as usize
}
