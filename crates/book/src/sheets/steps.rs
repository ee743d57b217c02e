//! The assembly steps: what to mind, how it is done, what to tick off, what a meter should show.

use std::rc::Rc;

use glowloom_plan::steps::{Caution, Check, Section, Step, Task};

use super::flow::{Block, Mark, column, flow, middle};
use super::{Context, Frame, Sheet, View, panel_front, several};
use crate::draw::text::{BOLD, NAME, PLAIN, plain};
use crate::steps::duration;
use crate::svg::{Point, Rect};

/// Below a block.
const AIR: f64 = 1.1;
/// From the column's edge to words behind a box.
const INSET: f64 = 5.0;
/// Names of tasks are as wide as this at most, before their words go below them.
const NAMES: f64 = 34.0;
/// A box to write a reading into.
const FIELD: (f64, f64) = (22.0, 5.4);

/// All steps, each section on sheets of its own.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let frame = Frame::new(context.wall.paper, true);
    let mut sheets = Vec::new();
    let mut number = 0;
    for (i, section) in context.steps.sections.iter().enumerate() {
        let blocks = blocks(section, &mut number, column(&frame));
        let drawings = flow(&frame, &blocks);
        let own = drawings.into_iter().map(|drawing| {
            let name = match &section.panel {
                Some(_) => "Assembly".to_owned(),
                None => format!("Assembly: {}", section.title.to_lowercase()),
            };
            let mut sheet = Sheet::new(format!("steps-{}", i + 1), name, View::None, frame);
            sheet.group = Some("Assembly steps".into());
            sheet.panels = section.panel.iter().cloned().collect();
            sheet.description = format!("Assembly steps: {}.", section.title);
            sheet.drawing = drawing;
            panel_front::notes(&mut sheet.drawing, &frame.band(), &notes());
            sheet
        });
        sheets.extend(several(own.collect()));
    }
    sheets
}

fn notes() -> [String; 4] {
    [
        "Box: tick when done. The journal takes the bold words: glowloom done WALL WORDS"
            .to_owned(),
        "Circle: read or see before going on; write the reading into its box".to_owned(),
        "Front and back, left and right: as each line says".to_owned(),
        "Durations are estimates (common practice, no source)".to_owned(),
    ]
}

fn blocks(section: &Section, number: &mut u32, width: f64) -> Vec<Block> {
    let mut all = Vec::new();
    for step in &section.steps {
        *number += 1;
        let within: Rc<str> = format!("{number}. {}", step.title).into();
        all.push(title(step, &within, width));
        let mut own: Vec<Block> = Vec::new();
        own.extend(step.cautions.iter().map(|caution| mind(caution, width)));
        own.extend(step.lines.iter().map(|line| sentence(line, width)));
        let names = names(&step.tasks);
        // What is ticked off is done when all readings are.
        own.extend(step.checks.iter().map(|check| read(check, width)));
        own.extend(step.tasks.iter().map(|task| tick(task, names, width)));
        // A step does not begin at the foot of a column with its cautions alone.
        for block in own.iter_mut().take(step.cautions.len()) {
            block.with_next = true;
        }
        for block in &mut own {
            block.within = Some(Rc::clone(&within));
            block.height += AIR;
        }
        if let Some(last) = own.last_mut() {
            last.height += 2.5;
        }
        all.extend(own);
    }
    all
}

/// Number, title and how long it takes.
fn title(step: &Step, words: &str, width: f64) -> Block {
    let mut block = Block { with_next: true, ..Block::default() };
    block.marks.push(Mark::Rule(0.0));
    let time = if step.estimate.0 > 0.0 {
        format!("about {}", duration(step.estimate))
    } else {
        String::new()
    };
    let right = width - PLAIN.width(&time) - 2.0;
    block.words(NAME, 0.0, right, 1.6, words);
    if !time.is_empty() {
        let at = Point::new(width, 1.6 + NAME.size.height());
        block.marks.push(Mark::Text(PLAIN.end(), at, time));
    }
    block.height += 1.4;
    block
}

