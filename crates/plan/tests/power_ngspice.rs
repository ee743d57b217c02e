//! The solver against ngspice (the Debian package) on the same panels, by voltage of every pixel:
//! at most a microvolt apart.
//!
//! Without ngspice the check is left out and says so, unless GLOWLOOM_OUTSIDE is "required".

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::deck::deck;
use circuits::random::{Dice, wall_file};
use circuits::{panel, read, sixteen, solve, wires};
use glowloom_design::Wall;
use glowloom_plan::power::{Network, Sinks};

/// Volts that the two may differ by.
const MOST: f64 = 1e-6;

/// Levels by strip and pixel along its data.
type Levels = fn(u32, u32) -> [f64; 4];

const WHITE: Levels = |_, _| [1.0; 4];
const BLACK: Levels = |_, _| [0.0; 4];
/// Stripes and slopes of every colour.
const COLOURED: Levels = |strip, pixel| {
    let wave = |k: u32| f64::from((strip * 7 + pixel * k) % 11) / 10.0;
    [wave(3), if strip.is_multiple_of(3) { 1.0 } else { 0.0 }, wave(5), wave(2)]
};

/// The largest difference of any pixel; `None` where there is no ngspice.
fn difference(called: &str, wall: &Wall, levels: Levels, brightness: f64) -> Option<f64> {
    let panel = &wall.panels[0];
    let network = Network::of(wall, panel);
    let pixels = panel.strip_pixels();
    let each: Vec<[f64; 4]> = (0..panel.strip_count())
        .flat_map(|strip| (0..pixels).map(move |pixel| levels(strip, pixel)))
        .collect();
    let sinks = Sinks::each(network.law(), each.len(), &each, brightness).unwrap();
    let solution = solve(&network, &sinks);
    let Some((volts, _)) = deck(wall, panel, levels, brightness).judge(called) else {
        let required = std::env::var("GLOWLOOM_OUTSIDE").is_ok_and(|v| v == "required");
        assert!(!required, "GLOWLOOM_OUTSIDE=required, but ngspice is not installed");
        // Written to the terminal itself: what a passing test prints is not shown.
        let said = format!("skipped: {called} needs ngspice, which is not on this machine\n");
        let _ = std::io::Write::write_all(&mut std::io::stderr(), said.as_bytes());
        return None;
    };
    let ours = solution.all_volts();
    assert_eq!(volts.len(), network.pixels());
    // Ordered by strip, then pixel, as ours are.
    let worst = volts.values().zip(ours).map(|(theirs, ours)| (theirs - ours.0).abs());
    let worst = worst.fold(0.0, f64::max);
    Some(worst)
}

#[test]
fn named_panels() {
    let two = format!("supplies_per_panel = 2\n{}", wires(0.02, 0.006));
    let near_and_far = "feeds = [{ strip = 1 }, { strip = 8 }, { strip = 16 }, { strip = 1, edge = \
                        \"far\" }, { strip = 8, edge = \"far\" }, { strip = 16, edge = \"far\" }]\n";
    let unfed_middle = "supplies_per_panel = 3\nfeeds = [{ strip = 1 }, { strip = 9, wire = { gauge = \
                        \"22 AWG\", length = \"3 m\" } }]\n";
    let own_wires = "supplies_per_panel = 3\nsupply_ohms = 0.02\nfeeds = [{ strip = 2, edge = \
                     \"far\" }, { strip = 5, wire = { gauge = \"24 AWG\", length = \"4 m\" } }, { strip \
                     = 6 }, { strip = 9 }]\n";
    let designs: Vec<(&str, String, Levels, f64)> = vec![
        ("three feeds", sixteen("", "", ""), WHITE, 1.0),
        ("at its ceiling", sixteen("", "", ""), WHITE, 0.324864),
        ("fed at both edges", sixteen("", "", near_and_far), WHITE, 1.0),
        ("progressive", sixteen("", "path = \"progressive\"", ""), WHITE, 1.0),
        ("jumpers of data alone", sixteen("", "jumpers = \"data\"", "feeds = 16\n"), WHITE, 1.0),
        ("half its strips unfed", sixteen("", "jumpers = \"data\"", "feeds = 8\n"), WHITE, 1.0),
        ("two supplies", sixteen("", "", "supplies_per_panel = 2\n"), WHITE, 1.0),
        ("two strips, two supplies", panel(2, 5, "", "feeds = 2", &two), WHITE, 1.0),
        ("deep brown-out", sixteen("", "", "feeds = 1\n"), WHITE, 1.0),
        ("brown-out of one strip", panel(1, 100, "", "", &wires(0.05, 0.01)), WHITE, 1.0),
        ("coloured", sixteen("", "", ""), COLOURED, 0.9),
        ("dark", sixteen("", "", ""), BLACK, 1.0),
        ("three data lines, two fed", sixteen("", "data_lines = 3", "feeds = 2\n"), WHITE, 1.0),
        ("middle zone unfed", panel(9, 12, "", "", unfed_middle), WHITE, 1.0),
        ("soft supplies", panel(9, 12, "", "", own_wires), WHITE, 1.0),
        ("one soft supply", sixteen("", "", "supply_ohms = 0.05\n"), COLOURED, 1.0),
        (
            "four colours",
            sixteen("", "", "").replace("ws2812b-30", "sk6812-rgbw-60"),
            COLOURED,
            1.0,
        ),
        (
            "twelve volts",
            sixteen("", "", "trim_volts = 12\n").replace("ws2812b-30", "ws2815-60"),
            WHITE,
            1.0,
        ),
        ("one pixel", panel(1, 1, "", "", ""), WHITE, 1.0),
        ("perfect copper", sixteen("rail_ohms_per_metre = 0", "", ""), WHITE, 1.0),
    ];
    for (called, text, levels, brightness) in designs {
        let Some(worst) = difference(called, &read(&text), levels, brightness) else { return };
        assert!(worst <= MOST, "{called}: {worst:e} V");
    }
}

#[test]
fn random_panels() {
    for seed in 0..24 {
        let text = wall_file(&mut Dice::new(seed), 8, 30);
        let levels = if seed % 3 == 2 { COLOURED } else { WHITE };
        let called = format!("random {seed}");
        let Some(worst) = difference(&called, &read(&text), levels, 1.0) else { return };
        assert!(worst <= MOST, "{called}: {worst:e} V\n{text}");
    }
}
