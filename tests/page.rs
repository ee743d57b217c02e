//! The page in a real browser: what `tests/page/check.mjs` does there, and the types of its modules.
//!
//! Needs Chromium and node from the system, and the packages of `tests/page/package.json`, which `.ci/run`
//! installs. Where they are missing the checks say so and pass, unless outside checks are required.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::path::PathBuf;
use std::process::Command;

use glowloom_tests::checkers::{can, program};

fn folder() -> PathBuf {
    glowloom_tests::at("tests/page")
}

/// Whether a package of node is installed; tells where it is not.
fn installed(check: &str, package: &str, tools: &[&str]) -> bool {
    if folder().join("node_modules").join(package).is_dir() {
        return can(check, &[], tools);
    }
    let required = std::env::var("GLOWLOOM_OUTSIDE").is_ok_and(|value| value == "required");
    assert!(
        !required,
        "{check} needs `npm ci` in tests/page, and outside checks are required here"
    );
    let said = format!("skipped: {check} needs `npm ci` in tests/page\n");
    let _ = std::io::Write::write_all(&mut std::io::stderr(), said.as_bytes());
    false
}

fn run(command: &mut Command) {
    let output = command.current_dir(folder()).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(output.status.success(), "{}\n{}", text(&output.stdout), text(&output.stderr));
}

#[test]
fn the_page_does_in_a_browser_what_it_says() {
    if !installed("the page in a browser", "playwright-core", &["node", "chromium"]) {
        return;
    }
    run(Command::new("node").arg("check.mjs").env("GLOWLOOM_PROGRAM", program()));
}

#[test]
fn the_modules_of_the_page_have_sound_types() {
    if !installed("the types of the page's modules", "typescript", &["node"]) {
        return;
    }
    run(Command::new("node").args(["node_modules/typescript/bin/tsc", "--noEmit", "-p", "."]));
}
