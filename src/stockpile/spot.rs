//! A place for a pile, and what it is near.

use geo::{Coord, Distance, Euclidean, Intersects, Point};

use crate::field::{Field, Nearby, Site};
use crate::units::{Length, Quantity, System};

/// A place, held against everything that a pile must heed.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// WGS84 longitude and latitude in degrees.
    pub wgs84: Coord<f64>,
    /// In the metres of the field's frame.
    pub position: Coord<f64>,
    /// The distance to each thing that is kept from, in the job's order.
    pub setbacks: Vec<Clearance>,
    /// The distance to where road trucks stand, if they are told.
    pub access: Option<Clearance>,
    /// How far outside the field it lies; zero inside.
    pub outside: Length,
    /// What the ground is kept out for, if it is.
    pub kept_out: Option<String>,
}

/// How far a place is from something.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// What it is.
    pub why: String,
    /// How far it must be at least, or of the access at most.
    pub asked: Length,
    /// How far it is, from the middle of the pile; below zero inside an area. None where it is
    /// farther than a mile from the field.
    pub found: Option<Length>,
}

impl Clearance {
    fn of(nearby: &Nearby, at: Coord<f64>) -> Self {
        let distances = nearby.features.iter().map(|feature| feature.distance(at));
        let found = distances.reduce(f64::min).map(Length::metres);
        Self { why: nearby.why.clone(), asked: nearby.distance, found }
    }

    /// By how much a setback is kept; below zero where it is not. None as [`Clearance::found`].
    #[must_use]
    pub fn to_spare(&self) -> Option<Length> {
        self.found.map(|found| found - self.asked)
    }

    /// The distance found and the one asked, with as many decimals as tell them apart.
    #[must_use]
    pub fn shown(&self, system: System) -> [String; 2] {
        let Some(found) = self.found else {
            return ["over a mile".to_owned(), self.asked.show(system, 1)];
        };
        let show = |decimals| [found, self.asked].map(|length| length.show(system, decimals));
        let differ = |[found, asked]: &[String; 2]| found != asked;
        (1..=4).map(show).find(differ).unwrap_or_else(|| show(1))
    }

    /// Whether a setback is kept.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.to_spare().is_none_or(|spare| spare >= Length::ZERO)
    }

    /// Whether the access is in reach.
    #[must_use]
    pub fn is_reached(&self) -> bool {
        self.found.is_some_and(|found| found <= self.asked)
    }
}

impl Spot {
    /// Holds a place, given in degrees and in the field's metres, against a field and its site.
    pub(super) fn of(field: &Field, site: &Site, wgs84: Coord<f64>, position: Coord<f64>) -> Self {
        let boundary = field.boundary.local();
        let at = Point(position);
        let is_there = |keep_out: &&crate::field::KeepOut| keep_out.area.intersects(&at);
        Self {
            wgs84,
            position,
            setbacks: site.setbacks.iter().map(|near| Clearance::of(near, position)).collect(),
            access: site.access.as_ref().map(|near| Clearance::of(near, position)),
            outside: Length::metres(Euclidean.distance(&at, boundary)),
            kept_out: field.keep_outs.iter().find(is_there).map(|found| found.why.clone()),
        }
    }

    /// Whether a pile may lie there.
    #[must_use]
    pub fn is_allowed(&self) -> bool {
        self.outside == Length::ZERO
            && self.kept_out.is_none()
            && self.setbacks.iter().all(Clearance::is_kept)
            && self.access.as_ref().is_none_or(Clearance::is_reached)
    }

    /// The setback that is kept by the least, or missed by the most; the first of equals.
    #[must_use]
    pub fn tightest(&self) -> Option<&Clearance> {
        let spare =
            |clearance: &&Clearance| clearance.to_spare().map_or(f64::INFINITY, Length::as_metres);
        self.setbacks.iter().min_by(|a, b| spare(a).total_cmp(&spare(b)))
    }

    /// What speaks against a pile there, in words; nothing where one may lie.
    #[must_use]
    pub fn faults(&self, system: System) -> Vec<String> {
        let mut faults = Vec::new();
        if self.outside > Length::ZERO {
            faults.push(format!("it is {} outside the field", self.outside.show(system, 1)));
        }
        faults.extend(self.kept_out.iter().map(|why| format!("it is kept out for {why}")));
        for setback in self.setbacks.iter().filter(|setback| !setback.is_kept()) {
            let (why, [found, asked]) = (&setback.why, setback.shown(system));
            faults.push(if setback.found.is_some_and(|found| found < Length::ZERO) {
                format!("it lies in {why}, {asked} away is asked")
            } else {
                format!("{found} from {why}, {asked} is asked")
            });
        }
        if let Some(access) = self.access.as_ref().filter(|access| !access.is_reached()) {
            let (why, [found, asked]) = (&access.why, access.shown(system));
            faults.push(format!("{found} from {why}, trucks reach {asked}"));
        }
        faults
    }
}
