//! Frames as drawings of letters, for tests.

use std::time::Duration;

use crate::frame::LinearFrame;
use crate::source::Source;

/// `#` for what is lit in any colour, `.` for what is dark; each row ends with a line end.
pub(crate) fn drawn(frame: &LinearFrame) -> String {
    let mut art = String::new();
    for row in 0..frame.rows() {
        for column in 0..frame.columns() {
            art.push(if frame.pixel(column, row) == Some([0; 3]) { '.' } else { '#' });
        }
        art.push('\n');
    }
    art
}

/// What a source shows on a blank wall at a time.
pub(crate) fn shown(source: &mut dyn Source, at: Duration, (columns, rows): (u32, u32)) -> String {
    let mut frame = LinearFrame::new(columns, rows);
    source.draw(at, &mut frame).unwrap();
    drawn(&frame)
}
