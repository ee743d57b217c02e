//! Frames over a WebSocket (RFC 6455): any program or a page in a browser draws on the wall. What is said is
//! in `hall`, without a socket; `listener` carries it. The messages are told in `docs/frames.md`.

mod hall;
mod listener;

use std::sync::Arc;
use std::time::{Duration, Instant};

use glowloom_show::{Drawn, LinearFrame, Source, SourceError, srgb};

pub use self::hall::{Guest, Hall, Said, Wrong};
pub use self::listener::{Listener, Origins};

/// After so long without a first frame, that is told.
const PATIENCE: Duration = Duration::from_secs(2);

impl Hall {
    /// A source that shows what is sent. Several may take turns.
    #[must_use]
    pub fn source(self: &Arc<Self>) -> Box<dyn Source> {
        Box::new(Sent { hall: Arc::clone(self), version: 0, opened: Instant::now() })
    }
}

/// What is sent, while it is shown.
struct Sent {
    hall: Arc<Hall>,
    version: u64,
    opened: Instant,
}

impl Source for Sent {
    /// Until a frame has come nothing is drawn, so that what was there before stays. A frame of another size
    /// than the wall's is left as it is.
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if (into.columns(), into.rows()) != self.hall.size() {
            return Ok(Drawn::Same);
        }
        let silent = !self.hall.is_sent_to(Instant::now());
        let version = self.hall.version();
        let drawn = version > 0 && (version != self.version || into.is_blank() || silent);
        if drawn {
            let table = srgb::linear_table();
            self.version = self.hall.frame(|codes| {
                for (to, &code) in into.values_mut().iter_mut().zip(codes) {
                    *to = table[usize::from(code)];
                }
            });
        }
        match (silent, drawn) {
            (true, true) => {
                Err(SourceError::Frames("nobody sends frames any more; the last one stays".into()))
            }
            (true, false) if self.opened.elapsed() >= PATIENCE => {
                into.values_mut().fill(0);
                Err(SourceError::Frames("nobody has sent a frame to the socket yet".into()))
            }
            (_, true) => Ok(Drawn::New),
            (_, false) => Ok(Drawn::Same),
        }
    }
}

#[cfg(test)]
mod tests;
