//! `glowloom commission`: first light, step by step, or one check's picture.

mod boards;
mod mend;
mod talk;

use std::process::ExitCode;
use std::time::Duration;

use glowloom_plan::Plan;
use glowloom_plan::checks::Check;
use glowloom_plan::journal::progress::find;
use glowloom_plan::steps::{Amount, Stage as Step, What};
use glowloom_show::Source;
use glowloom_show::made::{Marks, Scene};

use crate::arguments::Commission;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::stage::{self, Choices, Stage};
use crate::stopping::Stop;
use crate::{diary, files, health, opened, output};
use talk::{Answer, Talk};

pub fn run(arguments: &Commission) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    stage::warn(&plan);
    match arguments.check.as_deref() {
        Some(word) => one(arguments, &opened, &plan, word),
        None => all(arguments, opened, plan),
    }
}

fn pictures(opened: &Opened, check: Check) -> Result<Box<dyn Source>, Failure> {
    let patch = stage::patch_of(&opened.wall, 1.0)?;
    let scenes = check
        .lit(&opened.wall, &patch)
        .into_iter()
        .map(|lit| Scene { marks: lit.pixels, lasts: Duration::from_secs_f64(lit.seconds) });
    Ok(Box::new(Marks::new(scenes.collect())))
}

fn play(opened: &Opened, plan: &Plan, check: Check) -> Result<Stage, Failure> {
    let choices = Choices {
        brightness: None,
        dimming: None,
        multicast: false,
        leave_lit: false,
        above_safe: false,
        replay: None,
        discovery: false,
    };
    Stage::open(&opened.wall, plan, pictures(opened, check)?, &choices)
}

fn told(check: Check) -> String {
    let caution = check.caution().map(|words| format!("CAUTION: {words}\n")).unwrap_or_default();
    format!("{}: {}\n{caution}", check.key(), check.seen())
}

/// One check's picture until it is ended.
fn one(
    arguments: &Commission,
    opened: &Opened,
    plan: &Plan,
    word: &str,
) -> Result<ExitCode, Failure> {
    let check = Check::find(word).ok_or_else(|| {
        let there = Check::ALL.map(Check::key).join(", ");
        Failure::other(format!("there is no check \"{word}\""), format!("give one of: {there}"))
    })?;
    let stop = Stop::new(arguments.end.after)?;
    let stage = play(opened, plan, check)?;
    output::write(&format!("{}On {}. Ctrl-C ends it.\n", told(check), health::places(&stage)))?;
    while !stop.now() {
        stop.wait(Duration::from_millis(500));
        stage::unbroken(&stage.health())?;
    }
    output::write(&super::show::ending(&stage.close()))?;
    Ok(ExitCode::SUCCESS)
}

/// All of it, as a talk.
fn all(arguments: &Commission, mut opened: Opened, mut plan: Plan) -> Result<ExitCode, Failure> {
    let mut talk = Talk::new();
    talk.say(BEFORE)?;
    if talk.ask("Ready?", "")? == Answer::Quit {
        return Ok(ExitCode::from(1));
    }
    boards::assign(&opened, &plan, &mut talk)?;
    let mut passed = true;
    for check in Check::ALL {
        loop {
            let stage = play(&opened, &plan, check)?;
            talk.say(&format!("\n{}", told(check)))?;
            let answer = talk.ask("Is that what you see?", "n if not, s to skip")?;
            stage.close();
            match answer {
                Answer::Quit => return Ok(ExitCode::from(1)),
                Answer::Yes => break,
                Answer::Skip => {
                    passed = false;
                    break;
                }
                Answer::No => {}
            }
            if !mend::offer(&mut opened, check, &mut talk)? {
                passed = false;
                break;
            }
            // The file is another now, and so is what follows from it.
            opened = opened::open(&arguments.wall)?;
            plan = glowloom_plan::plan(&opened.wall);
            boards::tell_again(&opened, &plan, &mut talk)?;
        }
    }
    if !passed {
        talk.say("\nNot all is as it should be: nothing was written into the journal.\n")?;
        return Ok(ExitCode::from(1));
    }
    let written = lit(&opened, &plan)?;
    talk.say(&format!("\nFirst light is as it should be. {written}\n"))?;
    Ok(ExitCode::SUCCESS)
}

/// Writes into the journal that all panels are lit.
fn lit(opened: &Opened, plan: &Plan) -> Result<String, Failure> {
    let path = diary::path(&opened.path);
    let mut journal = diary::read(&path)?.unwrap_or_default();
    diary::tell_odd(&path, &journal);
    let sheet = glowloom_plan::meter::sheet(&opened.wall).ok();
    let steps = glowloom_plan::steps::steps(&opened.wall, plan, sheet.as_ref());
    let mut count = 0;
    for panel in &opened.wall.panels {
        let what = What::Panel { panel: panel.name.clone(), stage: Step::Lit };
        // A wall whose steps have no such thing has nothing to write.
        let Ok(task) = find(&opened.wall, &steps, &what) else { continue };
        journal.done(task, Amount::Unsaid);
        count += 1;
    }
    files::write_whole(&path, &journal.text(), true)?;
    Ok(format!("{count} panels are lit, says {}.", output::shown(&path)))
}

const BEFORE: &str = "\
First light. Before it:
- Mains plug out while you work on anything. Polarity and resistance are checked (steps.txt of the book).
- A board on a computer's USB is not fed by the panel's supply as well: part the 5 V.
- One fuse fitted, the others in when the first panel is well. Who smells or hears something pulls the plug first.
- Pictures are dim or move slowly, and the flash guard stands behind them; who is sensitive to light looks away all the same.
";