/// What may hurt: barred at its left, so that no eye passes it.
fn mind(caution: &Caution, width: f64) -> Block {
    let mut block = Block::default();
    let word = caution.danger.word();
    block.marks.push(Mark::Hazard(Point::new(3.4, middle(0.0))));
    block.words(BOLD, 6.0, width, 0.0, word);
    // The text goes on behind its word.
    let inset = BOLD.width(word) + 1.6;
    let lines = behind(&plain(&caution.text), width - 6.0, inset);
    let mut y = 0.0;
    for (i, line) in lines.into_iter().enumerate() {
        let left = if i == 0 { 6.0 + inset } else { 6.0 };
        block.marks.push(Mark::Text(PLAIN, Point::new(left, y + PLAIN.size.height()), line));
        y += PLAIN.size.line();
    }
    block.height = block.height.max(y);
    let bar = Rect { left: 0.0, top: 0.2, width: 0.9, height: block.height - 0.4 };
    block.marks.push(Mark::Bar(bar));
    block
}

/// A text broken to a width whose first line begins further in, and is empty where no word has room there.
fn behind(text: &str, room: f64, inset: f64) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let fits = |count: &usize| {
        let start = words.get(..*count).unwrap_or_default().join(" ");
        PLAIN.width(&start) <= room - inset
    };
    let count = (1..=words.len()).take_while(fits).last().unwrap_or(0);
    let (first, rest) = words.split_at(count);
    std::iter::once(first.join(" ")).chain(PLAIN.lines(&rest.join(" "), room)).collect()
}

fn sentence(text: &str, width: f64) -> Block {
    let mut block = Block::default();
    block.marks.push(Mark::Text(PLAIN, Point::new(0.6, PLAIN.size.height()), "–".into()));
    block.words(PLAIN, 3.2, width, 0.0, text);
    block
}

/// How much room the names of a step's tasks take, if their words stand beside them.
fn names(tasks: &[Task]) -> f64 {
    let wide = |task: &Task| BOLD.width(&plain(&task.what.to_string()));
    let all = tasks.iter().map(wide).filter(|wide| *wide <= NAMES);
    all.fold(0.0, f64::max)
}

fn tick(task: &Task, names: f64, width: f64) -> Block {
    let mut block = Block::default();
    let name = plain(&task.what.to_string());
    block.marks.push(Mark::Tick(Point::new(1.7, middle(0.0))));
    let below = block.words(BOLD, INSET, width, 0.0, &name);
    if BOLD.width(&name) <= names {
        block.words(PLAIN, INSET + names + 2.0, width, 0.0, &task.words);
    } else {
        block.words(PLAIN, INSET + 3.0, width, below, &task.words);
    }
    block
}

fn read(check: &Check, width: f64) -> Block {
    let mut block = Block::default();
    block.marks.push(Mark::See(Point::new(1.7, middle(0.0))));
    let mut y = block.words(PLAIN, INSET, width, 0.0, &check.words);
    if let Some(reading) = check.reading {
        let text = reading.to_string();
        let shape = Rect { left: width - FIELD.0, top: y + 0.4, width: FIELD.0, height: FIELD.1 };
        block.marks.push(Mark::Field(shape));
        // Beside the box, its middle as high as the box's.
        let end = block.words(BOLD, INSET, width - FIELD.0 - 2.0, y + 1.4, &text);
        y = end.max(y + FIELD.1 + 1.6);
    }
    let otherwise = format!("Otherwise: {}", check.otherwise);
    block.words(PLAIN, INSET + 3.0, width, y, &otherwise);
    block
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_is_lost_behind_another() {
        let text = "one two three four five six seven eight nine ten eleven twelve";
        for inset in [0.0, 5.0, 12.0, 29.0] {
            let lines = behind(text, 30.0, inset);
            assert_eq!(lines.join(" ").trim_start(), text, "{inset}");
            let wide = |line: &String| PLAIN.width(line);
            assert!(wide(&lines[0]) <= 30.0 - inset, "{inset} {lines:?}");
            assert!(lines.iter().skip(1).all(|line| wide(line) <= 30.0), "{lines:?}");
        }
    }
}
