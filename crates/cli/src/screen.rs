//! The wall in a terminal: two pixels to a character, redrawn in place.

use std::fmt::Write;

/// The smallest terminal that is taken to be one.
const SMALLEST: (u16, u16) = (20, 8);

/// A picture of `columns` x `rows` pixels of sRGB, drawn with half blocks in at most `width` x
/// `height` characters. A larger picture is thinned out evenly. Each line ends the style and clears
/// the rest of the line.
pub fn half_blocks(
    rgb: &[[u8; 3]],
    columns: usize,
    rows: usize,
    width: usize,
    height: usize,
) -> String {
    let step = (columns.div_ceil(width.max(1))).max(rows.div_ceil(2 * height.max(1))).max(1);
    let pixel = |column: usize, row: usize| {
        (row < rows).then(|| rgb.get(row * columns + column).copied()).flatten()
    };
    let mut text = String::with_capacity(columns / step * rows / step * 20);
    for row in (0..rows).step_by(2 * step) {
        let mut last = None;
        for column in (0..columns).step_by(step) {
            let here = (pixel(column, row), pixel(column, row + step));
            // Equal neighbours need no new colours.
            if last != Some(here) {
                colours(&mut text, here);
                last = Some(here);
            }
            text.push('▀');
        }
        text.push_str("\x1b[0m\x1b[K\n");
    }
    text
}

/// Upper half in the foreground, lower half in the background.
fn colours(text: &mut String, (upper, lower): (Option<[u8; 3]>, Option<[u8; 3]>)) {
    if let Some([r, g, b]) = upper {
        let _ = write!(text, "\x1b[38;2;{r};{g};{b}m");
    }
    match lower {
        Some([r, g, b]) => {
            let _ = write!(text, "\x1b[48;2;{r};{g};{b}m");
        }
        None => text.push_str("\x1b[49m"),
    }
}

/// Characters across and down of the terminal on standard output; `None` where there is none, or
/// where the user wants no colours.
pub fn size() -> Option<(usize, usize)> {
    use std::io::IsTerminal;
    if !std::io::stdout().is_terminal() {
        return None;
    }
    if matches!(anstream::AutoStream::choice(&std::io::stdout()), anstream::ColorChoice::Never) {
        return None;
    }
    let (terminal_size::Width(width), terminal_size::Height(height)) =
        terminal_size::terminal_size()?;
    let fits = width >= SMALLEST.0 && height >= SMALLEST.1;
    fits.then_some((usize::from(width), usize::from(height)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_pixels_to_a_character() {
        let red = [255, 0, 0];
        let blue = [0, 0, 255];
        let text = half_blocks(&[red, red, blue, blue], 2, 2, 80, 24);
        assert_eq!(text, "\x1b[38;2;255;0;0m\x1b[48;2;0;0;255m▀▀\x1b[0m\x1b[K\n");
    }

    #[test]
    fn an_odd_row_has_no_lower_half() {
        assert_eq!(
            half_blocks(&[[1, 2, 3]], 1, 1, 80, 24),
            "\x1b[38;2;1;2;3m\x1b[49m▀\x1b[0m\x1b[K\n"
        );
    }

    #[test]
    fn a_large_picture_is_thinned_out() {
        let text = half_blocks(&vec![[9, 9, 9]; 300 * 200], 300, 200, 100, 40);
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.len() <= 40);
        assert!(lines.iter().all(|line| line.matches('▀').count() == 100));
    }
}
