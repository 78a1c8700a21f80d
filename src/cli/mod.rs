//! What was typed, what it means, and what is said about it. The only room that touches the disk or
//! prints.

mod disk;
mod failure;
mod farm;
mod farm_summary;
mod inputs;
mod load;
mod pans;
mod plan;
mod reconcile;
mod reconcile_summary;
mod saving;
mod spreader;
mod summary;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.
#[derive(Debug, Parser)]
#[command(version, arg_required_else_help = true)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a field: rate zones, acres and tons
    Plan(plan::Arguments),
    /// Hold planned fields against weigh tickets and the record of the application
    Reconcile(reconcile::Arguments),
    /// Set the spreader: gate opening, belt speed and controller constant for a field's rates
    Spreader(spreader::Arguments),
    /// Read a catch-pan test: pattern, overlap, swath and remedies
    Pans(pans::Arguments),
}

/// Runs what the command line says. 0: done; 2: the input is at fault; 1: a file could not be
/// written.
#[expect(clippy::print_stderr, reason = "the one place where a failure is said")]
pub fn run() -> ExitCode {
    let done = match Line::parse().command {
        Command::Plan(arguments) => plan::run(&arguments),
        Command::Reconcile(arguments) => reconcile::run(&arguments),
        Command::Spreader(arguments) => spreader::run(&arguments),
        Command::Pans(arguments) => pans::run(&arguments),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("error: {failure}");
            failure.code()
        }
    }
}
