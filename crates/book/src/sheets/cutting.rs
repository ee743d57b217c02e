//! What is cut from what: boards from sheets, cloth, strip, wire.

use std::collections::BTreeMap;
use std::sync::Arc;

use glowloom_plan::cuts::{Cuts, Label};
use glowloom_plan::material::wire::Use;
use glowloom_units::Metres;

use super::fit::{best, placed};
use super::{Context, Head, Sheet, View};
use crate::draw::table::{Table, figures, ticks, word, words};
use crate::draw::text::{BOLD, PLAIN};
use crate::draw::{Ink, MEDIUM, THICK};
use crate::svg::{Point, Rect};

/// All cutting sheets.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let mut sheets = boards(context);
    sheets.extend(lists(context));
    sheets
}

/// Around a sheet of board.
const MARGINS: [f64; 4] = [16.0, 14.0, 12.0, 20.0];

/// Each way that a sheet of board is cut, to scale.
fn boards(context: &Context<'_>) -> Vec<Sheet> {
    let Some(boards) = &context.plan.material.boards else { return Vec::new() };
    let Some([width, height]) = boards.sheet_m else { return Vec::new() };
    let mut names: Vec<std::slice::Iter<String>> =
        boards.pieces.iter().map(|piece| piece.panels.iter()).collect();
    let mut sheets = Vec::new();
    for layout in &boards.layouts {
        let (frame, ratio) =
            best(context.wall.paper, (width, height), MARGINS, context.wall.figures);
        let mut sheet = Sheet::new("cutting-boards", "Cutting boards", View::None, frame);
        sheet.group = Some("Cutting".into());
        sheet.scale = Some(ratio.to_string());
        sheet.description = format!(
            "A sheet of {} as bought with the boards that are cut from it, hatched what is left.",
            boards.material
        );
        let size = (ratio.drawn(width), ratio.drawn(height));
        let place = placed(&frame.body(), size, MARGINS);
        let drawing = &mut sheet.drawing;
        drawing.begin("sheet of board");
        drawing.rectangle(Some(THICK), Some(Ink::Paper), &place);
        drawing.hatch(&place, 3.0);
        drawing.end();
        drawing.begin("boards");
        for board in &layout.boards {
            let shape = Rect {
                left: place.left + ratio.drawn(board.x_m),
                top: place.top + ratio.drawn(board.y_m),
                width: ratio.drawn(board.width_m),
                height: ratio.drawn(board.height_m),
            };
            drawing.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
            // Equal sheets are drawn once, so a board may be of several panels.
            let of: Vec<String> = (0..layout.sheets)
                .filter_map(|_| names.get_mut(board.piece).and_then(Iterator::next).cloned())
                .collect();
            let text = of.join(", ");
            let middle = shape.middle();
            let room = shape.width - 2.0;
            if shape.height > 9.0 {
                drawing.fitted(BOLD.middle(), middle.by(0.0, -0.6), room, text);
                let size =
                    format!("{} x {}", context.shown(board.width_m), context.shown(board.height_m));
                drawing.fitted(PLAIN.middle(), middle.by(0.0, 3.2), room, size);
            } else if shape.height > 3.5 {
                drawing.fitted(PLAIN.middle(), middle.by(0.0, 0.9), room, text);
            }
        }
        drawing.end();
        let y = place.bottom() + 9.0;
        let text = context.shown(width);
        drawing.dimension(Point::new(place.left, y), Point::new(place.right(), y), &text);
        let x = place.left - 8.0;
        let text = context.shown(height);
        drawing.dimension(Point::new(x, place.bottom()), Point::new(x, place.top), &text);
        let saw = context.wall.board.as_ref().map_or(Metres(0.0), |board| board.saw_cut);
        let thick = context.shown(boards.thickness_m);
        let lines = [
            format!(
                "Cut {} {} so; cuts go from edge to edge",
                layout.sheets,
                if layout.sheets == 1 { "sheet" } else { "sheets" }
            ),
            if saw.0 > 0.0 {
                format!(
                    "{}, {thick} thick, {} lost to each cut",
                    boards.material,
                    context.shown(saw)
                )
            } else {
                format!(
                    "{}, {thick} thick; counted as if nothing were lost to a cut",
                    boards.material
                )
            },
            "Hatched: left over".to_owned(),
            "A knife or a saw with a guide, hands out of its way; saw beside the line, never on it"
                .to_owned(),
        ];
        super::panel_front::notes(drawing, &frame.band(), &lines);
        sheets.push(sheet);
    }
    super::several(sheets)
}

