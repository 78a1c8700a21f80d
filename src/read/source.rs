use std::collections::BTreeMap;

use super::budget::Budget;

/// A file as somebody handed it over: its name, its bytes, and the files beside it that belong to
/// it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Source {
    /// The name for messages; its extension decides the format.
    pub name: String,
    /// The content.
    pub bytes: Vec<u8>,
    /// For a shapefile or a GeoPackage the files of the same name beside it, by extension in lower
    /// case without dot: `shx`, `dbf`, `prj`, `cpg`; `gpkg-wal`. For `TASKDATA.XML` the XML files of
    /// its folder, by name.
    pub sidecars: BTreeMap<String, Vec<u8>>,
}

impl Source {
    /// The extension in lower case, without dot; empty if there is none.
    #[must_use]
    pub fn extension(&self) -> String {
        self.name.rsplit_once('.').map_or_else(String::new, |(_, ext)| ext.to_lowercase())
    }

    /// The extensions of the sidecar files that a file of this extension is read with.
    #[must_use]
    pub fn sidecar_extensions(extension: &str) -> &'static [&'static str] {
        match extension.to_ascii_lowercase().as_str() {
            "shp" => &["shx", "dbf", "prj", "cpg"],
            "gpkg" => &["gpkg-wal"],
            _ => &[],
        }
    }

    /// The memory that reading it may take.
    pub(super) fn budget(&self) -> Budget {
        Budget::of(self.bytes.len() + self.sidecars.values().map(Vec::len).sum::<usize>())
    }

    /// The name with another extension.
    pub(super) fn sibling(&self, extension: &str) -> String {
        let stem = self.name.rsplit_once('.').map_or(self.name.as_str(), |(stem, _)| stem);
        format!("{stem}.{extension}")
    }

    #[cfg(test)]
    pub(super) fn of(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Source { name: name.to_owned(), bytes: bytes.into(), sidecars: BTreeMap::new() }
    }

    #[cfg(test)]
    pub(super) fn with(mut self, extension: &str, bytes: impl Into<Vec<u8>>) -> Self {
        self.sidecars.insert(extension.to_owned(), bytes.into());
        self
    }
}
