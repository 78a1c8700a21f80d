//! Files to start from: what was understood of them, what is missing, and the job that they make.

use std::path::{Path, PathBuf};

use geo::{BoundingRect, Coord, MultiPolygon};
use serde::{Deserialize, Serialize};
use toml_edit::{InlineTable, Value};

use super::EditError;
use super::toml_text::TomlText;
use crate::folder_contents::{FileContent, FolderContents};
use crate::job::{Farm, Job};
use crate::path_text::shown;
use crate::read::{self, FileLook};
use crate::report::start;
use crate::work::{self, Files};

/// The most points of a picture, and the most fields and columns that are offered.
const MOST: usize = 400;
/// The longer side of a picture, in pixels.
const SIDE: f64 = 260.0;

/// What was understood of some files.
#[derive(Debug, Serialize)]
pub struct Understood {
    /// Job and farm files that are there.
    pub jobs: Vec<String>,
    /// What is missing for a plan, in words.
    pub missing: Option<String>,
    /// The files that hold anything, with what they are taken for.
    pub files: Vec<FileUnderstood>,
    /// Those of no use, and why.
    pub others: Vec<(String, String)>,
    /// The field with its samples; none without both or either.
    pub picture: Option<Picture>,
}

/// What was understood of a file.
#[derive(Debug, Serialize)]
pub struct FileUnderstood {
    /// Its name.
    pub name: String,
    /// What it is taken for: `boundary`, `samples`, `laboratory`, `layer` or `unclear`.
    pub role: &'static str,
    /// What it holds.
    pub told: String,
    /// The fields in it, where they have names.
    pub fields: Vec<String>,
    /// The columns of its table.
    pub columns: Vec<String>,
    /// The first rows of it.
    pub first_rows: Vec<Vec<String>>,
    /// The column with the CEC.
    pub cec: Option<String>,
    /// Why there is none that can only be meant.
    pub cec_unclear: Option<String>,
    /// The column with the samples' names.
    pub id: Option<String>,
    /// Why its places could not be had.
    pub without_places: Option<String>,
}

/// Outlines and points, in pixels.
#[derive(Debug, Serialize)]
pub struct Picture {
    /// How wide it is.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// The outlines.
    pub outlines: Vec<Vec<[f64; 2]>>,
    /// The points.
    pub points: Vec<[f64; 2]>,
}

/// The files that a job is made of, as somebody chose.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Chosen {
    /// The boundary.
    pub boundary: ChosenFile,
    /// The samples.
    pub samples: ChosenFile,
    /// The laboratory's results, where they are apart.
    pub laboratory: Option<ChosenFile>,
}

/// A file and how it is read; what is absent is found.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChosenFile {
    /// The file.
    pub file: String,
    /// The field that is meant.
    pub field: Option<String>,
    /// The coordinate system.
    pub crs: Option<String>,
    /// The column with the CEC.
    pub cec: Option<String>,
    /// The column with the samples' names.
    pub id: Option<String>,
}

impl Understood {
    /// What was understood of files, by their names without a folder: what each holds, and what it is
    /// taken for.
    #[must_use]
    pub fn new(looks: &[(PathBuf, FileLook)], seen: &FolderContents) -> Self {
        let is = |file: &Option<(PathBuf, FileLook)>, path: &PathBuf| {
            file.as_ref().is_some_and(|(other, _)| other == path)
        };
        let role = |path: &PathBuf| match path {
            _ if is(&seen.boundary, path) => "boundary",
            _ if is(&seen.samples, path) => "samples",
            _ if is(&seen.laboratory, path) => "laboratory",
            _ if seen.layers.iter().any(|(other, _)| other == path) => "layer",
            _ => "unclear",
        };
        let files = looks.iter().map(|(path, look)| FileUnderstood {
            name: name(path),
            role: role(path),
            told: start::told(look),
            fields: look.fields.iter().take(MOST).map(|field| field.name.clone()).collect(),
            columns: look.columns.iter().take(MOST).cloned().collect(),
            first_rows: look.first_rows.clone(),
            cec: look.cec.clone().and_then(Result::ok),
            cec_unclear: look.cec.clone().and_then(Result::err),
            id: look.id.clone(),
            without_places: look.without_places.clone(),
        });
        Self {
            jobs: seen.jobs.iter().map(|path| name(path)).collect(),
            missing: start::missing(seen),
            files: files.collect(),
            others: seen.others.iter().map(|(path, why)| (name(path), why.clone())).collect(),
            picture: picture(seen),
        }
    }
}

