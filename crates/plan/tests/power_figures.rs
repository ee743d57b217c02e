//! The plan's power figures and ceilings: the reference's worked cases to every digit printed there,
//! and what must hold for any wall.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use std::collections::BTreeMap;

use circuits::random::{Dice, wall_file};
use circuits::{network, panel, printed, read, sixteen, white, wires};
use glowloom_design::Wall;
use glowloom_plan::path::{Cell, PanelPath};
use glowloom_plan::power::{
    Binding, Limits, Network, PanelPower, Showing, WallPower, wall_power, wall_power_showing,
};
use glowloom_units::{Amps, Volts};

fn power(text: &str) -> WallPower {
    wall_power(&read(text)).unwrap()
}

fn first(text: &str) -> PanelPower {
    power(text).panels.remove(0)
}

/// Nothing but the voltage sets an end.
const GENEROUS: &str = "supply = { volts = 5, amps = 9000 }\nfuse_load = 1\nfuses = [9000]\n\
                        mains = { circuit_amps = 9000 }\n";

fn generous(text: &str) -> String {
    text.replace("part = \"ws2812b-30\"\n", "part = \"ws2812b-30\"\nrail_amps = 9000\n")
        .replace("gauge = \"16 AWG\"", "amps = 9000, gauge = \"16 AWG\"")
        .replace("gauge = \"22 AWG\"", "amps = 9000, gauge = \"22 AWG\"")
        .replace("amps = 10 }", "amps = 9000 }")
        + GENEROUS
}

#[test]
fn sixteen_strips_as_the_plan_has_them() {
    let found = first(&sixteen("", "", ""));
    printed(found.amps.0, "31.742361");
    printed(found.least_volts.0, "2.508146");
    assert_eq!(found.least_volts_at, [10, 1]);
    printed(found.least_volts_brightness, "0.324864");
    printed(found.led_watts.0, "108.181514");
    printed(found.copper_watts.0, "50.530291");
    assert_eq!(found.supply_amps_rated, Amps(60.0));
    printed(found.supply_share, &format!("{:.6}", (31.742361 + 0.3) / 60.0));
    assert!(found.residual_amps.0 < 1e-11 && found.iterations <= 5);
    let strips: Vec<_> = found.feeds.iter().map(|feed| (feed.strip, feed.supply)).collect();
    assert_eq!(strips, [(3, 1), (8, 1), (14, 1)]);
    for feed in &found.feeds {
        assert!((feed.volts_at_strip + feed.drop_volts - Volts(5.0)).abs().0 < 1e-12);
        assert_eq!(feed.wire_ampacity, Some(Amps(10.0)));
        assert_eq!(feed.fuse_amps, None, "this very design overloads 16 AWG");
        assert!((feed.amps - feed.minus_amps).abs().0 < 1e-12);
    }
    // 16 strips of 36 pixels at a pitch of 1/30 m.
    let area = 16.0 * 36.0 / 900.0;
    assert!((found.watts_per_m2.0 * area - found.led_watts.0 - found.copper_watts.0).abs() < 1e-9);
    // Under a limit that its wires bear.
    let dimmed = first(&sixteen("", "", "brightness_limit = 0.324864\n"));
    let fuses: Vec<_> = dimmed.feeds.iter().map(|feed| feed.fuse_amps.map(|fuse| fuse.0)).collect();
    // 3.706, 4.373 and 3.724 A over 0.8 are 4.63, 5.47 and 4.65 A.
    assert_eq!(fuses, [Some(5.0), Some(7.5), Some(5.0)]);
}

#[test]
fn with_two_supplies() {
    let found = first(&sixteen("", "", "supplies_per_panel = 2\n"));
    printed(found.supply_share * 60.0, &format!("{:.3}", 8.623 + 8.609 + 0.3));
    assert_eq!(found.supply_amps_rated, Amps(120.0));
    let back: Vec<String> = found.feeds.iter().map(|f| format!("{:.3}", f.minus_amps.0)).collect();
    assert_eq!(back, ["8.674", "9.935", "11.842"]);
    assert_eq!(found.feeds.iter().map(|f| f.supply).collect::<Vec<_>>(), [1, 1, 2]);
}

