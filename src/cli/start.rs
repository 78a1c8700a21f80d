//! `landplaster start`, and what `landplaster plan` says where nothing is named.

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use landplaster::folder_contents::FolderContents;
use landplaster::path_text::shown;
use landplaster::report::start;
use landplaster::work::{self, Disk, FarmWork, readable};

use super::failure::Failure;
use super::{load, saving, standard_output};

/// A machine file with all of its keys as comments.
const MACHINE: &str = include_str!("start/machine.toml");

/// What was typed.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub struct Arguments {
    #[command(subcommand)]
    machine: Option<Machine>,
    /// The files to start from; those in this folder if none is given
    files: Vec<PathBuf>,
    /// Write a farm file: all fields of one boundary file, or the jobs that are there
    #[arg(long)]
    farm: bool,
    /// Write a job file for each field too, for changes of one field alone
    #[arg(long, requires = "farm")]
    jobs: bool,
    /// The file to write; called after the boundary or the farm if not given
    #[arg(long, value_name = "FILE.toml")]
    out: Option<PathBuf>,
}

/// Another file to start.
#[derive(Debug, Subcommand)]
enum Machine {
    /// Write a machine file with all of its keys as comments
    Machine {
        /// The file to write
        #[arg(value_name = "FILE.toml", default_value = "machine.toml")]
        file: PathBuf,
    },
}

/// Writes a commented file to start from.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    if let Some(Machine::Machine { file }) = &arguments.machine {
        saving::new(file, MACHINE.as_bytes())?;
        let next = "Fill it in, and name it in a job: spreader = ";
        return standard_output::text(&format!(
            "{}: written. {next}\"{}\"\n",
            shown(file),
            load::name(file)
        ));
    }
    let seen = look(&arguments.files);
    let nothing = || Failure::Input(nothing(&seen, "started"));
    if let (false, Some(missing)) = (arguments.farm && !seen.jobs.is_empty(), start::missing(&seen))
    {
        return Err(Failure::Input(format!(
            "nothing was written.\n{}\n{missing}",
            start::seen(&seen)
        )));
    }
    let (path, text) = if arguments.farm {
        let path = arguments.out.clone().unwrap_or_else(|| "farm.toml".into());
        let name = farm_name();
        let text = start::farm(&seen, &name, &shown(&path)).ok_or_else(nothing)?;
        (path, text)
    } else {
        let (boundary, _) = seen.boundary.as_ref().ok_or_else(nothing)?;
        let own = || PathBuf::from(format!("{}.toml", load::stem(boundary)));
        let path = arguments.out.clone().unwrap_or_else(own);
        let text = start::job(&seen, &shown(&path)).ok_or_else(nothing)?;
        (path, text)
    };
    beside(&path)?;
    let mut files = Vec::new();
    if arguments.jobs {
        let written = FarmWork::written(&path, &text, &Disk).map_err(Failure::input)?;
        files = written.jobs;
        files.push((path.clone(), written.farm));
    } else {
        files.push((path.clone(), text));
    }
    for (path, _) in &files {
        saving::is_free(path)?;
    }
    for (path, text) in &files {
        saving::new(path, text.as_bytes())?;
    }
    let more = match files.len() - 1 {
        0 => String::new(),
        jobs => format!(" with {jobs} jobs"),
    };
    standard_output::text(&format!(
        "{}\n{}: written{more}. Look through it, then: landplaster plan {}\n",
        start::seen(&seen),
        shown(&path),
        start::shell(&path)
    ))
}

/// What is said where neither a job nor files are named.
pub fn nothing_named() -> Failure {
    let seen = look(&[]);
    Failure::Input(nothing(&seen, "planned"))
}

fn nothing(seen: &FolderContents, what: &str) -> String {
    let (told, commands) = (start::seen(seen), start::commands(seen));
    let missing = start::missing(seen).filter(|_| seen.jobs.is_empty());
    let mut lines = vec![format!("nothing was named to be {what}.")];
    if told.is_empty() {
        lines.push("This folder holds no file that landplaster reads.".to_owned());
    } else {
        lines.push(format!("In this folder:\n{told}"));
    }
    lines.extend(missing);
    if !commands.is_empty() {
        lines.push(format!("Type:\n{commands}"));
    }
    lines.join("\n")
}

fn look(files: &[PathBuf]) -> FolderContents {
    let all = if files.is_empty() { readable(Path::new(""), &Disk) } else { files.to_vec() };
    work::look(&all, &Disk)
}

/// The farm is called after the folder.
fn farm_name() -> String {
    let here = std::env::current_dir().ok();
    let name =
        here.as_deref().and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
    let name = name.filter(|name| !name.starts_with('.')).unwrap_or_default();
    if name.is_empty() { "farm".to_owned() } else { format!("{name} farm") }
}

/// Paths in the file are as they were typed, from the folder that the command runs in.
fn beside(path: &Path) -> Result<(), Failure> {
    let folder = path.parent().unwrap_or(Path::new(""));
    if folder.as_os_str().is_empty() || folder == Path::new(".") {
        return Ok(());
    }
    Err(Failure::Input(format!(
        "{}: found another folder, expected a file in this one, where its paths are from; go there first",
        shown(path)
    )))
}
