//! Writing to the terminal: styles that honour `NO_COLOR` and pipes, and closed pipes.

use std::io::Write;
use std::sync::OnceLock;

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
    if to_journal() {
        let level = level(text);
        for line in text.lines() {
            let _ = writeln!(err, "<{level}>{line}");
        }
    } else {
        let _ = writeln!(err, "{text}");
    }
}

/// Whether standard error is the system's journal, which takes a level ahead of each line (sd-daemon(3)): the
/// variable names the device and inode of the stream that is.
fn to_journal() -> bool {
    static IS: OnceLock<bool> = OnceLock::new();
    *IS.get_or_init(|| {
        let Ok(named) = std::env::var("JOURNAL_STREAM") else { return false };
        stream().is_some_and(|stream| stream == named)
    })
}

/// Device and inode of standard error.
#[cfg(target_os = "linux")]
fn stream() -> Option<String> {
    use std::os::unix::fs::MetadataExt;
    let about = std::fs::metadata("/proc/self/fd/2").ok()?;
    Some(format!("{}:{}", about.dev(), about.ino()))
}

#[cfg(not(target_os = "linux"))]
fn stream() -> Option<String> {
    None
}

/// The level of a line by its first word, as syslog counts: 2 critical, 3 error, 4 warning, 5 notice,
/// 6 information.
fn level(text: &str) -> u8 {
    let plain = anstream::adapter::strip_str(text).to_string();
    match plain.split([':', ' ', '[']).next().unwrap_or_default() {
        "hazard" => 2,
        "error" => 3,
        "fault" | "warning" => 4,
        "note" => 5,
        _ => 6,
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_go_by_the_first_word() {
        let red = AnsiColor::Red.on_default();
        let all = [
            "hazard [supply-over]: x".to_owned(),
            format!("{red}error{red:#}: x"),
            "fault [x]: y".into(),
            "warning: panel west: x".into(),
            "note: x".into(),
            "panel west: well again".into(),
        ];
        assert_eq!(all.map(|text| level(&text)), [2, 3, 4, 4, 5, 6]);
    }
}
