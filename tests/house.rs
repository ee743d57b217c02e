//! The rules of the house: who may lean on whom, and what every manifest says.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::collections::BTreeSet;

use cargo_metadata::{DependencyKind, Metadata, MetadataCommand};

const UNITS: &str = "glowloom-units";
const WIRE: &str = "glowloom-wire";
const DESIGN: &str = "glowloom-design";
const PLAN: &str = "glowloom-plan";
const BOOK: &str = "glowloom-book";
const SHOW: &str = "glowloom-show";
const CORE_HOST: &str = "glowloom-core-host";
const DRIVE: &str = "glowloom-drive";
const MEDIA: &str = "glowloom-media";
const SOUND: &str = "glowloom-sound";
const WEB: &str = "glowloom-web";

/// Who may lean on whom: the table of docs/architecture.md. A new arrow is a decision: it is drawn
/// here and there, in the change that needs it.
const ARROWS: &[(&str, &[&str])] = &[
    (UNITS, &[]),
    (WIRE, &[]),
    (DESIGN, &[UNITS]),
    (PLAN, &[UNITS, DESIGN, WIRE]),
    (BOOK, &[UNITS, DESIGN, PLAN, WIRE]),
    (SOUND, &[UNITS]),
    (SHOW, &[UNITS, SOUND]),
    (CORE_HOST, &[WIRE]),
    (DRIVE, &[WIRE, SHOW, CORE_HOST]),
    (MEDIA, &[SHOW, SOUND]),
    (WEB, &[UNITS, DESIGN, PLAN, BOOK]),
    ("glowloom", &[UNITS, WIRE, DESIGN, PLAN, BOOK, SOUND, SHOW, DRIVE, MEDIA, WEB]),
    ("glowloom-tests", &[UNITS, WIRE, DESIGN, PLAN, BOOK, SOUND, SHOW, DRIVE, MEDIA]),
];

/// Crates that would bring a socket, a clock or a file to a room that must not have one.
const FORBIDDEN: &[(&str, &[&str])] = &[
    (UNITS, &["socket2", "rustix", "tempfile"]),
    (WIRE, &["socket2", "rustix", "tempfile", "serde_json"]),
    (DESIGN, &["socket2", "rustix", "tempfile", "serde_json"]),
    (PLAN, &["socket2", "rustix", "tempfile", "serde_json", "rand"]),
    (SOUND, &["socket2", "rustix", "tempfile"]),
    (SHOW, &["socket2", "rustix", "tempfile"]),
    (CORE_HOST, &["socket2", "rustix", "tempfile", "serde_json"]),
    (DRIVE, &["toml", "serde_json", "clap"]),
    (MEDIA, &["socket2", "toml", "clap"]),
    (WEB, &["socket2", "rustix", "tempfile", "clap", "rand", "uuid"]),
];

fn metadata() -> Metadata {
    MetadataCommand::new()
        .manifest_path(glowloom_tests::at("Cargo.toml"))
        .exec()
        .expect("cargo metadata runs")
}

#[test]
fn arrows_hold() {
    let metadata = metadata();
    let ours = metadata.workspace_packages();
    assert_eq!(ours.len(), ARROWS.len(), "every crate has a rule");
    for package in ours {
        let name = package.name.as_str();
        let (_, may) = ARROWS.iter().find(|rule| rule.0 == name).expect("every crate has a rule");
        // Dependencies for tests lean as much as any.
        for leaned_on in package.dependencies.iter().filter(|d| d.path.is_some()) {
            let target = leaned_on.name.as_str();
            assert!(may.contains(&target), "{name} may not use {target}");
        }
    }
}

#[test]
fn rooms_stay_pure() {
    for package in metadata().workspace_packages() {
        let rule = FORBIDDEN.iter().find(|rule| rule.0 == package.name.as_str());
        let Some((name, forbidden)) = rule else { continue };
        let normal = package.dependencies.iter().filter(|d| d.kind == DependencyKind::Normal);
        for dependency in normal {
            let target = dependency.name.as_str();
            assert!(!forbidden.contains(&target), "{name} may not use {target}");
        }
    }
}

#[test]
fn every_manifest_says_the_same() {
    for package in metadata().workspace_packages() {
        let name = &package.name;
        assert_eq!(package.license.as_deref(), Some("MIT OR Apache-2.0"), "{name}");
        assert!(package.description.is_some(), "{name} has no description");
        assert_eq!(package.publish, Some(vec![]), "{name} could be published");
        assert!(package.rust_version.is_some(), "{name} has no rust-version");
    }
}

