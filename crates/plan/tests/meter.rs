//! With a meter in hand: from noisy readings in a wall file back to the strip that they were made of, and
//! what is told of them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

mod circuits;

use circuits::random::Dice;
use circuits::{read, solve};
use glowloom_design::Wall;
use glowloom_design::wall::{Edge, Lit};
use glowloom_plan::meter::{NotMeasured, Shown, measured, sheet};
use glowloom_plan::power::bench::bench;
use glowloom_plan::power::fit::NoFit;
use glowloom_plan::power::measure::{Place, Softness};
use glowloom_plan::power::{Network, Sinks};
use glowloom_units::{Amps, Volts};

/// Two panels that are alike and one that is not, with further lines of `[strip]` and `[power]`.
fn jetty(strip: &str, power: &str) -> String {
    format!(
        "format = 1\n[wall]\nname = \"Jetty\"\ncolumns = 28\nrows = 16\n\
         [strip]\npart = \"ws2812b-30\"\n{strip}\
         [panel]\nrows = 16\ncolumns = 10\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\n\
         [[panels]]\nname = \"b\"\nat = [10, 0]\n\
         [[panels]]\nname = \"c\"\nat = [20, 0]\ncolumns = 8\nfeeds = 1\nstrips = \"horizontal\"\n\
         [power]\nbrightness_limit = 0.5\nfeeds = 3\n{power}"
    )
}

/// The panel's network as a wall file with the true strip has it.
fn solved<T>(
    truth: &Wall,
    panel: usize,
    lit: Lit,
    brightness: f64,
    take: impl Fn(&glowloom_plan::power::Solution) -> T,
) -> T {
    let network = Network::of(truth, &truth.panels[panel]);
    let sinks = Sinks::even(network.law(), lit.levels(3), brightness);
    take(&solve(&network, &sinks))
}

/// Entries of a wall file: what a meter that errs by 5 mV and 1 % shows on walls of the true strip.
fn entries(truth: &Wall, dice: &mut Dice) -> String {
    let (volts_off, amps_off) = (0.005, 0.01);
    let mut text = String::new();
    let pads = [
        (0, 1, Edge::Near, Lit::White, 0.5),
        (0, 5, Edge::Far, Lit::White, 0.5),
        (1, 10, Edge::Near, Lit::White, 0.5),
        (1, 4, Edge::Far, Lit::Red, 0.9),
        (2, 16, Edge::Far, Lit::White, 0.3),
    ];
    for (panel, strip, edge, lit, brightness) in pads {
        let place = Place::Pad { strip, edge };
        let volts = solved(truth, panel, lit, brightness, |s| place.volts(s).unwrap().0);
        let volts = volts + volts_off * dice.noise();
        let name = &truth.panels[panel].name;
        let edge = if edge == Edge::Near { "near" } else { "far" };
        text += &format!(
            "[[measured]]\npanel = \"{name}\"\nstrip = {strip}\nedge = \"{edge}\"\nvolts = {volts:.4}\n\
             volts_error = {}\nshowing = \"{}\"\nbrightness = {brightness}\n",
            2.0 * volts_off,
            lit.key(),
        );
    }
    let place = Place::Pixel { strip: 8, pixel: 3 };
    let volts = solved(truth, 2, Lit::White, 0.5, |s| place.volts(s).unwrap().0);
    let volts = volts + volts_off * dice.noise();
    text += &format!(
        "[[measured]]\npanel = \"c\"\nstrip = 8\npixel = 3\nvolts = \"{:.1} mV\"\nvolts_error = 0.01\n",
        volts * 1000.0
    );
    let amps = solved(truth, 1, Lit::White, 0.5, |s| s.amps().0) * (1.0 + amps_off * dice.noise());
    text += &format!(
        "[[measured]]\npanel = \"b\"\namps = {amps:.4}\namps_error = {:.4}\n",
        amps * 0.02
    );
    let feed = truth.panels[0].feeds[1].strip;
    let amps = solved(truth, 0, Lit::White, 0.5, |s| s.feeds().nth(1).unwrap().plus.0);
    let amps = amps * (1.0 + amps_off * dice.noise());
    text += &format!(
        "[[measured]]\npanel = \"a\"\nstrip = {feed}\nedge = \"near\"\namps = {amps:.4}\namps_error = {:.4}\n",
        amps * 0.02
    );
    text
}

