//! `glowloom serve`

use std::process::ExitCode;
use std::sync::Arc;

use glowloom_design::MOST_BYTES;
use glowloom_show::Sizing;

use crate::arguments::Serve;
use crate::commands::show::ending;
use crate::failure::Failure;
use crate::network::Network;
use crate::opened::Opened;
use crate::page::{self, OnDisk, OnStage};
use crate::stage::{self, Choices, Stage};
use crate::stopping::Stop;
use crate::{files, health, opened, order, output};

pub fn run(arguments: &Serve) -> Result<ExitCode, Failure> {
    if arguments.play {
        return with_show(arguments);
    }
    let stop = Stop::new(arguments.end.after)?;
    let open = page::open(arguments.listen, OnDisk::new(&arguments.wall, None))?;
    told(&open.link, arguments)?;
    while !stop.now() {
        stop.wait(page::NAP);
    }
    drop(open);
    Ok(ExitCode::SUCCESS)
}

/// Plays the running order besides.
fn with_show(arguments: &Serve) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    let laying = stage::laying(&opened.wall, Sizing::Fill);
    let (source, mut playing) = order::play(&opened, laying, &mut Network::deaf())?;
    let dimming = playing.dimming(&opened.wall.show, None)?;
    let choices = Choices {
        brightness: None,
        dimming: Some(dimming.clone()),
        multicast: false,
        leave_lit: false,
        above_safe: false,
        discovery: !arguments.no_discovery,
        replay: None,
    };
    stage::warn(&plan);
    let stop = Stop::new(arguments.end.after)?;
    let stage = Arc::new(Stage::open(&opened.wall, &plan, source, &choices)?);
    let show = OnStage::new(&stage, &opened.wall, Some(dimming))?;
    let home = OnDisk::new(&arguments.wall, Some(Arc::clone(&show) as _));
    let open = page::open(arguments.listen, home)?;
    output::write(&format!("Playing on {}.\n", health::places(&stage)))?;
    told(&open.link, arguments)?;
    let mut troubles = health::Troubles::default();
    let mut last = opened;
    while !stop.now() {
        stop.wait(page::NAP);
        let health = stage.health();
        stage::unbroken(&health)?;
        if let Some(now) = changed(&last) {
            follow(&mut playing, &show, &last, &now);
            last = now;
        }
        for trouble in troubles.since(&health).into_iter().chain(playing.news()) {
            output::note(&trouble);
        }
        playing.keep();
    }
    drop((open, show, playing));
    if let Some(stage) = Arc::into_inner(stage) {
        output::write(&ending(&stage.close()))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The wall file, if it is another sound one than it was; errors are for the page to show.
fn changed(last: &Opened) -> Option<Opened> {
    let bytes = files::read_at_most(&last.path, MOST_BYTES).ok()?;
    if bytes == last.bytes {
        return None;
    }
    let wall = glowloom_design::read(&bytes).ok()?;
    Some(Opened { path: last.path.clone(), wall, bytes })
}

/// Plays the order that the file has now. Panels stay as they were opened: where these are others, or what limits
/// them is, the show goes on as it was.
fn follow(playing: &mut order::Playing, show: &OnStage, last: &Opened, now: &Opened) {
    let patch =
        |opened: &Opened| stage::patch_of(&opened.wall, opened.wall.power.brightness_limit).ok();
    if patch(last) != patch(now) {
        output::note(
            "note: panels or limits of the wall file are others now: end this and start it again to show on them",
        );
        return;
    }
    if last.wall.show == now.wall.show {
        return;
    }
    let laying = stage::laying(&now.wall, Sizing::Fill);
    match playing.replace(now, laying, &mut Network::deaf(), None) {
        Ok(()) => show.follow(&now.wall),
        Err(failure) => output::problem(&failure),
    }
}

/// Where the page is; away from loopback also as a code, this once.
fn told(link: &str, arguments: &Serve) -> Result<(), Failure> {
    output::write(&format!(
        "The page of {} is at\n\n  {link}\n\n",
        output::shown(&arguments.wall)
    ))?;
    if !arguments.listen.ip().is_loopback() {
        if std::io::IsTerminal::is_terminal(&std::io::stdout())
            && let Some(code) = page::code(link)
        {
            output::write(&format!("{code}\n"))?;
        }
        output::write(
            "Who has the link may change the wall: show it to nobody else. It is not encrypted on its way; use it\n\
             on a network that you trust.\n",
        )?;
    }
    output::write("Ctrl-C ends it.\n")
}
