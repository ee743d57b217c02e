//! The book's letters: Noto Sans, regular and bold, and how much room a text takes in them.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

/// Two weights.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Of running text.
    Regular,
    /// Of headings and of what a figure says.
    Bold,
}

/// A glyph of a font, for a letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Glyph {
    /// Its number in the font; 0 where the font has none for the letter.
    pub id: u16,
    /// In units of the font.
    pub advance: u16,
}

/// A font of the book.
pub struct Font {
    /// The file.
    pub bytes: &'static [u8],
    /// What it is called in a document.
    pub name: &'static str,
    face: Face<'static>,
    /// Glyphs of the first letters of all, by letter: a book measures each of its texts many times.
    common: Vec<Glyph>,
}

/// Latin, Greek and Cyrillic letters.
const COMMON: u32 = 0x530;

/// The font of a weight.
pub fn font(weight: Weight) -> &'static Font {
    static REGULAR: OnceLock<Font> = OnceLock::new();
    static BOLD: OnceLock<Font> = OnceLock::new();
    match weight {
        Weight::Regular => {
            REGULAR.get_or_init(|| Font::of(notosans::REGULAR_TTF, "NotoSans-Regular"))
        }
        Weight::Bold => BOLD.get_or_init(|| Font::of(notosans::BOLD_TTF, "NotoSans-Bold")),
    }
}

impl Font {
    fn of(bytes: &'static [u8], name: &'static str) -> Self {
        // The font is a part of the program, like its code.
        let face = Face::parse(bytes, 0).expect("the font of the program is a font");
        let letters = (0..COMMON).filter_map(char::from_u32);
        let common = letters.map(|letter| looked_up(&face, letter)).collect();
        Self { bytes, name, face, common }
    }

    /// The glyph of a letter.
    pub fn glyph(&self, letter: char) -> Glyph {
        let known = self.common.get(letter as usize);
        known.copied().unwrap_or_else(|| looked_up(&self.face, letter))
    }

    /// Units to the height of the text.
    pub fn units(&self) -> f64 {
        f64::from(self.face.units_per_em())
    }

    /// The file's own figures: ascent, descent, height of capitals, box of all glyphs.
    pub fn about(&self) -> (i16, i16, i16, [i16; 4]) {
        let all = self.face.global_bounding_box();
        let capitals = self.face.capital_height().unwrap_or(self.face.ascender());
        let (ascent, descent) = (self.face.ascender(), self.face.descender());
        (ascent, descent, capitals, [all.x_min, all.y_min, all.x_max, all.y_max])
    }

    /// The width of a text of that height, mm. Letters stand as they are in the font, with no kerning.
    pub fn width(&self, text: &str, height: f64) -> f64 {
        let units: u64 = text.chars().map(|c| u64::from(self.glyph(c).advance)).sum();
        #[expect(clippy::cast_precision_loss, reason = "a text's letters")]
        let units = units as f64;
        units / self.units() * height
    }
}

fn looked_up(face: &Face<'_>, letter: char) -> Glyph {
    let id = face.glyph_index(letter).unwrap_or(GlyphId(0));
    Glyph { id: id.0, advance: face.glyph_hor_advance(id).unwrap_or(0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_europe_are_there() {
        for weight in [Weight::Regular, Weight::Bold] {
            let font = font(weight);
            for letter in "aZ09éñßÅøčŁőñ²Ω×µ…–−±Жя".chars() {
                assert_ne!(font.glyph(letter).id, 0, "{letter}");
            }
            assert_eq!(font.glyph('\u{1f6a2}').id, 0);
        }
    }

    #[test]
    fn figures_stand_below_each_other() {
        for weight in [Weight::Regular, Weight::Bold] {
            let font = font(weight);
            let widths: Vec<_> = "0123456789".chars().map(|c| font.glyph(c).advance).collect();
            assert!(widths.iter().all(|width| *width == widths[0]), "{widths:?}");
        }
        let font = font(Weight::Regular);
        assert!((font.width("00", 5.0) - 2.0 * font.width("0", 5.0)).abs() < 1e-12);
    }
}
