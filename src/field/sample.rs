use geo::Coord;

use crate::soil::Cations;
use crate::units::Share;

/// A soil sample as read, before it is checked against the field.
#[derive(Clone, Debug, PartialEq)]
pub struct RawSample {
    /// What the source calls it; empty if it has no name.
    pub id: String,
    /// Where it was read, for messages, such as `samples.csv, row 12`.
    pub place: String,
    /// WGS84 longitude and latitude in degrees.
    pub wgs84: Coord<f64>,
    /// CEC in meq/100 g; `None` where the source leaves it empty.
    pub cec: Option<f64>,
    /// The base cations, where the source has them.
    pub cations: Option<Cations>,
    /// The part of the CEC that sodium holds (ESP), where the source has it.
    pub esp: Option<Share>,
}

impl RawSample {
    /// The place with the name, for messages.
    pub(super) fn shown(&self) -> String {
        shown(&self.place, &self.id)
    }
}

/// A checked soil sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// What the source calls it; empty if it has no name.
    pub id: String,
    /// Where it was read, for messages, such as `samples.csv, row 12`.
    pub place: String,
    /// Easting and northing in the meters of the field's frame.
    pub position: Coord<f64>,
    /// WGS84 longitude and latitude in degrees, as the source gives them.
    pub wgs84: Coord<f64>,
    /// CEC in meq/100 g: finite, above 0 and at most 100.
    pub cec: f64,
    /// The base cations, where the source has them.
    pub cations: Option<Cations>,
    /// The part of the CEC that sodium holds (ESP), where the source has it.
    pub esp: Option<Share>,
}

impl Sample {
    /// The place with the name, for messages.
    pub(super) fn shown(&self) -> String {
        shown(&self.place, &self.id)
    }
}

fn shown(place: &str, id: &str) -> String {
    if id.is_empty() { place.to_owned() } else { format!("{place} ({id})") }
}
