//! The pixel map as a sheet: the wall from the front, to scale as built.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_plan::geometry::outline;
use glowloom_plan::uncovered::{Gap, gaps};

use super::detail::{Detail, View};
use super::panel::PanelDrawing;
use super::schedule;
use crate::lettering::{CAPITAL, SMALL, width};
use crate::sheet::{Sheet, Title, height_dimension, side_marks, width_dimension};
use crate::svg::{Point, Rect, Svg};

/// Writes the pixel map as one SVG sheet in millimetres: outlines and names of panels, the path of
/// each data line through its pixels with its direction, first pixels, numbers of strips and
/// indices, and hatched what no panel shows. A wall of more than 20,000 pixels is drawn without
/// pixels and numbers, and the sheet says so.
///
/// # Errors
/// Those of the writer.
pub fn svg(wall: &Wall, out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 16, out);
    let gaps = gaps(wall);
    let whole = outline(wall, &gaps);
    let (view, across, down) = View::of(wall, &whole);
    let sheet = Sheet::holding(wall.paper, across, down);
    let view = view.at(&sheet.drawing);
    let mut svg = Svg::begin(
        &mut out,
        (sheet.paper.width, sheet.paper.height),
        &format!("Pixel map of {}", wall.name),
        &description(wall, &gaps),
    )?;
    let size = (whole.width().shown(wall.figures), whole.height().shown(wall.figures));
    let title = Title {
        wall: &wall.name,
        sheet: "Pixel map",
        view: "FRONT",
        scale: view.scale,
        figures: wall.figures,
        facts: [
            ("SIZE AS BUILT", format!("{} x {}", size.0, size.1)),
            ("PIXELS", format!("{} x {}", wall.columns, wall.rows)),
        ],
    };
    sheet.frame(&mut svg, &title, note(view.detail))?;
    schedule::draw(&mut svg, wall, &sheet.band, view.detail, !gaps.is_empty())?;
    for gap in &gaps {
        draw_gap(&mut svg, &view.rect(&gap.outline(wall)))?;
    }
    for panel in &wall.panels {
        PanelDrawing::new(wall, panel, view).draw(&mut svg)?;
    }
    svg.rectangle("thick", &sheet.drawing)?;
    rulers(&mut svg, wall, &sheet.drawing)?;
    side_marks(&mut svg, &sheet.drawing)?;
    width_dimension(&mut svg, &sheet.drawing, &size.0)?;
    height_dimension(&mut svg, &sheet.drawing, &size.1)?;
    svg.end()?;
    out.flush()
}

/// What is left out, if anything.
fn note(detail: Detail) -> &'static str {
    match detail {
        Detail::Pixels => "",
        Detail::Lines => {
            "Pixels and numbers are left out: they would not be readable at this size."
        }
        Detail::Panels => {
            "Pixels, numbers and data lines are left out, and names that have no room."
        }
    }
}

/// What the drawing shows, in sentences.
fn description(wall: &Wall, gaps: &[Gap]) -> String {
    let panels = match wall.panels.as_slice() {
        [one] => format!("one panel, {}", one.name),
        many => format!("{} panels", many.len()),
    };
    let dark: u32 = gaps.iter().map(Gap::pixels).sum();
    let dark = match dark {
        0 => String::new(),
        1 => " One pixel is shown by no panel; it is hatched.".into(),
        n => format!(" {n} pixels are shown by no panel; they are hatched."),
    };
    format!(
        "The wall seen from the front, {} columns and {} rows of pixels on {panels}, with the path of \
         the data from pixel to pixel.{dark}",
        wall.columns, wall.rows
    )
}

fn draw_gap(svg: &mut Svg<'_>, place: &Rect) -> io::Result<()> {
    svg.rectangle("hatch", place)?;
    let text = "not covered";
    let (wide, high) = (width(text, SMALL) + 2.0, SMALL + 1.0);
    let middle = place.middle();
    let plate = |wide: f64, high: f64| Rect {
        left: middle.x - wide / 2.0,
        top: middle.y - high / 2.0,
        width: wide,
        height: high,
    };
    let half = SMALL * CAPITAL / 2.0;
    if place.width > wide + 1.0 && place.height > high + 1.0 {
        svg.rectangle("plate", &plate(wide, high))?;
        svg.text("middle", middle.by(0.0, half), text)?;
    } else if place.height > wide + 1.0 && place.width > high + 1.0 {
        svg.rectangle("plate", &plate(high, wide))?;
        svg.text_upward("middle", middle.by(half, 0.0), text)?;
    }
    Ok(())
}

/// Columns and rows of the picture along the top and the left edge. Where panels are off the common
/// grid one ruler would be wrong for some of them, so there is none.
fn rulers(svg: &mut Svg<'_>, wall: &Wall, drawing: &Rect) -> io::Result<()> {
    let off_grid = |panel: &Panel| panel.strip_spacing.is_some() || panel.place.is_some();
    if wall.panels.iter().any(off_grid) {
        return Ok(());
    }
    let step_right = drawing.width / f64::from(wall.columns);
    let wide = width(&wall.columns.to_string(), SMALL) + 1.5;
    for column in marked(wall.columns, step_right, wide) {
        let at = Point::new(drawing.left + step_right * (f64::from(column) + 0.5), drawing.top);
        svg.line("thin", at.by(0.0, -0.7), at.by(0.0, -2.2))?;
        svg.text("middle", at.by(0.0, -3.0), &column.to_string())?;
    }
    let step_down = drawing.height / f64::from(wall.rows);
    for row in marked(wall.rows, step_down, SMALL + 0.8) {
        let at = Point::new(drawing.left, drawing.top + step_down * (f64::from(row) + 0.5));
        svg.line("thin", at.by(-0.7, 0.0), at.by(-2.2, 0.0))?;
        svg.text("end", at.by(-2.8, SMALL * CAPITAL / 2.0), &row.to_string())?;
    }
    Ok(())
}

/// Every pixel, or every fifth, tenth and so on, so that numbers of that size have room.
fn marked(count: u32, step: f64, room: f64) -> impl Iterator<Item = u32> {
    let every = [1, 5, 10, 50, 100, 500, 1000, 5000, 10_000];
    let every = every.into_iter().find(|n| f64::from(*n) * step >= room).unwrap_or(50_000);
    (0..count).step_by(every as usize)
}

#[cfg(test)]
mod tests;
