//! What holds for every panel: currents sum to zero, power is not lost, and the uniformly loaded
//! feeder behaves as its formula says.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use std::collections::BTreeMap;

use circuits::parts::{Node, Parts, Place, parts_of};
use circuits::random::{Dice, wall_file};
use circuits::{network, panel, read, solve, white, wires};
use glowloom_design::Wall;
use glowloom_plan::power::{Network, Sinks, Solution};

/// Levels of every pixel: white, a random picture, or a few lit strips.
fn levels(dice: &mut Dice, network: &Network) -> Vec<[f64; 4]> {
    let kind = dice.whole(0, 2);
    let lit: Vec<bool> = (0..network.strips()).map(|_| dice.one_in(2)).collect();
    let level = |pixel: usize, dice: &mut Dice| match kind {
        0 => [1.0; 4],
        1 => [dice.share(), dice.share(), dice.share(), dice.share()],
        _ if lit[pixel / network.strip_pixels()] => [1.0; 4],
        _ => [0.0; 4],
    };
    (0..network.pixels()).map(|pixel| level(pixel, dice)).collect()
}

/// What is left over at each node of both rails, by the parts that the wall file lists.
fn left_over(wall: &Wall, solution: &Solution) -> f64 {
    let panel = &wall.panels[0];
    let Parts { plus, minus, feeds, hot, .. } = parts_of(wall, panel);
    let places = |strip| {
        let pixels = (0..panel.strip_pixels()).map(move |i| (strip, Place::Pixel(i)));
        std::iter::once((strip, Place::In)).chain(pixels).chain([(strip, Place::Out)])
    };
    let nodes: Vec<Node> = (0..panel.strip_count()).flat_map(places).collect();
    let potentials: BTreeMap<Node, (f64, f64)> =
        nodes.iter().copied().zip(solution.potentials().map(|(p, m)| (p.0, m.0))).collect();
    assert_eq!(potentials.len(), nodes.len());
    let mut out: BTreeMap<(char, Node), f64> = BTreeMap::new();
    let mut flow =
        |rail: char, node: Node, amps: f64| *out.entry((rail, node)).or_default() += amps;
    for (rail, parts) in [('p', &plus), ('m', &minus)] {
        for (from, to, ohms) in parts {
            let of = |node: &Node| {
                let (plus, minus) = potentials[node];
                if rail == 'p' { plus } else { minus }
            };
            let amps = (of(from) - of(to)) / ohms;
            flow(rail, *from, amps);
            flow(rail, *to, -amps);
        }
    }
    let given = solution.supplies();
    for (pad, supply, ohms) in &feeds {
        let inside = wall.power.supply_ohms.0 * given[*supply as usize].0;
        let (plus, minus) = potentials[pad];
        flow('p', *pad, (plus - (wall.power.trim_volts.0 - inside)) / ohms);
        flow('m', *pad, minus / ohms);
    }
    for (pixel, node) in nodes.iter().filter(|n| matches!(n.1, Place::Pixel(_))).enumerate() {
        if hot.contains(node) {
            let amps = solution.pixel_amps(pixel).0;
            flow('p', *node, amps);
            flow('m', *node, -amps);
        }
    }
    out.values().map(|amps| amps.abs()).fold(0.0, f64::max)
}

/// Currents sum to zero at every node of both rails; what the supplies give goes into LEDs and copper;
/// what the pixels draw is what the feeds carry.
#[test]
fn nothing_is_lost() {
    let (mut apart, mut dead, mut deep) = (0, 0, 0);
    for seed in 1000..1600 {
        let dice = &mut Dice::new(seed);
        let text = wall_file(dice, 12, 60);
        let wall = read(&text);
        let network = network(&wall);
        let levels = levels(dice, &network);
        let brightness = if dice.one_in(3) { dice.share() } else { 1.0 };
        let sinks = Sinks::each(network.law(), levels.len(), &levels, brightness).unwrap();
        let solution = solve(&network, &sinks);
        let left = left_over(&wall, &solution);
        assert!(left <= 1e-9, "{left:e} A left over, seed {seed}\n{text}");

        let amps = solution.amps().0;
        let heat = solution.heat();
        let given = wall.power.trim_volts.0 * amps;
        let found = heat.led.0 + heat.copper.0 + heat.supply.0;
        assert!((given - found).abs() <= 1e-9 * given, "{given} W in, {found} W out, seed {seed}");
        let drawn: f64 = (0..network.pixels()).map(|i| solution.pixel_amps(i).0).sum();
        assert!((drawn - amps).abs() <= 1e-9 * (1.0 + amps), "{drawn} A of {amps}, seed {seed}");
        let back: f64 = solution.feeds().map(|feed| feed.minus.0).sum();
        assert!((back - amps).abs() <= 1e-9 * (1.0 + amps), "{back} A of {amps}, seed {seed}");
        assert!(solution.iterations() <= 12, "{} steps, seed {seed}", solution.iterations());
        for (pixel, volts) in solution.all_volts().enumerate() {
            let live = network.is_live(pixel / network.strip_pixels());
            assert!(live || volts.0 == 0.0, "a dead pixel has {volts}, seed {seed}");
            assert!(volts <= wall.power.trim_volts, "{volts} at pixel {pixel}, seed {seed}");
        }
        let differ = |f: glowloom_plan::power::FeedFlow| (f.plus - f.minus).abs().0 > 1e-6;
        apart += u32::from(solution.feeds().any(differ));
        dead += u32::from(network.dead_strips().next().is_some());
        deep += u32::from(solution.all_volts().any(|v| v.0 > 0.0 && v.0 < 2.0));
    }
    // The random panels do reach what they are meant to.
    assert!(apart > 80 && dead > 80 && deep > 60, "{apart} apart, {dead} dead, {deep} deep");
}

