//! Nothing.

use std::time::Duration;

use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// A source of no light.
pub(crate) struct Dark;

impl Source for Dark {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if !into.is_blank() {
            return Ok(Drawn::Same);
        }
        into.values_mut().fill(0);
        Ok(Drawn::New)
    }
}
