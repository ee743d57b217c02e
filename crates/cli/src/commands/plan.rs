//! `glowloom plan`

use std::io::Write;
use std::process::ExitCode;

use glowloom_plan::meter::{Measured, NotMeasured, Sheet, measured, sheet};
use serde::Serialize;

use crate::arguments::Plan;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{opened, output, report};

/// `plan --meter --json`
#[derive(Serialize)]
struct MeterDocument<'s> {
    format: u32,
    meter: &'s Sheet,
}

/// `plan --measured --json`
#[derive(Serialize)]
struct MeasuredDocument<'m> {
    format: u32,
    measured: &'m Measured,
}

pub fn run(arguments: &Plan) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    if arguments.meter {
        meter(&opened, arguments.json)?;
    } else if arguments.measured {
        readings(&opened, arguments.json)?;
    } else {
        let plan = glowloom_plan::plan(&opened.wall);
        if arguments.json {
            document(&plan)?;
        } else {
            output::write(&report::plan(&opened, &plan))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn meter(opened: &Opened, json: bool) -> Result<(), Failure> {
    let sheet = sheet(&opened.wall).map_err(|unsolved| {
        Failure::other(unsolved.to_string(), "see that no figure of [strip] or [power] is absurd")
    })?;
    if json {
        return document(&MeterDocument { format: 1, meter: &sheet });
    }
    output::write(&report::meter::page(opened, &sheet))
}

fn readings(opened: &Opened, json: bool) -> Result<(), Failure> {
    let measured = measured(&opened.wall).map_err(|not| {
        let take = format!(
            "glowloom plan {} --meter tells where to measure and how to write it down",
            output::shown(&opened.path)
        );
        let remedy = match not {
            NotMeasured::Unsolved(_) => "see that no figure of [strip] or [power] is absurd".into(),
            NotMeasured::None | NotMeasured::Dead { .. } | NotMeasured::NoFit(_) => take,
        };
        Failure::other(not.to_string(), remedy)
    })?;
    if json {
        return document(&MeasuredDocument { format: 1, measured: &measured });
    }
    output::write(&report::measured::page(opened, &measured))
}

/// One JSON document and nothing else.
fn document(of: &impl Serialize) -> Result<(), Failure> {
    let mut out = output::data();
    serde_json::to_writer_pretty(&mut out, of).map_err(|error| Failure::output(error.into()))?;
    writeln!(out).and_then(|()| out.flush()).map_err(Failure::output)
}
