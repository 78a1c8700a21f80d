//! `landplaster page`: a page in the browser of this computer, to plan on.
//!
//! Requests come in through the `guard`, on one thread (`server`, `routes`); all work is done by the
//! `desk` on another (`planner`), by the library's room `page`. Files are those of one `folder`.

mod answer;
mod assets;
mod browser;
mod desk;
mod farm;
mod folder;
mod guard;
mod job;
mod planner;
mod routes;
mod server;
mod start;
mod written;

use std::path::{Path, PathBuf};

use clap::Args;

use landplaster::path_text::shown;

use super::failure::Failure;
use super::standard_output;
use desk::Desk;
use folder::OpenedFolder;

/// What was typed.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A job file, a farm file, or a folder: of a file the folder that it is in is opened, and nothing outside is read
    #[arg(value_name = "JOB.toml|FARM.toml|FOLDER", default_value = ".")]
    what: PathBuf,
    /// The folder that plans are written into; `plans` in the opened folder if not given
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Only print the page's address, open no browser
    #[arg(long)]
    no_browser: bool,
}

/// Serves the page until it is ended.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let Arguments { what, out, no_browser } = arguments;
    let is_folder = what.is_dir();
    let parent = if is_folder { what.as_path() } else { what.parent().unwrap_or(Path::new("")) };
    let folder = OpenedFolder::open(parent)?;
    let name = (!is_folder).then(|| file_name(what)).transpose()?;
    let desk = Desk::open(folder, name.as_deref(), out.clone())?;
    server::serve(desk, |address| {
        standard_output::text(&format!(
            "The page is at {address}\nIt is for this computer alone. End it there, or here with Ctrl-C.\n"
        ))?;
        if !no_browser {
            browser::open(address);
        }
        Ok(())
    })
}

/// The name of the file that is opened.
fn file_name(what: &Path) -> Result<String, Failure> {
    let name = what.file_name().and_then(|name| name.to_str());
    name.map(str::to_owned).ok_or_else(|| {
        Failure::Input(format!(
            "{}: found no file, expected a job file, a farm file or a folder",
            shown(what)
        ))
    })
}
