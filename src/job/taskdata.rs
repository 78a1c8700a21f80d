//! The `[taskdata]` table: whether and how ISO 11783-10 task data is written.

use serde::Deserialize;

use super::plausible_rate::RateBound;
use super::range::{self, NotApplied};
use super::{Job, JobError};
use crate::faults::Faults;
use crate::units::{Length, Quantity, Rate, Written};
use crate::write::taskdata::{FINEST_CELL, Form, Name, TaskSettings, Version};

/// A grid's cells where the job says neither their size nor the swath: a usual swath.
const CELL: Length = Length::feet(60.0);
/// The coarsest cells: above this a field of a few acres is a handful of them.
const COARSEST_CELL: Length = Length::feet(330.0);

/// The table as written.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskDataEntry {
    /// The version of the standard; `4` when absent.
    pub version: Option<u8>,
    /// What holds the rates; `"zones"` when absent.
    #[serde(default)]
    pub form: Form,
    /// A grid's cells; the job's swath, or 60 ft without one when absent.
    pub cell: Option<Written<Length>>,
    /// Whose field it is; `"Customer"` when absent.
    pub customer: Option<String>,
    /// The farm that it belongs to; `"Farm"` when absent.
    pub farm: Option<String>,
    /// What the field is called; the job's name when absent.
    pub field: Option<String>,
    /// What is spread; `"Gypsum"` when absent.
    pub product: Option<String>,
    /// The rate while the receiver has no position; `"0 ton/ac"` when absent.
    pub position_lost: Option<Written<Rate>>,
    /// The most positions of a treatment zone's polygon; no limit when absent.
    pub max_vertices: Option<usize>,
}

impl Job {
    /// How task data is written; `None` when it is not. `file` and `name` are as for
    /// [`Job::settings`].
    ///
    /// # Errors
    /// When a value is not what its key takes, or a name is too long for task data.
    pub fn task_data(&self, file: &str, name: &str) -> Result<Option<TaskSettings>, JobError> {
        let Some(entry) = &self.taskdata else { return Ok(None) };
        let fault = |setting: &str, found: String, expected: &'static str| {
            range::fault(file, setting, found, expected)
        };
        let mut faults = Faults::default();
        let version = match entry.version {
            None | Some(4) => Version::Four,
            Some(3) => Version::Three,
            Some(other) => {
                faults.push(fault("[taskdata] version", other.to_string(), "3 or 4"));
                Version::Four
            }
        };
        let cell = faults.of(range::within(
            file,
            "[taskdata] cell",
            entry.cell.or(self.swath),
            FINEST_CELL..=COARSEST_CELL,
            "3.3 ft to 330 ft (1 m to 100 m)",
        ));
        faults.of(match entry.form {
            Form::Zones => NotApplied { file, when: "with form = \"zones\"" }
                .check([("[taskdata] cell", entry.cell.is_some())]),
            Form::ZoneGrid | Form::RateGrid => NotApplied { file, when: "with a grid" }
                .check([("[taskdata] max_vertices", entry.max_vertices.is_some())]),
        });
        if let Some(rate) = entry.position_lost.filter(|rate| rate.value < Rate::ZERO) {
            let found = rate.value.show(rate.system, 2);
            faults.push(fault("[taskdata] position_lost", found, "a rate of 0 or more"));
        }
        if let Some(rate) = entry.position_lost {
            let bound = faults.of(RateBound::of(self, file));
            bound.map(|bound| faults.of(bound.check("[taskdata] position_lost", rate)));
        }
        if let Some(most) = entry.max_vertices.filter(|most| *most < 4) {
            faults.push(fault("[taskdata] max_vertices", most.to_string(), "4 or more"));
        }
        let job = self.name.as_deref().unwrap_or(name);
        let mut named = |setting: &str, given: Option<&String>, otherwise: &str| {
            let text = given.map_or(otherwise, String::as_str);
            let expected = "1 to 32 characters, as ISO 11783-10 has it";
            let named =
                Name::new(text).ok_or_else(|| fault(setting, format!("{text:?}"), expected));
            faults.of(named)
        };
        let customer = named("[taskdata] customer", entry.customer.as_ref(), "Customer");
        let farm = named("[taskdata] farm", entry.farm.as_ref(), "Farm");
        let field = named("[taskdata] field", entry.field.as_ref(), job);
        let product = named("[taskdata] product", entry.product.as_ref(), "Gypsum");
        faults.all()?;
        let all_named = customer.zip(farm).zip(field.zip(product));
        Ok(all_named.map(|((customer, farm), (field, product))| TaskSettings {
            version,
            form: entry.form,
            cell: cell.flatten().unwrap_or(CELL),
            customer,
            farm,
            field,
            product,
            position_lost: entry.position_lost.map_or(Rate::ZERO, |rate| rate.value),
            max_vertices: entry.max_vertices,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(table: &str) -> Result<Option<TaskSettings>, JobError> {
        let text = format!("boundary = \"b.shp\"\nsamples = \"s.csv\"\n{table}");
        Job::read("job.toml", &text)?.task_data("job.toml", "home")
    }

    #[test]
    fn the_table_switches_it_on() {
        assert_eq!(read("").unwrap(), None);
        let settings = read("[taskdata]").unwrap().unwrap();
        assert_eq!((settings.version, settings.form), (Version::Four, Form::Zones));
        assert_eq!((settings.field.as_str(), settings.product.as_str()), ("home", "Gypsum"));
        assert_eq!((settings.cell, settings.position_lost), (CELL, Rate::ZERO));
    }

    #[test]
    fn what_is_said_of_bad_settings() {
        let said = |line: &str| read(&format!("[taskdata]\n{line}")).unwrap_err().to_string();
        assert_eq!(said("version = 2"), "job.toml, [taskdata] version: found 2, expected 3 or 4");
        assert_eq!(
            said("form = \"grid\""),
            "job.toml, line 4: unknown variant `grid`, expected one of `zones`, `zone grid`, `rate grid`"
        );
        assert_eq!(
            said("form = \"rate grid\"\ncell = \"400 ft\""),
            "job.toml, [taskdata] cell: found 400.00 ft, expected 3.3 ft to 330 ft (1 m to 100 m)"
        );
        assert_eq!(
            said("farm = \"a farm with a name that is longer than any screen\""),
            "job.toml, [taskdata] farm: found \"a farm with a name that is longer than any screen\", expected 1 to 32 characters, as ISO 11783-10 has it"
        );
        assert_eq!(
            said("position_lost = \"500 ton/ac\""),
            "job.toml, [taskdata] position_lost: found 500.00 ton/ac as written, expected at most 20.00 ton/ac (common practice, no source); is lb/ac meant? If not, set plausible_rate = \"500.00 ton/ac\""
        );
        assert_eq!(
            said("position_lost = \"-1 ton/ac\""),
            "job.toml, [taskdata] position_lost: found -1.00 ton/ac, expected a rate of 0 or more"
        );
        assert_eq!(
            said("max_vertices = 3"),
            "job.toml, [taskdata] max_vertices: found 3, expected 4 or more"
        );
        assert_eq!(
            said("cell = \"60 ft\""),
            "job.toml, [taskdata] cell: found a setting that does not apply with form = \"zones\"; remove it"
        );
        assert_eq!(
            said("form = \"zone grid\"\nmax_vertices = 100"),
            "job.toml, [taskdata] max_vertices: found a setting that does not apply with a grid; remove it"
        );
    }
}
