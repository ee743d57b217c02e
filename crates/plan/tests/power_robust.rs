//! Absurd walls: an answer each, in time, without a panic and without a value that is not a number.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::random::{Dice, wall_file};
use circuits::{network, panel, read, sixteen, white};
use glowloom_design::Wall;
use glowloom_plan::power::bench::{bench, bench_pixels};
use glowloom_plan::power::measure::{Softness, measurements};
use glowloom_plan::power::search::Goal;
use glowloom_plan::power::search::fewest_feeds;
use glowloom_plan::power::{Limits, Sinks, Solver, WallPower, gain, rows, wall_power};
use glowloom_units::Volts;

/// Everything that is asked of a wall; every number that comes back is one.
fn everything(wall: &Wall) -> WallPower {
    let found = wall_power(wall).unwrap_or_else(|unsolved| panic!("{unsolved}"));
    let trim = wall.power.trim_volts.0;
    assert!((0.0..=1.0).contains(&found.highest_safe_brightness));
    assert!(found.mains.watts.0.is_finite() && found.mains.amps.0 >= 0.0);
    for panel in &found.panels {
        let figures = [
            panel.amps.0,
            panel.supply_share,
            panel.led_watts.0,
            panel.copper_watts.0,
            panel.supply_watts.0,
            panel.watts_per_m2.0,
            panel.residual_amps.0,
        ];
        assert!(figures.iter().all(|x| x.is_finite() && *x >= 0.0), "{figures:?}");
        assert!((0.0..=1.0).contains(&panel.least_volts_brightness));
        // Another supply's current may lift a starved zone's minus rail above its plus rail.
        assert!(panel.least_volts.0.abs() <= trim + 1e-9, "{:?}", panel.least_volts);
        for feed in &panel.feeds {
            assert!(feed.amps.0.is_finite() && feed.minus_amps.0.is_finite());
            assert!(feed.volts_at_strip.0.is_finite() && feed.drop_volts.0.is_finite());
        }
    }
    let network = network(wall);
    let limits = Limits::of(wall);
    let rows = rows(&network, &limits);
    for row in &rows {
        assert!(
            row.held.weights.iter().all(|w| w.is_finite()) && row.held.limit.is_finite(),
            "{row:?}"
        );
    }
    let share = gain(&rows, &vec![3.0; network.pixels()]);
    assert!((0.0..=1.0).contains(&share));
    let soft = Softness::unmeasured(&wall.strip);
    let points = measurements(&network, &soft, &[1.0]).unwrap();
    assert!(points.points.iter().all(|point| point.volts[0].least.0.is_finite()));
    let bench = bench(wall, &soft, bench_pixels(wall, &soft), 7).unwrap();
    assert!(bench.volts_at_end.least.0.is_finite() && bench.pixels >= 1);
    found
}

#[test]
fn absurd_figures() {
    for (strip, power) in [
        (
            "rail_ohms_per_metre = 0",
            "connection_ohms = 0\nfeed_wire = { ohms_per_metre = 0 }\njumper_wire = { ohms_per_metre = 0 }\n",
        ),
        (
            "rail_ohms_per_metre = 1000",
            "connection_ohms = 1000\nfeed_wire = { ohms_per_metre = 1000, length = \"1000 m\" }\n",
        ),
        ("rail_ohms_per_metre = 0", "connection_ohms = 1000\n"),
        ("", "feed_wire = { gauge = \"40 AWG\", length = \"1000 m\" }\n"),
        ("", "feed_wire = { gauge = \"0 AWG\", length = \"0 m\" }\nconnection_ohms = 0\n"),
        ("", "feeds = 0\n"),
        ("", "feeds = 16\nsupplies_per_panel = 16\n"),
        ("", "feeds = 0\nsupplies_per_panel = 16\nsupply_ohms = 1\n"),
        ("", "trim_volts = 0\n"),
        ("", "trim_volts = 100\n"),
        ("", "least_volts = 100\n"),
        ("", "brightness_limit = 0\n"),
        ("channel_amps = 0\nidle_amps = 0", ""),
        ("channel_amps = 10000", ""),
        ("idle_amps = 10000", "supplies_per_panel = 3\n"),
        ("knee_volts = [0, 0, 0]\nidle_knee_volts = 0", "supplies_per_panel = 3\n"),
        ("knee_volts = [100, 100, 100]\nidle_knee_volts = 100", ""),
        ("rail_amps = 0", "jumper_wire = { gauge = \"22 AWG\", amps = 0 }\n"),
        ("pixels_per_metre = 1000", "supply_ohms = 1000\n"),
        ("", "supply = { volts = 5, amps = 0 }\n"),
        ("", "fuses = [0.001]\nsupply_load = 0.01\ncircuit_load = 0.01\n"),
    ] {
        let text = sixteen(strip, "", power);
        let Ok(wall) = glowloom_design::read(text.as_bytes()) else {
            assert!(power.contains("amps = 0 }"), "read refuses {strip} {power}");
            continue;
        };
        everything(&wall);
    }
}

