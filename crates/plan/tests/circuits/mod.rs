//! Panels of the power tests, each written as a wall file and read as a user's would be.
#![allow(dead_code, reason = "each test takes what it needs")]

pub mod deck;
pub mod parts;
pub mod random;

use glowloom_design::Wall;
use glowloom_plan::power::{Network, Sinks, Solution, Solver};

/// Reads a wall file; a mistake in a test's text stops the test and says where.
pub fn read(text: &str) -> Wall {
    glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| {
        let lines: Vec<_> = wrong.iter().map(|d| d.line("wall.toml", text)).collect();
        panic!("{}\n{text}", lines.join("\n"))
    })
}

/// One upright panel of so many strips of so many pixels, entered at the bottom left. `strip`,
/// `panel` and `power` are further lines of those sections.
pub fn panel(strips: u32, pixels: u32, strip: &str, panel: &str, power: &str) -> String {
    format!(
        "format = 1\n[wall]\nname = \"One\"\ncolumns = {strips}\nrows = {pixels}\n\
         [strip]\npart = \"ws2812b-30\"\n{strip}\n\
         [[panels]]\nname = \"only\"\nat = [0, 0]\ncolumns = {strips}\nrows = {pixels}\n{panel}\n\
         [power]\n{power}\n"
    )
}

/// Wires by the resistance of their whole conductor, connections left out.
pub fn wires(feed: f64, jumper: f64) -> String {
    format!(
        "connection_ohms = 0\nfeed_wire = {{ ohms_per_metre = {feed}, length = \"1 m\", amps = 10 }}\n\
         jumper_wire = {{ ohms_per_metre = {jumper}, length = \"1 m\", amps = 10 }}\n"
    )
}

/// The panel of the reference's section on sharing: 16 strips of 36 pixels, three feeds through
/// 4 ft of 16 AWG.
pub fn sixteen(strip: &str, panel_lines: &str, power: &str) -> String {
    let wires = "feed_wire = { gauge = \"16 AWG\", length = \"4 ft\" }\n\
                 jumper_wire = { gauge = \"22 AWG\", length = \"40 mm\" }\n\
                 connection_ohms = 0.002\n";
    let wires: String = wires
        .lines()
        .filter(|line| !power.contains(line.split(" =").next().unwrap()))
        .map(|line| format!("{line}\n"))
        .collect();
    let feeds = if power.contains("feeds =") || panel_lines.contains("feeds =") {
        ""
    } else {
        "feeds = 3\n"
    };
    panel(16, 36, strip, panel_lines, &format!("{wires}{feeds}{power}"))
}

/// The network of a wall's first panel.
pub fn network(wall: &Wall) -> Network {
    Network::of(wall, &wall.panels[0])
}

/// Full white under a brightness.
pub fn white(network: &Network, brightness: f64) -> Solution<'_> {
    solve(network, &Sinks::white(network.law(), brightness))
}

/// The solution with those sinks.
pub fn solve<'n>(network: &'n Network, sinks: &Sinks) -> Solution<'n> {
    Solver::new(network).solve(sinks).unwrap_or_else(|unsolved| panic!("{unsolved}"))
}

/// Fails unless the figure is the printed one, to the last digit printed.
#[track_caller]
pub fn printed(found: f64, wanted: &str) {
    let digits = wanted.split_once('.').map_or(0, |(_, behind)| behind.len());
    let half = 0.5 * 10f64.powi(-i32::try_from(digits).unwrap());
    let number: f64 = wanted.parse().unwrap();
    // A figure may lie half a digit from the printed one, and rounding may tip it over.
    assert!((found - number).abs() <= half * 1.0001, "{found} is not {wanted}");
}

/// The same for a list of figures, each with its printed form.
#[track_caller]
pub fn all_printed(found: impl IntoIterator<Item = f64>, wanted: &str) {
    let found: Vec<f64> = found.into_iter().collect();
    let wanted: Vec<&str> = wanted.split_whitespace().collect();
    assert_eq!(found.len(), wanted.len(), "{found:?} against {wanted:?}");
    for (found, wanted) in found.into_iter().zip(wanted) {
        printed(found, wanted);
    }
}
