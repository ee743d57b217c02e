//! A picture that does not move.

use std::sync::Arc;
use std::time::Duration;

use crate::average::Averager;
use crate::frame::LinearFrame;
use crate::picture::{Bitmap, PictureError, Turn, decode_still};
use crate::sizing::Laying;
use crate::source::{Drawn, Source, SourceError};

/// A still picture as a source.
///
/// Once it has been averaged onto the wall, only the wall's pixels and the compressed file are
/// held.
pub(crate) struct Still {
    bytes: Arc<[u8]>,
    bitmap: Option<Bitmap>,
    turn: Turn,
    laying: Laying,
    /// The picture as the wall shows it; blank until it has been asked for.
    shown: LinearFrame,
}

impl Still {
    pub(crate) fn new(bytes: Arc<[u8]>, bitmap: Bitmap, turn: Turn, laying: Laying) -> Self {
        Self { bytes, bitmap: Some(bitmap), turn, laying, shown: LinearFrame::new(0, 0) }
    }

    fn average(&mut self, columns: u32, rows: u32) -> Result<(), PictureError> {
        let bitmap = match self.bitmap.take() {
            Some(bitmap) => bitmap,
            None => decode_still(&self.bytes)?,
        };
        let Some(raster) = bitmap.raster() else { return Ok(()) };
        self.shown.resize(columns, rows);
        if self.turn.is_none() {
            Averager::new().draw(raster, self.laying, &mut self.shown);
        } else {
            // Turning the wall's few pixels costs less than turning the picture's many.
            let (across, down) = self.turn.turned((columns, rows));
            let mut stored = LinearFrame::new(across, down);
            Averager::new().draw(raster, self.laying, &mut stored);
            self.turn.upright(&stored, &mut self.shown);
        }
        Ok(())
    }
}

impl Source for Still {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if !into.is_blank() {
            return Ok(Drawn::Same);
        }
        let (columns, rows) = (into.columns(), into.rows());
        if self.shown.is_blank() || (self.shown.columns(), self.shown.rows()) != (columns, rows) {
            self.average(columns, rows)?;
        }
        into.values_mut().copy_from_slice(self.shown.values());
        Ok(Drawn::New)
    }
}
