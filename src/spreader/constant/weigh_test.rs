use crate::units::{Mass, Quantity, Written};

/// The columns of a weigh-test file and of the log.
pub(super) const COLUMNS: [&str; 7] =
    ["date", "machine", "material", "gate_opening", "constant", "controller", "ticket"];

/// One load, by the controller and by the scale.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighTest {
    /// The date, as written.
    pub date: String,
    /// The machine, by the name in its file.
    pub machine: String,
    /// The material, by the name in the machine file.
    pub material: String,
    /// The gate opening, as written.
    pub gate_opening: String,
    /// The constant that the controller ran with.
    pub constant: f64,
    /// What the controller says it spread.
    pub controller: Mass,
    /// What the weigh ticket says it spread.
    pub ticket: Mass,
    /// The line as written, cell by cell: what the log keeps.
    pub(super) cells: Vec<String>,
}

/// Why weigh tests cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {reason}")]
pub struct LogError {
    /// The file.
    pub file: String,
    /// The line, from 1.
    pub line: u64,
    /// What was found, what was expected and what to do.
    pub reason: String,
}

impl WeighTest {
    /// How much more was spread than the controller showed, as a ratio.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.ticket / self.controller
    }

    /// Its line as written, cell by cell.
    #[must_use]
    pub fn cells(&self) -> &[String] {
        &self.cells
    }

    pub(super) fn read(cells: Vec<String>) -> Result<Self, String> {
        let [date, machine, material, gate_opening, constant, controller, ticket] =
            <[String; 7]>::try_from(cells.clone()).map_err(|cells| {
                format!(
                    "found {} cells, expected {}: {}",
                    cells.len(),
                    COLUMNS.len(),
                    COLUMNS.join(",")
                )
            })?;
        let number = constant.parse::<f64>().ok().filter(|c| c.is_finite() && *c > 0.0);
        let Some(constant) = number else {
            return Err(format!(
                "constant: found \"{constant}\", expected a number above zero; \
                 write what the controller shows"
            ));
        };
        let controller = mass("controller", &controller)?;
        let ticket = mass("ticket", &ticket)?;
        Ok(Self { date, machine, material, gate_opening, constant, controller, ticket, cells })
    }
}

fn mass(column: &str, text: &str) -> Result<Mass, String> {
    let read = Written::<Mass>::read(text).map_err(|error| format!("{column}: {error}"))?;
    if read.value > Mass::ZERO {
        return Ok(read.value);
    }
    let found = read.value.show(read.system, 2);
    Err(format!("{column}: found {found}, expected more than zero; weigh the load again"))
}
