//! A field that is to be sampled, from files and no job: its soil test is yet to come.

use std::path::{Path, PathBuf};

use geo::Coord;

use super::layers::layers;
use super::{Files, Inputs, WorkError};
use crate::field::{Boundary, KeepOut, Nearby, keep_outs};
use crate::job::KeepOutText;
use crate::read::{self, BoundarySettings, SampleSettings};
use crate::warning::Warning;

/// What is named on the command line.
#[derive(Clone, Debug, Default)]
pub struct SamplingFiles {
    /// The boundary, and how it is read.
    pub boundary: PathBuf,
    /// How it is read.
    pub settings: BoundarySettings,
    /// What nothing is spread near.
    pub keep_out: Vec<KeepOutText>,
    /// Places that were sampled already.
    pub taken: Option<PathBuf>,
}

/// A field as it is known before its soil test.
#[derive(Clone, Debug)]
pub struct FieldToSample {
    /// Its boundary.
    pub boundary: Boundary,
    /// Its parts that are not spread.
    pub keep_outs: Vec<KeepOut>,
    /// Places that were sampled already, WGS84 longitude and latitude; see [`crate::field::taken`].
    pub taken: Vec<(String, Coord<f64>)>,
    /// What somebody should look at.
    pub warnings: Vec<Warning>,
}

impl FieldToSample {
    /// Reads a field's boundary and what is kept out of it.
    ///
    /// # Errors
    /// When a file is at fault.
    pub fn read(named: &SamplingFiles, files: &dyn Files) -> Result<Self, WorkError> {
        let mut inputs = Inputs::new(files, Path::new(""));
        let source = inputs.source("boundary", &named.boundary)?;
        let read = read::boundary(&source, &named.settings)?;
        let (boundary, mut warnings) = (read.value, read.warnings);
        let entries: Vec<_> = named.keep_out.iter().map(|text| text.entry(Path::new(""))).collect();
        let layers = layers(&entries, "--keep-out", &mut inputs, &mut warnings)?;
        let (keep_outs, found) = keep_outs(&boundary, layers)?;
        warnings.extend(found);
        let mut taken = Vec::new();
        if let Some(path) = &named.taken {
            let source = inputs.source("samples", path)?;
            let read = read::sample_places(&source, &SampleSettings::default())?;
            warnings.extend(read.warnings);
            taken = read.value;
        }
        Ok(Self { boundary, keep_outs, taken, warnings })
    }
}

/// The layers near a field that no sample is to be taken near.
///
/// # Errors
/// When a file is at fault.
pub fn avoided(
    texts: &[KeepOutText],
    boundary: &Boundary,
    files: &dyn Files,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Nearby>, WorkError> {
    let mut inputs = Inputs::new(files, Path::new(""));
    let entries: Vec<_> = texts.iter().map(|text| text.entry(Path::new(""))).collect();
    let layers = layers(&entries, "--avoid", &mut inputs, warnings)?;
    let near = layers.iter().map(|layer| Nearby::new(layer, boundary));
    Ok(near.collect::<Result<_, _>>()?)
}
