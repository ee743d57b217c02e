//! A panel from the back, mirrored: where feeds land, where supply and receiver are, how wires run.

use glowloom_design::wall::{Edge, Panel, SupplyOn};
use glowloom_plan::path::Run;
use glowloom_plan::power::FeedPower;
use glowloom_plan::power::figures::edge_key;
use glowloom_plan::structure::balance::supply_place;
use glowloom_units::Metres;

use super::board::Board;
use super::fit::{best, placed};
use super::kinds::Kind;
use super::panel_front::{notes, sizes};
use super::{Context, Sheet, View};
use crate::draw::table::{Table, figures, word, words};
use crate::draw::text::BOLD;
use crate::draw::{CHAIN, DASHED, Drawing, Ink, MEDIUM, THIN};
use crate::svg::{Point, Rect};

/// Around the board: left, top, right, bottom.
const MARGINS: [f64; 4] = [27.0, 19.0, 19.0, 27.0];

/// The plan's figures of a panel; `None` where its network has no answer.
pub fn power<'c>(
    context: &Context<'c>,
    panel: &Panel,
) -> Option<&'c glowloom_plan::power::PanelPower> {
    context.plan.power.panels.get(panel.number)
}

/// The back of a kind of panel.
pub fn draw(context: &Context<'_>, kind: &Kind<'_>) -> Sheet {
    let panel = kind.first;
    let size = glowloom_plan::built::Built::of(context.wall, panel).size();
    let (frame, ratio) = best(context.wall.paper, size, MARGINS, context.wall.figures);
    let letter = kind.letter.to_lowercase();
    let name = format!("Panel {} back", kind.letter);
    let mut sheet = Sheet::new(format!("panel-{letter}-back"), name, View::Back, frame);
    sheet.panels = context.names(kind);
    sheet.group = Some(format!("Panel {}", kind.letter));
    sheet.scale = Some(ratio.to_string());
    let body = frame.body();
    let place = placed(&body, (ratio.drawn(size.0), ratio.drawn(size.1)), MARGINS);
    let board = Board::new(context, panel, ratio, Point::new(place.left, place.top), true);
    sheet.data = board.data();
    sheet.description = format!(
        "The board of {} seen from the back, left and right exchanged: {} feeds with their routes, the \
         supplies, the receiver and its data leads.",
        sheet.panels.join(", "),
        panel.feeds.len()
    );
    let drawing = &mut sheet.drawing;
    drawing.begin("board");
    board.outline(drawing);
    drawing.end();
    if board.shows_strips() {
        board.strips(drawing, THIN.dashed(DASHED));
        board.joints(drawing, 2.0);
    }
    if board.shows_pixels() {
        board.pixels(drawing);
    }
    let routes = Routes::new(context, &board, size);
    routes.feeds(drawing);
    routes.data(drawing);
    routes.units(drawing);
    let far = panel.feeds.iter().any(|feed| feed.edge == Edge::Far);
    board.numbers(drawing, Edge::Far, if far { 9.0 } else { 5.0 });
    board.sides(drawing, [15.0; 4]);
    sizes(drawing, context, &board, size);
    notes(drawing, &frame.band(), &lines(context, panel));
    sheet
}

fn lines(context: &Context<'_>, panel: &Panel) -> Vec<String> {
    let on = context.wall.hanging.as_ref().and_then(|hanging| hanging.supply_on);
    let place = match (context.wall.hanging.as_ref().and_then(|h| h.supply_at), on) {
        (_, Some(SupplyOn::Wall)) => "The supply is on the wall of the house, not on this board",
        (_, Some(SupplyOn::Floor)) => "The supply stands on the floor, not on this board",
        (Some(_), _) => "The supply is drawn where the wall file has it",
        (None, _) => "The wall file does not say where the supply is: drawn low, in the middle",
    };
    let mut lines = vec![
        "F: a feed, two wires, plus and minus, from the supply to the pads of a strip's end"
            .to_owned(),
        "D: data from the receiver to the head of a data line. Dashed: strips, on the other side"
            .to_owned(),
        "Routes show what joins what, not where each wire must lie".to_owned(),
        place.to_owned(),
    ];
    if panel.feeds.len() > 1 {
        lines.push("Number each feed at both ends".to_owned());
    }
    lines
}

/// Wires on the back of a board.
struct Routes<'b, 'w> {
    context: &'b Context<'w>,
    board: &'b Board<'w>,
    /// Of every strip, from strip 1.
    runs: Vec<Run>,
    supplies: Vec<Rect>,
    receiver: Rect,
}

