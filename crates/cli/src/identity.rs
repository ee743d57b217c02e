//! Who is sending: the CID that ANSI E1.31 wants to stay the same for one sender.

use std::path::PathBuf;

use etcetera::BaseStrategy;
use uuid::Uuid;

use crate::{files, output};

/// This user's sender identity, made on first use and kept in the user's data folder. Where that
/// cannot be, one for this run alone, and a word about it.
pub fn cid() -> [u8; 16] {
    let Some(path) = place() else {
        output::note(
            "warning: there is no folder for user data; other senders see a new sender each time",
        );
        return Uuid::new_v4().into_bytes();
    };
    if let Some(known) = read(&path) {
        return known.into_bytes();
    }
    let new = Uuid::new_v4();
    let kept = path
        .parent()
        .map_or(Ok(()), std::fs::create_dir_all)
        .map_err(|error| error.to_string())
        // Two first runs at once: the one that came first is kept by both.
        .and_then(|()| {
            files::write_whole(&path, format!("{new}\n").as_bytes(), path.exists())
                .map_err(|failure| failure.message())
        });
    match (kept, read(&path)) {
        (_, Some(kept)) => kept.into_bytes(),
        (Err(why), None) => {
            output::note(&format!("warning: the sender's identity is not kept: {why}"));
            new.into_bytes()
        }
        (Ok(()), None) => new.into_bytes(),
    }
}

fn place() -> Option<PathBuf> {
    let base = etcetera::choose_base_strategy().ok()?;
    Some(base.data_dir().join("glowloom").join("sender-id"))
}

/// `None` for a file that is not there or holds something else.
fn read(path: &std::path::Path) -> Option<Uuid> {
    let bytes = files::read_at_most(path, 100).ok()?;
    Uuid::parse_str(std::str::from_utf8(&bytes).ok()?.trim()).ok()
}