/// Through the file and back: readings on three panels of two kinds give the figures that they were made
/// with, 95 of 100 times within the band that is stated, and no right reading is called odd too often.
#[test]
fn readings_lead_back_to_the_strip() {
    let (mut inside, mut odd, mut width) = (0, 0, 0.0);
    let runs = 60;
    for seed in 0..runs {
        let dice = &mut Dice::new(seed + 9000);
        let (rail, channel) = (dice.between(0.05, 0.2), dice.between(0.009, 0.022));
        let strip = format!("rail_ohms_per_metre = {rail}\nchannel_amps = {channel}\n");
        let truth = read(&jetty(&strip, ""));
        let wall = read(&(jetty("", "") + &entries(&truth, dice)));
        let found = measured(&wall).unwrap_or_else(|not| panic!("{not}, seed {seed}"));
        let rail_found = &found.rail_ohms_per_metre;
        assert!((rail_found.found.0 / rail - 1.0).abs() < 0.25, "{rail_found:?}, {rail}");
        assert!((found.channel_amps.found.0 / channel - 1.0).abs() < 0.1, "seed {seed}");
        inside += u32::from(rail_found.least.0 <= rail && rail <= rail_found.most.0);
        let colour = &found.channel_amps;
        inside += u32::from(colour.least.0 <= channel && channel <= colour.most.0);
        odd += u32::from(found.odd.is_some());
        width += (rail_found.most.0 / rail_found.least.0).ln() / f64::from(runs as u32);
        assert_eq!(found.readings.len(), 8);
        assert_eq!((rail_found.before.0, colour.before.0), (0.1, 0.02));
    }
    assert!(inside * 100 >= 92 * 2 * runs as u32, "{inside} of {}", 2 * runs);
    assert!(odd <= 3, "{odd} sets of right readings were doubted");
    // And the band says something: not a factor of two.
    assert!(width < 0.4, "{width}");
}

/// The lines for `[strip]` make the file agree with its readings: what was after is then before, and the
/// sheet's bands shrink to what the readings leave open.
#[test]
fn the_plan_learns() {
    let dice = &mut Dice::new(5);
    let truth = read(&jetty("rail_ohms_per_metre = 0.16\nchannel_amps = 0.0125\n", ""));
    let readings = entries(&truth, dice);
    let wall = read(&(jetty("", "") + &readings));
    let first = measured(&wall).unwrap();
    assert!(first.strip[0].starts_with("rail_ohms_per_metre = 0.1"), "{:?}", first.strip);
    let told = format!("{}\n{}\n", first.strip[0], first.strip[1]);
    let learned = read(&(jetty(&told, "") + &readings));
    let second = measured(&learned).unwrap();
    assert_eq!(second.before, first.after);
    assert!(
        (second.rail_ohms_per_metre.found.0 / first.rail_ohms_per_metre.found.0 - 1.0).abs() < 1e-6
    );
    // Less current than the file had: less drop. (More rail alone would be more.)
    assert!(first.after.amps < first.before.amps, "{first:?}");

    let (soft, known) = (sheet(&wall).unwrap(), sheet(&learned).unwrap());
    assert!(!soft.strip.measured && known.strip.measured);
    assert_eq!(known.strip.channel_amps[0], second.channel_amps.least);
    let width = |sheet: &glowloom_plan::meter::Sheet| {
        let volts = sheet.kinds[0].points[2].volts[0];
        volts.most.0 - volts.least.0
    };
    assert!(width(&known) < 0.3 * width(&soft), "{} {}", width(&known), width(&soft));
    assert!(soft.notes.iter().any(|note| note.contains("--measured")), "{:?}", soft.notes);
}