/// The brightness at which the lowest pixel has the wanted voltage.
#[test]
fn brightness_by_the_lowest_pixel() {
    let brightness = |text: &str| first(text).least_volts_brightness;
    for (volts, wanted) in [("4", ".367949"), ("3", ".830799"), ("2", "1")] {
        let text = panel(1, 100, "", "", &wires(0.05, 0.01)) + "least_volts = " + volts + "\n";
        printed(brightness(&text), wanted);
    }
    for (feeds, wanted) in
        [(1, ".036"), (2, ".179"), (3, ".325"), (4, ".666"), (8, ".744"), (16, "1")]
    {
        printed(brightness(&sixteen("", "", &format!("feeds = {feeds}\n"))), wanted);
    }
    for (ohms, wanted) in [
        (0.04, ".638"),
        (0.05, ".551"),
        (0.10, ".325"),
        (0.12, ".278"),
        (0.2, ".173"),
        (0.4, ".084"),
    ] {
        let strip = format!("rail_ohms_per_metre = {ohms}");
        printed(brightness(&sixteen(&strip, "", "")), wanted);
    }
    printed(brightness(&sixteen("", "path = \"progressive\"", "")), ".222");
}

#[test]
fn what_binds() {
    // With the wires as they are the rail, 5 A, and the jumper, 3.15 A, may come before the volts.
    let text = generous(&sixteen("", "", ""));
    let found = power(&text);
    printed(found.highest_safe_brightness, "0.324864");
    assert_eq!((found.binding, found.binding_panel), (Binding::LeastVolts, Some(0)));
    // 10 A fuses at 0.8 alone.
    let fused = text
        .replace("fuses = [9000]", "fuses = [10]")
        .replace("fuse_load = 1", "fuse_load = 0.8\nleast_volts = 0");
    let found = power(&fused);
    printed(found.highest_safe_brightness, "0.635886");
    assert_eq!(found.binding, Binding::Fuse);
    let found = power(&fused.replace("least_volts = 0", "least_volts = 4.0"));
    printed(found.highest_safe_brightness, "0.324864");
    assert_eq!(found.binding, Binding::LeastVolts);
    // Nothing.
    let found = power(&text.replace("[power]", "[power]\nleast_volts = 0"));
    assert_eq!((found.highest_safe_brightness, found.binding), (1.0, Binding::None));
    assert_eq!(found.binding_panel, None);
}

/// The text with one limit made tight, and what must bind then.
fn tightened(by: Binding) -> String {
    let text = generous(&sixteen("", "", "")).replace("[power]", "[power]\nleast_volts = 0.5");
    match by {
        Binding::Supply => {
            text.replace("supply = { volts = 5, amps = 9000 }", "supply = \"5v-20a\"")
        }
        Binding::Fuse => text.replace("fuses = [9000]", "fuses = [7.5]"),
        Binding::Wire => text
            .replacen("amps = 9000, gauge = \"16 AWG\"", "amps = 6, gauge = \"16 AWG\"", 1)
            .replace("fuses = [9000]", "fuses = [6]"),
        Binding::Jumper => {
            text.replace("amps = 9000, gauge = \"22 AWG\"", "amps = 2.5, gauge = \"22 AWG\"")
        }
        Binding::Rail => text.replace("rail_amps = 9000", "rail_amps = 4.5"),
        Binding::LeastVolts => text.replace("least_volts = 0.5", "least_volts = 3.0"),
        Binding::Circuit => text.replace("circuit_amps = 9000", "circuit_amps = 1"),
        Binding::None => text,
    }
}