/// A strip alone, no knee reached: fed at one end it drops I R / 2 along one rail, at both ends
/// I R / 8 (for an odd number of pixels r i (N^2 + 1) / 8), R being the rail of the whole cut strip.
#[test]
fn the_uniformly_loaded_feeder() {
    let (r, i, feed) = (0.10 / 30.0, 0.061, 0.05);
    for pixels in [1, 2, 3, 10, 11, 36, 57] {
        let n = f64::from(pixels);
        let knees = "knee_volts = [0.1, 0.1, 0.1]\nidle_knee_volts = 0.1";
        let one = read(&panel(1, pixels, knees, "", &wires(feed, 0.01)));
        let one = network(&one);
        let solution = white(&one, 1.0);
        let far = solution.volts_at(1, glowloom_design::wall::Edge::Far).0;
        let drop = r * i * n * n / 2.0 + feed * i * n;
        assert!((5.0 - far - 2.0 * drop).abs() < 1e-12, "{pixels} pixels: {far}");

        let feeds = format!(
            "feeds = [{{ strip = 1 }}, {{ strip = 1, edge = \"far\" }}]\n{}",
            wires(feed, 0.01)
        );
        let both = read(&panel(1, pixels, knees, "", &feeds));
        let both = network(&both);
        let solution = white(&both, 1.0);
        let least = solution.all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min);
        let squares = if pixels % 2 == 0 { n * n } else { n * n + 1.0 };
        // The lowest pixel of an odd strip is its middle one.
        let drop = r * i * squares / 8.0 + feed * i * n / 2.0;
        assert!((5.0 - least - 2.0 * drop).abs() < 1e-12, "{pixels} pixels: {least}");
        for carried in solution.feeds() {
            assert!((carried.plus.0 - i * n / 2.0).abs() < 1e-12, "{pixels} pixels");
        }
    }
}

/// All pixels below every knee are a leaky line: voltages fall as a hyperbolic cosine.
#[test]
fn the_leaky_line() {
    let (r, feed, trim) = (0.4 / 30.0, 0.05, 5.0);
    for pixels in [2, 9, 40, 150] {
        let n = f64::from(pixels);
        let knees = "rail_ohms_per_metre = 0.4\nknee_volts = [9, 9, 9]\nidle_knee_volts = 9";
        let wall = read(&panel(1, pixels, knees, "", &wires(feed, 0.01)));
        let network = network(&wall);
        let solution = white(&network, 1.0);
        let g = 0.061 / 9.0;
        // Of the loop of both rails: 2 r, 2 R_f.
        let t = f64::acosh(1.0 + r * g);
        let z = t.sinh() / (g * (n * t).tanh());
        let pad = trim * z / (z + 2.0 * feed);
        for (k, volts) in solution.all_volts().enumerate() {
            let along = (n - 0.5 - k as f64) * t;
            let wanted = pad * along.cosh() / ((n * t).cosh() * (t / 2.0).cosh());
            assert!((volts.0 - wanted).abs() < 1e-11, "{pixels} pixels, {k}: {volts:?} {wanted}");
        }
    }
}

/// One supply: one more feed, a better feed or dimmer pixels lower no pixel's voltage.
#[test]
fn helping_helps() {
    for seed in 0..120 {
        let dice = &mut Dice::new(seed + 7000);
        let text = wall_file(dice, 7, 25);
        let supplies = text.find("supplies_per_panel = ").unwrap() + 21;
        let text = format!("{}1{}", &text[..supplies], &text[supplies + 1..]);
        // A supply that gives way inside ties its feeds together.
        let text = text.replace("supply_ohms = ", "supply_ohms = 0 # ");
        let wall = read(&text);
        let network = network(&wall);
        let before: Vec<f64> = white(&network, 0.8).all_volts().map(|v| v.0).collect();
        let none_lower = |other: &Solution, what: &str| {
            for (old, new) in before.iter().zip(other.all_volts()) {
                assert!(new.0 >= old - 1e-10, "{what}: {old} V became {new}, seed {seed}\n{text}");
            }
        };
        none_lower(&white(&network, 0.5), "dimmed");
        let mut taps = network.taps().to_vec();
        let Some(first) = taps.first_mut() else { continue };
        first.ohms.0 *= 0.5;
        let better = network.with_feeds(taps.clone());
        none_lower(&white(&better, 0.8), "a better feed");
        let strip = dice.whole(1, u32::try_from(network.strips()).unwrap());
        let edge = glowloom_design::wall::Edge::Far;
        if taps.iter().all(|tap| (tap.strip, tap.edge) != (strip, edge)) {
            let more = glowloom_plan::power::Tap { strip, edge, ..taps[0] };
            let mut taps = network.taps().to_vec();
            taps.push(more);
            none_lower(&white(&network.with_feeds(taps), 0.8), "one more feed");
        }
    }
}

/// The answer is the one solution: an even picture given pixel by pixel is the same, and equal
/// networks are solved to the same volts.
#[test]
fn the_same_question_has_the_same_answer() {
    let text = wall_file(&mut Dice::new(5), 8, 30);
    let (a, b) = (read(&text), read(&text));
    let (a, b) = (network(&a), network(&b));
    assert_eq!(a, b);
    let each = vec![[1.0; 4]; a.pixels()];
    let even = white(&a, 0.7);
    let one_by_one = solve(&b, &Sinks::each(b.law(), b.pixels(), &each, 0.7).unwrap());
    assert!(even.all_volts().eq(one_by_one.all_volts()));
}
