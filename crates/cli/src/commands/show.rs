//! `glowloom show`

use std::process::ExitCode;
use std::time::{Duration, Instant};

use glowloom_design::wall::OnLoss;
use glowloom_drive::Health;

use crate::arguments::Show;
use crate::failure::Failure;
use crate::network::Network;
use crate::running::{Running, Teller};
use crate::stage::{self, Choices, Stage};
use crate::stopping::Stop;
use crate::{health, opened, output, sources};

/// How often the terminal is told.
const TOLD: Duration = Duration::from_millis(500);

pub fn run(arguments: &Show) -> Result<ExitCode, Failure> {
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
    let choices = Choices {
        brightness: arguments.brightness,
        multicast: arguments.multicast,
        leave_lit: arguments.leave_lit,
        above_safe: arguments.above_safe,
    };
    let stop = Stop::new(arguments.end.after)?;
    let stage = Stage::open(&opened.wall, &plan, source, &choices)?;
    output::write(&format!("Playing on {}. Ctrl-C ends it.\n", health::places(&stage)))?;
    let mut line = output::Line::new();
    let mut troubles = health::Troubles::default();
    let mut teller = Teller::begin(&opened.path);
    let began = Instant::now();
    while !stop.now() {
        stop.wait(TOLD);
        let health = stage.health();
        stage::unbroken(&health)?;
        teller.tell(|| {
            let name = &opened.wall.name;
            Running::new(name, began.elapsed(), &health, &stage.panels.health())
        });
        for trouble in troubles.since(&health).into_iter().chain(network.news()) {
            line.note(&trouble);
        }
        line.put(&health::line(&health));
    }
    drop((line, teller));
    output::write(&format!("{}{}", ending(&stage.close()), network.ending()))?;
    Ok(ExitCode::SUCCESS)
}

/// What a person sees last.
pub fn ending(health: &Health) -> String {
    format!("{}\n", health::line(health))
}
