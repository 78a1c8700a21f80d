//! A place for a pile, and what it is near.

use geo::Coord;

use crate::field::{Field, Nearby, Site};
use crate::geometry::Feature;
use crate::units::{Length, Quantity, System};

/// A place for the middle of a pile of some size, held against everything that it must heed.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// WGS84 longitude and latitude in degrees.
    pub wgs84: Coord<f64>,
    /// In the meters of the field's frame.
    pub position: Coord<f64>,
    /// From the middle of the pile to its edge.
    pub radius: Length,
    /// The distance to each thing that is kept from, in the job's order.
    pub setbacks: Vec<Clearance>,
    /// The distance to where road trucks stand, if they are told.
    pub access: Option<Clearance>,
    /// How far the pile reaches over the field's edge; zero where all of it lies inside.
    pub outside: Length,
    /// What the ground under it is kept out for, if any of it is.
    pub kept_out: Option<String>,
}

/// How far a place is from something.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// What it is.
    pub why: String,
    /// How far it must be at least, or of the access at most.
    pub asked: Length,
    /// How far it is from the edge of the pile; below zero where the pile reaches into it. None where
    /// it is farther than a mile from the field.
    pub found: Option<Length>,
    /// Whether the job itself asks it; else it is common practice.
    pub is_stated: bool,
}

impl Clearance {
    fn of(nearby: &Nearby, at: Coord<f64>, radius: Length) -> Self {
        let distances = nearby.features.iter().map(|feature| feature.distance(at));
        let found = distances.reduce(f64::min).map(|away| Length::metres(away) - radius);
        Self { why: nearby.why.clone(), asked: nearby.distance, found, is_stated: nearby.is_stated }
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
    /// Holds a place, given in degrees and in the field's meters, against a field and its site.
    pub(super) fn of(
        field: &Field,
        site: &Site,
        radius: Length,
        (wgs84, position): (Coord<f64>, Coord<f64>),
    ) -> Self {
        let inside = Feature::from(field.boundary.local()).distance(position);
        let over = Length::metres(inside) + radius;
        let is_there = |keep_out: &&crate::field::KeepOut| {
            Feature::from(&keep_out.area).distance(position) < radius.as_metres()
        };
        let clearance = |near: &Nearby| Clearance::of(near, position, radius);
        Self {
            wgs84,
            position,
            radius,
            setbacks: site.setbacks.iter().map(clearance).collect(),
            access: site.access.as_ref().map(clearance),
            outside: if over > Length::ZERO { over } else { Length::ZERO },
            kept_out: field.keep_outs.iter().find(is_there).map(|found| found.why.clone()),
        }
    }

    /// The same place for a pile of another size.
    pub(super) fn sized(&self, field: &Field, site: &Site, radius: Length) -> Self {
        Self::of(field, site, radius, (self.wgs84, self.position))
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
            let over = self.outside.show(system, 1);
            faults.push(format!("it reaches {over} over the edge of the field"));
        }
        faults.extend(
            self.kept_out.iter().map(|why| format!("it lies on ground kept out for {why}")),
        );
        for setback in self.setbacks.iter().filter(|setback| !setback.is_kept()) {
            let (why, [found, asked]) = (&setback.why, setback.shown(system));
            faults.push(if setback.found.is_some_and(|found| found < Length::ZERO) {
                format!("it reaches into {why}, {asked} away required")
            } else {
                format!("{found} from {why}, {asked} required")
            });
        }
        if let Some(access) = self.access.as_ref().filter(|access| !access.is_reached()) {
            let (why, [found, asked]) = (&access.why, access.shown(system));
            faults.push(format!("{found} from {why}, trucks reach {asked}"));
        }
        faults
    }
}