/// A bad joint at one feed is found by name, and the rest say what the strip is.
#[test]
fn a_bad_joint_is_named() {
    let strip = "rail_ohms_per_metre = 0.12\nchannel_amps = 0.016\n";
    let truth = read(&jetty(strip, ""));
    // Another 60 milliohm in the feed of strip 5, the middle one of three.
    let bad = jetty(strip, "").replace(
        "name = \"a\"\nat = [0, 0]\n",
        "name = \"a\"\nat = [0, 0]\nfeeds = [{ strip = 2, edge = \"near\" }, \
         { strip = 5, edge = \"near\", wire = { ohms_per_metre = 0.073, length = \"1 m\" } }, \
         { strip = 9, edge = \"near\" }]\n",
    );
    let bad = read(&bad);
    let feeds: Vec<u32> = truth.panels[0].feeds.iter().map(|feed| feed.strip).collect();
    assert_eq!(feeds, [2, 5, 9], "as the list above has them");
    let dice = &mut Dice::new(11);
    let mut text = entries(&truth, dice);
    let place = Place::Pad { strip: 5, edge: Edge::Near };
    let volts = solved(&bad, 0, Lit::White, 0.5, |s| place.volts(s).unwrap().0);
    text += &format!(
        "[[measured]]\npanel = \"a\"\nstrip = 5\nedge = \"near\"\nvolts = {volts:.3}\nvolts_error = 0.01\n"
    );
    let wall = jetty("", "") + &text;
    let line = wall.lines().count() - 1;
    let found = measured(&read(&wall)).unwrap();
    let odd = found.odd.as_ref().unwrap_or_else(|| panic!("{found:#?}"));
    let reading = &found.readings[odd.reading];
    assert_eq!((reading.line, reading.place.as_str()), (line, "a strip 5, near end"));
    let Shown::Volts(difference) = reading.difference else { panic!("{reading:?}") };
    assert!(difference < Volts(-0.05), "{difference}");
    assert!(odd.remedy.contains("bad joint at a strip 5, near end"), "{}", odd.remedy);
    let without = odd.without.unwrap();
    assert!((without.rail_ohms_per_metre.0 / 0.12 - 1.0).abs() < 0.15, "{without:?}");
    assert!((without.channel_amps.0 / 0.016 - 1.0).abs() < 0.05, "{without:?}");
    assert!(without.misfit < 2.0 && found.misfit > 3.0, "{without:?}");
    assert!(found.notes[0].contains(&format!("line {line}")), "{:?}", found.notes);
}

/// What feeds the panel is what was read at its supply, whatever the supply has inside.
#[test]
fn a_supply_that_sags() {
    let strip = "rail_ohms_per_metre = 0.14\nchannel_amps = 0.015\n";
    let truth = read(&jetty(strip, "trim_volts = 4.87\n"));
    let readings = entries(&truth, &mut Dice::new(3))
        .replace("[[measured]]\npanel", "[[measured]]\nvolts_at_supply = 4.87\npanel");
    for inside in ["", "supply_ohms = 0.02\n"] {
        let found = measured(&read(&(jetty("", inside) + &readings))).unwrap();
        let (rail, channel) = (found.rail_ohms_per_metre, found.channel_amps);
        assert!(rail.least.0 < 0.14 && 0.14 < rail.most.0, "{rail:?}");
        assert!(channel.least.0 < 0.015 && 0.015 < channel.most.0, "{channel:?}");
        assert!(found.odd.is_none() && found.misfit < 2.0, "{}", found.misfit);
    }
    // Unsaid, the sag looks like copper that there is not.
    let unsaid = readings.replace("volts_at_supply = 4.87\n", "");
    let found = measured(&read(&(jetty("", "") + &unsaid)));
    assert!(found.is_err() || found.is_ok_and(|f| f.misfit > 3.0));
}

/// N lit pixels of i and D dark ones of j behind them, fed at the start: each rail drops r (i N^2 / 2 +
/// D j N) up to the mark behind the last lit one.
#[test]
fn a_roll_on_the_bench() {
    let wall = read(&jetty("", ""));
    let soft = Softness::unmeasured(&wall.strip);
    let (n, d) = (40.0, 110.0);
    let expected = bench(&wall, &soft, 40, 110).unwrap();
    let drop = 2.0 * (0.1 / 30.0) * (0.061 * n * n / 2.0 + d * 0.001 * n);
    // The leads have a micro-ohm each.
    assert!((expected.volts_at_end.shown.0 - (5.0 - drop)).abs() < 1e-5, "{expected:?}");
    assert!((expected.amps.shown.0 - (0.061 * n + 0.001 * d)).abs() < 1e-8, "{expected:?}");

    // Three figures of another strip, to the millivolt, give it back.
    let (rail, colour) = (0.15, 0.011);
    let drop = 2.0 * (rail / 30.0) * ((3.0 * colour + 0.001) * n * n / 2.0 + d * 0.001 * n);
    let text = format!(
        "[[measured]]\nbench = true\npixels = 40\ndark_pixels = 110\nvolts_at_start = 4.9\n\
         volts_at_end = {:.4}\namps = {:.4}\n",
        4.9 - drop,
        (3.0 * colour + 0.001) * n + d * 0.001
    );
    let found = measured(&read(&(jetty("", "") + &text))).unwrap();
    assert!((found.rail_ohms_per_metre.found.0 / rail - 1.0).abs() < 0.002, "{found:#?}");
    assert!((found.channel_amps.found.0 / colour - 1.0).abs() < 0.002, "{found:#?}");
    assert!(found.notes[0].contains("take more"), "{:?}", found.notes);
    assert_eq!(found.readings[0].panel, None);
    assert!(found.odd.is_none());
}

