//! `glowloom show`

use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

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
use crate::{health, opened, output, sources};

/// How often the terminal is told.
const TOLD: Duration = Duration::from_millis(500);

pub fn run(arguments: &Show) -> Result<ExitCode, Failure> {
    let Ready { opened, plan, source, mut network } = prepare(arguments)?;
    let choices = Choices {
        brightness: arguments.brightness,
        multicast: arguments.multicast,
        leave_lit: arguments.leave_lit,
        above_safe: arguments.above_safe,
    };
    let stop = Stop::or_again(arguments.end.after)?;
    let mut stage = Stage::open(&opened.wall, &plan, source, &choices)?;
    output::write(&format!("Playing on {}. Ctrl-C ends it.\n", health::places(&stage)))?;
    let mut name = opened.wall.name.clone();
    let mut line = output::Line::new();
    let mut troubles = health::Troubles::default();
    let mut teller = Teller::begin(&opened.path);
    let began = Instant::now();
    while !stop.now() {
        stop.wait(TOLD);
        if stop.again() {
            line.clear();
            (stage, name) = again(arguments, &choices, stage, name, &mut network)?;
        }
        let health = stage.health();
        stage::unbroken(&health)?;
        teller.tell(|| Running::new(&name, began.elapsed(), &health, &stage.panels.health()));
        for trouble in troubles.since(&health).into_iter().chain(network.news()) {
            line.note(&trouble);
        }
        line.put(&health::line(&health));
    }
    drop((line, teller));
    output::write(&format!("{}{}", ending(&stage.close()), network.ending()))?;
    Ok(ExitCode::SUCCESS)
}

/// All that a show needs, read and found sound.
struct Ready<'a> {
    opened: Opened,
    plan: Plan,
    source: Box<dyn Source>,
    network: Network<'a>,
}

fn prepare(arguments: &Show) -> Result<Ready<'_>, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    let laying = stage::laying(&opened.wall, arguments.size.into());
    let mut network = Network::of(&opened.wall, arguments)?;
    let source = if arguments.sources.is_empty() {
        sources::running_order(&opened, laying, &mut network)?
    } else {
        sources::asked_for(
            &arguments.sources,
            arguments.seconds,
            laying,
            &opened.wall,
            &mut network,
        )?
    };
    network.warn();
    stage::warn(&plan);
    if arguments.sources.is_empty() && !opened.wall.show.quiet_hours.is_empty() {
        output::note("note: this version does not keep the quiet hours of the wall file");
    }
    if arguments.leave_lit && opened.wall.receiver.on_loss != OnLoss::Keep {
        output::note(
            "note: boards that get no frames do what on_loss says; write on_loss = \"keep\" in [receiver] \
             for the picture to stay",
        );
    }
    Ok(Ready { opened, plan, source, network })
}

/// Reads the wall file again and plays on by it; by the old one where that cannot be.
fn again<'a>(
    arguments: &'a Show,
    choices: &Choices,
    stage: Stage,
    name: String,
    network: &mut Network<'a>,
) -> Result<(Stage, String), Failure> {
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
        Ok(new) => stage.replace(&new.opened.wall, &new.plan, new.source, choices).map(|stage| {
            *network = new.network;
            (stage, new.opened.wall.name.clone())
        }),
    };
    match replaced {
        Ok((stage, name)) => {
            output::note(&format!("{shown} was read again: playing on {}", health::places(&stage)));
            Ok((stage, name))
        }
        Err((Some(stage), failure)) => {
            output::problem(&failure);
            output::note(&format!(
                "{shown} was read again and cannot be played: the show goes on as it was"
            ));
            Ok((*stage, name))
        }
        Err((None, failure)) => Err(failure),
    }
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
