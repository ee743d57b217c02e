//! `glowloom plan`

use std::io::Write;
use std::process::ExitCode;

use crate::arguments::Plan;
use crate::failure::Failure;
use crate::{opened, output, report};

pub fn run(arguments: &Plan) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    if !arguments.json {
        output::write(&report::plan(&opened, &plan))?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut out = output::data();
    serde_json::to_writer_pretty(&mut out, &plan).map_err(|error| Failure::output(error.into()))?;
    writeln!(out).and_then(|()| out.flush()).map_err(Failure::output)?;
    Ok(ExitCode::SUCCESS)
}
