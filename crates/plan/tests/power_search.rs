//! The search for feeds: against every possible set on small panels, and its text put back into the
//! wall file.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::random::Dice;
use circuits::{network, panel, read, sixteen, white};
use glowloom_design::wall::{Edge, Wire};
use glowloom_plan::power::search::{
    Goal, Proposal, far_edge_as_well, fewest_feeds, proposals, thicker_wires,
};
use glowloom_plan::power::{Limits, Network, Tap, wall_power};
use glowloom_units::{Amps, FromText, Gauge, Ohms, OhmsPerMetre, Volts};

/// The lowest voltage with feeds at those strip ends, and the most that one carries.
fn judged(network: &Network, ends: &[(u32, Edge)], tap: Tap, brightness: f64) -> (f64, f64) {
    let taps = ends.iter().map(|(strip, edge)| Tap { strip: *strip, edge: *edge, ..tap }).collect();
    let fed = network.with_feeds(taps);
    let solution = white(&fed, brightness);
    let least = solution.all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min);
    let most = solution.feeds().map(|f| f.plus.0.max(f.minus.0)).fold(0.0, f64::max);
    (least, most)
}

/// Whether jumpers and rails carry what a goal lets them.
fn copper_holds(network: &Network, feeds: &[(u32, Edge)], tap: Tap, goal: Goal) -> bool {
    let taps = feeds.iter().map(|(strip, edge)| Tap { strip: *strip, edge: *edge, ..tap });
    let fed = network.with_feeds(taps.collect());
    let solution = white(&fed, goal.brightness);
    let most = |worst: Option<glowloom_plan::power::Worst>| worst.map_or(Amps(0.0), |w| w.amps);
    goal.jumper_amps.is_none_or(|amps| most(solution.worst_jumper()) <= amps)
        && goal.rail_amps.is_none_or(|amps| most(solution.worst_rail()) <= amps)
}

/// The fewest feeds of all sets there are.
fn by_trying_all(network: &Network, goal: Goal, tap: Tap) -> Option<u32> {
    let strips = u32::try_from(network.strips()).unwrap();
    let ends: Vec<(u32, Edge)> =
        (1..=strips).flat_map(|strip| [(strip, Edge::Near), (strip, Edge::Far)]).collect();
    let mut sets: Vec<u32> = (1..1 << ends.len()).collect();
    sets.sort_by_key(|set| set.count_ones());
    let reaches = |set: &u32| {
        let chosen: Vec<_> =
            ends.iter().enumerate().filter(|(i, _)| set & (1 << i) != 0).map(|(_, e)| *e).collect();
        let (least, most) = judged(network, &chosen, tap, goal.brightness);
        least >= goal.least_volts.0
            && goal.feed_amps.is_none_or(|amps| most <= amps.0)
            && copper_holds(network, &chosen, tap, goal)
    };
    sets.iter().find(|set| reaches(set)).map(|set| set.count_ones())
}

