//! Texts drawn, as letters of dots.

use super::super::art::shown;
use super::*;

fn style(face: Face, flow: Flow) -> TextStyle {
    TextStyle { face: Some(face), flow, ..TextStyle::default() }
}

fn still(text: &str, style: TextStyle, wall: (u32, u32)) -> String {
    shown(&mut Text::new(text, style, wall).unwrap(), Duration::ZERO, wall)
}

#[test]
fn accents_are_read_on_eight_rows() {
    assert_eq!(
        still("Hé!", style(Face::Fixed, Flow::Still), (14, 7)),
        "\
........#.....
#..#...#.....#
#..#.........#
####...##....#
#..#..#.##...#
#..#..##......
#..#...###...#
"
    );
    assert_eq!(
        still("Åg", style(Face::Broad, Flow::Still), (18, 8)),
        "\
...##.............
...##.............
..........###.##..
..####...##..##...
.##..##..##..##...
.######...#####...
.##..##......##...
.........#####....
"
    );
}

#[test]
fn capitals_fit_five_rows() {
    assert_eq!(
        still("OH", style(Face::Fixed, Flow::Auto), (9, 5)),
        "\
..#..#.#.
.#.#.#.#.
.#.#.###.
.#.#.#.#.
..#..#.#.
"
    );
}

#[test]
fn lines_break_and_stand_in_the_middle() {
    assert_eq!(
        still("ab c", style(Face::Fixed, Flow::Auto), (9, 15)),
        "\
.....#...
.....#...
.###.###.
#..#.#..#
#..#.#..#
.###.###.
.........
.........
.........
.........
....##...
...#.....
...#.....
....##...
.........
"
    );
}

/// Six columns, 20 pixels a second: a pixel every 50 ms, in from the right and out on the left.
#[test]
fn a_text_runs_from_right_to_left_over_and_over() {
    let mut text = Text::new("AB", style(Face::Fixed, Flow::Scroll), (6, 5)).unwrap();
    let mut after = |steps: u32| shown(&mut text, Duration::from_millis(50) * steps, (6, 5));
    let dark = "......\n".repeat(5);
    assert_eq!(after(0), dark);
    assert_eq!(after(3), "....#.\n...#.#\n...###\n...#.#\n...#.#\n");
    assert_eq!(after(6), ".#..##\n#.#.#.\n###.##\n#.#.#.\n#.#.##\n");
    assert_eq!(after(12), "......\n#.....\n......\n#.....\n......\n");
    // Seven columns of text and six of wall: a round.
    assert_eq!(after(13), dark);
    assert_eq!(after(13 * 1_000_000 + 3), after(3));
}

#[test]
fn a_text_is_drawn_again_only_when_it_has_moved() {
    let mut text = Text::new("AB", style(Face::Fixed, Flow::Scroll), (6, 5)).unwrap();
    let mut frame = LinearFrame::new(6, 5);
    let mut at = |ms| text.draw(Duration::from_millis(ms), &mut frame).unwrap();
    assert_eq!(
        [0, 49, 50, 99, 100].map(&mut at),
        [Drawn::New, Drawn::Same, Drawn::New, Drawn::Same, Drawn::New]
    );
}

#[test]
fn colours_are_those_asked_for() {
    let (colour, ground) = (Light([60_000, 5, 7]), Light([1, 2, 300]));
    let style = TextStyle { colour, ground, ..TextStyle::default() };
    let mut frame = LinearFrame::new(40, 12);
    Text::new("Hi", style, (40, 12)).unwrap().draw(Duration::ZERO, &mut frame).unwrap();
    let count = |light: Light| frame.values().chunks(3).filter(|pixel| **pixel == light.0).count();
    assert!(count(colour) > 20);
    assert_eq!(count(colour) + count(ground), 40 * 12);
}

