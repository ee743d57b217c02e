//! `glowloom map`

use std::io::Write;
use std::process::ExitCode;

use crate::arguments::Map;
use crate::failure::Failure;
use crate::{opened, output};

pub fn run(arguments: &Map) -> Result<ExitCode, Failure> {
    let wall = opened::open(&arguments.wall)?.wall;
    let mut out = output::data();
    let form = &arguments.form;
    let written = if form.csv {
        glowloom_book::map::csv(&wall, &mut out)
    } else if form.json {
        glowloom_book::map::json(&wall, &mut out)
    } else {
        glowloom_book::map::svg(&wall, &mut out)
    };
    written.and_then(|()| out.flush()).map_err(Failure::output)?;
    Ok(ExitCode::SUCCESS)
}
