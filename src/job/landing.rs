//! The `[landing]` table: how the field is driven when what lands is reckoned.

use serde::Deserialize;

use super::range::{fault, within};
use super::{HeadingEntry, Job, JobError};
use crate::landing::{LandingSettings, PassDirection};
use crate::plan::Heading;
use crate::units::{Speed, Written};

/// More headland rounds than any field has room for; beyond it a number is mistyped.
pub const MOST_ROUNDS: usize = 50;
/// No spreader is driven slower.
const SLOWEST: Speed = Speed::miles_per_hour(1.0);
/// Nor faster.
const FASTEST: Speed = Speed::miles_per_hour(30.0);

/// The table as written.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LandingEntry {
    /// The ground speed; the middle of the spreader's when absent.
    pub ground_speed: Option<Written<Speed>>,
    /// How often the spreader goes round the field before the passes; `1` when absent.
    pub headland_rounds: Option<usize>,
    /// How the passes run, degrees clockwise from north or `"longest"`; as the rows when absent.
    pub heading: Option<HeadingEntry>,
}

impl Job {
    /// How the field is driven when what lands is reckoned.
    ///
    /// # Errors
    /// When a value is not what its key takes.
    pub fn landing(&self, file: &str) -> Result<LandingSettings, JobError> {
        let Some(entry) = &self.landing else { return Ok(LandingSettings::default()) };
        let usual = LandingSettings::default();
        let rounds = entry.headland_rounds.unwrap_or(usual.rounds);
        if rounds > MOST_ROUNDS {
            let expected = format!("0 to {MOST_ROUNDS}");
            return Err(fault(file, "[landing] headland_rounds", rounds.to_string(), expected));
        }
        let speed = within(
            file,
            "[landing] ground_speed",
            entry.ground_speed,
            SLOWEST..=FASTEST,
            "1 mph to 30 mph (1.6 km/h to 48 km/h)",
        )?;
        let heading = entry.heading.map(|heading| heading.understood(file, "[landing] heading"));
        let heading = heading.transpose()?.map_or(usual.heading, |heading| match heading {
            Heading::Longest => PassDirection::Longest,
            Heading::Degrees(degrees) => PassDirection::Heading(degrees.to_radians()),
        });
        Ok(LandingSettings { heading, rounds, speed, ..usual })
    }
}
