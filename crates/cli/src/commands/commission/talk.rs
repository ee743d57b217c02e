//! Questions on the terminal, and their answers, a line each.

use std::io::BufRead;

use crate::failure::Failure;
use crate::output;

/// What was answered to a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    Yes,
    No,
    Skip,
    /// Also where nobody is there to answer.
    Quit,
}

/// A talk with a person; answers may come from a pipe.
pub struct Talk {
    lines: std::io::Lines<std::io::StdinLock<'static>>,
}

impl Talk {
    pub fn new() -> Self {
        Self { lines: std::io::stdin().lock().lines() }
    }

    pub fn say(&self, text: &str) -> Result<(), Failure> {
        output::write(text)
    }

    /// A line as it was typed, without blanks around it; `None` at the end.
    pub fn line(&mut self, question: &str) -> Result<Option<String>, Failure> {
        self.say(&format!("{question} "))?;
        let line = self.lines.next().transpose();
        let line = line.map_err(|error| {
            Failure::other(format!("the answer could not be read: {error}"), "type text in UTF-8")
        })?;
        Ok(line.map(|line| line.trim().to_owned()))
    }

    pub fn ask(&mut self, question: &str, more: &str) -> Result<Answer, Failure> {
        let more = if more.is_empty() { String::new() } else { format!(", {more}") };
        loop {
            let Some(line) = self.line(&format!("{question} [Enter for yes{more}, q to end]"))?
            else {
                return Ok(Answer::Quit);
            };
            match line.to_ascii_lowercase().as_str() {
                "" | "y" | "yes" => return Ok(Answer::Yes),
                "n" | "no" => return Ok(Answer::No),
                "s" | "skip" => return Ok(Answer::Skip),
                "q" | "quit" => return Ok(Answer::Quit),
                _ => self.say("Type one of those.\n")?,
            }
        }
    }
}