impl<'b, 'w> Routes<'b, 'w> {
    fn new(context: &'b Context<'w>, board: &'b Board<'w>, size: (Metres, Metres)) -> Self {
        let runs = board.runs().into_iter().map(|(_, run)| run).collect();
        let at = match &context.wall.hanging {
            Some(hanging) => supply_place(hanging, size.0, size.1),
            None => (size.0 / 2.0, size.1 - Metres(0.1).min(size.1 / 2.0)),
        };
        let middle = board.place(at.0, at.1);
        let count = context.wall.power.supplies_per_panel.min(64);
        let edges = &board.edges;
        // Supplies side by side with the receiver beside them, all of it on the board if that is possible.
        let width = (edges.width / (f64::from(count) + 1.0) - 2.0).clamp(3.0, 22.0);
        let height = (edges.height / 4.0).clamp(4.4, 9.0);
        let whole = (width + 2.0) * f64::from(count) + width;
        let most = (edges.right() - whole - 1.0).max(edges.left + 1.0);
        let left = (middle.x - whole / 2.0 + width / 2.0).clamp(edges.left + 1.0, most);
        let low = (edges.bottom() - height - 1.0).max(edges.top + 1.0);
        let top = (middle.y - height / 2.0).clamp(edges.top + 1.0, low);
        let unit = |i: u32| {
            let step = f64::from(i);
            if board.upright() {
                return Rect { left: left + (width + 2.0) * step, top, width, height };
            }
            // Wires leave to the sides: units stand below each other.
            let most = edges.bottom() - (height + 2.0) * (f64::from(count) + 1.0);
            let first = (middle.y - height / 2.0).min(most).max(edges.top + 1.0);
            let left = (middle.x - width / 2.0).min(edges.right() - width).max(edges.left + 1.0);
            Rect { left, top: first + (height + 2.0) * step, width, height }
        };
        let supplies = (0..count).map(unit).collect();
        Self { context, board, runs, supplies, receiver: unit(count) }
    }

    fn pad(&self, strip: u32, edge: Edge) -> Option<Point> {
        let run = self.runs.get((strip as usize).checked_sub(1)?)?;
        Some(self.board.pad(run, edge))
    }

    /// A way from a unit to a place on an edge: out of the unit, along a corridor of its own, to there.
    fn way(&self, unit: &Rect, to: Point, lane: f64, slot: f64) -> Vec<Point> {
        let start = unit.middle();
        if self.board.upright() {
            let below = to.y > start.y;
            let edge = if below { unit.bottom() } else { unit.top };
            let room = (to.y - edge).abs();
            let y = if below { edge + room * lane } else { edge - room * lane };
            let x = unit.left + unit.width * slot;
            vec![Point::new(x, edge), Point::new(x, y), Point::new(to.x, y), to]
        } else {
            let right = to.x > start.x;
            let edge = if right { unit.right() } else { unit.left };
            let room = (to.x - edge).abs();
            let x = if right { edge + room * lane } else { edge - room * lane };
            let y = unit.top + unit.height * slot;
            vec![Point::new(edge, y), Point::new(x, y), Point::new(x, to.y), to]
        }
    }

    fn feeds(&self, drawing: &mut Drawing) {
        let panel = self.board.panel;
        let out = |edge: Edge| if edge == Edge::Far { 4.6 } else { -4.6 };
        let every = self.board.every(BOLD.width("F88") + 0.8);
        drawing.begin("feeds");
        for supply in 1..=self.context.wall.power.supplies_per_panel {
            let Some(unit) = self.supplies.get(supply as usize - 1) else { continue };
            for edge in [Edge::Near, Edge::Far] {
                let of = |feed: &&glowloom_design::wall::Feed| {
                    feed.supply == supply && feed.edge == edge
                };
                let feeds: Vec<_> = panel.feeds.iter().filter(of).collect();
                let places: Vec<Point> =
                    feeds.iter().filter_map(|feed| self.pad(feed.strip, edge)).collect();
                let lanes = lanes(&places, unit.middle(), self.board.upright());
                #[expect(clippy::cast_precision_loss, reason = "a count of feeds")]
                let slots = places.len() as f64 + 1.0;
                // Wires leave the unit in the order in which they arrive, so that none cross there.
                let mut order: Vec<usize> = (0..places.len()).collect();
                let along = |p: &Point| if self.board.upright() { p.x } else { p.y };
                order.sort_by(|a, b| {
                    let of = |i: &usize| places.get(*i).map_or(0.0, along);
                    of(a).total_cmp(&of(b))
                });
                for (slot, i) in order.iter().enumerate() {
                    let (Some(to), Some(lane), Some(feed)) =
                        (places.get(*i), lanes.get(*i), feeds.get(*i))
                    else {
                        continue;
                    };
                    #[expect(clippy::cast_precision_loss, reason = "a count of feeds")]
                    let slot = (slot as f64 + 1.0) / slots;
                    let way = self.way(unit, *to, *lane, slot);
                    let number = number(panel, feed.strip, feed.edge);
                    let about = vec![("feed", number.to_string())];
                    drawing.known(crate::draw::open(&way), Some(MEDIUM), None, about);
                    drawing.circle(None, Some(Ink::Black), *to, 0.7);
                }
            }
        }
        for (i, feed) in panel.feeds.iter().enumerate() {
            let Some(pad) = self.pad(feed.strip, feed.edge) else { continue };
            // Feeds of neighbouring strips are further apart than every so many.
            let near = panel.feeds.iter().take(i).any(|other| {
                other.edge == feed.edge && (feed.strip - other.strip) < every.min(1000) as u32
            });
            if self.board.every(1.0) > 1 || (near && i % every.max(1) != 0) {
                continue;
            }
            let at = self.board.from(pad, 0.0, out(feed.edge));
            let hand = BOLD.middle();
            drawing.text(hand, at.by(0.0, hand.capital() / 2.0), format!("F{}", i + 1));
        }
        drawing.end();
    }

