//! From a job as written to the settings of a plan.

use super::{Job, JobError, NeighborsEntry};
use crate::plan::Settings;
use crate::soil::Tiers;
use crate::surface::{Idw, Neighbors};
use crate::units::{Length, Quantity, System, Written};

/// The distance between the lattice's nodes, unless the job says another.
const GRID: Length = Length::feet(10.0);
/// The finest lattice: below this the zones' vertices are denser than they are sure.
const FINEST_GRID: Length = Length::feet(1.0);
/// The coarsest lattice: above this zones are missed.
const COARSEST_GRID: Length = Length::feet(330.0);

impl Job {
    /// What the job comes to. `file` is the job file's name for messages, `name` what the job is
    /// called unless it says.
    ///
    /// # Errors
    /// When tiers or surface settings make no sense, or units are mixed without saying which.
    pub fn settings(&self, file: &str, name: &str) -> Result<Settings, JobError> {
        let file = || file.to_owned();
        let tiers = if self.tier.is_empty() {
            Tiers::common_practice()
        } else {
            Tiers::new(&self.tier).map_err(|error| JobError::Tiers { file: file(), error })?
        };
        Ok(Settings {
            job: self.checked_name(file(), name)?,
            system: self.system(file())?,
            tiers,
            idw: self.idw(file())?,
            grid: self.grid(file())?,
        })
    }

    fn checked_name(&self, file: String, otherwise: &str) -> Result<String, JobError> {
        let name = self.name.as_deref().unwrap_or(otherwise).trim();
        let bad = |c: char| matches!(c, '/' | '\\') || c.is_control();
        if name.is_empty() || name.starts_with('.') || name.contains(bad) {
            return Err(JobError::Name { file, name: name.to_owned() });
        }
        Ok(name.to_owned())
    }

    /// The units that the job is written in, or those that it asks for.
    fn system(&self, file: String) -> Result<System, JobError> {
        if let Some(asked) = self.units {
            return Ok(asked);
        }
        let of = |length: Option<Written<Length>>| length.map(|length| length.system);
        let lengths = [of(self.surface.radius), of(self.surface.grid)].into_iter().flatten();
        let task = self.taskdata.as_ref().map(|table| {
            [of(table.cell), table.position_lost.map(|rate| rate.system)].into_iter().flatten()
        });
        let tiers = self.tier.iter().map(|tier| tier.rate.system);
        let mut written = tiers.chain(lengths).chain(task.into_iter().flatten());
        let Some(first) = written.next() else { return Ok(System::default()) };
        if written.any(|other| other != first) {
            return Err(JobError::MixedUnits { file });
        }
        Ok(first)
    }

    fn idw(&self, file: String) -> Result<Idw, JobError> {
        let usual = Idw::default();
        let neighbors = match self.surface.neighbors {
            None => usual.neighbors(),
            Some(NeighborsEntry::Count(count)) => Neighbors::Nearest(count),
            Some(NeighborsEntry::All) => Neighbors::All,
        };
        let power = self.surface.power.unwrap_or(usual.power());
        let radius = self.surface.radius.map(|radius| radius.value.as_metres());
        Idw::new(power, neighbors, radius).map_err(|error| JobError::Surface { file, error })
    }

    fn grid(&self, file: String) -> Result<Length, JobError> {
        let Some(grid) = self.surface.grid else { return Ok(GRID) };
        if grid.value >= FINEST_GRID && grid.value <= COARSEST_GRID {
            return Ok(grid.value);
        }
        Err(JobError::Setting {
            file,
            setting: "[surface] grid",
            found: grid.value.show(grid.system, 2),
            expected: "1 ft to 330 ft (0.31 m to 100 m)",
        })
    }
}
