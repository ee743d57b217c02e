//! Text on a sheet: three heights, two weights, measured, cut and broken to the room that there is.

use super::font::{Weight, font};
use crate::svg::{Point, Rect};

/// Heights of text, mm: 2.5, 3.5 and 5 are the usual ones of technical lettering; nothing smaller
/// prints well (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Size {
    /// Figures, notes, tables.
    Small,
    /// Names and what stands out.
    Medium,
    /// Headings.
    Large,
}

impl Size {
    /// mm.
    pub fn height(self) -> f64 {
        match self {
            Self::Small => 2.5,
            Self::Medium => 3.5,
            Self::Large => 5.0,
        }
    }

    /// From one line to the next, mm.
    pub fn line(self) -> f64 {
        self.height() * 1.36
    }
}

/// Height of capitals and figures as a share of the text's (Noto Sans: 714 of 1000).
pub const CAPITAL: f64 = 0.714;

/// What reaches below the line, as a share of the text's height (the p of Noto Sans: 240 of 1000).
pub const BELOW: f64 = 0.24;

/// Where a text stands about its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It starts there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// How high.
    pub size: Size,
    /// How heavy.
    pub weight: Weight,
    /// Where it stands about its place.
    pub anchor: Anchor,
    /// Whether it is read from below: turned a quarter to the left.
    pub up: bool,
    /// Whether it stands on a plate that covers what was drawn before.
    pub plate: bool,
}

/// Running text.
pub const PLAIN: Hand = Hand {
    size: Size::Small,
    weight: Weight::Regular,
    anchor: Anchor::Start,
    up: false,
    plate: false,
};
/// What stands out of it.
pub const BOLD: Hand = Hand { weight: Weight::Bold, ..PLAIN };
/// A name.
pub const NAME: Hand = Hand { size: Size::Medium, ..BOLD };
/// A heading.
pub const HEADING: Hand = Hand { size: Size::Large, ..BOLD };

impl Hand {
    /// The same, its middle at its place.
    pub const fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }

    /// The same, ending at its place.
    pub const fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }

    /// The same, read from below.
    pub const fn up(self) -> Self {
        Self { up: true, ..self }
    }

    /// The same on a plate.
    pub const fn plate(self) -> Self {
        Self { plate: true, ..self }
    }

    /// How wide a text is in it, mm.
    pub fn width(self, text: &str) -> f64 {
        font(self.weight).width(text, self.size.height())
    }

    /// Height of its capitals, mm.
    pub fn capital(self) -> f64 {
        self.size.height() * CAPITAL
    }

    /// As much of a text as fits, whole or cut with an ellipsis; empty where not two letters do.
    pub fn fitted(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return text.to_owned();
        }
        let letters: Vec<char> = text.chars().collect();
        let cut = (2..letters.len()).rev().find_map(|kept| {
            let start: String = letters.get(..kept)?.iter().collect();
            let cut = format!("{}…", start.trim_end());
            (self.width(&cut) <= room).then_some(cut)
        });
        cut.unwrap_or_default()
    }

    /// A text broken between words into lines of at most that width; a word that is wider alone is
    /// broken within.
    pub fn lines(self, text: &str, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.width(&joined) <= room {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                line.push(letter);
                if self.width(&line) > room && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, letter.to_string()));
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// The box of a text's letters there, what reaches below the line included.
    pub fn ink(self, at: Point, text: &str) -> Rect {
        let (width, height) = (self.width(text), self.size.height());
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        let (above, below) = (height * CAPITAL, height * BELOW);
        if self.up {
            Rect {
                left: at.x - above,
                top: at.y + before - width,
                width: above + below,
                height: width,
            }
        } else {
            Rect { left: at.x - before, top: at.y - above, width, height: above + below }
        }
    }
}

/// A text as a sheet may hold it: one line, with nothing that orders letters about or cannot be seen.
pub fn plain(text: &str) -> String {
    let kept = text.chars().filter(|c| {
        !matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fe00}'..='\u{fe0f}')
    });
    kept.map(|c| if c.is_control() || c.is_whitespace() { ' ' } else { c }).collect()
}

/// Whether the book's font has every letter of a text: a name of others is only told by its number.
pub fn is_legible(text: &str) -> bool {
    text.chars().all(|letter| font(Weight::Regular).glyph(letter).id != 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_cut_or_broken() {
        assert_eq!(PLAIN.fitted("Hafenfenster", 100.0), "Hafenfenster");
        let cut = PLAIN.fitted("Hafenfenster", 12.0);
        assert!(cut.ends_with('…') && PLAIN.width(&cut) <= 12.0 && cut.starts_with("Haf"), "{cut}");
        assert_eq!(PLAIN.fitted("Hafenfenster", 1.0), "");
        let lines = PLAIN.lines("the window of an invented harbour café", 20.0);
        assert!(lines.len() > 2 && lines.iter().all(|line| PLAIN.width(line) <= 20.0), "{lines:?}");
        assert_eq!(lines.join(" "), "the window of an invented harbour café");
        let broken = PLAIN.lines("Donaudampfschifffahrt", 10.0);
        assert!(broken.len() > 1 && broken.concat() == "Donaudampfschifffahrt", "{broken:?}");
    }

    #[test]
    fn letters_that_are_not_there_are_known() {
        assert!(is_legible("Côté 7, š") && !is_legible("מזרח") && !is_legible("a🌊"));
    }

    #[test]
    fn what_orders_letters_about_goes() {
        assert_eq!(plain("a\u{202e}b\nc\u{7}"), "ab c ");
        assert_eq!(plain("שלום é"), "שלום é");
    }
}
