//! Pixel faces: the letters of ISO 8859-1 in a few sizes each.
//!
//! The letters come from two crates, whose fonts are free: see `docs/dependencies.md`.

use std::sync::LazyLock;

use embedded_graphics::image::GetPixel;
use embedded_graphics::mono_font::{MonoFont, iso_8859_1};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{OriginDimensions, Point};
use font8x8::legacy::{BASIC_LEGACY, LATIN_LEGACY};

/// A family of pixel letters, all of one width.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Face {
    /// The misc-fixed letters of the X Window System (public domain): 6 to 20 rows to a line,
    /// capitals from 5 rows up.
    #[default]
    Fixed,
    /// The letters of early personal computers, as the `font8x8` crate has them (public domain): strokes
    /// of two pixels, 8 rows to a line, to be read from further away.
    Broad,
}

/// One size of a face. `rows` holds a letter's rows from the top, the leftmost pixel in the highest
/// of the `width` lowest bits.
#[derive(Debug)]
pub(crate) struct Cut {
    pub(crate) face: Face,
    pub(crate) width: u32,
    pub(crate) height: u32,
    rows: Vec<u16>,
    /// Where each letter's lit pixels lie.
    inks: Vec<Option<Ink>>,
    /// Letters that this size draws as another one: too few rows for the accent.
    lacks: Vec<char>,
}

/// The printable characters of ISO 8859-1, in the order of a cut's rows.
fn letters() -> impl Iterator<Item = char> {
    ('\u{20}'..='\u{7E}').chain('\u{A0}'..='\u{FF}')
}

/// The place of a letter among [`letters`].
fn place(letter: char) -> Option<usize> {
    match u32::from(letter) {
        code @ 0x20..=0x7E => Some(code as usize - 0x20),
        code @ 0xA0..=0xFF => Some(code as usize - 0xA0 + 95),
        _ => None,
    }
}

/// The letter that stands for another one of the same meaning: typographic signs come as plain ones.
pub(crate) fn plain(letter: char) -> char {
    match letter {
        '\t' | '\u{2002}'..='\u{200A}' | '\u{202F}' => ' ',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2018}'..='\u{201B}' => '\'',
        '\u{201C}'..='\u{201F}' => '"',
        '\u{2022}' => '\u{B7}',
        other => other,
    }
}

/// Whether the faces have a letter.
pub(crate) fn has(letter: char) -> bool {
    place(letter).is_some()
}

/// Where the lit pixels of some letters of a cut lie: first and last column and row, all inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Ink {
    pub(crate) left: u32,
    pub(crate) right: u32,
    pub(crate) top: u32,
    pub(crate) bottom: u32,
}

impl Cut {
    fn new(face: Face, width: u32, height: u32, rows: Vec<u16>) -> Self {
        let mut cut = Self { face, width, height, rows, inks: Vec::new(), lacks: Vec::new() };
        cut.inks = letters().map(|letter| cut.measured(letter)).collect();
        let read = || letters().filter(|letter| letter.is_alphanumeric());
        let alike = |&letter: &char| {
            let mut before = read().take_while(|&other| other != letter);
            before.any(|other| cut.rows(other) == cut.rows(letter))
        };
        cut.lacks = read().filter(alike).collect();
        cut
    }

    /// Whether a letter can be told from all others in this size.
    pub(crate) fn has(&self, letter: char) -> bool {
        has(letter) && !self.lacks.contains(&letter)
    }

    fn fixed(font: &MonoFont<'static>) -> Self {
        let (width, height) = (font.character_size.width, font.character_size.height);
        let across = (font.image.size().width / width).max(1);
        let mut rows = Vec::new();
        for letter in letters() {
            let index = font.glyph_mapping.index(letter) as u32;
            let (left, top) = (index % across * width, index / across * height);
            rows.extend((top..top + height).map(|row| {
                (left..left + width).fold(0, |bits, column| {
                    let at = Point::new(column as i32, row as i32);
                    bits << 1 | u16::from(font.image.pixel(at) == Some(BinaryColor::On))
                })
            }));
        }
        Self::new(Face::Fixed, width, height, rows)
    }

    /// Rows of eight pixels, the leftmost in the lowest bit, for all of ISO 646 and the upper half of
    /// ISO 8859-1 from A0 on.
    fn broad(lower: &[[u8; 8]; 128], upper: &[[u8; 8]; 96]) -> Self {
        let rows = letters().flat_map(|letter| {
            let code = letter as usize;
            let glyph = if code < 0x80 { lower.get(code) } else { upper.get(code - 0xA0) };
            glyph.copied().unwrap_or_default().map(|row| u16::from(row.reverse_bits()))
        });
        Self::new(Face::Broad, 8, 8, rows.collect())
    }

    /// The rows of a letter; none for one that the faces lack.
    fn rows(&self, letter: char) -> &[u16] {
        let height = self.height as usize;
        place(letter)
            .and_then(|place| self.rows.get(place * height..(place + 1) * height))
            .unwrap_or_default()
    }

    /// Whether a pixel of a letter is lit; outside of the letter none is.
    pub(crate) fn lit(&self, letter: char, column: u32, row: u32) -> bool {
        let bits = self.rows(letter).get(row as usize).copied().unwrap_or_default();
        column < self.width && bits >> (self.width - 1 - column) & 1 == 1
    }

