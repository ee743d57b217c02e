//! Which tile goes where on each panel, and what is printed on which day.

use glowloom_design::wall::{Baffle, Direction, Panel};
use glowloom_plan::built::Built;
use glowloom_plan::tiles::Tiles;
use glowloom_plan::tiles::kinds::{ends_word, partition};
use glowloom_plan::tiles::partition::Run;
use glowloom_units::Metres;

use super::fit::{best, placed};
use super::kinds::Kind;
use super::{Context, Head, Sheet, View};
use crate::draw::table::{Table, boxes, field, figures, ticks, word, words};
use crate::draw::text::{BOLD, PLAIN};
use crate::draw::{Drawing, Ink, MEDIUM, THICK};
use crate::parts::words as said;
use crate::svg::{Point, Rect};
use glowloom_plan::steps::counted;

/// All printing sheets; none where nothing is printed.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let (Some(tiles), Some(baffle)) = (&context.plan.tiles, &context.wall.baffle) else {
        return Vec::new();
    };
    let mut sheets: Vec<Sheet> =
        context.kinds.iter().filter_map(|kind| map(context, baffle, kind)).collect();
    sheets.extend(lists(context, tiles));
    sheets
}

/// Around the panel.
const MARGINS: [f64; 4] = [16.0, 16.0, 16.0, 16.0];

