//! The list of parts: what to print, how often, when, and where it goes.

use std::io::{self, Write};

use glowloom_design::Wall;
use glowloom_design::wall::{Baffle, Direction, Panel};
use glowloom_plan::tiles::Tiles;
use glowloom_plan::tiles::kinds::partition;
use glowloom_plan::tiles::plates::Plate;
use glowloom_units::{Figures, Metres};

use super::{plate_file, solid_file, words};
use crate::field::field;

/// Writes it as comma-separated values, a line for each file to print, lengths in millimetres. Of a
/// part on two plates the counts are each plate's own.
///
/// # Errors
/// Those of the writer.
pub(super) fn csv(tiles: &Tiles, out: &mut dyn Write) -> io::Result<()> {
    out.write_all(
        b"file,part,solid,columns,rows,ends,width_mm,length_mm,per_wall,copies,times,grams_each,hours_each\n",
    )?;
    for (number, plate) in tiles.plates.iter().enumerate() {
        let file = plate_file(tiles, number);
        let solid = solid_file(&plate.part);
        let tile = tiles.kinds.iter().find(|kind| kind.name == plate.part);
        let rim = tiles.rim.iter().find(|kind| kind.name == plate.part);
        let (cells, width, length, per_wall, mass) = match (tile, rim) {
            (Some(kind), _) => (
                format!("{},{},{}", kind.columns, kind.rows, kind.ends),
                kind.width_m,
                kind.length_m,
                kind.per_wall,
                kind.tile_kg,
            ),
            (None, Some(kind)) => (
                ",,".to_owned(),
                kind.length_m,
                kind.shape.depth.metres(),
                kind.per_wall,
                kind.strip_kg,
            ),
            (None, None) => continue,
        };
        writeln!(
            out,
            "{},{},{},{cells},{:.3},{:.3},{per_wall},{},{},{:.2},{:.2}",
            field(&file),
            field(&plate.part),
            field(&solid),
            width.0 * 1000.0,
            length.0 * 1000.0,
            plate.copies,
            plate.times,
            mass.0 * 1000.0,
            plate.hours_each.0,
        )?;
    }
    Ok(())
}

/// Writes it for a person.
///
/// # Errors
/// Those of the writer.
pub(super) fn text(
    wall: &Wall,
    baffle: &Baffle,
    tiles: &Tiles,
    out: &mut dyn Write,
) -> io::Result<()> {
    let title = format!("{}: parts to print", wall.name);
    writeln!(out, "{title}\n{}\n", "=".repeat(title.chars().count()))?;
    what(wall, tiles, out)?;
    how(wall, baffle, out)?;
    filament(wall, baffle, tiles, out)?;
    when(baffle, tiles, out)?;
    where_it_goes(wall, baffle, out)
}

fn heading(text: &str, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{text}\n{}\n", "-".repeat(text.len()))
}

fn what(wall: &Wall, tiles: &Tiles, out: &mut dyn Write) -> io::Result<()> {
    heading("What", out)?;
    for kind in &tiles.kinds {
        writeln!(
            out,
            "{:5} x {}: {}, {} x {}",
            kind.per_wall,
            kind.name,
            words::kind(kind),
            kind.width_m.shown(wall.figures),
            kind.length_m.shown(wall.figures)
        )?;
    }
    for kind in &tiles.rim {
        let length = kind.length_m.shown(wall.figures);
        writeln!(out, "{:5} x {}: a strip of the rim, {length} long", kind.per_wall, kind.name)?;
    }
    writeln!(out)?;
    let sizes = "A size is across by along the strips. \"end\": the strips end at one edge, the open one, \
        and there it has room for joints and feed wires; \"both ends\": at two. \"plain\": at none.";
    paragraph(sizes, out)?;
    writeln!(out, "{:32}  {:>6}  {:>5}  {:>7}", "file", "copies", "times", "h each")?;
    for (number, plate) in tiles.plates.iter().enumerate() {
        let Plate { copies, times, hours_each, .. } = plate;
        let file = plate_file(tiles, number);
        writeln!(out, "{file:32}  {copies:6}  {times:5}  {:7.1}", hours_each.0)?;
    }
    writeln!(out)?;
    let files = "Print each file so many times. The .stl files are single parts, in millimetres, for \
        programs that do not read .3mf.";
    paragraph(files, out)
}