    fn data(&self, drawing: &mut Drawing) {
        drawing.begin("data leads");
        let lines = self.board.path.lines().count();
        let mut last: Option<Point> = None;
        for line in self.board.path.lines() {
            let Some(pad) = self.pad(line.first_strip, Edge::Near) else { continue };
            #[expect(clippy::cast_precision_loss, reason = "a count of lines")]
            let share = f64::from(line.number) / (lines as f64 + 1.0);
            // Beside the strip's own line, which would hide it.
            let (end, pad) = (pad, self.board.from(pad, 0.3 * self.board.across, 0.0));
            let mut way = self.way(&self.receiver, pad, 0.08 + 0.1 * share, share);
            way.push(end);
            let about = vec![("data-lead", line.number.to_string())];
            drawing.known(crate::draw::open(&way), Some(THIN.dashed(CHAIN)), None, about);
            // Letters are wider than high.
            let off = if self.board.upright() { 7.9 } else { 9.6 };
            let out = self.board.from(pad, 0.0, -off);
            let hand = BOLD.middle();
            let text = format!("D{}", line.number);
            let room = hand.width(&text) + 0.8;
            if last.is_none_or(|last| (last.x - out.x).abs() + (last.y - out.y).abs() > room) {
                drawing.text(hand, out.by(0.0, hand.capital() / 2.0), text);
                last = Some(out);
            }
        }
        if let Some(supply) = self.supplies.last() {
            // The receiver hangs on the first supply; it is drawn beside the last.
            let (from, to) = (supply.middle(), self.receiver.middle());
            drawing.line(MEDIUM, from, to);
        }
        drawing.end();
    }

    fn units(&self, drawing: &mut Drawing) {
        drawing.begin("units");
        for (i, shape) in self.supplies.iter().enumerate() {
            let name = if self.supplies.len() == 1 {
                "supply".to_owned()
            } else {
                format!("supply {}", i + 1)
            };
            drawing.unit(shape, &name, &self.context.wall.power.supply.part);
        }
        drawing.unit(&self.receiver, "receiver", &self.context.wall.receiver.board);
        drawing.end();
    }
}

/// Which feed of the panel's list, from 1.
pub fn number(panel: &Panel, strip: u32, edge: Edge) -> usize {
    let found = panel.feeds.iter().position(|feed| (feed.strip, feed.edge) == (strip, edge));
    found.map_or(0, |i| i + 1)
}

/// How far from the unit each wire turns aside: those to the far left and right last, so that none cross.
fn lanes(places: &[Point], unit: Point, upright: bool) -> Vec<f64> {
    let off = |p: &Point| if upright { p.x - unit.x } else { p.y - unit.y };
    let rank = |p: &Point| {
        let same = places.iter().filter(|q| (off(q) < 0.0) == (off(p) < 0.0));
        let nearer = same.clone().filter(|q| off(q).abs() < off(p).abs()).count();
        (nearer, same.count())
    };
    places
        .iter()
        .map(|p| {
            let (nearer, all) = rank(p);
            #[expect(clippy::cast_precision_loss, reason = "a count of feeds")]
            let share = (nearer as f64 + 1.0) / (all as f64 + 1.0);
            // The nearest turns last: it runs nearest to the edge.
            0.9 - 0.65 * share
        })
        .collect()
}

/// Every feed with its figures.
pub fn schedule(context: &Context<'_>, kind: &Kind<'_>) -> Table {
    let panel = kind.first;
    let mut table = Table::new(vec![
        word("feed"),
        figures("strip"),
        word("edge"),
        figures("supply"),
        words("wire", 1.0),
        figures("length"),
        figures("A"),
        figures("fuse A"),
        figures("V at the pads"),
        crate::draw::table::ticks("soldered"),
        crate::draw::table::ticks("tested"),
    ]);
    let known: &[FeedPower] = power(context, panel).map_or(&[], |power| &power.feeds);
    for (i, feed) in panel.feeds.iter().enumerate() {
        let figure = known.get(i);
        let size = match feed.wire.gauge {
            Some(gauge) => gauge.to_string(),
            None => format!("{} ohm/m", feed.wire.ohms_per_metre.0),
        };
        let fuse = figure.and_then(|f| f.fuse_amps).map(|a| a.0.to_string());
        table.row([
            format!("F{}", i + 1),
            feed.strip.to_string(),
            edge_key(feed.edge).to_owned(),
            feed.supply.to_string(),
            size,
            context.shown(feed.wire.length),
            figure.map_or_else(|| "?".into(), |f| format!("{:.2}", f.amps.0)),
            fuse.unwrap_or_else(|| "none fits".into()),
            figure.map_or_else(|| "?".into(), |f| format!("{:.2}", f.volts_at_strip.0)),
            String::new(),
            String::new(),
        ]);
    }
    table
}