/// Strips, boards and cloth as a list, with boxes.
fn pieces(context: &Context<'_>) -> Table {
    let mut table = Table::new(vec![
        figures("pieces"),
        word("of"),
        words("size", 1.0),
        words("for", 1.4),
        ticks("cut"),
    ]);
    let pitch = context.wall.pitch();
    let mut row = |count: u64, of: &str, size: String, panels: &[String], list: &str| {
        table.row([count.to_string(), of.to_owned(), size, named(panels, list), String::new()]);
    };
    let size = |pixels: u32| {
        let s = if pixels == 1 { "" } else { "s" };
        format!("{pixels} pixel{s}, {} from mark to mark", context.shown(pitch * f64::from(pixels)))
    };
    for (pixels, counts) in strips(&context.plan.cuts).into_iter().rev() {
        let in_order = context.wall.panels.iter();
        let of = in_order.filter_map(|panel| Some((counts.get(&*panel.name)?, &panel.name)));
        let panels: Vec<String> = of.map(|(count, name)| format!("{count} for {name}")).collect();
        row(counts.values().sum(), "strip", size(pixels), &panels, "lists/cuts.csv");
    }
    for piece in &context.plan.cuts.too_long {
        let size = format!("{}: too long for any roll", size(piece.pixels));
        let panels = &context.plan.cuts.panels_too_long;
        row(u64::from(piece.count), "strip", size, panels, "the wall file");
    }
    if let Some(boards) = &context.plan.material.boards {
        for piece in &boards.pieces {
            let size =
                format!("{} x {}", context.shown(piece.width_m), context.shown(piece.height_m));
            let count = piece.panels.len() as u64;
            row(count, &boards.material, size, &piece.panels, "lists/boards.csv");
        }
    }
    if let Some(cloth) = &context.plan.material.cloth {
        for piece in &cloth.pieces {
            let size = format!(
                "{} x {}, sides and wrap included",
                context.shown(piece.width_m),
                context.shown(piece.height_m)
            );
            row(piece.panels.len() as u64, "cloth", size, &piece.panels, "plan.json");
        }
    }
    table
}

/// Names of panels that one row has room for.
const MOST_NAMES: usize = 24;

/// Names one after the other; of very many the first, and where the others are.
fn named(names: &[String], list: &str) -> String {
    match names.get(..MOST_NAMES) {
        Some(first) if names.len() > MOST_NAMES => {
            let more = names.len() - MOST_NAMES;
            format!("{}, and {more} more: see {list}", first.join(", "))
        }
        _ => names.join(", "),
    }
}

/// Whole pieces by their pixels, parts of a strip together: how many for each panel.
fn strips(cuts: &Cuts) -> BTreeMap<u32, BTreeMap<Arc<str>, u64>> {
    let mut pieces: BTreeMap<Label, u32> = BTreeMap::new();
    for (pixels, label) in cuts.rolls_cut.iter().flat_map(|r| r.pieces.iter().zip(&r.labels)) {
        *pieces.entry(Label { part: None, ..label.clone() }).or_default() += pixels;
    }
    let mut strips: BTreeMap<u32, BTreeMap<Arc<str>, u64>> = BTreeMap::new();
    for (label, pixels) in pieces {
        *strips.entry(pixels).or_default().entry(label.panel).or_default() += 1;
    }
    strips
}

/// Every piece and every wire.
fn lists(context: &Context<'_>) -> Vec<Sheet> {
    let head = Head {
        key: "cutting-list".into(),
        name: "Cutting: pieces and wire".into(),
        group: Some("Cutting".into()),
        panels: Vec::new(),
        upright: false,
        note: vec![
            "Cut strip only on the marks between pixels, straight through the pads".into(),
            "Measure each piece before the next: a wrong first piece is repeated".into(),
            "Mains conductors come in made cords: their colours are the cord's".into(),
            "Colours of DC and data are none of the mains' in the convention of the wall file"
                .into(),
            "Column cut: with the spare for ends and mistakes".into(),
        ],
        description:
            "Every piece of strip, board and cloth with its size and panel; every kind of wire \
            with its ends, label, colour, size and lengths."
                .into(),
    };
    let tables = [("Strip, board, cloth", pieces(context)), ("Wire", wires(context))];
    super::listed(context, &head, &tables)
}

fn wires(context: &Context<'_>) -> Table {
    let mut table = Table::new(vec![
        figures("wires"),
        words("from, to", 1.0),
        word("label"),
        word("colour"),
        word("size"),
        figures("laid"),
        figures("cut"),
        words("ends", 0.8),
        ticks("cut"),
    ]);
    for run in &context.plan.material.wires {
        let ends = match (run.soldered, run.lugs) {
            (0, lugs) => format!("{lugs} lugs"),
            (soldered, 0) => format!("{soldered} soldered"),
            (soldered, lugs) => format!("{soldered} soldered, {lugs} lugs"),
        };
        let joins = match run.joins {
            Use::Feed => "supply, strip",
            Use::Jumper => "strip, next strip",
            Use::DataLead => "receiver, first pixel",
            Use::ReceiverSupply => "supply, receiver",
            Use::BoardEarth => "supply's earth, board",
            Use::MainsCord => "plug, supply (in a cord)",
        };
        table.row([
            run.count.to_string(),
            joins.to_owned(),
            run.label.to_owned(),
            run.colour.to_owned(),
            run.size.to_string(),
            context.shown(run.length_m),
            context.shown(run.cut_m),
            ends,
            String::new(),
        ]);
    }
    table
}
