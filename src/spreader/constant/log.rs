use std::fmt::Write;

use super::weigh_test::{COLUMNS, LogError, WeighTest};
use crate::csv_cell::{no_formula, text_meant};

/// The weigh tests of every machine and material, one line each, in the order they were made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeighTestLog {
    /// The tests.
    pub tests: Vec<WeighTest>,
}

impl WeighTestLog {
    /// Reads a log, or a file of new weigh tests: CSV with the columns `date, machine, material,
    /// gate_opening, constant, controller, ticket`, masses with their unit. Lines that start with
    /// `#` are remarks.
    ///
    /// # Errors
    /// When a column is missing, or a line is not a weigh test.
    pub fn read(file: &str, text: &str) -> Result<Self, LogError> {
        let at = |line, reason| LogError { file: file.to_owned(), line, reason };
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .trim(csv::Trim::All)
            .flexible(true)
            .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let headers = reader.headers().map_err(|error| at(1, error.to_string()))?;
        if headers.iter().ne(COLUMNS) {
            let found: Vec<&str> = headers.iter().collect();
            let line = headers.position().map_or(1, csv::Position::line);
            let reason = format!(
                "found the columns {}, expected {}; put them in this order",
                found.join(","),
                COLUMNS.join(",")
            );
            return Err(at(line, reason));
        }
        let mut tests = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| {
                at(error.position().map_or(0, csv::Position::line), error.to_string())
            })?;
            let line = record.position().map_or(0, csv::Position::line);
            let cells = record.iter().map(|cell| text_meant(cell).to_owned()).collect();
            tests.push(WeighTest::read(cells).map_err(|reason| at(line, reason))?);
        }
        Ok(Self { tests })
    }

    /// Takes over the tests of another log that are not yet in this one (two equal lines of the
    /// other are two tests); says how many they were.
    pub fn add(&mut self, new: WeighTestLog) -> usize {
        let before = self.tests.len();
        for test in new.tests {
            let known = self.tests.iter().take(before).any(|old| *old == test);
            if !known {
                self.tests.push(test);
            }
        }
        self.tests.len() - before
    }

    /// The tests of one machine with one material.
    #[must_use]
    pub fn of(&self, machine: &str, material: &str) -> Vec<&WeighTest> {
        let matches = |test: &&WeighTest| test.machine == machine && test.material == material;
        self.tests.iter().filter(matches).collect()
    }

    /// The log as a file that reads the same again.
    #[must_use]
    pub fn write(&self) -> String {
        let mut text = String::from(
            "# weigh tests: what the controller says it spread, what the ticket says\n",
        );
        let line =
            |cells: &mut dyn Iterator<Item = &str>| cells.map(quoted).collect::<Vec<_>>().join(",");
        let _ = writeln!(text, "{}", line(&mut COLUMNS.into_iter()));
        for test in &self.tests {
            let _ = writeln!(text, "{}", line(&mut test.cells.iter().map(String::as_str)));
        }
        text
    }
}

fn quoted(cell: &str) -> String {
    let cell = no_formula(cell);
    if cell.contains(['"', ',', '\n', '\r', '#']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.into_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "date,machine,material,gate_opening,constant,controller,ticket\n";

    #[test]
    fn reads_what_it_wrote() {
        let text = format!(
            "{HEAD}2026-03-02,\"box, \"\"old\"\"\",#2 gypsum,5 in,1.5,10 tons,10.4 tons\n2026-03-03,=1+1,@x,5 in,1.5,10 tons,10.4 tons\n"
        );
        let mut log = WeighTestLog::read("new.csv", &text).unwrap();
        let again = WeighTestLog::read("log.csv", &log.write()).unwrap();
        assert_eq!(again, log);
        assert!(log.write().contains("\n2026-03-03,'=1+1,'@x,"));
        assert_eq!(log.add(again), 0);
        assert_eq!(log.of("box, \"old\"", "#2 gypsum").len(), 1);
        assert!(log.of("box", "#2 gypsum").is_empty());
        assert_eq!(log.of("=1+1", "@x").len(), 1);
    }

    #[test]
    fn faults_are_named() {
        let said = |line: &str| {
            WeighTestLog::read("log.csv", &format!("{HEAD}{line}")).unwrap_err().to_string()
        };
        assert_eq!(
            WeighTestLog::read("log.csv", "date,ticket\n").unwrap_err().to_string(),
            "log.csv, line 1: found the columns date,ticket, expected date,machine,material,\
             gate_opening,constant,controller,ticket; put them in this order"
        );
        assert_eq!(
            said("d,m,g,5 in,0,10 tons,10 tons"),
            "log.csv, line 2: constant: found \"0\", expected a number above zero; \
             write what the controller shows"
        );
        assert_eq!(
            said("d,m,g,5 in,1.5,10 tons,-3 tons"),
            "log.csv, line 2: ticket: found -3.00 tons, expected more than zero; weigh the load again"
        );
        assert_eq!(
            said("d,m,g,5 in,1.5,10,3 tons"),
            "log.csv, line 2: controller: \"10\": found no unit, expected a mass such as \"1 ton\""
        );
        assert_eq!(
            said("d,m,g"),
            "log.csv, line 2: found 3 cells, expected 7: \
             date,machine,material,gate_opening,constant,controller,ticket"
        );
    }
}
