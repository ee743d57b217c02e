//! `glowloom demo`

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

use glowloom_drive::{Ordered, Zone};
use glowloom_plan::power::Showing;
use glowloom_show::{Preview, Sizing, harbour, png};

use crate::arguments::Demo;
use crate::commands::show::ending;
use crate::failure::Failure;
use crate::network::Network;
use crate::opened::Opened;
use crate::page::{self, OnDisk, OnStage};
use crate::painter::Painter;
use crate::stage::{self, Choices, Stage};
use crate::stopping::Stop;
use crate::{files, health, opened, order, output, report};

/// The wall of the demo.
const WALL: &str = include_str!("../../../../examples/walls/tidewall.toml");

/// Where it goes, below the folder that one is in.
const FOLDER: &str = "tidewall";

/// Pixels of the still picture.
const STILL: (u32, u32) = (480, 256);

/// How often the terminal is drawn.
const DRAWN: Duration = Duration::from_millis(50);
/// How often a log has a line.
const LOGGED: Duration = Duration::from_secs(2);

pub fn run(arguments: &Demo) -> Result<ExitCode, Failure> {
    let folder = Path::new(FOLDER);
    let wall = write(folder)?;
    let opened = opened::open(&wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    let laying = stage::laying(&opened.wall, Sizing::Fill);
    // A demo begins at the beginning, and is bright at night too.
    let scenes = order::scenes(&opened, laying, &mut Network::deaf())?;
    let (source, _) =
        Ordered::new(scenes, None, Zone::of_this_computer().unwrap_or_else(|_| Zone::utc()));
    output::write(&report::plan(&opened, &plan, Showing::WHITE, ""))?;
    stage::warn(&plan);
    let stop = Stop::new(arguments.end.after)?;
    let choices = Choices {
        brightness: None,
        dimming: None,
        multicast: false,
        leave_lit: false,
        above_safe: false,
        discovery: false,
        replay: None,
    };
    let stage = Arc::new(Stage::open(&opened.wall, &plan, Box::new(source), &choices)?);
    let page = open_page(&wall, &opened, &stage)?;
    let at = page.as_ref().map_or(String::new(), |page| format!(" Its page: {}", page.link));
    output::write(&format!("\nPlaying on {}.{at}\nCtrl-C ends it.\n", health::places(&stage)))?;
    watch(stage::preview(&opened.wall, &stage.patch)?, &stage, &stop)?;
    // The page looks at the stage while it is open.
    drop(page);
    let panels = stage.panels.health();
    if let Some(stage) = Arc::into_inner(stage) {
        output::write(&ending(&stage.close()))?;
    }
    output::write(&format!("{}\n\n{}", health::panels(&panels), next(&wall)))?;
    Ok(ExitCode::SUCCESS)
}

/// The wall's page, at the usual port or at any free one. Where there can be none the demo goes on without.
fn open_page(
    wall: &Path,
    opened: &Opened,
    stage: &Arc<Stage>,
) -> Result<Option<page::Open>, Failure> {
    let show = OnStage::new(stage, &opened.wall, None)?;
    let home = OnDisk::new(wall, Some(show));
    let any = SocketAddr::new(page::USUAL.ip(), 0);
    let page = page::open(page::USUAL, Arc::clone(&home) as _).or_else(|_| page::open(any, home));
    if let Err(failure) = &page {
        output::note(&format!("note: no page in the browser: {}", failure.message()));
    }
    Ok(page.ok())
}

/// Writes what is not there yet and touches nothing that is. Gives the wall file.
fn write(folder: &Path) -> Result<PathBuf, Failure> {
    let pictures = folder.join("pictures");
    std::fs::create_dir_all(&pictures).map_err(|error| Failure::file(&pictures, "make", error))?;
    let wall = folder.join("tidewall.toml");
    if wall.exists() {
        output::note(&format!(
            "{} is there already and is used as it is",
            crate::output::shown(&wall)
        ));
    } else {
        files::write_whole(&wall, WALL.as_bytes(), false)?;
    }
    for (name, draw) in
        [("tide.gif", animation as fn() -> Result<Vec<u8>, Failure>), ("harbour.png", still)]
    {
        let path = pictures.join(name);
        if !path.exists() {
            files::write_whole(&path, &draw()?, false)?;
        }
    }
    Ok(wall)
}

fn animation() -> Result<Vec<u8>, Failure> {
    harbour::animation().map_err(|error| undrawn(&error))
}

fn still() -> Result<Vec<u8>, Failure> {
    let (width, height) = STILL;
    png::encode_rgb8(width, height, &harbour::picture(width, height))
        .map_err(|error| undrawn(&error))
}

fn undrawn(error: &dyn std::error::Error) -> Failure {
    Failure::other(
        format!("cannot draw: {error}"),
        "this is a fault of the program; please report it",
    )
}

fn watch(preview: Preview, stage: &Stage, stop: &Stop) -> Result<(), Failure> {
    let common = stage.patch.common();
    let mut painter = Painter::new(preview, common.columns, common.rows);
    let mut troubles = health::Troubles::default();
    let (mut bytes, mut logged) = (Vec::new(), Instant::now());
    while !stop.now() {
        stop.wait(DRAWN);
        let health = stage.health();
        stage::unbroken(&health)?;
        if let Some(painter) = &mut painter {
            stage.panels.picture(&mut bytes);
            painter.paint(&bytes, &health::line(&health));
        } else if logged.elapsed() >= LOGGED {
            logged = Instant::now();
            output::write(&format!("{}\n", health::line(&health)))?;
        }
        for trouble in troubles.since(&health) {
            // On a terminal it would break the drawing; there it stands under it.
            if painter.is_none() {
                output::note(&trouble);
            }
        }
    }
    Ok(())
}

fn next(wall: &Path) -> String {
    let wall = crate::output::shown(wall);
    format!(
        "The wall is in {wall}: change it and run `glowloom plan {wall}` again.\n\
         Try next:\n  \
         glowloom show {wall} {FOLDER}/pictures/harbour.png   a picture of your own goes the same way\n  \
         glowloom panels {wall}                               in one terminal, and in another\n  \
         glowloom show {wall} drift                           a picture made by code\n  \
         glowloom serve {wall} --play                         its page in a browser, after the demo too\n  \
         glowloom new wall.toml                                               begin a wall of your own\n"
    )
}
