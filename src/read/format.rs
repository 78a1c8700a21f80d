//! How one kind of file is read, and what for.

use super::budget::Budget;
use super::grid::Grid;
use super::records::Records;
use super::sheets::TableSearch;
use super::table::Table;
use super::zone_file::ZoneFile;
use super::{ReadError, Source};

/// What is read from a file that may hold several things.
#[derive(Clone, Copy, Debug)]
pub(super) struct WantedContent<'a> {
    /// What it is for.
    pub purpose: Purpose,
    /// The layer that a setting names.
    pub layer: Option<&'a str>,
}

/// What a file is read for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// The outline of a field.
    Boundary,
    /// What is kept from or driven on.
    Features,
    /// Samples.
    Samples,
    /// What was spread.
    Applied,
    /// Zones to be looked at.
    Zones,
}

impl Purpose {
    /// Whether shapes without attributes are of no use.
    pub fn needs_attributes(self) -> bool {
        matches!(self, Purpose::Samples | Purpose::Applied)
    }

    /// What messages call it.
    pub fn called(self) -> &'static str {
        match self {
            Purpose::Boundary => "a boundary",
            Purpose::Features => "points, lines or polygons",
            Purpose::Samples => "samples",
            Purpose::Applied => "points or polygons",
            Purpose::Zones => "zones",
        }
    }
}

type RecordsReader = fn(&Source, &WantedContent, &mut Budget) -> Result<Records, ReadError>;
type ZonesReader = fn(&Source, &WantedContent) -> Result<ZoneFile, ReadError>;

/// How to read one kind of file.
pub(super) struct Format {
    /// What it is called in messages.
    pub called: &'static str,
    /// The extensions, lower case, without dot.
    pub extensions: &'static [&'static str],
    /// Reads shapes with their attributes, if the format has shapes.
    pub records: Option<RecordsReader>,
    /// Reads a table, if the format can be one.
    pub table: Option<Tabular>,
    /// Reads polygons with their attributes, if the format can hold them.
    pub zone_file: Option<ZonesReader>,
}

impl Format {
    pub fn holds(&self, purpose: Purpose) -> bool {
        match purpose {
            Purpose::Boundary | Purpose::Features => self.records.is_some(),
            Purpose::Samples | Purpose::Applied => self.records.is_some() || self.table.is_some(),
            Purpose::Zones => self.zone_file.is_some(),
        }
    }
}

/// How a format gives a table.
#[derive(Clone, Copy)]
pub(super) enum Tabular {
    /// As a table, or else as shapes: what has the same ending may be either.
    Perhaps(fn(&Source) -> Option<Result<Table, ReadError>>),
    /// As cells, one grid a sheet, whose header is still to be found.
    Grids(fn(&Source) -> Result<Vec<Grid>, ReadError>),
}

impl Tabular {
    pub fn read(self, source: &Source, sought: &TableSearch) -> Option<Result<Table, ReadError>> {
        match self {
            Tabular::Perhaps(read) => read(source),
            Tabular::Grids(read) => {
                Some(read(source).and_then(|grids| sought.table(source, grids)))
            }
        }
    }
}
