//! `glowloom show`

use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use glowloom_design::Wall;
use glowloom_design::wall::OnLoss;
use glowloom_drive::Health;
use glowloom_plan::Plan;
use glowloom_show::Source;

use crate::arguments::Show;
use crate::failure::Failure;
use crate::network::Network;
use crate::opened::Opened;
use crate::running::{Running, Teller};
use crate::stage::{self, Choices, Stage};
use crate::stopping::Stop;
use crate::turn::Turn;
use crate::{health, opened, order, output, recordings, report, sources, unit};

/// How often the terminal is told.
const TOLD: Duration = Duration::from_millis(500);

pub fn run(arguments: &Show) -> Result<ExitCode, Failure> {
    if arguments.unit {
        unit::refuse(arguments)?;
    }
    let Ready { opened, plan, source, mut network, mut playing, choices } = prepare(arguments)?;
    if arguments.unit {
        output::write(&unit::text(&opened.wall.name)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    let stop = Stop::or_again(arguments.end.after)?;
    let Some(turn) = Turn::wait(&opened.path, &stop)? else { return Ok(ExitCode::SUCCESS) };
    let mut stage = Stage::open(&opened.wall, &plan, source, &choices)?;
    let recording = match &arguments.record {
        Some(folder) => Some(recordings::start(folder, &stage.patch)?),
        None => None,
    };
    let record = |stage: &Stage| recording.iter().for_each(|r| stage.record(r.recorder()));
    record(&stage);
    output::write(&format!("Playing on {}. Ctrl-C ends it.\n", health::places(&stage)))?;
    let mut wall = opened.wall;
    let mut line = output::Line::new();
    let mut troubles = health::Troubles::default();
    let mut ended = false;
    let mut teller = Teller::begin(&opened.path);
    let began = Instant::now();
    while !stop.now() {
        stop.wait(TOLD);
        if stop.again() {
            line.clear();
            let before = (&wall, &mut network);
            match playing.as_mut().map_or(Order::More, |playing| order(arguments, playing, before))
            {
                Order::Replaced(new) => wall = *new,
                Order::AsBefore => {}
                Order::More => {
                    if let Some(playing) = &mut playing {
                        playing.keep();
                    }
                    let after;
                    (stage, after) = again(arguments, stage)?;
                    record(&stage);
                    if let Some(after) = after {
                        (wall, network, playing) = (after.wall, after.network, after.playing);
                    }
                }
            }
        }
        let health = stage.health();
        stage::unbroken(&health)?;
        let airtime_share = stage.airtime_share(&health);
        teller.tell(|| Running {
            airtime_share,
            ..Running::new(&wall.name, began.elapsed(), &health, &stage.panels.health())
        });
        let order = playing.as_mut().map(order::Playing::news).unwrap_or_default();
        for trouble in troubles.since(&health).into_iter().chain(network.news()).chain(order) {
            line.note(&trouble);
        }
        if let Some(recording) = &recording
            && let Some(trouble) = recordings::trouble(&recording.health())
            && !std::mem::replace(&mut ended, true)
        {
            line.note(&format!("warning: {trouble}"));
        }
        line.put(&health::line(&health));
        if let Some(playing) = &mut playing {
            playing.keep();
        }
    }
    drop((line, teller, playing));
    let last = stage.close();
    // Whoever waits may send now: the last frames have left.
    drop(turn);
    output::write(&format!("{}{}", ending(&last), network.ending()))?;
    if let Some(recording) = recording {
        output::write(&recordings::ending(&recording.end()))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// All that a show needs, read and found sound.
struct Ready<'a> {
    opened: Opened,
    plan: Plan,
    source: Box<dyn Source>,
    network: Network<'a>,
    playing: Option<order::Playing>,
    choices: Choices,
}

/// What goes with a stage that plays by a wall file that was read again.
struct After<'a> {
    wall: Wall,
    network: Network<'a>,
    playing: Option<order::Playing>,
}

fn prepare(arguments: &Show) -> Result<Ready<'_>, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    let laying = stage::laying(&opened.wall, arguments.size.into());
    let mut network = Network::of(&opened.wall, arguments)?;
    let replay = recordings::named(&arguments.sources)?;
    let (source, playing) = if replay.is_some() {
        // Nothing is drawn then.
        let made = glowloom_show::made::made_by_code();
        (made.first().map(|made| made.source()).ok_or_else(nothing)?, None)
    } else if arguments.sources.is_empty() {
        let (source, playing) = order::play(&opened, laying, &mut network)?;
        (source, Some(playing))
    } else {
        let names = &arguments.sources;
        let seconds = arguments.seconds;
        (sources::asked_for(names, seconds, laying, &opened.wall, &mut network)?, None)
    };
    network.warn();
    stage::warn(&plan);
    let dimming = match &playing {
        Some(playing) => Some(playing.dimming(&opened.wall.show, arguments.brightness)?),
        None => None,
    };
    if let Some(wanted) = dimming.as_ref().map(|dimming| dimming.wanted().share())
        && f64::from(wanted)
            < f64::from(arguments.brightness.unwrap_or(f32::MAX)).min(opened.wall.show.brightness)
    {
        output::note(&format!("note: quiet hours: dimmed to {} %", report::percent(wanted.into())));
    }
    if arguments.leave_lit && opened.wall.receiver.on_loss != OnLoss::Keep {
        output::note(
            "note: boards that get no frames do what on_loss says; write on_loss = \"keep\" in [receiver] \
             for the picture to stay",
        );
    }
    let choices = Choices {
        brightness: arguments.brightness,
        dimming,
        multicast: arguments.multicast,
        leave_lit: arguments.leave_lit,
        above_safe: arguments.above_safe,
        replay,
        discovery: !arguments.no_discovery,
    };
    Ok(Ready { opened, plan, source, network, playing, choices })
}

/// What became of the running order of a wall file that was read again.
enum Order {
    /// The new one plays.
    Replaced(Box<Wall>),
    /// It cannot be played, and that was told.
    AsBefore,
    /// More than that has changed.
    More,
}

/// Plays the running order that the wall file has now, where it differs from before in nothing else: all else
/// goes on, and the picture on the wall stays until the first of the new ones is ready.
fn order(
    arguments: &Show,
    playing: &mut order::Playing,
    (wall, network): (&Wall, &mut Network<'_>),
) -> Order {
    let replaced = match opened::open(&arguments.wall) {
        Ok(new) if !wall.differs_in_order_alone(&new.wall) => return Order::More,
        Ok(new) => {
            let laying = stage::laying(&new.wall, arguments.size.into());
            let done = playing.replace(&new, laying, network, arguments.brightness);
            done.map(|()| Box::new(new.wall))
        }
        Err(failure) => Err(failure),
    };
    let shown = output::shown(&arguments.wall);
    match replaced {
        Ok(wall) => {
            output::note(&format!("{shown} was read again: its running order plays on"));
            Order::Replaced(wall)
        }
        Err(failure) => {
            output::problem(&failure);
            output::note(&format!(
                "{shown} was read again and cannot be played: the show goes on as it was"
            ));
            Order::AsBefore
        }
    }
}

/// Reads the wall file again and plays on by it; by the old one, with nothing in [`After`]'s place, where that
/// cannot be.
fn again(arguments: &Show, stage: Stage) -> Result<(Stage, Option<After<'_>>), Failure> {
    let shown = output::shown(&arguments.wall);
    let ready = if arguments.sources.iter().any(|source| is_input(source)) {
        Err(Failure::other(
            "what comes on standard input cannot begin anew",
            "end the show and start it again to play by the new wall file",
        ))
    } else {
        prepare(arguments)
    };
    let replaced = match ready {
        Err(failure) => Err((Some(Box::new(stage)), failure)),
        Ok(Ready { opened, plan, source, network, playing, choices }) => stage
            .replace(&opened.wall, &plan, source, &choices)
            .map(|stage| (stage, After { wall: opened.wall, network, playing })),
    };
    match replaced {
        Ok((stage, after)) => {
            output::note(&format!("{shown} was read again: playing on {}", health::places(&stage)));
            Ok((stage, Some(after)))
        }
        Err((Some(stage), failure)) => {
            output::problem(&failure);
            output::note(&format!(
                "{shown} was read again and cannot be played: the show goes on as it was"
            ));
            Ok((*stage, None))
        }
        Err((None, failure)) => Err(failure),
    }
}

fn nothing() -> Failure {
    Failure::other("this program draws nothing", "this is a fault of the program; please report it")
}

/// Whether a source comes on standard input.
fn is_input(source: &Path) -> bool {
    let name = source.to_string_lossy();
    name == "-" || name == "frames" || name.starts_with("frames,")
}

/// What a person sees last.
pub fn ending(health: &Health) -> String {
    format!("{}\n", health::line(health))
}