/// A feed at both ends of every strip.
#[test]
fn fed_everywhere() {
    let ends = (1..=16)
        .flat_map(|s| ["near", "far"].map(|e| format!("{{ strip = {s}, edge = \"{e}\" }}")));
    let feeds = ends.collect::<Vec<_>>().join(", ");
    let wall = read(&sixteen("", "", &format!("feeds = [{feeds}]\n")));
    let found = everything(&wall);
    assert_eq!(found.panels[0].feeds.len(), 32);
    assert!(found.panels[0].least_volts.0 > 4.7);
}

/// A trim above the strip's rating is solved like any other: the finding is the hazard.
#[test]
fn trimmed_too_high() {
    let found = everything(&read(&sixteen("", "", "trim_volts = 5.4\n")));
    let before = everything(&read(&sixteen("", "", "")));
    assert!(found.panels[0].least_volts > before.panels[0].least_volts);
    assert!(found.panels[0].led_watts > before.panels[0].led_watts);
}

/// One strip of 65,535 pixels, 65,535 strips of one pixel, each with its own supply.
#[test]
fn the_longest_and_the_widest() {
    let long = read(&panel(1, 65_535, "", "", ""));
    let (network_long, white_long) = (network(&long), 1.0);
    let solution = white(&network_long, white_long);
    assert!(solution.iterations() < 20 && solution.amps().0 > 1.0);
    let wide = read(&panel(
        65_535,
        1,
        "",
        "",
        "feeds = 65535\nsupplies_per_panel = 65535\nsupply_ohms = 0.01\n",
    ));
    let network_wide = network(&wide);
    let solution = white(&network_wide, 1.0);
    // Each supply has one pixel behind its own ohms and wires.
    let volts = solution.all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min);
    assert!(volts > 4.98 && solution.iterations() < 20, "{volts}");
    assert!((solution.amps().0 - 65_535.0 * 0.061).abs() < 1e-6);
}

/// A million pixels on one panel, fed at one end of it all, and with a feed for every fifth strip.
#[test]
fn a_million_pixels_on_one_panel() {
    for (feeds, supplies) in [(1, 1), (200, 1), (200, 3)] {
        let wall = read(&panel(
            1000,
            1000,
            "",
            "",
            &format!("feeds = {feeds}\nsupplies_per_panel = {supplies}\n"),
        ));
        let network = network(&wall);
        let solution = Solver::new(&network).solve(&Sinks::white(network.law(), 1.0)).unwrap();
        assert!(solution.iterations() <= 10, "{} steps", solution.iterations());
        let heat = solution.heat();
        let given = 5.0 * solution.amps().0;
        assert!((given - heat.led.0 - heat.copper.0).abs() <= 1e-9 * given);
    }
}

/// The search gives up in time where nothing can be reached, or where there is too much to try.
#[test]
fn a_search_that_cannot_end() {
    let wall = read(&panel(300, 20, "", "", ""));
    let network = network(&wall);
    let wire = &wall.panels[0].feeds[0].wire;
    let goal = Goal { brightness: 1.0, least_volts: Volts(4.6), ..Goal::OPEN };
    let found =
        fewest_feeds(&network, goal, wire, wall.power.connection_ohms, 50).unwrap().unwrap();
    assert!(!found.searched && found.feeds.len() < 300);
    let never = Goal { least_volts: Volts(5.0), ..goal };
    assert_eq!(fewest_feeds(&network, never, wire, wall.power.connection_ohms, 50).unwrap(), None);
}

/// Random walls with figures out of all proportion.
#[test]
fn random_absurdities() {
    for seed in 0..400 {
        let dice = &mut Dice::new(seed + 31_000);
        let mut text = wall_file(dice, 10, 30);
        let mut swap = |dice: &mut Dice, key: &str, values: &[&str]| {
            if dice.one_in(2) {
                let value = dice.pick(values);
                text = text.replacen(&format!("{key} ="), &format!("{key} = {value} #"), 1);
            }
        };
        swap(dice, "rail_ohms_per_metre", &["0", "1e-9", "30", "1000"]);
        swap(dice, "supply_ohms", &["1e-7", "1", "1000"]);
        swap(dice, "trim_volts", &["0", "0.001", "100"]);
        swap(dice, "connection_ohms", &["0", "1", "1000"]);
        if dice.one_in(3) {
            let strip = dice.pick(&[
                "channel_amps = 10000",
                "idle_amps = 100\nidle_knee_volts = 0",
                "idle_knee_volts = 60",
            ]);
            text = text.replacen("[strip]\n", &format!("[strip]\n{strip}\n"), 1);
        }
        everything(&read(&text));
    }
}
