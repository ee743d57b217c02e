//! Second stage: values are judged against each other, and what is not said is filled in.

/// A key that must be there: its value as written, or `None` and the complaint. What was refused
/// is not missing: that was said already.
macro_rules! required {
    ($section:ident.$key:ident, $wrong:ident) => {
        match &$section.$key {
            Some(written) => Some(written),
            None => {
                if !$section.refused.contains(&stringify!($key)) {
                    $wrong.missing(stringify!($key), &$section.span);
                }
                None
            }
        }
    };
}

mod colour;
mod data;
mod light;
mod making;
mod measured;
mod panels;
mod power;
mod showing;

use crate::diagnostic::{Code, Diagnostic, code};
use crate::text::{self, Text, Written};
use crate::wall::{Parts, Places, Wall};

use std::ops::Range;

/// Reads a wall file.
///
/// # Errors
/// Every [`Diagnostic`] of the file, in the order of its lines; never none.
pub fn read(bytes: &[u8]) -> Result<Wall, Vec<Diagnostic>> {
    if bytes.len() > crate::MOST_BYTES {
        return Err(vec![too_large(bytes.len())]);
    }
    let text = std::str::from_utf8(bytes).map_err(|error| vec![not_utf8(bytes, &error)])?;
    // A byte order mark is not part of the text, but the places of everything count from it.
    let reading = text::read(text);
    let mut wrong = Wrong(reading.wrong);
    let parts = if reading.well_formed { parts(&reading.text, &mut wrong) } else { None };
    match parts {
        Some(mut parts) if wrong.0.is_empty() => {
            parts.places = Places(reading.places);
            Ok(Wall(parts))
        }
        _ => Err(wrong.in_order()),
    }
}

fn too_large(bytes: usize) -> Diagnostic {
    let most = crate::MOST_BYTES >> 20;
    Diagnostic {
        code: code::TOO_LARGE,
        span: 0..0,
        message: format!("the file is larger than {most} MiB ({} MiB)", bytes.div_ceil(1 << 20)),
        wanted: "a wall file of a few kilobytes".into(),
        remedy: "is this a wall file? Give the .toml file that describes the wall".into(),
    }
}

fn not_utf8(bytes: &[u8], error: &std::str::Utf8Error) -> Diagnostic {
    let at = error.valid_up_to();
    let found = bytes.get(at).copied().unwrap_or(0);
    let line = bytes[..at].iter().filter(|b| **b == b'\n').count() + 1;
    Diagnostic {
        code: code::NOT_UTF8,
        span: at..at,
        message: format!("the byte 0x{found:02x} in line {line} is not UTF-8 text"),
        wanted: "UTF-8 text".into(),
        remedy: "save the file as UTF-8; a wall file is plain text".into(),
    }
}

/// What is wrong so far.
struct Wrong(Vec<Diagnostic>);

impl Wrong {
    fn add(
        &mut self,
        code: Code,
        span: Range<usize>,
        message: impl Into<String>,
        wanted: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let (message, wanted, remedy) = (message.into(), wanted.into(), remedy.into());
        self.0.push(Diagnostic { code, span, message, wanted, remedy });
    }

    /// Says that a section lacks a key.
    fn missing(&mut self, key: &str, section: &Range<usize>) {
        self.add(
            code::MISSING_KEY,
            section.clone(),
            format!("`{key}` is missing"),
            format!("wanted: `{key} = ...` here"),
            format!("add `{key} = ...`"),
        );
    }

    /// Whether something was said about these bytes already: a value that was refused is not
    /// missing.
    fn said_within(&self, span: &Range<usize>) -> bool {
        self.0.iter().any(|d| span.start <= d.span.start && d.span.end <= span.end)
    }

    fn in_order(mut self) -> Vec<Diagnostic> {
        self.0.sort_by_key(|d| (d.span.start, d.code));
        self.0.dedup();
        self.0
    }
}

/// The value as written, or what it is when nothing is written.
fn or<T: Clone>(written: Option<&Written<T>>, default: T) -> T {
    written.map_or(default, |w| w.value.clone())
}

/// Only this format is read.
const FORMAT: i64 = 1;

fn format(text: &Text, wrong: &mut Wrong) -> Option<()> {
    match &text.format {
        Some(format) if format.value == FORMAT => Some(()),
        Some(format) => {
            wrong.add(
                code::UNKNOWN_FORMAT,
                format.span.clone(),
                format!("this file is of format {}", format.value),
                format!("this program reads format {FORMAT}"),
                "take a program that knows this format, or write `format = 1` if the file is of that one",
            );
            None
        }
        None => {
            if !text.refused.contains(&"format") {
                let remedy = "write `format = 1` in the first line";
                wrong.add(
                    code::MISSING_KEY,
                    0..0,
                    "`format` is missing",
                    "wanted: `format = 1`",
                    remedy,
                );
            }
            None
        }
    }
}

fn parts(text: &Text, wrong: &mut Wrong) -> Option<Parts> {
    let format = format(text, wrong);
    let picture = light::picture(text, wrong);
    let strip = light::strip(text, wrong);
    let receiver = data::receiver(text, wrong);
    let power = power::power(text, strip.as_ref(), wrong);
    let panels = panels::panels(text, picture.as_ref(), wrong);
    let making = making::making(text, strip.as_ref(), wrong);
    let measured = measured::measured(text, panels.as_deref(), wrong);
    let mut panels = panels;
    let mut sync_universe = None;
    if let Some(panels) = &mut panels {
        data::addresses(text, panels, wrong);
        if let Some(strip) = &strip {
            sync_universe = data::universes(text, strip, panels, wrong);
        }
    }
    // All is said; from here on a wall is made, or not.
    let (picture, strip, mut receiver) = (picture?, strip?, receiver?);
    let (power, panels, making, measured) = (power?, panels?, making?, measured?);
    receiver.sync_universe = sync_universe?;
    format?;
    Some(Parts {
        name: picture.name,
        columns: picture.columns,
        rows: picture.rows,
        seen_from: picture.seen_from,
        figures: picture.figures,
        strip,
        panels,
        power,
        receiver,
        baffle: making.baffle,
        board: making.board,
        stock: making.stock,
        wire_buying: making.wire_buying,
        diffuser: making.diffuser,
        hanging: making.hanging,
        prices: making.prices,
        paper: making.paper,
        book_page: making.book_page,
        cuts: making.cuts,
        show: making.show,
        measured,
        places: Places::default(),
    })
}
