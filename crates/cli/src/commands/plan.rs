//! `glowloom plan`

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use glowloom_design::Wall;
use glowloom_plan::meter::{Measured, NotMeasured, Sheet, measured, sheet};
use glowloom_plan::path::Cell;
use glowloom_plan::power::{Showing, UnsolvedPanel};
use glowloom_show::{Channels, Laying, LinearFrame};
use serde::Serialize;

use crate::arguments::Plan;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{opened, output, report, sources, stage};

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
        figures(&opened, arguments)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Every figure, at full white or at a picture.
fn figures(opened: &Opened, arguments: &Plan) -> Result<(), Failure> {
    let wall = &opened.wall;
    let mut plan = glowloom_plan::plan(wall);
    let Some(picture) = &arguments.picture else {
        return print(opened, &plan, Showing::WHITE, arguments.json);
    };
    let frame = first_frame(wall, picture, stage::laying(wall, arguments.size.into()))?;
    let channels = match wall.strip.channels() {
        4 => Channels::Rgbw,
        _ => Channels::Rgb,
    };
    let (look, emitters) = (stage::look(wall)?, stage::emitters(wall)?);
    let levels = |cell: Cell| match frame.pixel(cell.column, cell.row) {
        Some(light) => emitters.levels(channels, look.of(light)),
        None => [0.0; 4],
    };
    plan.power.show(wall, output::shown(picture), &levels).map_err(unsolved)?;
    print(opened, &plan, Showing::Picture(&levels), arguments.json)
}

fn print(
    opened: &Opened,
    plan: &glowloom_plan::Plan,
    showing: Showing,
    json: bool,
) -> Result<(), Failure> {
    if json {
        return document(plan);
    }
    let progress = super::done::beside(opened, plan, None)?;
    output::write(&report::plan(opened, plan, showing, &progress))
}

/// What the wall shows of a picture as it begins.
fn first_frame(wall: &Wall, picture: &Path, laying: Laying) -> Result<LinearFrame, Failure> {
    let mut source = sources::looked_at(picture, laying, wall)?;
    let mut frame = LinearFrame::new(wall.columns, wall.rows);
    source
        .draw(Duration::ZERO, &mut frame)
        .map_err(|error| Failure::Other { message: error.to_string(), remedy: None })?;
    Ok(frame)
}

fn unsolved(unsolved: UnsolvedPanel) -> Failure {
    Failure::other(unsolved.to_string(), "see that no figure of [strip] or [power] is absurd")
}

fn meter(opened: &Opened, json: bool) -> Result<(), Failure> {
    let sheet = sheet(&opened.wall).map_err(unsolved)?;
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
