//! `glowloom new`

use std::io::{BufRead, IsTerminal, Write};
use std::process::ExitCode;

use glowloom_design::catalogue::{receiver, strip};
use glowloom_design::diagnostic::nearest;
use glowloom_design::draft::Answers;
use glowloom_design::wall::{Link, MainsColours};
use glowloom_units::Figures;

use crate::arguments::{FiguresChoice, LinkChoice, MainsChoice, New};
use crate::failure::Failure;
use crate::{files, output};

pub fn run(arguments: &New) -> Result<ExitCode, Failure> {
    // Before any question: nobody likes to answer for nothing.
    if !arguments.force && arguments.file.exists() {
        return Err(Failure::other(
            format!("{} is there already", crate::output::shown(&arguments.file)),
            "give another name, or --force to replace it",
        ));
    }
    let ask = std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
    let mut answers = answers(arguments, ask)?;
    let mut text = answers.text();
    // What a person asked for may be more than a wall can be.
    let wall = glowloom_design::read(text.as_bytes()).map_err(|wrong| {
        let (message, remedy) = wrong.into_iter().next().map_or_else(
            || ("this is no wall".to_owned(), "give other sizes".to_owned()),
            |first| (first.message, first.remedy),
        );
        Failure::other(message, remedy)
    })?;
    // A new wall begins within its limits; the file says where they are.
    let sound = glowloom_plan::sound::sound_brightness(&wall);
    if let Some(level) = sound.filter(|level| *level < answers.brightness_limit) {
        answers.brightness_limit = level;
        text = answers.text();
        output::note(&format!(
            "note: brightness_limit is {level}, so that supplies, copper and heat keep their limits; more \
             feeds or supplies, or smaller panels, allow more: glowloom plan says what sets the end"
        ));
    }
    files::write_whole(&arguments.file, text.as_bytes(), arguments.force)?;
    let file = crate::output::shown(&arguments.file);
    output::write(&format!(
        "Wrote {file}: {} x {} pixels.\nNext: glowloom check {file}\n      glowloom plan {file}\n",
        answers.columns, answers.rows,
    ))?;
    Ok(ExitCode::SUCCESS)
}

fn answers(given: &New, ask: bool) -> Result<Answers, Failure> {
    let default = Answers::default();
    let mut questions = Questions { ask };
    let count = |text: &str| text.parse::<u32>().ok().filter(|n| (1..=65_535).contains(n));
    let whole = "a whole number from 1 to 65535";
    let name = questions.put(
        "What do you call the wall?",
        &default.name,
        given.name.clone(),
        "a name",
        |text| Some(text.to_owned()).filter(|text| !text.trim().is_empty()),
    )?;
    let columns = questions.put(
        "Pixels across?",
        &default.columns.to_string(),
        given.columns,
        whole,
        count,
    )?;
    let rows =
        questions.put("Pixels down?", &default.rows.to_string(), given.rows, whole, count)?;
    let panels_across = questions.put(
        "Panels side by side?",
        "1",
        given.panels,
        &format!("a whole number from 1 to {columns}"),
        |text| count(text).filter(|n| *n <= columns),
    )?;
    for (flag, panels, pixels, what) in [
        ("--panels", panels_across, columns, "columns"),
        ("--panel-rows", given.panel_rows, rows, "rows"),
    ] {
        if panels > pixels {
            return Err(Failure::other(
                format!("{panels} panels do not fit on {pixels} {what}"),
                format!("give {flag} of at most {pixels}"),
            ));
        }
    }
    let strips: Vec<&str> = strip::ALL.iter().map(|part| part.key).collect();
    let strip = questions.key("Strip", &strips, given.strip.clone(), &default.strip, "--strip")?;
    let boards: Vec<&str> = receiver::ALL.iter().map(|part| part.key).collect();
    let board =
        questions.key("Network board", &boards, given.board.clone(), &default.board, "--board")?;
    Ok(Answers {
        name,
        columns,
        rows,
        panels_across,
        panels_down: given.panel_rows,
        strip,
        board,
        link: match given.link {
            None | Some(LinkChoice::Wifi) => Link::Wifi,
            Some(LinkChoice::Ethernet) => Link::Ethernet,
            Some(LinkChoice::Usb) => Link::Usb,
        },
        mains: questions.mains(given.mains)?,
        figures: questions.figures(given.figures)?,
        brightness_limit: default.brightness_limit,
    })
}

/// Asks what no flag says, if there is somebody to ask.
struct Questions {
    ask: bool,
}

impl Questions {
    /// One question: again until the answer is understood; the default for an empty one.
    fn put<T>(
        &mut self,
        question: &str,
        default: &str,
        given: Option<T>,
        wanted: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<T, Failure> {
        if let Some(given) = given {
            return Ok(given);
        }
        let understood = |text: &str| {
            let remedy = format!("give {wanted}");
            read(text).ok_or_else(|| Failure::other(format!("\"{text}\" is not {wanted}"), remedy))
        };
        if !self.ask {
            return understood(default);
        }
        loop {
            let mut err = anstream::stderr().lock();
            let quiet = output::QUIET;
            let _ =
                write!(err, "{question} {quiet}[{default}]{quiet:#} ").and_then(|()| err.flush());
            drop(err);
            let mut line = String::new();
            let read = std::io::stdin().lock().read_line(&mut line);
            if read.map_err(Failure::output)? == 0 {
                return Err(Failure::other(
                    "the answers ended early",
                    "run it again; nothing was written",
                ));
            }
            let answer = line.trim();
            match understood(if answer.is_empty() { default } else { answer }) {
                Ok(value) => return Ok(value),
                Err(failure) => output::note(&format!("  {}", failure.message())),
            }
        }
    }

    /// A key of the catalogue.
    fn key(
        &mut self,
        what: &str,
        keys: &[&str],
        given: Option<String>,
        default: &str,
        flag: &str,
    ) -> Result<String, Failure> {
        let known = |text: &str| keys.contains(&text).then(|| text.to_owned());
        let all = keys.join(", ");
        if let Some(given) = given {
            let remedy = match nearest(&given, keys.iter().copied()) {
                Some(near) => format!("give {flag} {near}; known: {all}"),
                None => format!("give {flag} with one of: {all}"),
            };
            return known(&given)
                .ok_or_else(|| Failure::other(format!("{flag} is \"{given}\""), remedy));
        }
        if self.ask {
            output::note(&format!("  {what}s: {all}"));
        }
        self.put(&format!("{what}?"), default, None, &format!("one of: {all}"), known)
    }

    fn mains(&mut self, given: Option<MainsChoice>) -> Result<MainsColours, Failure> {
        let given = given.map(|choice| match choice {
            MainsChoice::Iec => MainsColours::Iec,
            MainsChoice::Us => MainsColours::Us,
        });
        let read = |text: &str| match text {
            "iec" => Some(MainsColours::Iec),
            "us" => Some(MainsColours::Us),
            _ => None,
        };
        self.put(
            "Mains colours: iec (brown, blue, green-and-yellow) or us (black, white, green)?",
            "iec",
            given,
            "iec or us",
            read,
        )
    }

    fn figures(&mut self, given: Option<FiguresChoice>) -> Result<Figures, Failure> {
        let given = given.map(|choice| match choice {
            FiguresChoice::Metric => Figures::Metric,
            FiguresChoice::Imperial => Figures::Imperial,
        });
        let read = |text: &str| match text {
            "metric" => Some(Figures::Metric),
            "imperial" => Some(Figures::Imperial),
            _ => None,
        };
        self.put("Figures: metric or imperial?", "metric", given, "metric or imperial", read)
    }
}
