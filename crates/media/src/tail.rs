//! The last lines that a child wrote to its standard error: all of it is read, so that the child never waits,
//! and little of it is kept.

use std::collections::VecDeque;
use std::io::{ErrorKind, Read};

/// Lines that are kept, and bytes of each.
const LINES: usize = 3;
const LINE_BYTES: usize = 240;

/// The last lines of a text that goes on and on.
#[derive(Debug, Default)]
pub(crate) struct Tail {
    lines: VecDeque<String>,
    begun: Vec<u8>,
}

impl Tail {
    /// More of the text.
    pub(crate) fn put(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            if byte == b'\n' || byte == b'\r' {
                self.end_line();
            } else if self.begun.len() < LINE_BYTES {
                self.begun.push(byte);
            }
        }
    }

    fn end_line(&mut self) {
        let line = String::from_utf8_lossy(&self.begun);
        let line: String = line.chars().filter(|letter| !letter.is_control()).collect();
        self.begun.clear();
        let line = line.trim().trim_end_matches('.');
        // A child that complains of each frame says the same again and again.
        if line.is_empty() || self.lines.back().is_some_and(|last| last == line) {
            return;
        }
        if self.lines.len() == LINES {
            self.lines.pop_front();
        }
        self.lines.push_back(line.to_owned());
    }

    /// The last lines as one, empty if there are none.
    pub(crate) fn told(&mut self) -> String {
        self.end_line();
        self.lines.make_contiguous().join("; ")
    }
}

/// Reads all that comes, and hands it on.
pub(crate) fn drain(mut from: impl Read, mut put: impl FnMut(&[u8])) {
    let mut bytes = [0; 4096];
    loop {
        match from.read(&mut bytes) {
            Ok(0) => return,
            Ok(count) => put(bytes.get(..count).unwrap_or_default()),
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(_) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_lines_are_kept_short() {
        let mut tail = Tail::default();
        for n in 0..100_000 {
            tail.put(format!("[demuxer] line {n}\n").as_bytes());
        }
        tail.put(&[b'x'; 1_000_000]);
        let told = tail.told();
        assert!(told.starts_with("[demuxer] line 99998; [demuxer] line 99999; xxx"), "{told}");
        assert!(told.len() < 3 * LINE_BYTES + 10);
    }

    #[test]
    fn what_repeats_is_told_once_and_controls_are_left_out() {
        let mut tail = Tail::default();
        tail.put(b"no such thing.\rno such thing.\n\n\x1b[31mred\n");
        assert_eq!(tail.told(), "no such thing; [31mred");
    }
}
