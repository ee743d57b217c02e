//! Parts to print, against an independent mesh library and a mesh checker; the files themselves.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_tests::checkers::{can, program, run};

/// PyPI trimesh 5.2.0 and Debian's admesh: on every kind of the demo and of 50 random designs each
/// mesh is closed, outward and of the volume that the settings give, and each build plate holds as
/// many of it as the plan says.
#[test]
fn an_independent_library_finds_every_part_sound() {
    let needed = "the independent mesh library";
    if !can(needed, &["trimesh", "numpy", "lxml", "networkx"], &["admesh"]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let demo = glowloom_tests::at("examples/walls/tidewall.toml");
    let said = run("parts.py", &[program(), demo, folder.path().into()]);
    assert!(said.contains("of 51 designs"), "{said}");
}
