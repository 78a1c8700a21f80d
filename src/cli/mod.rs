//! What was typed, what it means, and what is said about it. The only room that touches the disk or
//! prints.

mod disk;
mod double_click;
mod failure;
mod farm;
mod guard;
mod held;
mod help_files;
mod inspect;
mod land;
mod load;
mod lock;
#[cfg(feature = "page")]
mod page;
mod pans;
mod pile;
mod plan;
mod plan_arguments;
mod reconcile;
mod reconcile_checks;
mod reconcile_folders;
mod reconcile_json;
mod reconcile_log;
mod reconcile_record;
mod sample;
mod sample_arguments;
mod saving;
mod spreader;
mod standard_error;
mod standard_output;
mod start;
mod terminal_control;
mod working_folder;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use failure::Failure;

/// The version, and the build, by which what another one made is known.
const VERSION: &str =
    concat!(env!("CARGO_PKG_VERSION"), " (build ", env!("LANDPLASTER_BUILD"), ")");

/// Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.
#[derive(Debug, Parser)]
#[command(version = VERSION, arg_required_else_help = true)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented job, farm or machine file to start from
    Start(start::Arguments),
    /// Say where to sample a field, before its soil test or after it, and what samples are worth
    Sample(sample_arguments::Arguments),
    /// Plan a field: rate zones, acres and tons
    Plan(plan_arguments::Arguments),
    /// Plan on a page of the browser: breaks, samples, keep-outs and the pile by mouse, keys or thumb
    #[cfg(feature = "page")]
    Page(page::Arguments),
    /// Look into zones or task data before going to the field: what a controller would see
    Inspect(inspect::Arguments),
    /// Place the pile that a spreader truck fills from, or check a place for it
    Pile(pile::Arguments),
    /// What lands of a plan: the spreader's pattern, delay and belt laid over the zones
    Land(land::Arguments),
    /// Check plans against weigh tickets and the record of the application
    Reconcile(reconcile::Arguments),
    /// Set the spreader: gate opening, belt speed and controller constant for a field's rates
    Spreader(spreader::Arguments),
    /// Read a catch-pan test: pattern, overlap, swath and remedies
    Pans(pans::Arguments),
    /// Write manual pages, and completions for command lines
    #[command(hide = true)]
    HelpFiles(help_files::Arguments),
}

/// Runs what the command line says. 0: done; 2: the input is at fault; 1: a file could not be
/// written, what was inspected has a problem with its format, or the program itself is at fault.
pub fn run() -> ExitCode {
    guard::note_panics();
    let is_double_click = double_click::is_one();
    let line = if is_double_click { double_click::line() } else { typed() };
    let work = || done(Line::parse_from(line).command);
    let code = guard::guarded(work).unwrap_or_else(|failure| {
        standard_error::say(format_args!("error: {failure}"));
        failure.code()
    });
    if is_double_click {
        double_click::wait();
    }
    code
}

/// What was typed. On Windows a program finds the files that `*` stands for itself.
fn typed() -> Vec<OsString> {
    #[cfg(windows)]
    return wild::args_os().collect();
    #[cfg(not(windows))]
    std::env::args_os().collect()
}

fn done(command: Command) -> Result<ExitCode, Failure> {
    match command {
        Command::Start(arguments) => start::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Sample(arguments) => sample::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Plan(arguments) => plan::run(&arguments).map(|()| ExitCode::SUCCESS),
        #[cfg(feature = "page")]
        Command::Page(arguments) => page::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Inspect(arguments) => inspect::run(&arguments),
        Command::Pile(arguments) => pile::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Land(arguments) => land::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Reconcile(arguments) => reconcile::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Spreader(arguments) => spreader::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::Pans(arguments) => pans::run(&arguments).map(|()| ExitCode::SUCCESS),
        Command::HelpFiles(arguments) => help_files::run(&arguments).map(|()| ExitCode::SUCCESS),
    }
}
