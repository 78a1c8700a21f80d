//! The job of a field that is in one file with others.

use toml::{Table, Value};

use super::{Farm, FarmFields, FarmJob};
use crate::file_name;
use crate::job::{Job, JobError};
use crate::path_text::shown;

/// A field among others, and how its samples are told from theirs.
#[derive(Clone, Copy, Debug)]
pub struct FieldOfFarm<'a> {
    /// What the boundaries' file calls it.
    pub name: &'a str,
    /// The column there that has the names.
    pub column: &'a str,
    /// The column of the samples that says the field, and its name there; by where they lie when
    /// absent.
    pub samples: Option<(&'a str, &'a str)>,
    /// The same of the laboratory's table.
    pub laboratory: Option<(&'a str, &'a str)>,
}

impl Farm {
    /// The job of a field, as [`FarmFields`] says.
    ///
    /// # Errors
    /// When what it says makes no sense with what the farm says.
    pub fn field(&self, of: &FarmFields, field: FieldOfFarm) -> Result<FarmJob, JobError> {
        let table = self.written_field(of, field);
        let file = format!("{}, field {}", self.file, field.name);
        let own = Job {
            name: table.get("name").and_then(Value::as_str).map(str::to_owned),
            ..Job::of_files("".into(), "".into(), None)
        };
        self.completed(table, &own, &file, field.name)
    }

    /// The job of a field as a job file would write it, without what the farm says for all.
    #[must_use]
    pub fn written_field(&self, of: &FarmFields, field: FieldOfFarm) -> Table {
        let mut boundary = Table::new();
        let file = shown(&of.boundaries.file);
        boundary.insert("file".to_owned(), file.into());
        let settings = &of.boundaries.settings;
        for (key, value) in [("crs", &settings.crs), ("layer", &settings.layer)] {
            boundary.extend(value.iter().map(|value| (key.to_owned(), value.clone().into())));
        }
        boundary.insert("field".to_owned(), field.name.into());
        boundary.insert("field_column".to_owned(), field.column.into());
        let mut job = Table::new();
        job.insert("name".to_owned(), file_name::fit(field.name).into());
        job.insert("boundary".to_owned(), boundary.into());
        job.insert("samples".to_owned(), with_field(&of.written, field.samples));
        if let (Some(written), Some(_)) = (self.shared.get("laboratory"), field.laboratory) {
            job.insert("laboratory".to_owned(), with_field(written, field.laboratory));
        }
        job
    }
}

/// An entry with the field whose rows count.
fn with_field(written: &Value, field: Option<(&str, &str)>) -> Value {
    let Some((column, name)) = field else { return written.clone() };
    let mut table = match written {
        Value::Table(table) => table.clone(),
        file => Table::from_iter([("file".to_owned(), file.clone())]),
    };
    table.insert("field".to_owned(), name.into());
    table.insert("field_column".to_owned(), column.into());
    table.into()
}
