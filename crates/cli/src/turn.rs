//! One show at a time on one wall: the one that came first plays, and others wait until it ends.
//!
//! The system holds a lock for the show that plays, beside its report, and lets go of it however the show
//! ends. So a wall is taken over at once, also from a show that was killed.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::Duration;

use crate::failure::Failure;
use crate::stopping::Stop;
use crate::{output, running};

/// How often it is looked whether the other has ended.
const LOOKED: Duration = Duration::from_millis(200);

/// The turn of this show, until it is dropped.
pub struct Turn {
    _lock: Option<File>,
}

impl Turn {
    /// Waits for the turn, and says so where another show plays the wall. `None`: it was time to end before.
    pub fn wait(wall: &Path, stop: &Stop) -> Result<Option<Self>, Failure> {
        let lock = match open(wall) {
            Ok(lock) => lock,
            Err(why) => {
                output::note(&format!(
                    "warning: whether another show plays this wall cannot be known: {why}"
                ));
                return Ok(Some(Self { _lock: None }));
            }
        };
        let mut waited = false;
        loop {
            match lock.try_lock() {
                Ok(()) => break,
                Err(TryLockError::WouldBlock) => {}
                Err(TryLockError::Error(error)) => {
                    output::note(&format!(
                        "warning: whether another show plays this wall cannot be known: {error}"
                    ));
                    return Ok(Some(Self { _lock: None }));
                }
            }
            if !std::mem::replace(&mut waited, true) {
                let who = match running::read(wall) {
                    Ok(Some(other)) if other.is_fresh() => format!("process {}", other.process),
                    _ => "another show".into(),
                };
                output::note(&format!(
                    "note: {who} plays this wall already; this one waits until it ends"
                ));
            }
            if stop.now() {
                return Ok(None);
            }
            stop.wait(LOOKED);
        }
        if waited {
            output::note("note: the other show has ended; this one plays now");
        }
        Ok(Some(Self { _lock: Some(lock) }))
    }
}

/// The file that is locked. It stays: to remove it would let two shows lock two files of one name.
fn open(wall: &Path) -> Result<File, String> {
    let place = running::place(wall).ok_or("there is no folder for it")?.with_extension("lock");
    if let Some(folder) = place.parent() {
        std::fs::create_dir_all(folder).map_err(|error| error.to_string())?;
    }
    let opened = OpenOptions::new().create(true).truncate(false).write(true).open(place);
    opened.map_err(|error| error.to_string())
}
