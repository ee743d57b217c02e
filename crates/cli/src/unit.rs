//! A unit for systemd that runs a show as the command line has it (systemd.service(5), systemd.unit(5)).

use std::path::Path;

use crate::arguments::Show;
use crate::failure::Failure;
use crate::output;

/// What is asked for on the command line, and is no part of the unit.
const ASKED: &str = "--unit";

/// Refuses what no service can play, before it is opened.
pub fn refuse(arguments: &Show) -> Result<(), Failure> {
    let standard_input = arguments.sources.iter().any(|source| {
        let name = source.to_string_lossy();
        name == "-" || name == "frames" || name.starts_with("frames,")
    });
    if standard_input {
        return Err(Failure::other(
            "a service has no standard input to play",
            "name a picture, or a program that makes them",
        ));
    }
    Ok(())
}

/// The text of the unit.
pub fn text(wall: &str) -> Result<String, Failure> {
    let program = std::env::current_exe().map_err(|error| unknown("this program", &error))?;
    let folder = std::env::current_dir().map_err(|error| unknown("this folder", &error))?;
    let words = std::env::args().skip(1).filter(|word| word != ASKED);
    let command: Vec<_> = std::iter::once(quoted(&program.to_string_lossy()))
        .chain(words.map(|word| quoted(&word)))
        .collect();
    let name = wall.replace(['\n', '%'], " ");
    Ok(format!(
        "# Keep this as ~/.config/systemd/user/glowloom.service, then:\n\
         #   systemctl --user daemon-reload\n\
         #   systemctl --user enable --now glowloom\n\
         #   loginctl enable-linger            so that it plays though nobody is logged in\n\
         # After a change of the wall file: systemctl --user reload glowloom\n\
         [Unit]\n\
         Description=Show on the wall {}\n\
         Documentation=man:systemd.service(5)\n\
         \n\
         [Service]\n\
         WorkingDirectory={}\n\
         ExecStart={}\n\
         ExecReload=/bin/kill -HUP $MAINPID\n\
         Restart=on-failure\n\
         RestartSec=5\n\
         \n\
         [Install]\n\
         WantedBy=default.target\n",
        output::shown(Path::new(&name)),
        folder.to_string_lossy().replace('%', "%%"),
        command.join(" ")
    ))
}

fn unknown(what: &str, error: &std::io::Error) -> Failure {
    Failure::other(
        format!("it cannot be known where {what} is: {error}"),
        "start it by its whole path",
    )
}

/// A word as a unit has it: in quotes, and nothing in it that systemd would put something in for.
fn quoted(word: &str) -> String {
    let mut text = String::from("\"");
    for c in word.chars() {
        match c {
            '"' | '\\' => text.extend(['\\', c]),
            '%' | '$' => text.extend([c, c]),
            '\n' => text.push_str("\\n"),
            c => text.push(c),
        }
    }
    text.push('"');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_as_they_are() {
        let word = "text,colour=ff:50 % of $5 \"off\" \\o/";
        assert_eq!(quoted(word), "\"text,colour=ff:50 %% of $$5 \\\"off\\\" \\\\o/\"");
    }
}