/// The stated minimum is what the dependencies of the program really need.
#[test]
fn the_oldest_rust_is_new_enough() {
    let metadata = metadata();
    let stated = metadata.workspace_packages()[0].rust_version.clone().expect("stated");
    for package in &metadata.packages {
        if let Some(needed) = &package.rust_version {
            assert!(*needed <= stated, "{} needs Rust {needed}, stated is {stated}", package.name);
        }
    }
}

/// Licences that the project may build on.
#[test]
fn licences_are_free() {
    let allowed = [
        "MIT",
        "Apache-2.0",
        "BSD-2-Clause",
        "BSD-3-Clause",
        "MPL-2.0",
        "Zlib",
        "CC0-1.0",
        "Unlicense",
        "0BSD",
        "ISC",
        "Unicode-3.0",
        "Apache-2.0 WITH LLVM-exception",
        // Of data: Mozilla's list of certificate roots.
        "CDLA-Permissive-2.0",
    ];
    for package in &metadata().packages {
        let licence = package.license.clone().unwrap_or_default();
        // `A/B` is an old way to write `A OR B`; of alternatives one is enough.
        let alternatives = licence.replace('/', " OR ").replace(['(', ')'], "");
        let free = alternatives.split(" OR ").any(|alternative| {
            alternative.split(" AND ").all(|part| allowed.contains(&part.trim()))
        });
        assert!(free, "{}: {licence}", package.name);
    }
}

/// Every dependency has its line in the list of choices.
#[test]
fn every_choice_is_recorded() {
    let text = std::fs::read_to_string(glowloom_tests::at("docs/dependencies.md")).unwrap();
    let chosen: BTreeSet<String> = metadata()
        .workspace_packages()
        .iter()
        .flat_map(|package| &package.dependencies)
        .filter(|dependency| dependency.path.is_none())
        .map(|dependency| dependency.name.clone())
        .collect();
    for name in chosen {
        assert!(
            text.contains(&format!("`{name}`")),
            "docs/dependencies.md does not say why {name}"
        );
    }
}

/// Other programs are started in one room: `Command` is named in no other room's code.
#[test]
fn one_room_starts_programs() {
    for room in ["units", "wire", "design", "plan", "book", "show", "drive", "cli"] {
        let mut folders = vec![glowloom_tests::at(&format!("crates/{room}/src"))];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(&folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let text = std::fs::read_to_string(&path).unwrap();
                    assert!(!text.contains("process::Command"), "{} starts one", path.display());
                }
            }
        }
    }
}

/// Code of another language is called in one place, and `unsafe` stands there alone.
#[test]
fn unsafe_stands_in_one_file() {
    let listed = std::process::Command::new("git")
        .args([
            "grep",
            "-lw",
            "-e",
            "unsafe {",
            "-e",
            "unsafe impl",
            "-e",
            "unsafe fn",
            "-e",
            "unsafe extern",
        ])
        .args(["--", "*.rs"])
        .current_dir(glowloom_tests::at("."))
        .output();
    let Some(listed) = listed.ok().filter(|output| !output.stdout.is_empty()) else { return };
    let found = String::from_utf8_lossy(&listed.stdout).into_owned();
    let found: Vec<_> = found.lines().filter(|path| *path != "tests/house.rs").collect();
    assert_eq!(found, ["crates/core-host/src/raw.rs"]);
}

/// Short files, each of which says what it is for.
#[test]
fn files_can_be_held_in_the_head() {
    let listed = std::process::Command::new("git")
        .args(["ls-files", "*.rs"])
        .current_dir(glowloom_tests::at("."))
        .output();
    // A source archive has no git; the rule is checked where changes are made.
    let Some(listed) = listed.ok().filter(|output| output.status.success()) else { return };
    let listed = String::from_utf8_lossy(&listed.stdout).into_owned();
    assert!(listed.lines().count() > 100, "git names the files of this repository");
    for path in listed.lines() {
        let text = std::fs::read_to_string(glowloom_tests::at(path)).unwrap();
        assert!(text.starts_with("//!"), "{path} does not say what it is for");
        let lines = text.lines().count();
        assert!(lines <= 500, "{path} has {lines} lines: would a reader rather find two rooms?");
    }
}
