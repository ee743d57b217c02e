//! Which program reads for us, and how long it is waited for.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// The program ffmpeg. It is no part of this one: the user installs it, where films or capture are wanted.
#[derive(Clone, Debug)]
pub struct Ffmpeg {
    program: PathBuf,
    patience: Patience,
}

/// How long a child is waited for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// A child that has sent nothing whole for so long, while it was waited for, hangs: it is ended and another
    /// one is started.
    pub silence: Duration,
    /// How long after a first failure another one is started; after each further one, twice as long.
    pub pause: Duration,
    /// At most so long.
    pub longest_pause: Duration,
    /// After so long without a failure, pauses are short again.
    pub well: Duration,
}

impl Patience {
    /// For people: a network stream may take some seconds to begin.
    pub const USUAL: Self = Self {
        silence: Duration::from_secs(10),
        pause: Duration::from_millis(500),
        longest_pause: Duration::from_secs(30),
        well: Duration::from_secs(20),
    };
}

impl Default for Ffmpeg {
    /// The one that the system finds by its name.
    fn default() -> Self {
        Self::at("ffmpeg")
    }
}

impl Ffmpeg {
    /// The one at a path; a name alone is looked for where the system keeps programs.
    #[must_use]
    pub fn at(program: impl Into<PathBuf>) -> Self {
        Self { program: program.into(), patience: Patience::USUAL }
    }

    /// With another patience.
    #[must_use]
    pub fn with_patience(self, patience: Patience) -> Self {
        Self { patience, ..self }
    }

    /// Where it is, or its name.
    #[must_use]
    pub fn program(&self) -> &Path {
        &self.program
    }

    /// How long it is waited for.
    #[must_use]
    pub fn patience(&self) -> Patience {
        self.patience
    }

    /// Whether the program can be started. It is asked for its version, and runs for a moment.
    #[must_use]
    pub fn is_there(&self) -> bool {
        let mut command = Command::new(&self.program);
        command.arg("-version").stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        command.status().is_ok()
    }

    /// What to tell who has not got it.
    #[must_use]
    pub fn missing(&self) -> String {
        format!(
            "the program {} is not there; films, streams and capture need it: install the package ffmpeg (apt \
             install ffmpeg on Debian and Ubuntu, brew install ffmpeg on macOS), or name its place in \
             GLOWLOOM_FFMPEG",
            self.program.display()
        )
    }
}
