use super::taskdata::TaskDataError;
use crate::faults::{self, fault};
use crate::field::BoundaryError;
use crate::projection::CrsError;

/// Why a file could not be read into the model.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum ReadError {
    #[error("{name}: the file is empty, expected {expected}")]
    EmptyFile { name: String, expected: &'static str },
    #[error("{name}: found an unknown kind of file, expected one that ends in {known}")]
    UnknownFormat { name: String, known: String },
    #[error("{name}: found {found}, expected {wanted} as {known}")]
    WrongUse { name: String, found: &'static str, wanted: &'static str, known: String },
    #[error("{name}: the content is not {format}: {reason}")]
    NotFormat { name: String, format: &'static str, reason: String },
    #[error(
        "{name}: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
    )]
    TooLarge { name: String },
    #[error(
        "{name}: found only links to other files, expected placemarks; save the places themselves"
    )]
    OnlyLinks { name: String },
    #[error("{name}: found several {what}, {found}; say which one ({key} = \"…\"{or})")]
    Several { name: String, what: &'static str, found: String, key: &'static str, or: String },
    #[error("{name}: found no {what} \"{wanted}\", expected one of {found}")]
    NoneOfThatName { name: String, what: &'static str, wanted: String, found: String },
    #[error("{place}: found {found}, expected {expected}")]
    Unexpected { place: String, found: String, expected: String },
    #[error(
        "{name}: found no .prj file beside it and no crs setting; add the .prj file, or say which coordinate system it is in, such as crs = \"EPSG:4326\""
    )]
    NoCrs { name: String },
    #[error(
        "{name}: the layer does not say its coordinate system, and there is no crs setting; say which one it is in, such as crs = \"EPSG:4326\""
    )]
    NoCrsOfLayer { name: String },
    #[error(
        "{name}: found columns {columns} and no crs setting; say which coordinate system they are in, such as crs = \"EPSG:2965\"{fitting}"
    )]
    NoCrsForColumns { name: String, columns: String, fitting: String },
    #[error("{place}: {error}")]
    Crs { place: String, error: CrsError },
    #[error("{name}: found no {what} column, expected {expected}; the columns are {columns}{hint}")]
    NoColumn { name: String, what: &'static str, expected: String, columns: String, hint: String },
    #[error(
        "{name}: found several {what} columns, {candidates}; say which one to use ({key} = \"…\")"
    )]
    SeveralColumns { name: String, what: &'static str, candidates: String, key: &'static str },
    #[error("{place}, column \"{column}\": found \"{value}\", expected {expected}")]
    BadCell { place: String, column: String, value: String, expected: &'static str },
    #[error("{name}, column \"{column}\": found unit \"{unit}\", expected {expected}")]
    BadUnit { name: String, column: String, unit: String, expected: String },
    #[error(
        "{name}, column \"{column}\": found no unit, expected it in the header, such as \"K (lb/ac)\", or as a setting ([cations] unit = \"lb/ac\")"
    )]
    NoUnit { name: String, column: String },
    #[error("{first} and {second}: found the id \"{id}\" twice, expected each id once")]
    DuplicateId { first: String, second: String, id: String },
    #[error(
        "{points} and {laboratory}: found no id that is in both, such as {point_ids} and {laboratory_ids}; check the id columns"
    )]
    NoMatch { points: String, laboratory: String, point_ids: String, laboratory_ids: String },
    #[error("{name}: found no rows, expected samples")]
    NoRows { name: String },
    #[error(transparent)]
    TaskData(#[from] TaskDataError),
    #[error(transparent)]
    Boundary(#[from] BoundaryError),
    #[error("{}", faults::lines(.0))]
    Faults(Vec<ReadError>),
}

fault!(ReadError::Faults);

/// Names in quotes, one after the other, for a message.
pub(super) fn quoted<T: AsRef<str>>(names: impl IntoIterator<Item = T>) -> String {
    let names: Vec<String> =
        names.into_iter().map(|name| format!("\"{}\"", name.as_ref())).collect();
    names.join(", ")
}
