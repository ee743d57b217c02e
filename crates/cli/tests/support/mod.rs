//! The program, run as a person would run it.
#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program with these arguments, in a folder. Neither the user's data folder nor their colours have a
/// say. Walls of tests that run side by side have the same names: none looks for the receivers of another.
pub fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_glowloom"));
    command.args(arguments);
    let finds = ["show", "panels"].contains(arguments.first().unwrap_or(&""));
    if finds && !arguments.contains(&"--no-discovery") && !arguments.contains(&"--unit") {
        command.arg("--no-discovery");
    }
    command
        .current_dir(folder)
        .env("XDG_DATA_HOME", folder.join("data"))
        .env("XDG_STATE_HOME", folder.join("state"))
        .env("XDG_RUNTIME_DIR", folder.join("run"))
        .env_remove("CLICOLOR_FORCE")
        .stdin(Stdio::null());
    command
}

/// What it printed, and how it ended.
pub fn glowloom(folder: &Path, arguments: &[&str]) -> Output {
    program(folder, arguments).output().unwrap()
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Runs a command that must end with this code, and gives what it printed.
#[track_caller]
pub fn ends(code: i32, folder: &Path, arguments: &[&str]) -> (String, String) {
    let output = glowloom(folder, arguments);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(code), "{arguments:?}\n{out}\n{err}");
    assert!(!out.contains('\u{1b}') && !err.contains('\u{1b}'), "no styles in a pipe");
    (out, err)
}

/// The demo's wall file.
pub fn tidewall() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/walls/tidewall.toml");
    std::fs::read_to_string(path).unwrap()
}
