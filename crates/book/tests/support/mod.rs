//! Where books are written to in tests.

use std::io::{self, Write};

/// A disk that is full after some bytes.
pub struct Full(pub usize);

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = bytes.len().min(self.0);
        self.0 -= taken;
        if taken == 0 { Err(io::ErrorKind::StorageFull.into()) } else { Ok(taken) }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