fn how(wall: &Wall, baffle: &Baffle, out: &mut dyn Write) -> io::Result<()> {
    heading("How", out)?;
    let walls = format!(
        "Print as the files lie: the cloth side down, the notches for the strips up. No supports. Walls \
         are {}, and {} where two tiles meet; the nozzle is {}.",
        fine(wall, baffle.wall),
        fine(wall, baffle.wall / 2.0),
        fine(wall, baffle.nozzle),
    );
    paragraph(&walls, out)?;
    let care = format!(
        "Print one tile first and lay it over two strips that are joined: only then the rest. Never \
         leave a printer alone where it could burn. PLA softens from about {} (common practice, no \
         source): keep printed parts off hot supplies.",
        match wall.figures {
            Figures::Metric => "55 C",
            Figures::Imperial => "130 F",
        }
    );
    paragraph(&care, out)
}

/// Columns of a line of running text.
const WIDTH: usize = 92;

/// A text broken between words, and an empty line.
fn paragraph(text: &str, out: &mut dyn Write) -> io::Result<()> {
    let mut width = 0;
    for word in text.split_whitespace() {
        let wide = word.chars().count();
        if width > 0 && width + 1 + wide > WIDTH {
            writeln!(out)?;
            width = 0;
        }
        write!(out, "{}{word}", if width > 0 { " " } else { "" })?;
        width += wide + usize::from(width > 0);
    }
    writeln!(out, "\n")
}

/// Walls are so thin that hundredths of a millimetre count.
fn fine(wall: &Wall, length: Metres) -> String {
    match wall.figures {
        Figures::Metric => {
            format!("{} mm", (length.0 * 1e5).round() / 100.0)
        }
        Figures::Imperial => format!("{:.3} in", length.0 / 0.0254),
    }
}

fn filament(wall: &Wall, baffle: &Baffle, tiles: &Tiles, out: &mut dyn Write) -> io::Result<()> {
    heading("Filament", out)?;
    let text = format!(
        "{} of {}, {} of {} filament, as drawn: first lines, skirts and prints that fail come on \
         top. Spools of {}: {}; {} is left on the last one.",
        tiles.filament_kg.shown(wall.figures),
        baffle.material,
        tiles.filament_m.far(wall.figures),
        fine(wall, baffle.filament_diameter),
        baffle.spool.shown(wall.figures),
        tiles.spools,
        tiles.left_over_kg.shown(wall.figures),
    );
    paragraph(&text, out)
}

fn when(baffle: &Baffle, tiles: &Tiles, out: &mut dyn Write) -> io::Result<()> {
    heading("When", out)?;
    writeln!(
        out,
        "{:.0} h at {} mm3/s, with {:.0} min from one print to the next; {} h a day:\n{}.\n",
        tiles.hours.0,
        baffle.flow.0,
        baffle.between_prints.0 / 60.0,
        baffle.hours_per_day,
        words::days(tiles),
    )?;
    for stretch in &tiles.calendar {
        writeln!(out, "  {}", words::stretch(stretch))?;
    }
    writeln!(out)
}

fn where_it_goes(wall: &Wall, baffle: &Baffle, out: &mut dyn Write) -> io::Result<()> {
    heading("Where", out)?;
    let edges = "Cells of the tiles of each panel, seen from the front, before the panel is turned. The \
        open edges of end tiles lie on the panel's edges where strips end.";
    paragraph(edges, out)?;
    for panel in &wall.panels {
        let Some(partition) = partition(wall, baffle, panel) else { continue };
        let (across, along) = (words::runs(&partition.across), words::runs(&partition.along));
        let (columns, rows) = match panel.strips {
            Direction::Vertical => (across, along),
            Direction::Horizontal => (along, across),
        };
        let Panel { name, .. } = panel;
        writeln!(out, "  {name}: from the left {columns}; from the top {rows}")?;
    }
    Ok(())
}