/// One tile of a panel before its turn: first column, first row, columns, rows, word for its ends.
type Tile = (u32, u32, u32, u32, &'static str);

/// Starts and lengths of parts.
fn parts(runs: &[Run]) -> Vec<(u32, u32)> {
    let mut at = 0;
    let mut found = Vec::new();
    for run in runs {
        for _ in 0..run.parts {
            found.push((at, run.cells));
            at += run.cells;
        }
    }
    found
}

/// Every tile of a panel, in its own columns and rows.
fn tiles(context: &Context<'_>, baffle: &Baffle, panel: &Panel) -> Option<Vec<Tile>> {
    let partition = partition(context.wall, baffle, panel)?;
    let (across, along) = (parts(&partition.across), parts(&partition.along));
    let mut found = Vec::new();
    for (i, (down, rows)) in along.iter().enumerate() {
        let ends = u8::from(i == 0) + u8::from(i + 1 == along.len());
        for (right, columns) in &across {
            found.push(match panel.strips {
                Direction::Vertical => (*right, *down, *columns, *rows, ends_word(ends)),
                Direction::Horizontal => (*down, *right, *rows, *columns, ends_word(ends)),
            });
        }
    }
    Some(found)
}

fn map(context: &Context<'_>, baffle: &Baffle, kind: &Kind<'_>) -> Option<Sheet> {
    let panel = kind.first;
    let all = tiles(context, baffle, panel)?;
    let built = Built::of(context.wall, panel);
    let size = built.size();
    let (frame, ratio) = best(context.wall.paper, size, MARGINS, context.wall.figures);
    let key = format!("printing-panel-{}", kind.letter.to_lowercase());
    let name = format!("Printing: tiles of panel {}", kind.letter);
    let mut sheet = Sheet::new(key, name, View::Front, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some("Printing".into());
    sheet.scale = Some(ratio.to_string());
    sheet.description =
        format!("Which of {} tiles goes where on the panel, with boxes to tick.", all.len());
    let place = placed(&frame.body(), (ratio.drawn(size.0), ratio.drawn(size.1)), MARGINS);
    let drawing = &mut sheet.drawing;
    let (step_right, step_down) = built.steps();
    drawing.begin("tiles");
    for (column, row, columns, rows, ends) in &all {
        let hung = turned(panel, (*column, *row, *columns, *rows));
        let (right, down) = (step_right * f64::from(hung.0), step_down * f64::from(hung.1));
        let (wide, high) = (step_right * f64::from(hung.2), step_down * f64::from(hung.3));
        let of = |length: Metres| ratio.drawn(length);
        let shape = Rect {
            left: place.left + of(right),
            top: place.top + of(down),
            width: of(wide),
            height: of(high),
        };
        drawing.rectangle(Some(MEDIUM), Some(Ink::Paper), &shape);
        let (w, h) = match panel.strips {
            Direction::Vertical => (columns, rows),
            Direction::Horizontal => (rows, columns),
        };
        let middle = shape.middle();
        let room = shape.width - 1.6;
        let hand = BOLD.middle();
        let name = format!("{w} x {h}");
        if shape.height > 15.0 && shape.width > 9.0 {
            drawing.fitted(hand, middle.by(0.0, -2.4), room, name);
            drawing.fitted(PLAIN.middle(), middle.by(0.0, 1.2), room, ends);
            for k in 0..kind.panels.len().min(6) {
                #[expect(clippy::cast_precision_loss, reason = "six at most")]
                let off = (k as f64 - (kind.panels.len().min(6) as f64 - 1.0) / 2.0) * 4.0;
                if off.abs() + 1.6 < shape.width / 2.0 {
                    drawing.tick_box(middle.by(off, 5.0));
                }
            }
        } else if shape.height > 3.4 {
            drawing.fitted(hand, middle.by(0.0, hand.capital() / 2.0), room, name);
        }
        if *ends != "plain" {
            open_edges(drawing, panel, hung, &shape);
        }
    }
    drawing.end();
    drawing.rectangle(Some(THICK), None, &place);
    let middle = place.middle();
    let half = BOLD.capital() / 2.0;
    drawing.text(BOLD.middle(), Point::new(middle.x, place.top - 6.0), "TOP");
    drawing.text(BOLD.middle(), Point::new(middle.x, place.bottom() + 8.0), "BOTTOM");
    drawing.text(BOLD.middle().up(), Point::new(place.left - 6.0 + half, middle.y), "LEFT");
    drawing.text(BOLD.middle().up(), Point::new(place.right() + 6.0 + half, middle.y), "RIGHT");
    let lines = [
        "In a tile: cells across the strips x cells along them, and its sort".to_owned(),
        "End tiles: the thick inner line is the open edge, with room for joints, on the panel's edge"
            .to_owned(),
        format!(
            "One box for {}: {}",
            match kind.panels.len() {
                1 => "the panel".to_owned(),
                panels => format!("each of {panels} panels"),
            },
            if kind.panels.len() > 6 { "the first six" } else { "tick when it is in its place" }
        ),
    ];
    super::panel_front::notes(drawing, &frame.band(), &lines);
    Some(sheet)
}

/// A line inside each edge of a tile that is over ends of strips.
fn open_edges(
    drawing: &mut Drawing,
    panel: &Panel,
    (column, row, columns, rows): (u32, u32, u32, u32),
    shape: &Rect,
) {
    let (all_columns, all_rows) = panel.hung();
    let upright = (panel.strips == Direction::Vertical) != panel.turn.swaps();
    let inset = 1.0_f64.min(shape.width / 4.0).min(shape.height / 4.0);
    let (left, right) = (shape.left + inset, shape.right() - inset);
    let (top, bottom) = (shape.top + inset, shape.bottom() - inset);
    let edges = match upright {
        true => [
            (row == 0, (left, top), (right, top)),
            (row + rows == all_rows, (left, bottom), (right, bottom)),
        ],
        false => [
            (column == 0, (left, top), (left, bottom)),
            (column + columns == all_columns, (right, top), (right, bottom)),
        ],
    };
    for (open, (x, y), (u, v)) in edges {
        if open {
            drawing.line(THICK, Point::new(x, y), Point::new(u, v));
        }
    }
}

/// A rectangle of cells of a panel as it hangs: the panel's turn is clockwise.
fn turned(
    panel: &Panel,
    (column, row, columns, rows): (u32, u32, u32, u32),
) -> (u32, u32, u32, u32) {
    use glowloom_design::wall::Turn;
    let (right, bottom) = (panel.columns - column - columns, panel.rows - row - rows);
    match panel.turn {
        Turn::None => (column, row, columns, rows),
        Turn::Quarter => (bottom, column, rows, columns),
        Turn::Half => (right, bottom, columns, rows),
        Turn::ThreeQuarters => (row, right, rows, columns),
    }
}

/// Prints of a part that are ticked one by one; of more there is a line to write on.
const MOST_BOXES: u64 = 400;

fn schedule(tiles: &Tiles) -> Table {
    let mut table = Table::new(vec![
        word("part"),
        words("what", 1.0),
        figures("wanted"),
        figures("on a plate"),
        figures("prints"),
        figures("h each"),
        boxes("printed", 1.6),
    ]);
    for plate in &tiles.plates {
        let kind = tiles.kinds.iter().find(|kind| kind.name == plate.part);
        let what = kind.map_or_else(|| "strip of the rim".into(), said::kind);
        let rim = tiles.rim.iter().find(|kind| kind.name == plate.part);
        let wanted = kind.map(|kind| kind.per_wall).or(rim.map(|kind| kind.per_wall));
        let boxes = if plate.times <= MOST_BOXES {
            plate.times.to_string()
        } else {
            format!("______ of {}", plate.times)
        };
        table.row([
            plate.part.clone(),
            what,
            wanted.map_or_else(String::new, |n| n.to_string()),
            plate.copies.to_string(),
            plate.times.to_string(),
            format!("{:.1}", plate.hours_each.0),
            boxes,
        ]);
    }
    table
}

/// What is printed how often, and when.
fn lists(context: &Context<'_>, tiles: &Tiles) -> Vec<Sheet> {
    let head = Head {
        key: "printing-list".into(),
        name: "Printing: what and when".into(),
        group: Some("Printing".into()),
        panels: Vec::new(),
        upright: false,
        note: vec![
            format!(
                "{} of {} filament, {}; {} is left on the last",
                tiles.filament_kg.shown(context.wall.figures),
                context.wall.baffle.as_ref().map_or("", |baffle| baffle.material.as_str()),
                counted(tiles.spools, "spool"),
                tiles.left_over_kg.shown(context.wall.figures)
            ),
            format!("{:.0} h in all, {}", tiles.hours.0, said::days(tiles)),
            "First lines, skirts and failed prints come on top. Files: parts/".into(),
            "Print one tile first and lay it over two strips that are joined".into(),
            "Never leave a printer alone where it could burn".into(),
        ],
        description: "Every part to print, how often, how long and on which day, with boxes."
            .into(),
    };
    let hours = context.wall.baffle.as_ref().map_or(0.0, |baffle| baffle.hours_per_day);
    let days = format!("Calendar: days of {hours} h; what does not fit begins the next morning");
    let tables = [("What and how often", schedule(tiles)), (days.as_str(), calendar(tiles))];
    super::listed(context, &head, &tables)
}

fn calendar(tiles: &Tiles) -> Table {
    let mut table =
        Table::new(vec![word("days"), words("prints", 1.0), field("begun on"), ticks("done")]);
    for stretch in &tiles.calendar {
        let words = said::stretch(stretch);
        let (days, prints) = words.split_once(": ").unwrap_or((&words, ""));
        table.row([days.to_owned(), prints.to_owned(), String::new(), String::new()]);
    }
    table
}
