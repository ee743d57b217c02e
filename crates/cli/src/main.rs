//! The `glowloom` program: arguments, terminal, exit codes, files.
//!
//! Rule of this room: no arithmetic. Every figure comes from the rooms below; here it is asked for,
//! laid out and written.

mod arguments;
mod commands;
mod diary;
mod failure;
mod files;
mod folders;
mod health;
mod identity;
mod key;
mod metrics;
mod network;
mod opened;
mod order;
mod output;
mod page;
mod painter;
mod recordings;
mod report;
mod running;
mod screen;
mod sources;
mod stage;
mod stopping;
mod told;
mod turn;
mod unit;
mod worded;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command};
use failure::Failure;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(arguments.command) {
        Ok(code) => code,
        // Whoever read our output has seen enough.
        Err(Failure::OutputClosed) => ExitCode::SUCCESS,
        Err(failure) => {
            output::problem(&failure);
            ExitCode::from(2)
        }
    }
}

fn run(command: Command) -> Result<ExitCode, Failure> {
    match command {
        Command::Check(arguments) => commands::check::run(&arguments),
        Command::Plan(arguments) => commands::plan::run(&arguments),
        Command::Book(arguments) => commands::book::run(&arguments),
        Command::Done(arguments) => commands::done::run(&arguments),
        Command::Demo(arguments) => commands::demo::run(&arguments),
        Command::Map(arguments) => commands::map::run(&arguments),
        Command::Show(arguments) => commands::show::run(&arguments),
        Command::Panels(arguments) => commands::panels::run(&arguments),
        Command::Serve(arguments) => commands::serve::run(&arguments),
        Command::Commission(arguments) => commands::commission::run(&arguments),
        Command::Receiver(arguments) => commands::receiver::run(&arguments),
        Command::Status(arguments) => commands::status::run(&arguments),
        Command::New(arguments) => commands::new::run(&arguments),
        Command::Completions(arguments) => commands::completions::run(&arguments),
    }
}