/// Looks into files of a folder, by their names there: what each holds, and what it is taken for.
#[must_use]
pub fn look_into(
    names: &[String],
    folder: &Path,
    files: &dyn Files,
) -> (Vec<(PathBuf, FileLook)>, FolderContents) {
    let (mut looks, mut found) = (Vec::new(), Vec::new());
    for name in names {
        let (path, place) = (PathBuf::from(name), folder.join(name));
        if name.to_lowercase().ends_with(".toml") {
            let text = work::text(files, "file", &place).unwrap_or_default();
            if Farm::is_one(&text) || Job::read("", &text).is_ok() {
                found.push((path, FileContent::Job));
            }
            continue;
        }
        let look = work::source(files, "file", &place)
            .map_err(|error| error.to_string())
            .and_then(|source| read::look_into(&source).map_err(|error| error.to_string()));
        found.push(match look {
            Ok(look) => {
                looks.push((path.clone(), look.clone()));
                (path, FileContent::Look(Box::new(look)))
            }
            Err(why) => (path, FileContent::Nothing(why)),
        });
    }
    (looks, FolderContents::of(found))
}

/// The job of chosen files, with comments on what they hold; `file` is what it will be called.
///
/// # Errors
/// When a file is none of those that were looked into.
pub fn job_text(
    looks: &[(PathBuf, FileLook)],
    chosen: &Chosen,
    file: &str,
) -> Result<String, EditError> {
    let look = |wanted: &ChosenFile| {
        let found = looks.iter().find(|(path, _)| name(path) == wanted.file).cloned();
        found.ok_or_else(|| EditError::UnknownKey { key: wanted.file.clone() })
    };
    let seen = FolderContents {
        boundary: Some(look(&chosen.boundary)?),
        samples: Some(look(&chosen.samples)?),
        laboratory: chosen.laboratory.as_ref().map(look).transpose()?,
        ..FolderContents::default()
    };
    let text = start::job(&seen, file).unwrap_or_default();
    let read = TomlText::read(&text);
    let mut text = read.map_err(|error| EditError::NoToml(error.to_string()))?;
    let entries = [
        ("boundary", Some(&chosen.boundary)),
        ("samples", Some(&chosen.samples)),
        ("laboratory", chosen.laboratory.as_ref()),
    ];
    for (key, entry) in entries.into_iter().filter_map(|(key, entry)| Some((key, entry?))) {
        let value = entry.value();
        super::toml_text::set(text.document.as_table_mut(), key, Some(value));
    }
    Ok(text.text())
}

impl ChosenFile {
    fn value(&self) -> Value {
        let said = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
        let keys =
            [("field", &self.field), ("crs", &self.crs), ("cec", &self.cec), ("id", &self.id)];
        let keys: Vec<(&str, String)> =
            keys.into_iter().filter_map(|(key, value)| Some((key, said(value)?))).collect();
        if keys.is_empty() {
            return self.file.as_str().into();
        }
        let mut table = InlineTable::new();
        table.insert("file", self.file.as_str().into());
        for (key, value) in keys {
            table.insert(key, value.trim().into());
        }
        Value::InlineTable(table)
    }
}

fn name(path: &Path) -> String {
    shown(path)
}

/// Outlines and points on a plane that is true enough for a look: degrees of longitude shrink with the
/// cosine of the latitude.
fn picture(seen: &FolderContents) -> Option<Picture> {
    let fields = seen.boundary.iter().flat_map(|(_, look)| &look.fields);
    let outlines: MultiPolygon<f64> =
        fields.flat_map(|field| field.polygons.0.iter().cloned()).collect();
    let points: Vec<Coord<f64>> = seen
        .samples
        .iter()
        .flat_map(|(_, look)| look.samples.iter().copied())
        .filter(|at| at.x.is_finite() && at.y.is_finite())
        .take(MOST)
        .collect();
    let bounds = match outlines.bounding_rect() {
        Some(bounds) => bounds,
        None => points
            .iter()
            .copied()
            .map(geo::Point)
            .collect::<geo::MultiPoint<f64>>()
            .bounding_rect()?,
    };
    let squash = libm::cos(bounds.center().y.to_radians()).max(0.01);
    let (width, height) = (bounds.width() * squash, bounds.height());
    let scale = (SIDE - 20.0) / width.max(height).max(1e-9);
    let pixel = |at: &Coord<f64>| {
        let x = 10.0 + (at.x - bounds.min().x) * squash * scale;
        let y = 10.0 + (bounds.max().y - at.y) * scale;
        [(10.0 * x).round() / 10.0, (10.0 * y).round() / 10.0]
    };
    let rings = outlines.iter().flat_map(|part| {
        std::iter::once(part.exterior()).chain(part.interiors()).map(|ring| ring.0.as_slice())
    });
    Some(Picture {
        width: width * scale + 20.0,
        height: height * scale + 20.0,
        outlines: rings.take(MOST).map(|ring| ring.iter().map(pixel).collect()).collect(),
        points: points.iter().map(pixel).collect(),
    })
}
