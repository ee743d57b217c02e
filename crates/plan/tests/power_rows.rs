//! The supply guard's rows are safe: frames scaled by them and then solved in full pass no limit. And
//! they are not timid: full white may be as bright as the ceiling says, within a hair.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::random::{Dice, wall_file};
use circuits::{network, panel, read, sixteen};
use glowloom_design::Wall;
use glowloom_plan::power::rows::{circuit, gain};
use glowloom_plan::power::{
    Binding, Limits, Network, Networks, Row, Sinks, Solution, Solver, rows, wall_power,
};

/// A frame as levels by pixel: noise, stripes across or along, one lit strip, a slope, one colour.
fn frame(dice: &mut Dice, network: &Network) -> Vec<[f64; 4]> {
    let (strips, pixels) = (network.strips(), network.strip_pixels());
    let kind = dice.whole(0, 5);
    let period = dice.whole(1, 9) as usize;
    let one = dice.whole(0, u32::try_from(strips).unwrap() - 1) as usize;
    let colour = [dice.share(), dice.share(), dice.share(), dice.share()];
    let mut level = |strip: usize, along: usize| match kind {
        0 => [dice.share(), dice.share(), dice.share(), dice.share()],
        1 if (strip / period).is_multiple_of(2) => [1.0; 4],
        2 if (along / period).is_multiple_of(2) => [1.0; 4],
        3 if strip == one || strip == one + period => [1.0; 4],
        4 => colour.map(|c| c * (strip * pixels + along) as f64 / (strips * pixels) as f64),
        5 => colour,
        _ => [0.0; 4],
    };
    (0..strips).flat_map(|s| (0..pixels).map(move |i| (s, i))).map(|(s, i)| level(s, i)).collect()
}

/// What the guard sees of a frame: the levels of a pixel added up.
fn numbers(network: &Network, frame: &[[f64; 4]]) -> Vec<f32> {
    let channels = network.law().channels();
    frame.iter().map(|pixel| pixel[..channels].iter().sum::<f64>() as f32).collect()
}

/// The limit that a solution passes by most, as a share of it (of the volts of which a pixel may drop).
fn passed(wall: &Wall, limits: &Limits, solution: &Solution) -> Option<(Binding, f64)> {
    let mut worst: Option<(Binding, f64)> = None;
    let mut hold = |by: Binding, found: f64, limit: f64| {
        let beyond = (found - limit) / limit.max(1e-3);
        if beyond > 0.0 && worst.is_none_or(|(_, most)| beyond > most) {
            worst = Some((by, beyond));
        }
    };
    let network = solution.network();
    for (supply, amps) in solution.supplies().into_iter().enumerate() {
        hold(Binding::Supply, amps.0, limits.strips(supply).0);
    }
    for (tap, feed) in network.taps().iter().zip(solution.feeds()) {
        hold(Binding::Fuse, feed.plus.0, limits.fused(tap.limit).unwrap().0);
        hold(Binding::Wire, feed.plus.0.max(feed.minus.0), tap.limit.unwrap().0);
    }
    let most = |worst: Option<glowloom_plan::power::Worst>| worst.map_or(0.0, |w| w.amps.0);
    hold(Binding::Jumper, most(solution.worst_jumper()), limits.jumper.unwrap().0);
    hold(Binding::Rail, most(solution.worst_rail()), limits.rail.0);
    let most = (wall.power.trim_volts - limits.least_volts).0;
    if let Some(least) = solution.least_live_volts() {
        hold(Binding::LeastVolts, (wall.power.trim_volts - least).0, most);
    }
    worst
}

/// Scales frames by the rows, solves them, and counts those that the rows held back.
fn try_frames(called: &str, text: &str, frames: u32) -> (u32, Vec<Row>) {
    let wall = read(text);
    let network = network(&wall);
    let limits = Limits::of(&wall);
    let rows = rows(&network, &limits);
    let mut solver = Solver::new(&network);
    let mut held = 0;
    let dice = &mut Dice::new(called.len() as u64);
    for i in 0..frames {
        let frame = frame(dice, &network);
        let gain = gain(&rows, &numbers(&network, &frame));
        held += u32::from(gain < 1.0);
        let sinks = Sinks::each(network.law(), frame.len(), &frame, gain).unwrap();
        let solution = solver.solve(&sinks).unwrap();
        let passed = passed(&wall, &limits, &solution);
        assert_eq!(passed, None, "{called}, frame {i}, scaled by {gain}\n{text}");
    }
    (held, rows)
}

