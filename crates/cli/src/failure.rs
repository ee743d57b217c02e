//! Why a command could not do its work, in words for the person who gave it.

use std::path::{Path, PathBuf};

/// What went wrong. Shown once, in `main`; the exit code is 2.
#[derive(Debug)]
pub enum Failure {
    /// Whoever read our output has stopped reading: no failure of ours.
    OutputClosed,
    /// A wall file has errors: they are shown already, this counts them.
    WallFile {
        /// As given.
        path: PathBuf,
        /// How many.
        errors: usize,
    },
    /// A file or folder could not be read or written.
    File {
        /// As given.
        path: PathBuf,
        /// What was tried: "read", "write".
        doing: &'static str,
        /// What the system says.
        error: std::io::Error,
        /// What to do.
        remedy: String,
    },
    /// Anything else: what was found, and what to do.
    Other {
        /// In one line with no full stop.
        message: String,
        /// An edit or a command; absent where the message says it.
        remedy: Option<String>,
    },
}

impl Failure {
    /// A failure that has no place in a file.
    pub fn other(message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Other { message: message.into(), remedy: Some(remedy.into()) }
    }

    /// A file that could not be read or written, with the usual remedy.
    pub fn file(path: &Path, doing: &'static str, error: std::io::Error) -> Self {
        use std::io::ErrorKind;
        let remedy = match error.kind() {
            ErrorKind::NotFound if doing == "write" => "make its folder first",
            ErrorKind::NotFound => "give the path of a file that is there",
            ErrorKind::PermissionDenied => "allow it, or take another place",
            ErrorKind::IsADirectory => "give a file, not a folder",
            ErrorKind::NotADirectory => "give a folder, not a file",
            ErrorKind::StorageFull => "make room on the disk",
            _ => "see that the place can be used, and try again",
        };
        Self::File { path: path.into(), doing, error, remedy: remedy.into() }
    }

    /// A failure to write to standard output: a closed pipe is none.
    pub fn output(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            return Self::OutputClosed;
        }
        Self::file(Path::new("standard output"), "write", error)
    }

    /// What is wrong, in one line.
    pub fn message(&self) -> String {
        match self {
            Self::OutputClosed => "the output was closed".into(),
            Self::WallFile { path, errors } => {
                let s = if *errors == 1 { "" } else { "s" };
                format!("{} has {errors} error{s}", crate::output::shown(path))
            }
            Self::File { path, doing, error, .. } => {
                format!("cannot {doing} {}: {error}", crate::output::shown(path))
            }
            Self::Other { message, .. } => message.clone(),
        }
    }

    /// What to do about it.
    pub fn remedy(&self) -> Option<&str> {
        match self {
            Self::OutputClosed | Self::WallFile { .. } => None,
            Self::File { remedy, .. } => Some(remedy),
            Self::Other { remedy, .. } => remedy.as_deref(),
        }
    }
}