#[test]
fn against_every_set_there_is() {
    let (mut best, mut one_more, mut none, mut several) = (0, 0, 0, 0);
    for seed in 0..60 {
        let dice = &mut Dice::new(seed + 40);
        let (strips, pixels) = (dice.whole(2, 5), dice.whole(6, 24));
        let lines = format!(
            "path = \"{}\"\ndata_lines = {}",
            dice.pick(&["serpentine", "progressive"]),
            if dice.one_in(4) { 2 } else { 1 }
        );
        let supplies = if dice.one_in(4) { 2 } else { 1 };
        let rail = dice.between(0.1, 0.5);
        let text = panel(
            strips,
            pixels,
            &format!("rail_ohms_per_metre = {rail}"),
            &lines,
            &format!("supplies_per_panel = {supplies}\n"),
        );
        let wall = read(&text);
        let network = network(&wall);
        let wire = &wall.panels[0].feeds[0].wire;
        let connection = wall.power.connection_ohms;
        let goal = Goal {
            brightness: dice.between(0.3, 1.0),
            least_volts: Volts(dice.between(3.2, 4.99)),
            feed_amps: dice.one_in(2).then_some(Amps(dice.between(0.1, 2.0))),
            jumper_amps: dice.one_in(3).then_some(Amps(dice.between(0.1, 2.0))),
            rail_amps: dice.one_in(3).then_some(Amps(dice.between(0.1, 2.0))),
        };
        let tap = Tap::new(1, Edge::Near, wire, connection);
        let least = by_trying_all(&network, goal, tap);
        let found = fewest_feeds(&network, goal, wire, connection, 100_000).unwrap();
        match (least, found) {
            (None, None) => none += 1,
            (Some(least), Some(found)) => {
                assert!(found.searched);
                let feeds = u32::try_from(found.feeds.len()).unwrap();
                assert!(feeds >= least, "seed {seed}: fewer than there can be");
                let (volts, amps) = judged(&network, &found.feeds, tap, goal.brightness);
                assert!((volts - found.least_volts.0).abs() < 1e-12);
                assert!((amps - found.feed_amps.0).abs() < 1e-12);
                assert!(volts >= goal.least_volts.0, "seed {seed}");
                assert!(goal.feed_amps.is_none_or(|most| amps <= most.0), "seed {seed}");
                assert!(copper_holds(&network, &found.feeds, tap, goal), "seed {seed}");
                best += u32::from(feeds == least);
                one_more += u32::from(feeds == least + 1);
                several += u32::from(least > 1);
                assert!(feeds <= least + 1, "seed {seed}: {feeds} feeds where {least} do\n{text}");
            }
            (least, found) => panic!("seed {seed}: {found:?}, but {least:?} by trying all\n{text}"),
        }
    }
    assert!(best >= 45 && one_more <= 3, "{best} fewest, {one_more} with one more");
    assert!(none >= 2 && several >= 25, "{none} impossible, {several} of several feeds");
}

/// The wall file with a proposal's lines in it.
fn with(text: &str, proposal: &Proposal) -> String {
    let kept = text
        .lines()
        .filter(|line| !line.starts_with("feeds =") && !line.starts_with("feed_wire ="));
    let kept: String = kept.map(|line| format!("{line}\n")).collect();
    format!("{kept}{}\n{}\n", proposal.feeds_text(), proposal.wire_text())
}

#[test]
fn what_it_says_to_write_does_what_it_says() {
    for text in [
        sixteen("", "", "brightness_limit = 0.7\n"),
        sixteen("", "", "brightness_limit = 0.5\nsupplies_per_panel = 2\n"),
        sixteen(
            "",
            "path = \"progressive\"",
            "feed_wire = { gauge = \"1 mm2\", length = \"1.2192 m\" }\n",
        ),
        sixteen(
            "",
            "",
            "feed_wire = { ohms_per_metre = 0.0132, amps = 12.5, length = \"4 ft\" }\n",
        ),
    ] {
        let wall = read(&text);
        let (network, limits) = (network(&wall), Limits::of(&wall));
        let before = &wall_power(&wall).unwrap().panels[0];
        assert!(before.least_volts < wall.power.least_volts);
        let wire = &wall.panels[0].feeds[0].wire;
        let brightness = wall.power.brightness_limit;
        let found =
            proposals(&network, &limits, wire, wall.power.connection_ohms, brightness, 1500)
                .unwrap();
        assert!(!found.is_empty());
        assert!(found.windows(2).all(|pair| pair[1].feeds.len() < pair[0].feeds.len()));
        for proposal in &found {
            let changed = read(&with(&text, proposal));
            let after = &wall_power(&changed).unwrap().panels[0];
            assert_eq!(after.feeds.len(), proposal.feeds.len());
            assert!((after.least_volts - proposal.least_volts).abs().0 < 1e-9);
            assert!(after.least_volts >= wall.power.least_volts, "{after:?}");
            let carried = after.feeds.iter().map(|f| f.amps.max(f.minus_amps).0);
            assert!((carried.fold(0.0, f64::max) - proposal.feed_amps.0).abs() < 1e-9);
            assert!(after.feeds.iter().all(|feed| feed.fuse_amps.is_some()), "{after:?}");
        }
    }
}

