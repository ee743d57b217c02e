//! Walls as text, read as a user's would be.
#![allow(dead_code, reason = "each test takes what it needs")]

pub mod findings;

use glowloom_design::Wall;

/// Reads a wall file; a mistake in a test's text stops the test and says where.
pub fn read(text: &str) -> Wall {
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| {
        let lines: Vec<_> = wrong.iter().map(|d| d.line("wall.toml", text)).collect();
        panic!("{}\n{text}", lines.join("\n"))
    })
}

/// The demo wall as the manual prints it, before any section is added.
pub fn tidewall() -> String {
    let panels = ["west", "middle", "east"].iter().enumerate();
    let panels: String = panels
        .map(|(i, name)| format!("[[panels]]\nname = \"{name}\"\nat = [{}, 0]\n", 20 * i))
        .collect();
    format!(
        "format = 1\n[cuts]\nsplices = false\n[wall]\nname = \"Tidewall\"\ncolumns = 60\nrows = 32\n\
         [strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 20\nrows = 32\n{panels}\
         [power]\nfeeds = 8\nbrightness_limit = 0.6\n"
    )
}

/// A wall of one panel that fills the picture. `panel` are further lines of its entry, `rest`
/// further sections.
pub fn one(columns: u32, rows: u32, part: &str, panel: &str, rest: &str) -> String {
    format!(
        "format = 1\n[cuts]\nsplices = false\n[wall]\nname = \"One\"\ncolumns = {columns}\nrows = {rows}\n\
         [strip]\npart = \"{part}\"\n\
         [[panels]]\nname = \"only\"\nat = [0, 0]\ncolumns = {columns}\nrows = {rows}\n{panel}\n{rest}\n"
    )
}

/// The line, from 1, that begins with this text.
pub fn line_of(text: &str, start: &str) -> usize {
    text.lines().position(|line| line.starts_with(start)).map_or(0, |i| i + 1)
}

/// A plain generator of whole numbers below `end`, so that a failure repeats.
pub struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }
}
