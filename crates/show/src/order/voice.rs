//! One source while it plays, and whether it is well.

use std::time::Duration;

use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// A source that has been in trouble for so long has failed; shorter trouble passes without anything being
/// done about it.
pub const PATIENCE: Duration = Duration::from_secs(2);

/// A source and how it does.
pub(super) struct Voice {
    source: Box<dyn Source>,
    began: Duration,
    /// Whether it has drawn a whole frame without trouble.
    begun: bool,
    trouble: Option<Trouble>,
}

struct Trouble {
    since: Duration,
    error: SourceError,
    /// Whether it cannot get well again.
    lasting: bool,
}

impl Voice {
    /// A source that begins at this time.
    pub(super) fn new(source: Box<dyn Source>, began: Duration) -> Self {
        Self { source, began, begun: false, trouble: None }
    }

    /// Draws what is due; `true` if `into` was drawn.
    pub(super) fn draw(&mut self, now: Duration, into: &mut LinearFrame) -> bool {
        match self.source.draw(now.saturating_sub(self.began), into) {
            Ok(drawn) => {
                // A broken picture holds its last good frame from then on.
                if self.trouble.as_ref().is_some_and(|trouble| !trouble.lasting) {
                    self.trouble = None;
                }
                self.begun |= drawn == Drawn::New;
                drawn == Drawn::New
            }
            Err(error) => {
                let since = self.trouble.as_ref().map_or(now, |trouble| trouble.since);
                let lasting = matches!(error, SourceError::Picture(_));
                self.trouble = Some(Trouble { since, error, lasting });
                true
            }
        }
    }

    /// Whether a frame has come from it.
    pub(super) fn has_begun(&self) -> bool {
        self.begun
    }

    /// Whether it has been in trouble for longer than is waited for.
    pub(super) fn has_failed(&self, now: Duration) -> bool {
        self.trouble
            .as_ref()
            .is_some_and(|trouble| trouble.lasting || now.saturating_sub(trouble.since) >= PATIENCE)
    }

    /// Whether it is in no trouble.
    pub(super) fn is_well(&self) -> bool {
        self.trouble.is_none()
    }

    /// What is wrong with it.
    pub(super) fn error(&self) -> Option<&SourceError> {
        self.trouble.as_ref().map(|trouble| &trouble.error)
    }
}
