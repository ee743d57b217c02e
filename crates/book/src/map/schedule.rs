//! The band below the map's drawing: the schedule of data lines, and what the marks mean.

use std::io;

use glowloom_design::Wall;
use glowloom_plan::numbering::{Numbering, channels};
use glowloom_plan::path::{DataLine, PanelPath};

use super::detail::Detail;
use super::panel::{FIRST, LAST, kind};
use crate::lettering::{CAPITAL, SMALL, fitted, width};
use crate::sheet::arrow;
use crate::svg::{Point, Rect, Svg, Trace};

/// Width of the legend, mm.
const LEGEND: f64 = 62.0;
/// From one row to the next, mm.
const ROW: f64 = 4.3;

/// A column of the schedule: its head, the right edge of its values or, for text, the left one.
struct Column {
    head: &'static str,
    at: f64,
    text: bool,
}

const COLUMNS: [Column; 7] = [
    Column { head: "Panel", at: 15.0, text: true },
    Column { head: "Line", at: 50.0, text: false },
    Column { head: "Strips", at: 71.5, text: false },
    Column { head: "Pixels", at: 85.0, text: false },
    Column { head: "Spare", at: 96.0, text: false },
    Column { head: "Universes", at: 120.0, text: false },
    Column { head: "Enters", at: 139.0, text: false },
];
/// Width of one block of the schedule, mm.
const BLOCK: f64 = 145.0;
/// Room of a panel's name, mm.
const NAME: f64 = 26.0;

/// Draws the legend at the right of the band and the schedule left of it.
pub fn draw(
    svg: &mut Svg<'_>,
    wall: &Wall,
    band: &Rect,
    detail: Detail,
    gaps: bool,
) -> io::Result<()> {
    let legend = Rect { left: band.right() - LEGEND, width: LEGEND, ..*band };
    svg.line(
        "thin",
        Point::new(legend.left, legend.top),
        Point::new(legend.left, legend.bottom()),
    )?;
    self::legend(svg, wall, &legend, detail, gaps)?;
    schedule(svg, wall, &Rect { width: band.width - LEGEND, ..*band })
}

fn lines(wall: &Wall) -> impl Iterator<Item = (PanelPath<'_>, DataLine<'_>)> {
    wall.panels.iter().flat_map(|panel| {
        let path = PanelPath::of(panel);
        path.lines().map(move |line| (path, line))
    })
}

fn schedule(svg: &mut Svg<'_>, wall: &Wall, room: &Rect) -> io::Result<()> {
    let count = lines(wall).count();
    let blocks = ((room.width - 4.0) / BLOCK).floor().max(1.0);
    // A heading, a head and perhaps a last line that says what is missing.
    let rows = ((room.height - 11.0) / ROW).floor() - 1.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few dozen")]
    let (blocks, rows) = (blocks as usize, (rows as usize).max(1));
    let left = room.left + 4.0;
    svg.text("bold", Point::new(left, room.top + 5.0), "Data lines")?;
    let shown = if count <= blocks * rows { count } else { blocks * rows };
    for (i, (path, line)) in lines(wall).take(shown).enumerate() {
        let corner = Point::new(left + BLOCK * (i / rows) as f64, room.top + 9.0);
        if i % rows == 0 {
            head(svg, corner)?;
        }
        row(svg, wall, corner.by(0.0, ROW * (i % rows + 1) as f64), path, &line)?;
    }
    if shown < count {
        let rest = format!(
            "and {} more data lines: the pixel map as a list has every pixel of them",
            count - shown
        );
        let at = Point::new(left, room.top + 9.0 + ROW * (rows + 1) as f64);
        svg.text("", at, &rest)?;
    }
    Ok(())
}

fn head(svg: &mut Svg<'_>, corner: Point) -> io::Result<()> {
    for column in &COLUMNS {
        let class = if column.text { "bold" } else { "bold end" };
        svg.text(class, corner.by(column.at, 0.0), column.head)?;
    }
    svg.line("thin", corner.by(0.0, 1.2), corner.by(BLOCK - 6.0, 1.2))
}

