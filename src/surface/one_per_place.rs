use super::Point;

/// Samples in a canonical order, those that share a place replaced by one with their mean.
///
/// The order is by easting, then northing; it and the means depend on the samples alone.
pub(super) fn one_per_place(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_unstable_by(Point::canonical);
    let same =
        |one: &Point, other: &Point| one.easting == other.easting && one.northing == other.northing;
    let mean = |group: &[Point]| {
        let value = group.iter().map(|point| point.value).sum::<f64>() / group.len() as f64;
        group.first().map(|first| Point { value, ..*first })
    };
    sorted.chunk_by(same).filter_map(mean).collect()
}
