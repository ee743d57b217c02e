//! A panel from the front: where strips lie, where they are cut, which way the data runs.

use glowloom_design::wall::{Edge, Path};
use glowloom_units::{Figures, Metres};

use super::board::Board;
use super::fit::{best, placed};
use super::kinds::Kind;
use super::{Context, Sheet, View};
use crate::draw::text::{Anchor, Hand, PLAIN};
use crate::draw::{Drawing, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// Around the board: left, top, right, bottom.
const MARGINS: [f64; 4] = [27.0, 19.0, 19.0, 27.0];

/// The front sheet of a kind of panel.
pub fn draw(context: &Context<'_>, kind: &Kind<'_>) -> Sheet {
    let panel = kind.first;
    let size = glowloom_plan::built::Built::of(context.wall, panel).size();
    let (frame, ratio) = best(context.wall.paper, size, MARGINS, context.wall.figures);
    let letter = kind.letter.to_lowercase();
    let name = format!("Panel {} front", kind.letter);
    let mut sheet = Sheet::new(format!("panel-{letter}-front"), name, View::Front, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some(format!("Panel {}", kind.letter));
    sheet.scale = Some(ratio.to_string());
    let body = frame.body();
    let place = placed(&body, (ratio.drawn(size.0), ratio.drawn(size.1)), MARGINS);
    let board = Board::new(context, panel, ratio, Point::new(place.left, place.top), false);
    sheet.data = board.data();
    sheet.description = format!(
        "The board of {} seen from the front: {} strips of {} pixels, where each is cut, which way the \
         data runs and where strips are joined.",
        sheet.panels.join(", "),
        panel.strip_count(),
        panel.strip_pixels()
    );
    let drawing = &mut sheet.drawing;
    drawing.begin("board");
    board.outline(drawing);
    drawing.end();
    if board.shows_strips() {
        board.strips(drawing, MEDIUM);
        board.joints(drawing, 2.0);
    }
    if board.shows_pixels() {
        board.cut_marks(drawing);
        board.pixels(drawing);
        board.arrows(drawing);
        board.firsts(drawing);
    }
    board.numbers(drawing, Edge::Near, 5.0);
    ordinates(drawing, &board, ratio.size(), context.wall.figures);
    board.sides(drawing, [15.0; 4]);
    sizes(drawing, context, &board, size);
    band(drawing, context, &board, &frame.band());
    sheet
}

/// A length along an edge, for a tape measure: millimetres, or inches.
pub fn tape(length: Metres, figures: Figures) -> String {
    match figures {
        // From ten metres on a tenth of a millimetre means nothing.
        Figures::Metric if length.0 >= 10.0 => format!("{:.0}", length.0 * 1000.0),
        Figures::Metric => format!("{:.1}", length.0 * 1000.0),
        Figures::Imperial => format!("{:.2}", length.0 / 0.0254),
    }
}

/// Where each strip's middle lies, from the left or the top edge as seen, beyond the far edge.
fn ordinates(drawing: &mut Drawing, board: &Board<'_>, size: f64, figures: Figures) {
    let every = board.every(PLAIN.size.height() + 0.7);
    let off = 4.0;
    drawing.begin("places of strips");
    for (_, run) in board.runs() {
        let number = run.first.strip as usize;
        if !number.is_multiple_of(every) {
            continue;
        }
        let pad = board.pad(&run, Edge::Far);
        let (from_left, from_top) = (pad.x - board.edges.left, pad.y - board.edges.top);
        let along = if board.upright() { from_left } else { from_top };
        let text = tape(Metres(along / size / 1000.0), figures);
        let at = board.from(pad, 0.0, off);
        let anchor = |start: bool| if start { Anchor::Start } else { Anchor::End };
        let half = PLAIN.capital() / 2.0;
        if board.upright() {
            let hand = Hand { anchor: anchor(board.away.y < 0.0), up: true, ..PLAIN };
            drawing.text(hand, at.by(half, 0.0), text);
        } else {
            let hand = Hand { anchor: anchor(board.away.x > 0.0), ..PLAIN };
            drawing.text(hand, at.by(0.0, half), text);
        }
    }
    drawing.end();
}

/// Width and height of the board, below it and left of it.
pub fn sizes(
    drawing: &mut Drawing,
    context: &Context<'_>,
    board: &Board<'_>,
    size: (Metres, Metres),
) {
    let Rect { left, top, .. } = board.edges;
    let (right, bottom) = (board.edges.right(), board.edges.bottom());
    let (x, y) = (left - 22.0, bottom + 22.0);
    drawing.begin("dimensions");
    for (from, to) in [
        (Point::new(left, bottom + 19.5), Point::new(left, y + 1.5)),
        (Point::new(right, bottom + 19.5), Point::new(right, y + 1.5)),
        (Point::new(left - 19.5, top), Point::new(x - 1.5, top)),
        (Point::new(left - 19.5, bottom), Point::new(x - 1.5, bottom)),
    ] {
        drawing.line(THIN, from, to);
    }
    let (width, height) = (context.shown(size.0), context.shown(size.1));
    drawing.dimension(Point::new(left, y), Point::new(right, y), &width);
    drawing.dimension(Point::new(x, bottom), Point::new(x, top), &height);
    drawing.end();
}

fn band(drawing: &mut Drawing, context: &Context<'_>, board: &Board<'_>, band: &Rect) {
    let panel = board.panel;
    let figures = context.wall.figures;
    let unit = if figures == Figures::Metric { "mm" } else { "in" };
    let spacing = panel.strip_spacing.unwrap_or(context.wall.pitch());
    let step = |length: Metres| match figures {
        Figures::Metric => format!("{:.2} mm", length.0 * 1000.0),
        Figures::Imperial => format!("{:.3} in", length.0 / 0.0254),
    };
    let path = match panel.path {
        Path::Serpentine => "each next strip runs back",
        Path::Progressive => "each strip starts at the near edge",
    };
    let from = if board.upright() { "left" } else { "top" };
    let (across, along) = (step(spacing), step(context.wall.pitch()));
    let apart = if across == along {
        format!("{across} apart both ways")
    } else {
        format!("strips {across} apart, pixels {along}")
    };
    let mut lines = vec![
        format!("{} strips of {} pixels; {apart}", panel.strip_count(), panel.strip_pixels()),
        format!("At the far edge: middle of a strip, {unit} from the {from} edge"),
        format!("Path: {path}"),
        "Arrows: the data's way. Diamond: first pixel. Cross strokes: cut marks".to_owned(),
    ];
    if panel.data_lines > 1 || panel.spare_pixels > 0 {
        lines.push(format!(
            "Data lines: {}; spare pixels ahead of each: {}, not drawn",
            panel.data_lines, panel.spare_pixels
        ));
    }
    if !board.shows_strips() {
        lines.push("Strips, pixels and cut marks are left out: too small at this scale".to_owned());
    } else if !board.shows_pixels() {
        lines.push("Pixels and cut marks are left out: too small at this scale".to_owned());
    }
    notes(drawing, band, &lines);
}

/// Short lines into a band, broken to its width; what has no room is left out, and said to be.
pub fn notes(drawing: &mut Drawing, band: &Rect, lines: &[String]) {
    let room = band.width - 5.0;
    let step = PLAIN.size.line();
    let mut at = Point::new(band.left + 2.5, band.top + 4.2);
    drawing.begin("notes");
    for line in lines {
        let broken = PLAIN.lines(&crate::draw::text::plain(line), room);
        #[expect(clippy::cast_precision_loss, reason = "lines of a band")]
        let end = at.y + step * (broken.len() as f64 - 1.0);
        if end > band.bottom() - 1.0 {
            drawing.left_out.push(line.clone());
            continue;
        }
        for text in broken {
            drawing.text(PLAIN, at, text);
            at = at.by(0.0, step);
        }
    }
    drawing.end();
}
