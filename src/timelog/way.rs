//! Where a machine was and which way it headed.

use geo::Coord;

use super::Log;
use crate::geometry::Frame;

/// How far the machine has to move before its position counts anew, in meters: several times what
/// a position is rounded to (1 cm), so that the heading is good to a degree or two.
const MOVED: f64 = 0.5;
/// The longest time between two positions that belong together, in seconds, and the greatest speed
/// between them, in meters a second (67 mph); beyond, something was not recorded (common practice,
/// no source).
const PAUSE: f64 = 30.0;
const FASTEST: f64 = 30.0;

/// A position of a machine on its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The record.
    pub record: usize,
    /// When, in seconds since the beginning of 1980-01-01.
    pub time: f64,
    /// Easting and northing in meters.
    pub at: Coord<f64>,
    /// A meter ahead: easting and northing.
    pub heading: Coord<f64>,
    /// Whether something is missing before it, so that it begins anew.
    pub begins: bool,
}

/// The way of a log in a frame: its positions, where the machine has moved.
///
/// The heading is the direction from the position before to the one after, so that the ground of two
/// steps that follow each other meets in one line.
#[must_use]
pub fn way(log: &Log, frame: &Frame) -> Vec<Pose> {
    let mut poses: Vec<Pose> = Vec::new();
    for (record, stamp) in log.stamps.iter().enumerate() {
        let Some(at) = stamp.at.and_then(|at| frame.to_local(at).ok()) else { continue };
        let time = stamp.time as f64 / 1000.0;
        let mut begins = true;
        if let Some(last) = poses.last() {
            let (far, seconds) =
                (libm::hypot(at.x - last.at.x, at.y - last.at.y), time - last.time);
            begins = !(0.0..=PAUSE).contains(&seconds) || far > MOVED + FASTEST * seconds;
            if !begins && far < MOVED {
                continue;
            }
        }
        poses.push(Pose { record, time, at, heading: Coord { x: 0.0, y: 0.0 }, begins });
    }
    let ahead: Vec<Coord<f64>> = (0..poses.len())
        .map(|i| {
            let joined = |pose: &&Pose| !pose.begins;
            let this = poses.get(i);
            let after = poses.get(i + 1).filter(joined).or(this);
            let before = this.filter(joined).and_then(|_| poses.get(i.checked_sub(1)?)).or(this);
            let (Some(after), Some(before)) = (after, before) else {
                return Coord { x: 0.0, y: 0.0 };
            };
            let way = after.at - before.at;
            let length = libm::hypot(way.x, way.y);
            if length > 0.0 { way / length } else { Coord { x: 0.0, y: 0.0 } }
        })
        .collect();
    for (pose, heading) in poses.iter_mut().zip(ahead) {
        pose.heading = heading;
    }
    poses
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timelog::Stamp;

    /// North, standing, east, a pause, and far away at once.
    #[test]
    fn a_way_by_hand() {
        let frame = Frame::around(Coord { x: -85.0, y: 40.0 });
        let stamps = [
            (0, 0.0, 0.0),
            (1000, 0.0, 4.0),
            (2000, 0.1, 4.1),
            (3000, 4.0, 4.0),
            (40_000, 8.0, 4.0),
            (41_000, 500.0, 4.0),
        ];
        let stamps = stamps.map(|(time, x, y)| Stamp {
            time,
            at: frame.to_wgs84(Coord { x, y }).ok(),
            end: 0,
        });
        let log = Log { stamps: stamps.to_vec(), ..Log::default() };
        let poses = way(&log, &frame);
        let records: Vec<(usize, bool)> = poses.iter().map(|p| (p.record, p.begins)).collect();
        assert_eq!(records, [(0, true), (1, false), (3, false), (4, true), (5, true)]);
        let half = 0.5_f64.sqrt();
        for (pose, heading) in poses.iter().zip([(0.0, 1.0), (half, half), (1.0, 0.0)]) {
            assert!((pose.heading.x - heading.0).hypot(pose.heading.y - heading.1) < 1e-6);
        }
        assert_eq!(poses[3].heading, Coord { x: 0.0, y: 0.0 });
    }
}
