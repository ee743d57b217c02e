//! The frame of every sheet: heading, room for the drawing, a band below for schedules, and the
//! title block at the lower right.

use std::io;

use glowloom_design::wall::Paper as Series;
use glowloom_units::{Figures, Metres};

use crate::lettering::{CAPITAL, LARGE, MEDIUM, SMALL, bold_width, fitted, width};
use crate::paper::Paper;
use crate::scale::Scale;
use crate::svg::{Point, Rect, Svg, Trace};

/// From the paper's edge to the frame, mm.
const EDGE: f64 = 10.0;
/// The heading's height.
const HEADING: f64 = 13.0;
/// Room around a drawing for rulers, marks and dimensions: left, top, right, bottom.
const AROUND: [f64; 4] = [24.0, 13.0, 12.0, 20.0];
/// The band's height.
const BAND: f64 = 64.0;
/// The title block's width; it is as high as the band.
const TITLE: f64 = 116.0;

/// What a title block says.
pub struct Title<'a> {
    /// The wall's name.
    pub wall: &'a str,
    /// The sheet's name.
    pub sheet: &'a str,
    /// `FRONT`, or the side that it is seen from.
    pub view: &'a str,
    /// The drawing's scale.
    pub scale: Scale,
    /// Units of lengths.
    pub figures: Figures,
    /// Further entries, two to a row: name and value.
    pub facts: [(&'a str, String); 2],
}

/// A sheet with its places.
pub struct Sheet {
    /// What it is printed on.
    pub paper: Paper,
    /// Where the drawing is, at its size.
    pub drawing: Rect,
    /// What is left of the band beside the title block.
    pub band: Rect,
}

impl Sheet {
    /// The smallest sheet for a drawing of that size, mm, in the middle of its room.
    pub fn holding(series: Series, width: f64, height: f64) -> Self {
        let [left, top, right, bottom] = AROUND;
        let (beside, above) =
            (2.0 * EDGE + left + right, 2.0 * EDGE + HEADING + top + bottom + BAND);
        let paper = Paper::holding(series, width + beside, height + above);
        let free = (paper.width - beside - width, paper.height - above - height);
        let drawing = Rect {
            left: EDGE + left + free.0 / 2.0,
            top: EDGE + HEADING + top + free.1 / 2.0,
            width,
            height,
        };
        let band = Rect {
            left: EDGE,
            top: paper.height - EDGE - BAND,
            width: paper.width - 2.0 * EDGE - TITLE,
            height: BAND,
        };
        Self { paper, drawing, band }
    }

    /// The largest drawing that the smallest sheet of the series holds: width, height, mm.
    pub fn least_room(series: Series) -> (f64, f64) {
        let [left, top, right, bottom] = AROUND;
        let smallest = Paper::holding(series, 0.0, 0.0);
        (
            smallest.width - 2.0 * EDGE - left - right,
            smallest.height - 2.0 * EDGE - HEADING - top - bottom - BAND,
        )
    }

    /// Draws the frame, the heading and the title block. `note` stands beside the heading.
    pub fn frame(&self, svg: &mut Svg<'_>, title: &Title<'_>, note: &str) -> io::Result<()> {
        let frame = Rect {
            left: EDGE,
            top: EDGE,
            width: self.paper.width - 2.0 * EDGE,
            height: self.paper.height - 2.0 * EDGE,
        };
        svg.rectangle("thick", &frame)?;
        let heading = format!("{}, seen from the {}", title.sheet, title.view);
        let at = Point::new(EDGE + 4.0, EDGE + 4.0 + LARGE * CAPITAL);
        svg.text("bold large", at, &heading)?;
        svg.text("", at.by(bold_width(&heading, LARGE) + 6.0, 0.0), note)?;
        let band = Point::new(EDGE, self.band.top);
        svg.line("medium", band, Point::new(frame.right(), band.y))?;
        self.title_block(svg, title)
    }

    fn title_block(&self, svg: &mut Svg<'_>, title: &Title<'_>) -> io::Result<()> {
        let block =
            Rect { left: self.band.right(), top: self.band.top, width: TITLE, height: BAND };
        svg.line(
            "thick",
            Point::new(block.left, block.top),
            Point::new(block.left, block.bottom()),
        )?;
        svg.line("thick", Point::new(block.left, block.top), Point::new(block.right(), block.top))?;
        let units = match title.figures {
            Figures::Metric => "mm, m",
            Figures::Imperial => "in, ft",
        };
        let [first, second] = &title.facts;
        let scale = title.scale.to_string();
        let (half, third) = (TITLE / 2.0, TITLE / 3.0);
        let wall: &[_] = &[(TITLE, "WALL", title.wall)];
        let sheet: &[_] = &[(half, "SHEET", title.sheet), (half, "VIEW", title.view)];
        let facts: &[_] = &[(half, first.0, &*first.1), (half, second.0, &*second.1)];
        let last: &[_] = &[
            (third, "SCALE", &*scale),
            (third, "UNITS", units),
            (third, "PAPER", &*self.paper.name),
        ];
        let mut top = block.top;
        for (height, entries) in [(14.0, wall), (12.0, sheet), (12.0, facts), (12.0, last)] {
            let mut left = block.left;
            for (width, name, value) in entries {
                let cell = Rect { left, top, width: *width, height };
                entry(svg, &cell, name, value)?;
                left += width;
            }
            top += height;
        }
        self.scale_bar(svg, title, Point::new(block.left + 3.0, top + 8.0))
    }

    /// A round length of the wall, drawn to scale.
    fn scale_bar(&self, svg: &mut Svg<'_>, title: &Title<'_>, at: Point) -> io::Result<()> {
        let length = title.scale.bar(title.figures);
        let drawn = title.scale.drawn(length);
        let half = |part: f64| Rect {
            left: at.x + drawn * part,
            top: at.y,
            width: drawn / 2.0,
            height: 1.6,
        };
        svg.rectangle("ink", &half(0.0))?;
        svg.rectangle("medium", &half(0.0))?;
        svg.rectangle("medium", &half(0.5))?;
        svg.text("", at.by(0.0, -1.2), "0")?;
        svg.text("end", at.by(drawn, -1.2), &length_shown(length, title.figures))
    }
}

/// A named value in a cell of the title block; what is too long is cut.
fn entry(svg: &mut Svg<'_>, cell: &Rect, name: &str, value: &str) -> io::Result<()> {
    svg.rectangle("thin", cell)?;
    let left = Point::new(cell.left + 2.0, cell.top);
    svg.text("", left.by(0.0, 1.2 + SMALL), name)?;
    let room = cell.width - 4.0;
    let heights = [("bold large", LARGE), ("bold medium-text", MEDIUM), ("bold", SMALL)];
    let heights = if cell.height > 13.0 { &heights[..] } else { &heights[1..] };
    let fitting = heights.iter().find(|(_, height)| bold_width(value, *height) <= room);
    let (class, height) = fitting.unwrap_or(&("bold", SMALL));
    let value = fitted(value, room, |text| bold_width(text, *height)).unwrap_or_default();
    svg.text(class, left.by(0.0, cell.height - 2.0), &value)
}

/// A round length without needless zeros.
fn length_shown(length: Metres, figures: Figures) -> String {
    let (size, unit) = match figures {
        Figures::Metric if length.0 < 1.0 => (length.0 * 1000.0, "mm"),
        Figures::Metric => (length.0, "m"),
        Figures::Imperial if length.0 < 0.304 => (length.0 / 0.0254, "in"),
        Figures::Imperial => (length.0 / 0.3048, "ft"),
    };
    format!("{} {unit}", (size * 1000.0).round() / 1000.0)
}

/// The dimension of a drawing's whole width, below it.
pub fn width_dimension(svg: &mut Svg<'_>, of: &Rect, text: &str) -> io::Result<()> {
    let y = of.bottom() + 12.0;
    for x in [of.left, of.right()] {
        svg.line("thin", Point::new(x, of.bottom() + 2.0), Point::new(x, y + 1.5))?;
    }
    let (from, to) = (Point::new(of.left, y), Point::new(of.right(), y));
    dimension_line(svg, from, to)?;
    let half = width(text, SMALL) / 2.0 + 1.0;
    let middle = of.middle().x;
    let plate = Rect { left: middle - half, top: y - 1.6, width: 2.0 * half, height: 3.2 };
    svg.rectangle("paper", &plate)?;
    svg.text("middle", Point::new(middle, y + SMALL * CAPITAL / 2.0), text)
}

/// The dimension of a drawing's whole height, left of it.
pub fn height_dimension(svg: &mut Svg<'_>, of: &Rect, text: &str) -> io::Result<()> {
    let x = of.left - 15.0;
    for y in [of.top, of.bottom()] {
        // A ruler stands between.
        svg.line("thin", Point::new(of.left - 11.0, y), Point::new(x - 1.5, y))?;
    }
    dimension_line(svg, Point::new(x, of.bottom()), Point::new(x, of.top))?;
    let half = width(text, SMALL) / 2.0 + 1.0;
    let middle = of.middle().y;
    let plate = Rect { left: x - 1.6, top: middle - half, width: 3.2, height: 2.0 * half };
    svg.rectangle("paper", &plate)?;
    svg.text_upward("middle", Point::new(x + SMALL * CAPITAL / 2.0, middle), text)
}

/// A thin line with an arrow head at both ends.
fn dimension_line(svg: &mut Svg<'_>, from: Point, to: Point) -> io::Result<()> {
    svg.line("thin", from, to)?;
    svg.trace("ink", &arrow(to, from, to))?;
    svg.trace("ink", &arrow(from, to, from))
}

/// An arrow head with its point there, along the way from one place to another.
pub fn arrow(point: Point, from: Point, to: Point) -> Trace {
    let length = (to.x - from.x).hypot(to.y - from.y);
    if length <= 0.0 {
        return Trace::default();
    }
    let (x, y) = ((to.x - from.x) / length, (to.y - from.y) / length);
    let (back, half) = (1.9, 0.75);
    let base = point.by(-x * back, -y * back);
    Trace::closed(&[point, base.by(-y * half, x * half), base.by(y * half, -x * half)])
}

/// The words at the four edges of a drawing, so that front and back are never confused.
pub fn side_marks(svg: &mut Svg<'_>, of: &Rect) -> io::Result<()> {
    let (across, down) = (of.middle().x, of.middle().y);
    svg.text("bold middle", Point::new(across, of.top - 9.0), "TOP")?;
    svg.text("bold middle", Point::new(across, of.bottom() + 17.5), "BOTTOM")?;
    svg.text_upward("bold middle", Point::new(of.left - 19.5, down), "LEFT")?;
    svg.text_upward("bold middle", Point::new(of.right() + 7.0, down), "RIGHT")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_has_its_room_and_its_size() {
        for (width, height) in [(10.0, 10.0), (400.0, 213.3), (30_000.0, 7.0)] {
            let sheet = Sheet::holding(Series::A4, width, height);
            assert_eq!((sheet.drawing.width, sheet.drawing.height), (width, height));
            assert!(sheet.drawing.left >= EDGE + AROUND[0] - 1e-9);
            assert!(sheet.drawing.right() + AROUND[2] <= sheet.paper.width - EDGE + 1e-9);
            assert!(sheet.drawing.bottom() + AROUND[3] <= sheet.band.top + 1e-9);
        }
    }

    #[test]
    fn the_least_room_is_on_the_smallest_sheet() {
        for series in [Series::A4, Series::Letter] {
            let (width, height) = Sheet::least_room(series);
            let smallest = Paper::holding(series, 0.0, 0.0);
            assert_eq!(Sheet::holding(series, width - 1e-6, height - 1e-6).paper, smallest);
            assert_ne!(Sheet::holding(series, width + 1.0, height).paper, smallest);
        }
    }
}
