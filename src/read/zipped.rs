//! A ZIP archive with shapefiles, as they are sent, or with task data.

use std::collections::BTreeMap;

use super::archive::{self, ArchiveFault};
use super::budget::Budget;
use super::error::quoted;
use super::format::{Format, WantedContent};
use super::records::Records;
use super::taskdata::{self, Files};
use super::zone_file::ZoneFile;
use super::{ReadError, Source, shapefile};

/// A ZIP archive.
pub(super) const FORMAT: Format = Format {
    called: "a ZIP archive",
    extensions: &["zip"],
    records: Some(records),
    table: None,
    zone_file: Some(zone_file),
};

/// What an archive holds.
enum Held {
    Shapefile(Source),
    TaskData(Files),
}

fn records(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    match held(source, wanted, budget)? {
        Held::Shapefile(shapefile) => shapefile::records(&shapefile, wanted, budget),
        Held::TaskData(files) => taskdata::records(&source.name, &files, wanted, budget),
    }
}

fn zone_file(source: &Source, wanted: &WantedContent) -> Result<ZoneFile, ReadError> {
    match held(source, wanted, &mut source.budget())? {
        Held::Shapefile(shapefile) => shapefile::zone_file(&shapefile, wanted),
        Held::TaskData(_) => Err(ReadError::Unexpected {
            place: source.name.clone(),
            found: "task data".to_owned(),
            expected: "a shapefile with zones".to_owned(),
        }),
    }
}

fn held(source: &Source, wanted: &WantedContent, budget: &mut Budget) -> Result<Held, ReadError> {
    let name = &source.name;
    let is_of_use = |path: &str| {
        let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending).to_lowercase();
        // Some programs that pack put a shadow of each file beside it.
        let shadow = path.starts_with("__MACOSX/");
        !shadow && ["shp", "shx", "dbf", "prj", "cpg", "xml"].contains(&ending.as_str())
    };
    let files = archive::unpack(&source.bytes, budget.left(), is_of_use).map_err(|fault| {
        let name = name.clone();
        match fault {
            ArchiveFault::TooLarge => ReadError::TooLarge { name },
            ArchiveFault::Other(reason) => {
                ReadError::NotFormat { name, format: FORMAT.called, reason }
            }
        }
    })?;
    budget.take(name, files.iter().map(|(_, bytes)| bytes.len()).sum())?;
    let mut shapefiles: BTreeMap<String, Source> = BTreeMap::new();
    let mut others: BTreeMap<(String, String), Vec<u8>> = BTreeMap::new();
    if files.iter().any(|(path, _)| taskdata::is_main(path)) {
        return Ok(Held::TaskData(taskdata::of_archive(name, files)?));
    }
    for (path, bytes) in files {
        let (stem, ending) = path.rsplit_once('.').unwrap_or((&path, ""));
        let (stem, ending) = (stem.to_owned(), ending.to_lowercase());
        if ending == "shp" {
            let inner = Source { name: format!("{name}/{path}"), bytes, ..Source::default() };
            shapefiles.insert(stem, inner);
        } else {
            others.insert((stem.to_lowercase(), ending), bytes);
        }
    }
    let stem = chosen(name, &shapefiles, wanted.layer)?;
    let Some(mut shapefile) = shapefiles.remove(&stem) else {
        return Err(ReadError::TooLarge { name: name.clone() });
    };
    let beside = others.into_iter().filter(|((other, _), _)| *other == stem.to_lowercase());
    shapefile.sidecars = beside.map(|((_, ending), bytes)| (ending, bytes)).collect();
    Ok(Held::Shapefile(shapefile))
}

/// The path without ending of the shapefile that is meant: by its own name or with its folders.
fn chosen(
    name: &str,
    shapefiles: &BTreeMap<String, Source>,
    layer: Option<&str>,
) -> Result<String, ReadError> {
    let last = |stem: &str| stem.rsplit('/').next().unwrap_or(stem).to_lowercase();
    let all = || quoted(shapefiles.keys());
    let Some(layer) = layer else {
        let mut stems = shapefiles.keys();
        return match (stems.next(), stems.next()) {
            (Some(stem), None) => Ok(stem.clone()),
            (None, _) => Err(ReadError::Unexpected {
                place: name.to_owned(),
                found: "no .shp file in it".to_owned(),
                expected: "a shapefile with its .dbf and .prj, or task data".to_owned(),
            }),
            _ => Err(several(name, all())),
        };
    };
    let wanted = layer.trim().to_lowercase();
    let wanted = wanted.strip_suffix(".shp").unwrap_or(&wanted);
    let exact = shapefiles.keys().find(|stem| stem.to_lowercase() == wanted);
    let mut alike = shapefiles.keys().filter(|stem| last(stem) == wanted);
    match (exact, alike.next(), alike.next()) {
        (Some(stem), _, _) | (None, Some(stem), None) => Ok(stem.clone()),
        (None, Some(_), Some(_)) => Err(several(name, all())),
        (None, None, _) => Err(ReadError::NoneOfThatName {
            name: name.to_owned(),
            what: "shapefile",
            wanted: layer.to_owned(),
            found: all(),
        }),
    }
}

fn several(name: &str, found: String) -> ReadError {
    let (what, key, or) = ("shapefiles", "layer", String::new());
    ReadError::Several { name: name.to_owned(), what, found, key, or }
}

#[cfg(test)]
mod tests;