/// What cannot be told is told so.
#[test]
fn readings_that_say_nothing() {
    let why = |text: &str, power: &str| measured(&read(&(jetty("", power) + text))).unwrap_err();
    assert_eq!(why("", ""), NotMeasured::None);
    let one = "[[measured]]\npanel = \"a\"\nstrip = 1\nedge = \"near\"\nvolts = 4.5\n";
    assert_eq!(why(one, ""), NotMeasured::NoFit(NoFit::TooFew));
    let amps = "[[measured]]\npanel = \"a\"\namps = 4.0\n";
    assert_eq!(why(&amps.repeat(2), "trim_volts = 5.2\n"), NotMeasured::NoFit(NoFit::RailUnknown));
    // Strips 1 to 5 of a panel whose only feed is beyond an open joint.
    let dead = format!("{amps}{one}");
    let wall = jetty("", "").replace(
        "name = \"a\"\nat = [0, 0]\n",
        "name = \"a\"\nat = [0, 0]\ndata_lines = 2\nfeeds = [{ strip = 9, edge = \"near\" }]\n",
    ) + &dead;
    let line = wall.lines().count();
    let not = measured(&read(&wall)).unwrap_err();
    assert_eq!(not, NotMeasured::Dead { line, panel: "a".into(), strip: 1 });
    assert!(not.to_string().contains("which no feed reaches"));
}

/// Panels that are wired alike and hang otherwise are told apart; each is told once.
#[test]
fn a_sheet_for_each_kind() {
    let turned = jetty("", "").replace("at = [10, 0]\n", "at = [10, 0]\nturn = 180\n");
    let found = sheet(&read(&turned)).unwrap();
    let panels: Vec<&[String]> = found.kinds.iter().map(|kind| &kind.panels[..]).collect();
    assert_eq!(panels, [["a"], ["b"], ["c"]]);
    assert_eq!(found.kinds[0].near_edge_front, "bottom");
    assert_eq!(found.kinds[1].near_edge_front, "top");
    assert_eq!((found.kinds[2].near_edge_front, found.kinds[2].near_edge_back), ("left", "right"));
    assert_eq!(found.kinds[0].points[0].volts, found.kinds[1].points[0].volts);
    let found = sheet(&read(&jetty("", ""))).unwrap();
    assert_eq!(found.kinds[0].panels, ["a", "b"]);
    assert_eq!((found.ceiling, found.ceiling_by), (0.5, "brightness_limit"));
    for kind in &found.kinds {
        for point in &kind.points {
            assert_eq!(point.volts.iter().map(|at| at.brightness).collect::<Vec<_>>(), [0.5, 1.0]);
            let fed = point.spot.edge.is_some_and(|edge| {
                let panel = if kind.panels[0] == "c" { 2 } else { 0 };
                let wall = read(&jetty("", ""));
                wall.panels[panel]
                    .feeds
                    .iter()
                    .any(|f| (f.strip, f.edge) == (point.spot.strip, edge))
            });
            assert_eq!(point.amps.len(), if fed { 2 } else { 0 }, "{point:?}");
            for at in point.amps.iter().chain(&kind.amps) {
                assert!(at.least <= at.expected && at.expected <= at.most, "{at:?}");
            }
        }
        let strongest = kind.points[0].amps[0].expected;
        assert!(kind.points.iter().all(|p| p.amps.iter().all(|a| a.expected.0 > 0.0)));
        assert!(strongest <= kind.amps[0].expected);
    }
    // The entry that it offers can be filled in.
    let entry = found.entry.unwrap().replace("...", "4.9") + &found.bench.entry.replace("...", "3");
    assert_eq!(read(&(jetty("", "") + &entry)).measured.len(), 2);
}