/// At the ceiling every limit holds; a little above it the one that is named does not.
#[test]
fn every_limit_can_bind() {
    use Binding::{Circuit, Fuse, Jumper, LeastVolts, Rail, Supply};
    for by in [Supply, Fuse, Jumper, Rail, LeastVolts, Circuit] {
        let wall = read(&tightened(by));
        let found = wall_power(&wall).unwrap();
        assert_eq!(found.binding, by);
        let ceiling = found.highest_safe_brightness;
        assert!(ceiling > 0.0 && ceiling < 1.0, "{by:?}: {ceiling}");
        assert_eq!(broken(&wall, ceiling - 1e-7), [], "{by:?} at {ceiling}");
        assert_eq!(broken(&wall, ceiling + 1e-7), [by], "{by:?} at {ceiling}");
    }
    // A fuse as large as the wire may carry, used to the full: a tie, and the fuse comes first.
    let found = power(&tightened(Binding::Wire));
    assert_eq!(found.binding, Binding::Fuse);
    assert_eq!(power(&tightened(Binding::None)).highest_safe_brightness, 1.0);
    // The minus conductor carries what another supply gave, which no fuse of its own sees.
    let feeds = "supplies_per_panel = 2\nfeeds = [{ strip = 2 }, { strip = 6 }, { strip = 12, wire = { \
                 gauge = \"16 AWG\", length = \"4 ft\" } }]\n";
    let text =
        generous(&sixteen("", "", feeds)).replacen("amps = 9000, gauge", "amps = 9, gauge", 1);
    let text = text.replace("fuses = [9000]", "fuses = [9, 9000]");
    let wall = read(&text.replace("[power]", "[power]\nleast_volts = 0"));
    let found = wall_power(&wall).unwrap();
    assert_eq!(found.binding, Binding::Wire);
    assert_eq!(broken(&wall, found.highest_safe_brightness + 1e-7), [Binding::Wire]);
    let feed = &found.panels[0].feeds[1];
    assert!(feed.amps.0 < 9.0 && feed.minus_amps.0 > 9.0, "{feed:?}");
}

/// The limits that full white of a brightness breaks, found from the solution itself.
fn broken(wall: &Wall, brightness: f64) -> Vec<Binding> {
    let limits = Limits::of(wall);
    let found = wall_power_showing(wall, Showing::WHITE, brightness).unwrap();
    let mut broken = Vec::new();
    for (panel, power) in wall.panels.iter().zip(&found.panels) {
        let network = Network::of(wall, panel);
        let solution = white(&network, brightness);
        let mut hold = |by: Binding, holds: bool| {
            if !holds && !broken.contains(&by) {
                broken.push(by);
            }
        };
        hold(Binding::Supply, power.supply_share <= wall.power.supply_load + 1e-12);
        for feed in &power.feeds {
            let carried = feed.amps.max(feed.minus_amps);
            let fused = limits.fused(feed.wire_ampacity);
            hold(Binding::Fuse, fused.is_none_or(|most| feed.amps <= most));
            hold(Binding::Wire, feed.wire_ampacity.is_none_or(|most| carried <= most));
        }
        let most = |worst: Option<glowloom_plan::power::Worst>| worst.map_or(0.0, |w| w.amps.0);
        let jumper = limits.jumper.map_or(f64::INFINITY, |amps| amps.0);
        hold(Binding::Jumper, most(solution.worst_jumper()) <= jumper);
        hold(Binding::Rail, most(solution.worst_rail()) <= limits.rail.0);
        let least = solution.least_live_volts().unwrap_or(Volts(f64::INFINITY));
        hold(Binding::LeastVolts, least >= limits.least_volts);
    }
    if found.mains.circuit_share > wall.power.circuit_load {
        broken.push(Binding::Circuit);
    }
    broken.sort();
    broken
}

