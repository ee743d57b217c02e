//! The wall redrawn in place on a terminal, with lines of words under it.

use std::io::Write;

use glowloom_show::Preview;

use crate::screen;

/// Draws in place. Where standard output is no terminal it draws nothing.
pub struct Painter {
    preview: Preview,
    columns: usize,
    rows: usize,
    /// Lines that were drawn last and are drawn over next.
    lines: usize,
    rgb: Vec<[u8; 3]>,
}

impl Painter {
    /// For a picture of `columns` x `rows`; `None` where there is no terminal to draw on.
    pub fn new(preview: Preview, columns: u32, rows: u32) -> Option<Self> {
        screen::size()?;
        let (columns, rows) = (columns as usize, rows as usize);
        let painter = Self { preview, columns, rows, lines: 0, rgb: Vec::new() };
        // The cursor would jump about.
        painter.write("\x1b[?25l");
        Some(painter)
    }

    /// Draws device bytes of the wall, and words under them.
    pub fn paint(&mut self, bytes: &[u8], words: &str) {
        let Some((width, height)) = screen::size() else { return };
        self.preview.colours(bytes, &mut self.rgb);
        // The wall needs room too; and what does not fit would scroll away for ever.
        let most = height / 2;
        let all = words.lines().count();
        let more = format!("... and {} more", all.saturating_sub(most.saturating_sub(1)));
        let mut wanted: Vec<&str> = words.lines().take(most).collect();
        if all > most {
            wanted.pop();
            wanted.push(&more);
        }
        let room = height.saturating_sub(wanted.len() + 1);
        let mut text = String::new();
        if self.lines > 0 {
            text.push_str(&format!("\x1b[{}A\r", self.lines));
        }
        text.push_str(&screen::half_blocks(&self.rgb, self.columns, self.rows, width, room));
        for line in &wanted {
            // A line that wraps would throw the counting out.
            text.extend(line.chars().take(width));
            text.push_str("\x1b[K\n");
        }
        text.push_str("\x1b[J");
        self.lines = text.matches('\n').count();
        self.write(&text);
    }

    fn write(&self, text: &str) {
        let mut out = std::io::stdout().lock();
        // A terminal that is gone is noticed by whoever waits for the end.
        let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    }
}

impl Drop for Painter {
    fn drop(&mut self) {
        self.write("\x1b[0m\x1b[?25h");
    }
}