#[test]
fn letters_are_as_large_as_fits_and_as_was_asked() {
    let size = |text: &str, rows, wall| {
        let style = TextStyle { rows: NonZeroU32::new(rows), ..TextStyle::default() };
        let text = Text::new(text, style, wall).unwrap();
        (text.mask.height * text.scale, text.scale, text.running.is_some())
    };
    let (hello, _, runs) = size("HELLO", 0, (60, 32));
    assert!(hello >= 13 && !runs, "{hello}");
    assert_eq!(size("HELLO", 6, (60, 32)), (5, 1, false));
    let (running, _, runs) = size("HELLO-THERE-AND-FAREWELL", 0, (60, 16));
    assert!(runs && running >= 6, "{running}");
}

/// A size that draws a letter as another one is not taken for a text that has it.
#[test]
fn a_letter_is_never_shown_as_another() {
    for rows in 6..=10 {
        let style = TextStyle {
            rows: NonZeroU32::new(rows),
            face: Some(Face::Fixed),
            ..TextStyle::default()
        };
        let picture = |text| still(text, style, (12, 12));
        assert_ne!(picture("Å"), picture("Â"), "{rows}");
        assert_ne!(picture("É"), picture("E"), "{rows}");
    }
}

#[test]
fn typographic_signs_come_plain() {
    let picture = |text| still(text, TextStyle::default(), (60, 12));
    assert_eq!(picture("\u{201C}a\u{2013}b\u{201D}"), picture("\"a-b\""));
    assert_eq!(picture("a\u{AD}b"), picture("ab"));
}

#[test]
fn what_cannot_be_shown_is_told() {
    let error = |text: &str, flow, wall| {
        let style = TextStyle { flow, ..TextStyle::default() };
        Text::new(text, style, wall).map(|_| ()).unwrap_err()
    };
    let wall = (60, 32);
    assert_eq!(error("", Flow::Auto, wall), LetteringError::NoText);
    assert_eq!(error(" \n\u{A0}", Flow::Auto, wall), LetteringError::NoText);
    assert_eq!(error("a\u{6F22}", Flow::Auto, wall), LetteringError::NoLetter('\u{6F22}'));
    assert_eq!(error("a\u{1B}", Flow::Auto, wall), LetteringError::NoLetter('\u{1B}'));
    let long = "a".repeat(2001);
    assert_eq!(
        error(&long, Flow::Auto, wall),
        LetteringError::TooLong { letters: 2001, most: 2000 }
    );
    let few = TextStyle { rows: NonZeroU32::new(5), ..TextStyle::default() };
    assert_eq!(
        Text::new("a", few, wall).map(|_| ()),
        Err(LetteringError::TooFewRows { rows: 5, least: 6 })
    );
    for (flow, wanted) in [(Flow::Still, (39, 6)), (Flow::Wrap, (19, 10)), (Flow::Scroll, (1, 6))] {
        let LetteringError::WallTooSmall { wall, least, .. } = error("open until", flow, (8, 4))
        else {
            panic!("{flow:?}")
        };
        assert_eq!((wall, least), ((8, 4), wanted), "{flow:?}");
        let style = TextStyle { flow, ..TextStyle::default() };
        assert!(Text::new("open until", style, least).is_ok(), "{flow:?}");
    }
}

/// Any wall, any text: an answer, and no panic.
#[test]
fn odd_walls_are_no_trap() {
    let long = "lorem ipsum ".repeat(160);
    for wall in [(0, 0), (0, 9), (9, 0), (1, 1), (1, 300), (300, 1), (3000, 2000), (65_535, 6)] {
        for flow in [Flow::Auto, Flow::Still, Flow::Wrap, Flow::Scroll] {
            for text in ["i", "Hello there", &long] {
                let style = TextStyle { flow, ..TextStyle::default() };
                let _ = Text::new(text, style, wall).map(|mut text| {
                    let mut frame = LinearFrame::new(7, 3);
                    text.draw(Duration::MAX, &mut frame).unwrap();
                });
            }
        }
    }
}
