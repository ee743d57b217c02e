//! `glowloom completions`

use std::io::Write;
use std::process::ExitCode;

use clap::CommandFactory;

use crate::arguments::{Arguments, Completions};
use crate::failure::Failure;
use crate::output;

pub fn run(arguments: &Completions) -> Result<ExitCode, Failure> {
    // Into memory first: the generator cannot tell of a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut Arguments::command(), "glowloom", &mut script);
    let mut out = output::data();
    out.write_all(&script).and_then(|()| out.flush()).map_err(Failure::output)?;
    Ok(ExitCode::SUCCESS)
}