/// A wall that its ceiling does not keep safe is measured at what is.
#[test]
fn a_sheet_stays_within_the_limits() {
    let text = jetty("", "").replace("brightness_limit = 0.5", "brightness_limit = 0.95");
    let wall = read(&text.replace("feeds = 3\n", "feeds = 1\n"));
    let found = sheet(&wall).unwrap();
    assert!(found.highest_safe_brightness < 0.9, "{}", found.highest_safe_brightness);
    assert!(found.ceiling <= found.highest_safe_brightness);
    assert!(found.ceiling > found.highest_safe_brightness - 0.01);
    assert_ne!(found.ceiling_by, "brightness_limit");
    assert!(found.notes[0].contains("set brightness_limit first"), "{:?}", found.notes);
    // A voltage that would destroy the strip is told first, and the bench does without.
    let found = sheet(&read(&jetty("", "trim_volts = 5.6\n"))).unwrap();
    assert!(found.notes[0].contains("Do not switch this wall on"), "{:?}", found.notes);
    assert_eq!(found.bench.volts_at_start, Volts(5.0));
    assert!(found.bench.steps.iter().all(|step| !step.contains("5.60")), "{:?}", found.bench);
    // Four colours: a white picture lights one of them.
    let four = jetty("", "").replace("ws2812b-30", "sk6812-rgbw-30");
    let found = sheet(&read(&four)).unwrap();
    let (expected, pixels) = (found.kinds[0].amps[0].expected, 160.0);
    let strip = &read(&four).strip;
    let nominal = (strip.channel_amps * 0.5 + strip.idle_amps) * pixels;
    assert!((expected - nominal).abs() < Amps(1e-6), "{expected} {nominal}");
    assert!(found.notes.iter().any(|note| note.contains("white LEDs alone")));
}

/// Whatever a file may say as a reading, an answer or a reason comes back.
#[test]
fn absurd_readings_end() {
    let dice = &mut Dice::new(77);
    let mut reasons = 0;
    for _ in 0..150 {
        let mut text = String::new();
        let mut entry = |lines: String| text += &format!("[[measured]]\n{lines}");
        if dice.one_in(2) {
            let right = "volts_at_start = 5\nvolts_at_end = 4.6\namps = 2.4\namps_error = 0.01\n";
            entry(format!("bench = true\npixels = 40\n{right}volts_error = 0.001\n"));
        }
        for _ in 0..dice.whole(0, 3) {
            let volts = dice.pick(&["0", "1e-9", "4.2", "5.0", "100"]);
            let amps = dice.pick(&["0", "1e-9", "3", "10000"]);
            let error = dice.pick(&["", "volts_error = 100\n", "volts_error = 1e-5\n"]);
            let brightness = dice.pick(&["0", "1e-12", "0.5", "1"]);
            let showing = dice.pick(&["white", "black", "blue", "all"]);
            let strip = dice.whole(1, 8);
            entry(match dice.whole(0, 3) {
                0 => format!("bench = true\npixels = 3\nvolts_at_start = {volts}\namps = {amps}\n"),
                1 => format!(
                    "bench = true\npixels = {strip}\nvolts_at_start = 5\nvolts_at_end = {volts}\n{error}\
                     brightness = {brightness}\n"
                ),
                2 => format!("panel = \"a\"\namps = {amps}\nbrightness = {brightness}\n"),
                _ => format!(
                    "panel = \"c\"\nstrip = {strip}\nedge = \"far\"\nvolts = {volts}\n{error}\
                     showing = \"{showing}\"\nbrightness = {brightness}\nvolts_at_supply = {volts}\n"
                ),
            });
        }
        match measured(&read(&(jetty("", "") + &text))) {
            Ok(found) => {
                let rail = found.rail_ohms_per_metre;
                assert!(rail.found.0.is_finite() && rail.least <= rail.found, "{found:?}\n{text}");
                assert!(found.readings.iter().all(|r| r.unlike.is_none_or(f64::is_finite)));
            }
            Err(not) => {
                reasons += 1;
                assert_eq!(not == NotMeasured::None, text.is_empty(), "{text}");
                let bad = matches!(not, NotMeasured::NoFit(NoFit::BadReading(_)));
                assert!(
                    !bad && (text.is_empty() || not.to_string().contains(": ")),
                    "{not}\n{text}"
                );
            }
        }
    }
    assert!((30..120).contains(&reasons), "{reasons}");
}
