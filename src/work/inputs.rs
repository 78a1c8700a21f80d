//! What a job's folder was made from: `inputs.json`, by which a later run of the farm knows that
//! nothing has changed.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

use super::files::{name, source};
use super::{FileError, Files};
use crate::path_text::shown;
use crate::read::Source;
use crate::report::InputFile;
use crate::totals::Totals;
use crate::write::{FormatError, OutputFile};

const NAME: &str = "inputs.json";

/// The files that a plan is made from, noted as they are read.
pub struct Inputs<'a> {
    files: &'a dyn Files,
    folder: PathBuf,
    read: Vec<Value>,
}

impl<'a> Inputs<'a> {
    /// None yet; paths start from `folder`.
    #[must_use]
    pub fn new(files: &'a dyn Files, folder: &Path) -> Self {
        Self { files, folder: folder.to_owned(), read: Vec::new() }
    }

    /// An input with its sidecars; `what` it is for goes into the message.
    ///
    /// # Errors
    /// When there is no such file, or it cannot be read.
    pub fn source(&mut self, what: &str, file: &Path) -> Result<Source, FileError> {
        let source = source(self.files, what, &self.folder.join(file))?;
        let beside: Map<String, Value> =
            source.sidecars.iter().map(|(ext, bytes)| (ext.clone(), hash(bytes).into())).collect();
        let file = shown(file);
        self.read.push(json!({ "file": file, "sha256": hash(&source.bytes), "beside": beside }));
        Ok(source)
    }

    /// The files that were read so far, without their folders, each with its sidecars after it.
    #[must_use]
    pub fn files(&self) -> Vec<InputFile> {
        let mut files: Vec<InputFile> = Vec::new();
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        for read in &self.read {
            let file = text(&read["file"]);
            let beside =
                read["beside"].as_object().into_iter().flatten().map(|(ending, sha256)| {
                    // Of task data the files beside it are noted by their names.
                    let name = if ending.contains('.') {
                        ending.clone()
                    } else {
                        name(&Path::new(&file).with_extension(ending))
                    };
                    InputFile { name, sha256: text(sha256) }
                });
            let own = InputFile { name: name(Path::new(&file)), sha256: text(&read["sha256"]) };
            for input in std::iter::once(own).chain(beside) {
                // One file may be read for several purposes.
                if !files.contains(&input) {
                    files.push(input);
                }
            }
        }
        files
    }

    /// The file that says what a folder was made from: the program, the settings as understood, the
    /// inputs, and the files themselves.
    ///
    /// # Errors
    /// When it cannot be written as JSON.
    pub fn record(&self, settings: &str, files: &[OutputFile]) -> Result<OutputFile, FormatError> {
        let outputs: Map<String, Value> =
            files.iter().map(|file| (file.name.clone(), hash(&file.bytes).into())).collect();
        let record = json!({
            "program": program(),
            "settings_sha256": hash(settings.as_bytes()),
            "inputs": self.read,
            "outputs": outputs,
        });
        let text = serde_json::to_string_pretty(&record)
            .map_err(|error| FormatError { file: NAME, reason: error.to_string() })?;
        Ok(OutputFile { name: NAME.to_owned(), bytes: format!("{text}\n").into_bytes() })
    }
}

/// The content of `totals.json` in a job's folder, if the folder is what the same program would
/// make again: of the same settings and inputs, and every file as it was written.
#[must_use]
pub fn unchanged(
    files: &dyn Files,
    target: &Path,
    settings: &str,
    folder: &Path,
) -> Option<Totals> {
    let record: Value = serde_json::from_slice(&files.bytes(&target.join(NAME)).ok()?).ok()?;
    if record.get("program")? != &json!(program())
        || record.get("settings_sha256")? != &json!(hash(settings.as_bytes()))
    {
        return None;
    }
    let mut inputs = Inputs::new(files, folder);
    let read = record.get("inputs")?;
    for input in read.as_array()? {
        inputs.source("input", Path::new(input.get("file")?.as_str()?)).ok()?;
    }
    let mut totals = None;
    for (name, sha256) in record.get("outputs")?.as_object()? {
        let bytes = files.bytes(&target.join(name)).ok()?;
        if sha256 != &json!(hash(&bytes)) {
            return None;
        }
        if name == "totals.json" {
            totals = Totals::read(std::str::from_utf8(&bytes).ok()?).ok();
        }
    }
    totals.filter(|_| *read == Value::Array(inputs.read))
}

/// The program with its build: the version stays while the code changes.
fn program() -> String {
    format!("landplaster {} (build {})", env!("CARGO_PKG_VERSION"), env!("LANDPLASTER_BUILD"))
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1.
    #[test]
    fn hashes() {
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash(b"abc"), expected);
    }
}