fn row(
    svg: &mut Svg<'_>,
    wall: &Wall,
    at: Point,
    path: PanelPath<'_>,
    line: &DataLine<'_>,
) -> io::Result<()> {
    let numbering = Numbering::new(path, channels(&wall.strip));
    let first_universe = numbering.first_universe(line.number);
    let last_universe = first_universe + numbering.universes(line).saturating_sub(1);
    let last_strip = line.first_strip + line.strips - 1;
    let enters = line.runs().next().map(|run| run.first.picture);
    let values = [
        fitted(&path.panel().name, NAME, |text| width(text, SMALL)).unwrap_or_default(),
        line.number.to_string(),
        span(line.first_strip, last_strip),
        line.lit_pixels().to_string(),
        line.spare_pixels().to_string(),
        span(first_universe, last_universe),
        enters.map(|cell| format!("{}, {}", cell.column, cell.row)).unwrap_or_default(),
    ];
    let level = -SMALL * CAPITAL / 2.0;
    svg.line(&format!("line {}", kind(line.number)), at.by(0.0, level), at.by(12.0, level))?;
    for (column, value) in COLUMNS.iter().zip(values) {
        svg.text(if column.text { "" } else { "end" }, at.by(column.at, 0.0), &value)?;
    }
    Ok(())
}

/// `3` or `3 to 7`.
fn span(first: u32, last: u32) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

fn legend(
    svg: &mut Svg<'_>,
    wall: &Wall,
    room: &Rect,
    detail: Detail,
    gaps: bool,
) -> io::Result<()> {
    if detail == Detail::Panels && !gaps {
        return Ok(());
    }
    svg.text("bold", Point::new(room.left + 4.0, room.top + 5.0), "Marks")?;
    let spare = wall.panels.iter().any(|panel| panel.spare_pixels > 0);
    let index = if spare { "index on its line, spares first" } else { "index on its line, from 0" };
    let mut at = Point::new(room.left + 9.0, room.top + 10.5);
    let mut say =
        |svg: &mut Svg<'_>, mark: &dyn Fn(&mut Svg<'_>, Point) -> io::Result<()>, text: &str| {
            mark(svg, at)?;
            svg.text("", at.by(8.0, SMALL * CAPITAL / 2.0), text)?;
            at = at.by(0.0, 6.0);
            io::Result::Ok(())
        };
    if detail >= Detail::Lines {
        say(
            svg,
            &|svg, at| {
                let square = Rect {
                    left: at.x - FIRST,
                    top: at.y - FIRST,
                    width: 2.0 * FIRST,
                    height: 2.0 * FIRST,
                };
                svg.rectangle("fill l1", &square)
            },
            "first pixel of a data line",
        )?;
        say(svg, &|svg, at| svg.circle("tag l1", at, LAST), "last pixel of a data line")?;
    }
    if detail == Detail::Pixels {
        say(
            svg,
            &|svg, at| {
                let mut dot = Trace::default();
                dot.dot(at);
                svg.trace("dots l1", &dot)
            },
            "pixel",
        )?;
        say(
            svg,
            &|svg, at| {
                let right = [(-2.8, -1.5), (1.8, -1.5), (2.9, 0.0), (1.8, 1.5), (-2.8, 1.5)];
                let right = right.map(|(x, y)| at.by(x, y));
                svg.trace("tag l1", &Trace::closed(&right))?;
                svg.text("bold middle", at.by(-0.5, SMALL * CAPITAL / 2.0), "12")
            },
            "strip, pointing along the data",
        )?;
        say(svg, &|svg, at| svg.text("middle", at.by(0.0, SMALL * CAPITAL / 2.0), "31"), index)?;
    }
    if detail >= Detail::Lines {
        say(
            svg,
            &|svg, at| {
                svg.line("line l1", at.by(-4.0, 0.0), at.by(4.0, 0.0))?;
                svg.trace("ink", &arrow(at.by(1.0, 0.0), at, at.by(1.0, 0.0)))
            },
            "path of the data",
        )?;
    }
    if gaps {
        say(
            svg,
            &|svg, at| {
                svg.rectangle(
                    "hatch",
                    &Rect { left: at.x - 4.0, top: at.y - 1.8, width: 8.0, height: 3.6 },
                )
            },
            "pixels that no panel shows",
        )?;
    }
    Ok(())
}