/// Random walls: the ceiling is the highest brightness at which nothing is broken.
#[test]
fn ceilings_of_random_walls() {
    let mut below_a_knee = 0;
    let mut seen: BTreeMap<Binding, u32> = BTreeMap::new();
    for seed in 0..800 {
        let dice = &mut Dice::new(seed + 300);
        let least = dice.between(0.0, 4.2);
        let text = wall_file(dice, 8, 30)
            + &format!(
                "least_volts = {least}\nfuse_load = {:.3}\nsupply = \"{}\"\nmains = {{ circuit_amps = \
                 {:.2} }}\n",
                dice.between(0.5, 1.0),
                dice.pick(&["5v-10a", "5v-20a", "5v-60a"]),
                dice.between(0.3, 3.0)
            );
        let (rail, jumper) = (dice.between(0.5, 6.0), dice.between(0.5, 6.0));
        let text = text
            .replace("[strip]\n", &format!("[strip]\nrail_amps = {rail:.3}\n"))
            .replace("jumper_wire = { ", &format!("jumper_wire = {{ amps = {jumper:.3}, "));
        let wall = read(&text);
        let found = wall_power(&wall).unwrap();
        let (ceiling, by) = (found.highest_safe_brightness, found.binding);
        if ceiling < 1.0 {
            let above = broken(&wall, ceiling + 1e-6);
            assert!(above.contains(&by), "{by:?} at {ceiling}, not {above:?}, seed {seed}\n{text}");
        } else {
            assert_eq!(by, Binding::None, "seed {seed}");
        }
        if ceiling > 1e-6 {
            let below = broken(&wall, ceiling - 1e-6);
            assert_eq!(below, [], "at {ceiling} by {by:?}, seed {seed}\n{text}");
        }
        *seen.entry(by).or_default() += 1;

        let network = network(&wall);
        let brightness = found.panels[0].least_volts_brightness;
        let lowest =
            |b: f64| white(&network, b).all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min);
        if brightness > 0.0 {
            assert!(lowest(brightness) >= least - 1e-9, "seed {seed}: {brightness}");
            below_a_knee += u32::from(brightness < 1.0 && least < 3.8);
        }
        if brightness < 1.0 {
            assert!(lowest(brightness + 1e-6) < least, "seed {seed}: {brightness}");
        }
    }
    // The wire binds alone where supplies share a minus rail, which is rare.
    let met = [Binding::Supply, Binding::Fuse, Binding::Jumper, Binding::Rail, Binding::LeastVolts];
    for by in met.into_iter().chain([Binding::Circuit]) {
        assert!(seen.get(&by).is_some_and(|times| *times >= 5), "{by:?}: {seen:?}");
    }
    assert!(below_a_knee > 30, "{below_a_knee}");
}

/// No way at all, and pixels that do not count.
#[test]
fn ceilings_at_the_ends() {
    // Even dark it is below the wanted voltage.
    let found = power(&generous(&sixteen("", "", "least_volts = 5.0\n")));
    assert_eq!((found.highest_safe_brightness, found.binding), (0.0, Binding::LeastVolts));
    assert_eq!(found.panels[0].least_volts_brightness, 0.0);
    // The idle current alone is too much for the supply.
    let idle = generous(&sixteen("idle_amps = 0.02", "", ""))
        .replace("amps = 9000 }\nfuse_load", "amps = 5 }\nfuse_load");
    let found = power(&idle.replace("[power]", "[power]\nleast_volts = 0"));
    assert_eq!((found.highest_safe_brightness, found.binding), (0.0, Binding::Supply));
    // No fuse protects so thin a wire.
    let thin = generous(&sixteen("", "", "")).replace("fuses = [9000]", "fuses = [9001]");
    let found = power(&thin);
    assert_eq!((found.highest_safe_brightness, found.binding), (0.0, Binding::Fuse));
    // Dead strips are left out of the wall's ceiling but not of the panel's own figure.
    let half = generous(&sixteen("", "jumpers = \"data\"", "feeds = 8\n"));
    let found = power(&half.replace("[power]", "[power]\nleast_volts = 1"));
    assert_eq!((found.highest_safe_brightness, found.binding), (1.0, Binding::None));
    let panel = &found.panels[0];
    assert_eq!(panel.least_volts_brightness, 0.0);
    assert_eq!(panel.dead_strips, [2, 4, 6, 8, 10, 12, 14, 16]);
    assert_eq!((panel.least_volts, panel.least_volts_at), (Volts(0.0), [1, 0]));
    // No feed at all.
    let found = power(&sixteen("", "", "feeds = 0\n"));
    assert_eq!(found.panels[0].amps, Amps(0.0));
    assert_eq!(found.panels[0].dead_strips.len(), 16);
    assert_eq!((found.highest_safe_brightness, found.binding), (1.0, Binding::None));
}

