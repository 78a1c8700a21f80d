//! `landplaster help-files`: manual pages and completions, of what the commands say about themselves.

use std::path::PathBuf;

use clap::{Args, CommandFactory};
use clap_complete::{Generator, Shell, generate};
use clap_mangen::Man;

use super::failure::Failure;
use super::{Line, saving};

const PROGRAM: &str = "landplaster";

#[derive(Debug, Args)]
pub struct Arguments {
    /// The folder that gets them
    #[arg(long, default_value = "help-files")]
    out: PathBuf,
}

/// Writes `man/*.1` and a file for each shell in `completions`.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut line = Line::command();
    line.build();
    let shells = [Shell::Bash, Shell::Zsh, Shell::Fish, Shell::PowerShell].map(|shell| {
        let mut script = Vec::new();
        generate(shell, &mut line, PROGRAM, &mut script);
        (shell.file_name(PROGRAM), script)
    });
    let shown = line.get_subcommands().filter(|one| !one.is_hide_set() && one.get_name() != "help");
    let pages = std::iter::once(&line).chain(shown).map(|command| {
        let (man, mut page) = (Man::new(command.clone()), Vec::new());
        man.render(&mut page).map_err(|error| Failure::Write(error.to_string()))?;
        Ok((man.get_filename(), page))
    });
    let pages = pages.collect::<Result<Vec<_>, _>>()?;
    saving::all(&arguments.out.join("completions"), &shells)?;
    saving::all(&arguments.out.join("man"), &pages)
}
