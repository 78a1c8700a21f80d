//! What a job says of the field beside its soil: for whom, when, and where one drives in.

use geo::Coord;

use super::range::fault;
use super::{Job, JobError};
use crate::field::Boundary;
use crate::plan::About;
use crate::units::{Date, Length, Quantity, System};

/// An entrance farther from the field than this is another field's, or its numbers are swapped.
const FARTHEST: Length = Length::feet(5280.0);

impl Job {
    /// Refuses an entrance that is over a mile from the field.
    ///
    /// # Errors
    /// When it is.
    pub fn check_entrance(&self, file: &str, boundary: &Boundary) -> Result<(), JobError> {
        let Some([longitude, latitude]) = self.entrance else { return Ok(()) };
        let outside = boundary.outside(Coord { x: longitude, y: latitude });
        if outside.is_some_and(|outside| outside <= FARTHEST) {
            return Ok(());
        }
        let away = outside.map_or_else(
            || "far from the field".to_owned(),
            |outside| format!("{} from the field", outside.show(System::Us, 0)),
        );
        let found = format!("[{longitude}, {latitude}], which is {away}");
        let expected = "longitude and then latitude of a place within a mile of it";
        Err(fault(file, "entrance", found, expected))
    }

    /// What the sheet says on top.
    pub(super) fn about(&self, file: &str) -> Result<About, JobError> {
        let date = self.date.as_deref().map(|text| {
            Date::read(text.trim()).ok_or_else(|| {
                let expected = "a day in quotes as year-month-day, such as \"2026-04-14\"";
                fault(file, "date", format!("{text:?}"), expected)
            })
        });
        let entrance = self.entrance.map(|[longitude, latitude]| {
            let is_place =
                (-180.0..=180.0).contains(&longitude) && (-90.0..=90.0).contains(&latitude);
            if is_place {
                return Ok(Coord { x: longitude, y: latitude });
            }
            let expected = "longitude and latitude in degrees, such as [-86.40527, 40.69443]";
            Err(fault(file, "entrance", format!("[{longitude}, {latitude}]"), expected))
        });
        let name = |name: &Option<String>| {
            name.as_deref().map(str::trim).filter(|name| !name.is_empty()).map(str::to_owned)
        };
        Ok(About {
            date: date.transpose()?,
            grower: name(&self.grower),
            farm: name(&self.farm),
            entrance: entrance.transpose()?,
        })
    }
}