/// With every limit tight.
fn tight(least_volts: f64, more: &str) -> String {
    sixteen("rail_amps = 2", "", &format!("least_volts = {least_volts}\n{more}"))
        .replace("gauge = \"22 AWG\"", "amps = 1.7, gauge = \"22 AWG\"")
}

#[test]
fn a_thousand_frames() {
    let tidewall = panel(
        20,
        32,
        "rail_amps = 1.5",
        "",
        "feeds = 8\nleast_volts = 4.5\njumper_wire = { gauge = \"1 mm2\", length = \"40 mm\", amps = 1 }\nfeed_wire = { gauge = \"2.5 mm2\", length = \"1.2 m\", amps = 4 }\n",
    );
    let both = "feeds = [{ strip = 1 }, { strip = 9 }, { strip = 5, edge = \"far\" }]\n";
    for (called, text) in [
        ("tidewall", tidewall),
        ("tight", tight(4.0, "")),
        ("tight, below the knees", tight(2.5, "")),
        ("two supplies, soft", tight(4.0, "supplies_per_panel = 2\nsupply_ohms = 0.01\n")),
        ("two supplies, below the knees", tight(3.0, "supplies_per_panel = 2\n")),
        ("fed at both edges", tight(4.0, both)),
    ] {
        let (held, rows) = try_frames(called, &text, 1000);
        assert!(held > 300, "{called}: {held} frames were held back by {} rows", rows.len());
    }
}

#[test]
fn random_walls_and_frames() {
    let mut held = 0;
    for seed in 0..120 {
        let dice = &mut Dice::new(seed + 9000);
        let least = if dice.one_in(2) { dice.between(3.8, 4.4) } else { dice.between(0.5, 3.8) };
        let (rail, jumper) = (dice.between(0.3, 3.0), dice.between(0.3, 3.0));
        let text = wall_file(dice, 8, 30)
            .replace("[strip]\n", &format!("[strip]\nrail_amps = {rail:.3}\n"))
            .replace("jumper_wire = { ", &format!("jumper_wire = {{ amps = {jumper:.3}, "))
            + &format!("least_volts = {least}\nsupply = \"5v-10a\"\n");
        held += try_frames(&format!("seed {seed}"), &text, 25).0;
    }
    assert!(held > 500, "{held} frames were held back");
}

/// Above the knees full white passes as bright as its ceiling, but for what the pixels between two
/// rows may sag and for narrow numbers.
#[test]
fn full_white_is_held_to_its_ceiling() {
    for text in [
        tight(4.0, ""),
        tight(4.4, ""),
        tight(4.0, "supplies_per_panel = 2\nfeeds = 6\n"),
        sixteen("", "", ""),
    ] {
        let wall = read(&text);
        let network = network(&wall);
        let safe = wall_power(&wall).unwrap().highest_safe_brightness;
        assert!(safe > 0.05 && safe < 1.0, "{safe}");
        let rows = rows(&network, &Limits::of(&wall));
        let white = vec![3.0_f32; network.pixels()];
        let gain = gain(&rows, &white);
        assert!(gain <= safe && gain > 0.99 * safe, "{gain} for {safe}");
        // A dim frame is not held back at all.
        let dim: Vec<f32> = white.iter().map(|n| n * (0.98 * safe) as f32).collect();
        assert_eq!(glowloom_plan::power::rows::gain(&rows, &dim), 1.0);
    }
}

/// A row that nothing can break is not there; a panel that is out of limits when dark stays dark.
#[test]
fn the_ends() {
    let easy = read(&panel(4, 4, "", "", "feeds = 4\nfeed_wire = { gauge = \"2.5 mm2\" }\n"));
    assert_eq!(rows(&network(&easy), &Limits::of(&easy)), []);
    let dark = read(&sixteen("", "", "least_volts = 5\n"));
    let network = network(&dark);
    let rows = rows(&network, &Limits::of(&dark));
    assert_eq!(gain(&rows, &vec![0.5; network.pixels()]), 0.0);
}

/// The circuit's row is the whole wall's: as many amps as its mains may give.
#[test]
fn the_circuit() {
    let text = sixteen("", "", "mains = { circuit_amps = 1 }\n");
    let wall = read(&text);
    let most = circuit(&wall, &Networks::of(&wall));
    // 0.8 A of 230 V at a power factor of 0.6 and 85 % give the strips 18.768 A less the
    // receiver's 0.3 A; 576 pixels idle at 1 mA; a colour draws 20 mA.
    let wanted = (0.8 * 230.0 * 0.6 * 0.85 / 5.0 - 0.3 - 0.576) / 0.020;
    assert!((most / wanted - 1.0).abs() < 1e-5, "{most}, not {wanted}");
}
