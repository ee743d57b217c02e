//! Writing to the terminal: styles that honour `NO_COLOR` and pipes, and closed pipes.

use std::io::Write;

use anstyle::{AnsiColor, Style};

use crate::failure::Failure;

/// Bold.
pub const STRONG: Style = Style::new().bold();
/// Less weight: notes beside figures.
pub const QUIET: Style = Style::new().dimmed();

/// A finding's mark: what can hurt.
pub const HAZARD: Style = AnsiColor::Red.on_default().bold();
/// A finding's mark: what will not work.
pub const FAULT: Style = AnsiColor::Magenta.on_default().bold();
/// A finding's mark: what could be better.
pub const ADVICE: Style = AnsiColor::Cyan.on_default();

/// A path as it may be shown: nothing in it that a terminal would obey.
pub fn shown(path: &std::path::Path) -> String {
    let obeyed =
        |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    path.to_string_lossy().chars().map(|c| if obeyed(c) { '\u{fffd}' } else { c }).collect()
}

/// Writes a whole text to standard output.
pub fn write(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(Failure::output)
}

/// Standard output without styles, for data.
pub fn data() -> std::io::BufWriter<std::io::StdoutLock<'static>> {
    std::io::BufWriter::with_capacity(1 << 16, std::io::stdout().lock())
}

/// A warning or a word of progress to standard error; if nobody reads it, nobody misses it.
pub fn note(text: &str) {
    let mut err = anstream::stderr().lock();
    let _ = writeln!(err, "{text}");
}

/// Shows why a command could not do its work.
pub fn problem(failure: &Failure) {
    let red = AnsiColor::Red.on_default().bold();
    let mut text = format!("{red}error{red:#}: {}", failure.message());
    if let Some(remedy) = failure.remedy() {
        text.push_str(&format!("\n  = help: {remedy}"));
    }
    note(&text);
}

/// Whether standard error shows colours.
pub fn errors_in_colour() -> bool {
    !matches!(anstream::AutoStream::choice(&std::io::stderr()), anstream::ColorChoice::Never)
}

/// One line on a terminal that is written over again and again; nothing elsewhere.
pub struct Line {
    on: bool,
    written: bool,
}

impl Line {
    /// On standard error, if that is a terminal.
    pub fn new() -> Self {
        Self { on: std::io::IsTerminal::is_terminal(&std::io::stderr()), written: false }
    }

    /// Writes the line anew.
    pub fn put(&mut self, text: &str) {
        if self.on {
            let mut err = std::io::stderr().lock();
            // A line that wraps could not be written over.
            let width = terminal_size::terminal_size_of(std::io::stderr())
                .map_or(80, |(terminal_size::Width(width), _)| usize::from(width));
            let text: String = text.chars().take(width.saturating_sub(1)).collect();
            let _ = write!(err, "\r{text}\x1b[K").and_then(|()| err.flush());
            self.written = true;
        }
    }

    /// Writes a line that stays, above.
    pub fn note(&mut self, text: &str) {
        self.clear();
        note(text);
    }

    /// Takes the line away.
    pub fn clear(&mut self) {
        if self.written {
            let mut err = std::io::stderr().lock();
            let _ = write!(err, "\r\x1b[K").and_then(|()| err.flush());
            self.written = false;
        }
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        self.clear();
    }
}