/// Its lines for the file, to the letter.
#[test]
fn lines_for_the_file() {
    let proposal = |gauge: Option<&str>, amps: Option<f64>| Proposal {
        feeds: vec![(3, Edge::Near), (3, Edge::Far), (12, Edge::Near)],
        wire: Wire {
            gauge: gauge.map(|gauge| Gauge::from_text(gauge).unwrap()),
            ohms_per_metre: OhmsPerMetre(0.01),
            amps: amps.map(Amps),
            length: glowloom_units::Metres(1.2192),
        },
        least_volts: Volts(4.1),
        feed_amps: Amps(5.0),
        searched: true,
        even: false,
    };
    let table = proposal(Some("2.5 mm2"), Some(20.0));
    assert_eq!(
        table.feeds_text(),
        "feeds = [{ strip = 3, edge = \"near\" }, { strip = 3, edge = \"far\" }, { strip = 12, edge = \
         \"near\" }]"
    );
    assert_eq!(table.wire_text(), "feed_wire = { gauge = \"2.5 mm2\", length = \"1.2192 m\" }");
    assert_eq!(
        proposal(Some("16 AWG"), Some(8.0)).wire_text(),
        "feed_wire = { gauge = \"16 AWG\", length = \"1.2192 m\", amps = 8 }"
    );
    assert_eq!(
        proposal(None, Some(12.5)).wire_text(),
        "feed_wire = { ohms_per_metre = 0.01, length = \"1.2192 m\", amps = 12.5 }"
    );
}

#[test]
fn wires_to_choose_from() {
    let names = |gauge: &str| {
        let text =
            sixteen("", "", &format!("feed_wire = {{ gauge = \"{gauge}\", length = \"1 m\" }}\n"));
        let wall = read(&text);
        let wires = thicker_wires(&wall.panels[0].feeds[0].wire);
        let names: Vec<String> = wires.iter().map(|w| w.gauge.unwrap().to_string()).collect();
        names.join(", ")
    };
    assert_eq!(names("16 AWG"), "16 AWG, 14 AWG, 12 AWG, 10 AWG");
    assert_eq!(names("1.5 mm2"), "1.5 mm2, 2.5 mm2, 4 mm2, 6 mm2");
    assert_eq!(names("6 mm2"), "6 mm2");
}

/// Impossible is said, and patience is kept.
#[test]
fn the_ends() {
    let wall = read(&sixteen("", "", ""));
    let network = network(&wall);
    let wire = &wall.panels[0].feeds[0].wire;
    let goal = Goal { brightness: 1.0, least_volts: Volts(4.99), ..Goal::OPEN };
    assert_eq!(fewest_feeds(&network, goal, wire, Ohms(0.002), 100).unwrap(), None);
    // Without patience the best of what is even.
    let goal = Goal { brightness: 1.0, least_volts: Volts(4.0), ..Goal::OPEN };
    let found = fewest_feeds(&network, goal, wire, Ohms(0.002), 0).unwrap().unwrap();
    assert!(!found.searched && found.least_volts >= goal.least_volts);
    let patient = fewest_feeds(&network, goal, wire, Ohms(0.002), 100_000).unwrap().unwrap();
    assert!(patient.searched && patient.feeds.len() <= found.feeds.len());
    // A higher trim, as `trim_volts` of the file would do it.
    let trimmed = network.with_trim(Volts(5.2));
    let least = |network: &Network| {
        white(network, 0.5).all_volts().map(|v| v.0).fold(f64::INFINITY, f64::min)
    };
    let written = circuits::network(&read(&sixteen("", "", "trim_volts = 5.2\n")));
    assert_eq!(least(&trimmed), least(&written));
    assert!(least(&trimmed) > least(&network) + 0.1);
    // Far edges as well.
    let [before, after] = far_edge_as_well(&network, 1.0).unwrap();
    assert!((before.0 - 2.508146).abs() < 1e-6 && after > before, "{before} {after}");
}