    /// Where the lit pixels of a letter lie; `None` where none is lit.
    pub(crate) fn letter_ink(&self, letter: char) -> Option<Ink> {
        place(letter).and_then(|place| self.inks.get(place).copied().flatten())
    }

    /// Where the lit pixels of these letters lie, laid over each other; `None` where none is lit.
    pub(crate) fn ink(&self, letters: impl Iterator<Item = char>) -> Option<Ink> {
        letters.filter_map(|letter| self.letter_ink(letter)).reduce(Ink::and)
    }

    fn measured(&self, letter: char) -> Option<Ink> {
        let lit = |row| (0..self.width).filter(move |&column| self.lit(letter, column, row));
        (0..self.height)
            .flat_map(|row| {
                lit(row).map(move |column| Ink {
                    left: column,
                    right: column,
                    top: row,
                    bottom: row,
                })
            })
            .reduce(Ink::and)
    }
}

impl Ink {
    /// What both take together.
    fn and(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top: self.top.min(other.top),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

static CUTS: LazyLock<Vec<Cut>> = LazyLock::new(|| {
    let fixed = [
        &iso_8859_1::FONT_4X6,
        &iso_8859_1::FONT_5X7,
        &iso_8859_1::FONT_5X8,
        &iso_8859_1::FONT_6X9,
        &iso_8859_1::FONT_6X10,
        &iso_8859_1::FONT_7X13,
        &iso_8859_1::FONT_9X15,
        &iso_8859_1::FONT_10X20,
    ];
    let broad = Cut::broad(&BASIC_LEGACY, &LATIN_LEGACY);
    fixed.into_iter().map(Cut::fixed).chain([broad]).collect()
});

/// All sizes of a face, the smallest first.
pub(crate) fn cuts(face: Face) -> impl Iterator<Item = &'static Cut> {
    CUTS.iter().filter(move |cut| cut.face == face)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn art(cut: &Cut, letter: char) -> String {
        let row =
            |row| (0..cut.width).map(move |c| if cut.lit(letter, c, row) { '#' } else { '.' });
        (0..cut.height).map(|n| row(n).collect::<String>()).collect::<Vec<_>>().join("\n")
    }

    fn cut(face: Face, width: u32, height: u32) -> &'static Cut {
        cuts(face).find(|cut| (cut.width, cut.height) == (width, height)).unwrap()
    }

    #[test]
    fn sizes_are_those_that_are_promised() {
        let sizes = |face| cuts(face).map(|cut| (cut.width, cut.height)).collect::<Vec<_>>();
        let fixed = [(4, 6), (5, 7), (5, 8), (6, 9), (6, 10), (7, 13), (9, 15), (10, 20)];
        assert_eq!(sizes(Face::Fixed), fixed);
        assert_eq!(sizes(Face::Broad), [(8, 8)]);
    }

    #[test]
    fn letters_are_not_mirrored_or_turned() {
        assert_eq!(art(cut(Face::Fixed, 4, 6), 'F'), "###.\n#...\n##..\n#...\n#...\n....");
        assert_eq!(
            art(cut(Face::Broad, 8, 8), 'F'),
            "#######.\n.##...#.\n.##.#...\n.####...\n.##.#...\n.##.....\n####....\n........"
        );
    }

    /// Every letter and digit of ISO 8859-1 is there in every size, and is none of the others but for
    /// those that a size is known to lack.
    #[test]
    fn every_letter_is_there_and_is_its_own() {
        let lacked = |face, height| match (face, height) {
            (Face::Fixed, 7) => "ÀÁÂÃÈÉÊËÌÍÎÏÒÓÔÕÙÚÛÝ",
            (Face::Fixed, 8..=10) => "Å",
            _ => "",
        };
        for cut in cuts(Face::Fixed).chain(cuts(Face::Broad)) {
            let mut seen = BTreeMap::new();
            let mut alike = String::new();
            for letter in letters().filter(|letter| letter.is_alphanumeric()) {
                let drawn = art(cut, letter);
                assert!(drawn.contains('#'), "{letter} of {:?} {}", cut.face, cut.height);
                let known = seen.insert(drawn, letter);
                assert_eq!(cut.has(letter), known.is_none(), "{letter} {known:?}");
                alike.extend(known.map(|_| letter));
            }
            assert_eq!(alike, lacked(cut.face, cut.height), "{:?} {}", cut.face, cut.height);
            let blank = letters().filter(|&letter| !art(cut, letter).contains('#'));
            // A soft hyphen is not seen in some faces; texts are laid out without it.
            let blank: String = blank.filter(|&letter| letter != '\u{AD}').collect();
            assert_eq!(blank, " \u{A0}", "{:?} {}", cut.face, cut.height);
        }
    }

    #[test]
    fn what_the_faces_lack_is_not_drawn() {
        for letter in ['\u{7F}', '\u{9F}', '\u{100}', '\u{6F22}'] {
            assert!(!has(letter));
            assert!(!art(cut(Face::Fixed, 5, 8), letter).contains('#'));
        }
        assert_eq!(
            "\u{201C}a\u{2013}b\u{2019}\u{201D}".chars().map(plain).collect::<String>(),
            "\"a-b'\""
        );
    }

    #[test]
    fn ink_is_where_the_light_is() {
        let ink = cut(Face::Fixed, 4, 6).ink("F-".chars()).unwrap();
        assert_eq!(ink, Ink { left: 0, right: 2, top: 0, bottom: 4 });
        assert_eq!(cut(Face::Fixed, 4, 6).ink(" ".chars()), None);
    }
}
