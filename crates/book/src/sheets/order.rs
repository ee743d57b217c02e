//! The order of work: what is done when, and which sheets lie beside it.

use super::{Context, Sheet};
use crate::draw::Drawing;
use crate::draw::text::{BOLD, NAME, PLAIN};
use crate::svg::{Point, Rect};

/// More numbers than these in a row of them are not read.
const MOST_RUNS: usize = 4;

/// Something to do, or what lies beside it while it is done.
struct Line<'s> {
    /// Whether it is a step of its own.
    step: bool,
    words: &'static str,
    sheets: Vec<&'s Sheet>,
}

fn lines<'s>(context: &Context<'_>, others: &'s [Sheet]) -> Vec<Line<'s>> {
    let of = |words: &[&str]| -> Vec<&Sheet> {
        others.iter().filter(|sheet| words.iter().any(|word| sheet.key.contains(word))).collect()
    };
    let assembly = |section: usize| -> Vec<&Sheet> {
        let (whole, part) = (format!("steps-{section}"), format!("steps-{section}-"));
        let of_section = |sheet: &&Sheet| sheet.key == whole || sheet.key.starts_with(&part);
        others.iter().filter(of_section).collect()
    };
    let last = context.wall.panels.len() + 2;
    let panels = (2..last).flat_map(assembly).collect();
    let step = |words, sheets| Line { step: true, words, sheets };
    let beside = |words, sheets| Line { step: false, words, sheets };
    let mut lines = vec![
        step(
            "Read what the plan has to say; mend the wall file until it is sound",
            of(&["findings"]),
        ),
        step("Buy", of(&["shopping"])),
        step("Measure one roll, then cut everything", assembly(1)),
        beside("rolls, boards, cloth and wire", of(&["cutting"])),
    ];
    if context.plan.tiles.is_some() {
        lines.push(beside("print tiles meanwhile", of(&["printing"])));
    }
    lines.extend([
        step("Build panel by panel, each to its end", panels),
        beside("to mark out: front, templates", of(&["-front", "-template"])),
        beside("to join: joints", of(&["-joints"])),
        beside("to wire: mains side, then feeds, from the back", of(&["-back", "mains", "-dc"])),
        beside("at first power: volts and where to measure", of(&["-volts", "-measuring"])),
        step("Hang the panels, then light the wall", assembly(last)),
        beside("where each hangs", of(&["elevation", "hanging"])),
    ]);
    lines
}

/// Numbers of sheets: `sheets 3 to 5, 9`.
fn numbers(sheets: &[&Sheet]) -> String {
    let all: Vec<usize> = sheets.iter().map(|sheet| sheet.number).collect();
    let runs: Vec<String> = all
        .chunk_by(|a, b| a + 1 == *b)
        .filter_map(|run| match run {
            [] => None,
            [one] => Some(one.to_string()),
            [one, two] => Some(format!("{one}, {two}")),
            [first, .., last] => Some(format!("{first} to {last}")),
        })
        .collect();
    match (&*all, runs.len()) {
        ([], _) => String::new(),
        ([one], _) => format!("sheet {one}"),
        (_, ..=MOST_RUNS) => format!("sheets {}", runs.join(", ")),
        ([first, ..], _) => format!("sheets from {first} on"),
    }
}

/// Draws the order of work into a room.
pub fn draw(drawing: &mut Drawing, context: &Context<'_>, room: &Rect, others: &[Sheet]) {
    let mut at = Point::new(room.left + 4.0, room.top + 6.0);
    drawing.begin("order of work");
    drawing.text(NAME, at, "Order of work");
    at = at.by(0.0, 5.5);
    let width = room.width - 10.0;
    let mut number = 0;
    for line in lines(context, others) {
        if at.y > room.bottom() - 1.0 {
            break;
        }
        let beside = numbers(&line.sheets);
        let left = if line.step {
            number += 1;
            drawing.tick_box(at.by(1.5, -0.9));
            drawing.text(BOLD.end(), at.by(8.6, 0.0), number.to_string());
            10.0
        } else {
            15.0
        };
        drawing.text(PLAIN.end(), at.by(width, 0.0), &beside);
        let hand = if line.step { BOLD } else { PLAIN };
        let free = width - left - 0.5 - PLAIN.width(&beside) - 3.0;
        drawing.fitted(hand, at.by(left, 0.0), free, line.words);
        at = at.by(0.0, 4.6);
    }
    drawing.end();
}

#[cfg(test)]
mod tests {
    use super::super::{Frame, View};
    use super::*;

    #[test]
    fn numbers_of_sheets_in_words() {
        let frame = Frame::new(glowloom_design::wall::Paper::A4, true);
        let said = |all: &[usize]| {
            let sheets: Vec<Sheet> = all
                .iter()
                .map(|number| {
                    let mut sheet = Sheet::new("key", "name", View::None, frame);
                    sheet.number = *number;
                    sheet
                })
                .collect();
            numbers(&sheets.iter().collect::<Vec<_>>())
        };
        assert_eq!(said(&[]), "");
        assert_eq!(said(&[3]), "sheet 3");
        assert_eq!(said(&[3, 4, 9]), "sheets 3, 4, 9");
        assert_eq!(said(&[3, 4, 5, 9]), "sheets 3 to 5, 9");
        assert_eq!(said(&[1, 3, 5, 7, 9]), "sheets from 1 on");
    }
}
