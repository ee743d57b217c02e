//! Checks that cross the rooms: the house rules, the manuals against the code, whole wall files,
//! and checks against programs outside the project.

pub mod checkers;

use std::path::{Path, PathBuf};

/// A path of the repository.
#[must_use]
pub fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(path)
}
