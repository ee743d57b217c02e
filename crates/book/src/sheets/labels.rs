//! Labels to cut out, as large as they are.

use super::panel_front::notes;
use super::{Context, Frame, Sheet, View, several};
use crate::code::{Code, QUIET};
use crate::draw::text::{NAME, PLAIN, is_legible, plain};
use crate::draw::{Drawing, Ink, Step, THIN, corners};
use crate::labels::{Label, Thing, labels};
use crate::svg::{Point, Rect};

/// A label, mm.
const LABEL: (f64, f64) = (60.0, 19.0);
/// Its code with the light margin, mm: squares of a third of a millimetre and more, which any phone
/// reads (common practice, no source).
const CODE: f64 = 17.0;
/// Between what is printed and a line to cut along, mm.
const INSET: f64 = 1.0;
/// Labels side by side.
const COLUMNS: usize = 3;
/// From baseline to baseline, mm.
const LEADING: f64 = 3.8;
/// More sheets than this are no part of a book.
const MOST_SHEETS: usize = 32;

/// The sheets of all labels; of a wall with very many, of the labels that matter most.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let frame = Frame::new(context.wall.paper, true);
    let body = frame.body();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "about a dozen")]
    let rows = (body.height / LABEL.1).floor() as usize;
    let each = COLUMNS * rows.max(1);
    let (all, left_out) = kept(labels(context.wall, context.plan), each);
    let band = band(context, left_out);
    let sheets = all.chunks(each).map(|here| {
        let mut sheet = Sheet::new("labels", "Labels", View::None, frame);
        sheet.group = Some("Labels".into());
        sheet.scale = Some("1:1".into());
        sheet.panels = here.iter().map(|label| label.panel.clone()).collect();
        sheet.panels.dedup();
        // A code is read dark on light.
        sheet.daylight = true;
        sheet.description = format!(
            "{} labels to cut out, each with a code that leads to its panel's part of the book's page.",
            here.len()
        );
        let drawing = &mut sheet.drawing;
        #[expect(clippy::cast_precision_loss, reason = "about a dozen")]
        let size = (LABEL.0 * COLUMNS as f64, LABEL.1 * rows as f64);
        let left = body.left + (body.width - size.0) / 2.0;
        let top = body.top + (body.height - size.1) / 2.0;
        for (number, label) in here.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "about a dozen")]
            let (column, row) = ((number % COLUMNS) as f64, (number / COLUMNS) as f64);
            let (width, height) = LABEL;
            let corner = Point::new(left + column * width, top + row * height);
            one(drawing, label, &Rect { left: corner.x, top: corner.y, width, height });
        }
        notes(drawing, &frame.band(), &band);
        sheet
    });
    several(sheets.collect())
}

/// As many sorts of labels as the sheets hold, those of panels first, and what is left out then.
fn kept(all: Vec<Label>, each: usize) -> (Vec<Label>, Option<&'static str>) {
    let fits = |count: usize| count.div_ceil(each) <= MOST_SHEETS;
    let up_to = |most: Thing| all.iter().filter(move |label| label.thing <= most);
    if fits(all.len()) {
        return (all, None);
    }
    if fits(up_to(Thing::Receiver).count()) {
        return (up_to(Thing::Receiver).cloned().collect(), Some("strips, leads and feeds"));
    }
    let panels = up_to(Thing::Panel).take(MOST_SHEETS * each).cloned().collect();
    (panels, Some("receivers, strips, leads and feeds"))
}

fn band(context: &Context<'_>, left_out: Option<&str>) -> Vec<String> {
    let mut lines = vec!["Print at 100 %: a label is 60 x 19 mm. Cut along the lines".to_owned()];
    lines.extend(left_out.map(|things| {
        format!("Too many to draw: those of {things} are in lists/labels.csv, for a label printer")
    }));
    match context.wall.book_page {
        Some(_) => lines.push(
            "A phone that reads a code opens its panel's part of the book's page, as long as it reaches the \
             address in [book] of the wall file"
                .into(),
        ),
        None => lines.push(format!(
            "The wall file has no [book] page, so a phone that reads a code shows its words alone, such as {}: \
             open that file of this book and choose the panel there",
            crate::anchor::address(context.wall, 0)
        )),
    }
    lines
}

fn one(drawing: &mut Drawing, label: &Label, place: &Rect) {
    drawing.begin(format!("{}, {}", label.panel, label.title));
    drawing.rectangle(Some(THIN), Some(Ink::Paper), place);
    let mut left = place.left + INSET + 1.0;
    if let Some(code) = Code::of(&label.address) {
        let corner = Point::new(place.left + INSET, place.top + INSET);
        let about = vec![("code", label.address.clone())];
        drawing.known(squares(&code, corner), None, Some(Ink::Black), about);
        left = place.left + INSET + CODE;
    }
    let room = place.right() - INSET - left;
    let mut at = Point::new(left, place.top + INSET + NAME.size.height());
    drawing.fitted(NAME, at, room, &label.title);
    // A name that has to be cut, or has letters that the font has not, is told from others by its number.
    let name = plain(&label.panel);
    let name = if PLAIN.width(&name) <= room && is_legible(&name) {
        name
    } else {
        format!("{}: {name}", label.number)
    };
    for line in std::iter::once(&name).chain(&label.lines) {
        at = at.by(0.0, LEADING);
        drawing.fitted(PLAIN, at, room, line);
    }
    drawing.end();
}

/// A code's dark squares, row by row.
fn squares(code: &Code, corner: Point) -> Vec<Step> {
    let step = CODE / f64::from(code.side + 2 * QUIET);
    let bar = |(column, row, count): (u32, u32, u32)| {
        corners(&Rect {
            left: corner.x + f64::from(column + QUIET) * step,
            top: corner.y + f64::from(row + QUIET) * step,
            width: f64::from(count) * step,
            height: step,
        })
    };
    code.bars().flat_map(bar).collect()
}
