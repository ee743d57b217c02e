//! How much room letters take.
//!
//! A drawing does not know the reader's font. Widths here are those of a wide sans serif, so that text
//! which fits by them fits in any usual one.

/// Text heights of the sheets, mm: the smallest that prints well, and two steps above
/// (common practice, no source; 2.5, 3.5 and 5 mm are the usual heights of technical lettering).
pub const SMALL: f64 = 2.5;
/// Names and figures that stand out.
pub const MEDIUM: f64 = 3.5;
/// Headings.
pub const LARGE: f64 = 5.0;

/// Height of capitals and digits, as a share of the text height.
pub const CAPITAL: f64 = 0.73;

/// What bold letters take more.
const BOLD: f64 = 1.12;

/// Width of a letter as a share of the text height: measured roughly on wide sans-serif fonts.
fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | 'I' | '!' => 0.36,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '[' | ']' | '"' => 0.46,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' => 1.02,
        '0'..='9' | 'a'..='z' => 0.64,
        'A'..='Z' => 0.78,
        // Accents that stand on the letter before.
        '\u{300}'..='\u{36f}' => 0.0,
        // Accented Latin, Greek, Cyrillic.
        '\u{80}'..='\u{10ff}' => 0.8,
        // Wide scripts and whatever else there is.
        '\u{1100}'.. => 1.1,
        _ => 0.84,
    }
}

/// How wide a text is at a height, mm.
pub fn width(text: &str, height: f64) -> f64 {
    text.chars().map(letter).sum::<f64>() * height
}

/// The same in bold.
pub fn bold_width(text: &str, height: f64) -> f64 {
    width(text, height) * BOLD
}

/// As much of a text as fits, `width` measuring it: whole, or cut with an ellipsis; `None` where
/// not even two letters of it fit.
pub fn fitted(text: &str, room: f64, width: impl Fn(&str) -> f64) -> Option<String> {
    if width(text) <= room {
        return Some(text.to_owned());
    }
    let letters: Vec<char> = text.chars().collect();
    (2..letters.len()).rev().find_map(|kept| {
        let cut: String = letters[..kept].iter().collect();
        let cut = format!("{}…", cut.trim_end());
        (width(&cut) <= room).then_some(cut)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wider_letters_and_heights_take_more() {
        assert!(width("ill", 2.5) < width("mow", 2.5));
        assert!((width("00", 5.0) - 2.0 * width("00", 2.5)).abs() < 1e-12);
        assert!(bold_width("west", 2.5) > width("west", 2.5));
    }

    #[test]
    fn long_text_is_cut_with_an_ellipsis() {
        let fit = |room| fitted("Hafenfenster", room, |text| width(text, 2.5));
        assert_eq!(fit(100.0).as_deref(), Some("Hafenfenster"));
        let cut = fit(12.0).unwrap();
        assert!(cut.ends_with('…') && width(&cut, 2.5) <= 12.0 && cut.starts_with("Haf"), "{cut}");
        assert_eq!(fit(3.0), None);
    }
}
