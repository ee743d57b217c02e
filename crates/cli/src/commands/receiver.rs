//! `glowloom receiver`

use std::process::ExitCode;

use glowloom_book::manifest::{Entry, Holds, contents};
use glowloom_book::receiver::{Project, documents};
use glowloom_plan::steps::counted;

use crate::arguments::Receiver;
use crate::failure::Failure;
use crate::{folders, key, opened, output, stage};

pub fn run(arguments: &Receiver) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let wall = &opened.wall;
    let patch = stage::patch_of(wall, 1.0)?;
    // Whatever the wall is: what no board can drive is told before anything is written.
    for (number, panel) in patch.panels().iter().enumerate() {
        glowloom_plan::assignment::assignment(wall, &patch, number).map_err(|error| {
            Failure::other(
                format!("panel \"{}\" is more than a board can drive: {error}", panel.name),
                "give it fewer data_lines, or split the panel",
            )
        })?;
    }
    let (key, new, path) = key::made(&wall.name)?;
    let documents = documents(Project { wall, patch: &patch, key: Some(&key) }, "");
    let contents =
        |entries: &[Entry]| contents(Holds::Receiver, &wall.name, &opened.bytes, entries);
    folders::write_whole(&arguments.output, &documents, Holds::Receiver, contents)?;
    let word = if new { "made now and kept" } else { "kept" };
    output::write(&format!(
        "Wrote {}: {}, for {}. Its README.md says how to build and flash.\nThe wall's key is {word} in {}: keep a copy, and \
         hand neither on. The folder holds it as well, in main/key.hpp.\nNever built by the chip maker's kit nor run on a board \
         so far: expect to mend a call or two.\n",
        output::shown(&arguments.output),
        counted(documents.len() as u64 + 1, "file"),
        wall.receiver.board,
        output::shown(&path),
    ))?;
    Ok(ExitCode::SUCCESS)
}
