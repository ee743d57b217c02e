//! Where letters go: which size fits, how lines break, where on the wall the block lies.

use super::face::{Cut, Face, cuts};

/// A cut, each of its pixels `scale` x `scale` pixels of the wall.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    pub(crate) cut: &'static Cut,
    pub(crate) scale: u32,
}

impl Size {
    /// Rows of a line on the wall.
    pub(crate) fn height(self) -> u32 {
        self.cut.height.saturating_mul(self.scale)
    }

    fn width(self) -> u32 {
        self.cut.width.saturating_mul(self.scale)
    }
}

/// Letters are enlarged this often at most: more than a wall needs that is looked at as a whole.
const MOST_SCALE: u32 = 100;

/// All sizes of a face, or of both, whose lines are `most` rows high at most; the largest first, of
/// equal ones the narrower.
pub(crate) fn sizes(face: Option<Face>, most: u32) -> Vec<Size> {
    let all =
        [Face::Fixed, Face::Broad].into_iter().filter(|&one| face.is_none_or(|face| face == one));
    let mut sizes: Vec<Size> = all
        .flat_map(cuts)
        .flat_map(|cut| {
            (1..=(most / cut.height).min(MOST_SCALE)).map(move |scale| Size { cut, scale })
        })
        .collect();
    sizes.sort_by_key(|size| (std::cmp::Reverse(size.height()), size.width()));
    sizes
}

/// Lit pixels of a text, before scaling; none of its outer rows and columns is dark throughout.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Mask {
    pub(crate) width: u32,
    pub(crate) height: u32,
    lit: Vec<bool>,
}

impl Mask {
    /// Lines one below the other, each in the middle; `None` where nothing is lit.
    pub(crate) fn of(cut: &Cut, lines: &[Vec<char>]) -> Option<Self> {
        let inks: Vec<_> = lines.iter().map(|line| line_ink(cut, line)).collect();
        let width = inks.iter().flatten().map(|&(left, right)| right - left + 1).max()?;
        let height = cut.height * lines.len() as u32;
        let mut lit = vec![false; width as usize * height as usize];
        for (nth, (line, ink)) in lines.iter().zip(&inks).enumerate() {
            let &Some((left, right)) = ink else { continue };
            let shift = (width - (right - left + 1)) / 2;
            for column in left..=right {
                let Some(&letter) = line.get((column / cut.width) as usize) else { continue };
                for row in (0..cut.height).filter(|&row| cut.lit(letter, column % cut.width, row)) {
                    let row = nth * cut.height as usize + row as usize;
                    let at = row * width as usize + (column - left + shift) as usize;
                    if let Some(pixel) = lit.get_mut(at) {
                        *pixel = true;
                    }
                }
            }
        }
        Some(Self { width, height, lit }.trimmed())
    }

    /// Without the dark rows above and below.
    fn trimmed(mut self) -> Self {
        let width = self.width as usize;
        let dark = |row: &[bool]| !row.contains(&true);
        let above = self.lit.chunks(width).take_while(|row| dark(row)).count();
        let below = self.lit.chunks(width).rev().take_while(|row| dark(row)).count();
        self.lit.truncate(self.lit.len() - below * width);
        self.lit.drain(..above * width);
        self.height -= (above + below) as u32;
        self
    }

    /// Whether a pixel is lit; outside of the mask none is.
    pub(crate) fn lit(&self, column: u32, row: u32) -> bool {
        column < self.width
            && self.lit.get(row as usize * self.width as usize + column as usize) == Some(&true)
    }
}

/// The first and last lit column of a line.
fn line_ink(cut: &Cut, line: &[char]) -> Option<(u32, u32)> {
    let mut inks = line.iter().enumerate().filter_map(|(nth, &letter)| {
        let ink = cut.letter_ink(letter)?;
        Some((nth as u32 * cut.width + ink.left, nth as u32 * cut.width + ink.right))
    });
    let first = inks.next()?;
    Some((first.0, inks.next_back().unwrap_or(first).1))
}

/// Breaks paragraphs into lines of no more than `columns` pixels at the spaces; `None` where a word
/// is longer than a line.
pub(crate) fn wrapped(cut: &Cut, paragraphs: &[Vec<char>], columns: u32) -> Option<Vec<Vec<char>>> {
    let fits =
        |line: &[char]| line_ink(cut, line).is_none_or(|(left, right)| right - left < columns);
    let mut lines = Vec::new();
    for paragraph in paragraphs {
        let mut line: Vec<char> = Vec::new();
        for word in paragraph.split(|&letter| letter == ' ').filter(|word| !word.is_empty()) {
            if !fits(word) {
                return None;
            }
            let longer: Vec<char> = if line.is_empty() {
                word.to_vec()
            } else {
                line.iter().copied().chain([' ']).chain(word.iter().copied()).collect()
            };
            if fits(&longer) {
                line = longer;
            } else {
                lines.push(std::mem::replace(&mut line, word.to_vec()));
            }
        }
        lines.push(line);
    }
    Some(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn smallest() -> &'static Cut {
        cuts(Face::Fixed).next().unwrap()
    }

    fn letters(text: &str) -> Vec<char> {
        text.chars().collect()
    }

    #[test]
    fn larger_sizes_come_first_and_none_is_too_high() {
        let sizes = sizes(None, 16);
        let found: Vec<_> = sizes.iter().map(|size| (size.height(), size.width())).collect();
        let wanted = [
            (16, 10),
            (16, 16),
            (15, 9),
            (14, 10),
            (13, 7),
            (12, 8),
            (10, 6),
            (9, 6),
            (8, 5),
            (8, 8),
            (7, 5),
            (6, 4),
        ];
        assert_eq!(found, wanted);
    }

    #[test]
    fn masks_have_no_dark_edge() {
        let mask = Mask::of(smallest(), &[letters(" i "), letters(""), letters("-")]).unwrap();
        assert!((0..mask.width).any(|column| mask.lit(column, 0)));
        assert!((0..mask.width).any(|column| mask.lit(column, mask.height - 1)));
        assert!(!mask.lit(mask.width, 0) && !mask.lit(0, mask.height));
        assert_eq!(Mask::of(smallest(), &[letters("  ")]), None);
    }

    #[test]
    fn lines_break_at_spaces_only() {
        let broken = |columns| {
            wrapped(smallest(), &[letters("to be or not"), letters("x")], columns).map(|lines| {
                lines.iter().map(|line| line.iter().collect()).collect::<Vec<String>>()
            })
        };
        assert_eq!(broken(100).unwrap(), ["to be or not", "x"]);
        assert_eq!(broken(31).unwrap(), ["to be or", "not", "x"]);
        assert_eq!(broken(30).unwrap(), ["to be", "or not", "x"]);
        assert_eq!(broken(11).unwrap(), ["to", "be", "or", "not", "x"]);
        assert_eq!(broken(10), None);
    }
}