/// The lowest pixel's place is that in the picture, after the turn; of equals the topmost, then the
/// leftmost.
#[test]
fn the_place_of_the_lowest_pixel() {
    // Two strips alike, each fed at its own near end: four pixels tie in pairs.
    let alike = |lines: &str| {
        let text = panel(
            2,
            6,
            "",
            &format!("jumpers = \"data\"\npath = \"progressive\"\n{lines}"),
            "feeds = 2\n",
        );
        first(&text).least_volts_at
    };
    // Entered at the bottom, the far edge is the top row.
    assert_eq!(alike(""), [0, 0]);
    assert_eq!(alike("enter = \"top-right\""), [0, 5]);
    let turned = |turn: u32| {
        let text = panel(2, 6, "", "", "feeds = 2\n");
        let text = text.replace(
            "at = [0, 0]",
            &format!("at = [3, 4]\nturn = {turn}\njumpers = \"data\"\npath = \"progressive\""),
        );
        let text = text.replacen("columns = 2\nrows = 6", "columns = 20\nrows = 20", 1);
        first(&text).least_volts_at
    };
    assert_eq!(turned(0), [3, 4]);
    assert_eq!(turned(90), [8, 4], "the top row is the right column");
    assert_eq!(turned(180), [3, 9]);
    assert_eq!(turned(270), [3, 4]);
    // Any wall: no pixel is lower, and the place shows one of the lowest.
    for seed in 0..150 {
        let wall = read(&wall_file(&mut Dice::new(seed + 50), 7, 20));
        let panel = &wall.panels[0];
        let found = wall_power(&wall).unwrap().panels.remove(0);
        let network = network(&wall);
        let solution = white(&network, 1.0);
        let pixels = PanelPath::of(panel).lines().flat_map(|line| line.path());
        let by_place: Vec<(Cell, f64)> =
            pixels.map(|p| p.picture).zip(solution.all_volts().map(|v| v.0)).collect();
        let [column, row] = found.least_volts_at;
        for (cell, volts) in by_place {
            assert!(volts >= found.least_volts.0, "seed {seed}");
            let before = (cell.row, cell.column) < (row, column);
            assert!(!before || volts > found.least_volts.0 + 1e-9, "seed {seed}");
            if (cell.column, cell.row) == (column, row) {
                assert!(volts <= found.least_volts.0 + 1e-9, "seed {seed}");
            }
        }
    }
}

/// Panels that are alike have the same figures; others their own. A picture is seen where it shows.
#[test]
fn several_panels() {
    let panels = "[[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\nat = [8, 0]\nturn = 180\n\
                  [[panels]]\nname = \"c\"\nat = [16, 0]\nfeeds = 1\n";
    let text = format!(
        "format = 1\n[wall]\nname = \"W\"\ncolumns = 24\nrows = 30\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 8\nrows = 30\n{panels}[power]\nfeeds = 2\n"
    );
    let wall = read(&text);
    let found = wall_power(&wall).unwrap();
    let [a, b, c] = found.panels.as_slice() else { panic!("three panels") };
    assert_eq!((a.amps, a.least_volts, &a.feeds), (b.amps, b.least_volts, &b.feeds));
    assert_ne!(a.least_volts_at, [b.least_volts_at[0] - 8, b.least_volts_at[1]]);
    assert!(c.least_volts < a.least_volts && c.feeds.len() == 1);
    assert_eq!(found.binding_panel, Some(2), "the panel with one feed binds");
    let strips = (a.amps + b.amps + c.amps).0;
    let watts = (strips + 0.9) * 5.0 / 0.85;
    assert!((found.mains.watts.0 - watts).abs() < 1e-9);
    assert!((found.mains.amps.0 - watts / 0.6 / 230.0).abs() < 1e-12);
    assert!((found.mains.circuit_share * 10.0 - found.mains.amps.0).abs() < 1e-12);
    assert!((found.mains.per_day(5.0).0 - watts * 5.0 / 1000.0).abs() < 1e-9);

    let left = |cell: Cell| if cell.column < 8 { [1.0; 4] } else { [0.0; 4] };
    let lit = wall_power_showing(&wall, Showing::Picture(&left), 1.0).unwrap();
    assert_eq!(lit.panels[0].amps, a.amps);
    let black = wall_power_showing(&wall, Showing::BLACK, 1.0).unwrap();
    assert_eq!(lit.panels[1].amps, black.panels[1].amps);
    assert!((black.panels[1].amps.0 - 240.0 * 0.001).abs() < 1e-12, "idle alone");
    assert_eq!(lit.highest_safe_brightness, found.highest_safe_brightness);
}
