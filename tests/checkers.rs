//! How checks find the programs outside the project that they need.
//!
//! They need Python with the packages of `tests/outside/requirements.txt`, and some tools. Where one
//! is missing a check says so and passes, unless `GLOWLOOM_OUTSIDE=required`, as in CI: then it fails.
//! `GLOWLOOM_PYTHON` names the Python to use.

use std::path::PathBuf;
use std::process::Command;

/// The program, built for this test run.
///
/// # Panics
/// Where it cannot be built.
#[must_use]
pub fn program() -> PathBuf {
    built(&["build", "--quiet", "-p", "glowloom"], "glowloom")
}

/// Builds something of the workspace and gives its path below the target folder.
///
/// # Panics
/// Where it cannot be built.
#[must_use]
pub fn built(arguments: &[&str], path: &str) -> PathBuf {
    let cargo = std::env::var_os("CARGO").unwrap_or("cargo".into());
    let done = Command::new(cargo).args(arguments).current_dir(crate::at(".")).status();
    assert!(done.is_ok_and(|status| status.success()), "cargo {arguments:?}");
    // A test is <target>/debug/deps/<name>-<hash>.
    let here = std::env::current_exe().expect("a test has a path");
    let debug = here.parent().and_then(|deps| deps.parent()).expect("below the target folder");
    debug.join(path)
}

fn python() -> Command {
    Command::new(std::env::var_os("GLOWLOOM_PYTHON").unwrap_or("python3".into()))
}

/// Whether all that a check needs is there; tells what is missing.
///
/// # Panics
/// Where something is missing and outside checks are required.
#[must_use]
pub fn can(check: &str, modules: &[&str], tools: &[&str]) -> bool {
    let missing_module = modules.iter().find(|module| {
        let found = python().args(["-c", &format!("import {module}")]).output();
        !found.is_ok_and(|output| output.status.success())
    });
    let missing_tool =
        tools.iter().find(|tool| Command::new(tool).arg("--version").output().is_err());
    let Some(missing) = missing_module.or(missing_tool) else { return true };
    let required = std::env::var("GLOWLOOM_OUTSIDE").is_ok_and(|value| value == "required");
    assert!(!required, "{check} needs {missing}, and outside checks are required here");
    // Written to the terminal itself: what a passing test prints is not shown.
    let said = format!("skipped: {check} needs {missing}, which is not on this machine\n");
    let _ = std::io::Write::write_all(&mut std::io::stderr(), said.as_bytes());
    false
}

/// Runs a script of `tests/outside`; what it prints is shown when it fails.
///
/// # Panics
/// Where the script fails.
pub fn run(script: &str, arguments: &[PathBuf]) -> String {
    let output = python()
        .arg(crate::at("tests/outside").join(script))
        .args(arguments)
        .output()
        .expect("python runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{script}:\n{out}\n{err}");
    out
}
