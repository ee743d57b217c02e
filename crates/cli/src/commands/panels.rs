//! `glowloom panels`

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use glowloom_drive::{Announcement, Reach, VirtualPanels, Which};
use glowloom_show::Preview;
use glowloom_wire::Patch;

use crate::arguments::Panels;
use crate::failure::Failure;
use crate::painter::Painter;
use crate::stopping::Stop;
use crate::{files, health, opened, output, stage};

/// How often the terminal is drawn.
const DRAWN: Duration = Duration::from_millis(66);
/// How often a log has a line.
const LOGGED: Duration = Duration::from_secs(5);

pub fn run(arguments: &Panels) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let patch = stage::patch_of(&opened.wall, 1.0)?;
    let on_loss = stage::on_loss(&opened.wall);
    let panels = if arguments.multicast {
        let any = std::net::Ipv4Addr::UNSPECIFIED;
        VirtualPanels::open_joined(&patch, Which::AlsoLoopback, on_loss, any)
    } else {
        VirtualPanels::open(&patch, Which::AlsoLoopback, on_loss)
    };
    let panels = panels.map_err(stage::drive_failure)?;
    if panels.health().is_empty() {
        return Err(Failure::other(
            format!("no panel of {} is on this computer", crate::output::shown(&opened.path)),
            "take out the `address` of a panel, or the `port` of a USB link, to make it a virtual one",
        ));
    }
    let announced = (!arguments.no_discovery).then(|| announce(&patch, &panels));
    if let Some(folder) = &arguments.save {
        std::fs::create_dir_all(folder).map_err(|error| Failure::file(folder, "make", error))?;
    }
    let stop = Stop::new(arguments.end.after)?;
    let preview = stage::preview(&opened.wall, &patch)?;
    let missed = watch(&panels, (&patch, &preview), arguments.save.as_deref(), &stop)?;
    drop(announced);
    if missed > 0 {
        output::note(&format!("warning: {missed} frames came too fast to be saved"));
    }
    output::write(&format!("{}\n", health::panels(&panels.health())))?;
    Ok(ExitCode::SUCCESS)
}

/// Says that the panels are there.
fn announce(patch: &Patch, panels: &VirtualPanels) -> Option<Announcement> {
    let place = |name: &str| patch.panels().iter().position(|panel| panel.name == name);
    let places =
        panels.health().into_iter().filter_map(|panel| Some((place(&panel.name)?, panel.at)));
    Announcement::of_panels(patch, places.collect::<Vec<_>>(), Reach::LOOPBACK.port)
        .map_err(|why| {
            output::note(&format!("warning: nobody can find these panels by DNS-SD: {why}"))
        })
        .ok()
}

/// Draws, logs and saves until it is time to end. Gives how many frames could not be saved in time.
fn watch(
    panels: &VirtualPanels,
    (patch, preview): (&Patch, &Preview),
    save: Option<&Path>,
    stop: &Stop,
) -> Result<u64, Failure> {
    let common = patch.common();
    let mut painter = Painter::new(preview.clone(), common.columns, common.rows);
    if painter.is_none() {
        output::write(&format!("{}\n", health::panels(&panels.health())))?;
    }
    let mut bytes = Vec::new();
    let (mut drawn, mut logged) = (Instant::now(), Instant::now());
    let mut states = states(panels);
    let (mut last, mut missed) = (0, 0);
    while !stop.now() {
        if let Some(folder) = save {
            if let Some(number) = panels.wait_for_frame(DRAWN, &mut bytes) {
                missed += number.saturating_sub(last + 1);
                last = number;
                save_frame(&path_of(folder, number), patch, preview, &bytes)?;
            }
        } else {
            stop.wait(DRAWN);
        }
        match &mut painter {
            Some(painter) if drawn.elapsed() >= DRAWN => {
                drawn = Instant::now();
                panels.picture(&mut bytes);
                painter.paint(&bytes, &health::panels(&panels.health()));
            }
            Some(_) => {}
            None => {
                let now = self::states(panels);
                if now != states || logged.elapsed() >= LOGGED {
                    (states, logged) = (now, Instant::now());
                    output::write(&format!("{}\n", health::panels(&panels.health())))?;
                }
            }
        }
    }
    Ok(missed)
}

fn states(panels: &VirtualPanels) -> Vec<glowloom_drive::receive::State> {
    panels.health().iter().map(|panel| panel.state).collect()
}

/// `frame-000001.png`.
fn path_of(folder: &Path, number: u64) -> PathBuf {
    folder.join(format!("frame-{number:06}.png"))
}

/// The bytes as the panels got them, marked as linear light, so that a viewer that knows PNG's gamma
/// shows them as they look.
fn save_frame(path: &Path, patch: &Patch, preview: &Preview, bytes: &[u8]) -> Result<(), Failure> {
    let common = patch.common();
    let png = preview.png(common.columns, common.rows, bytes).map_err(|error| {
        Failure::other(
            format!("cannot save {}: {error}", crate::output::shown(path)),
            "this is a fault of the program; please report it",
        )
    })?;
    files::write_one_of_many(path, &png)
}
