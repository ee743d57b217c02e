//! Wire, cloth and the list of everything, against counts by hand.

mod support;

use std::collections::BTreeMap;

use glowloom_plan::cuts::cuts;
use glowloom_plan::material::conductors::Conductor;
use glowloom_plan::material::made::Made;
use glowloom_plan::material::wire::{Run, Use};
use glowloom_plan::material::{Material, material};
use glowloom_plan::power::wall_power;
use glowloom_units::{Kilograms, Metres};
use support::Chance;

fn of(text: &str) -> Material {
    let wall = support::read(text);
    material(&wall, &Made::of(&cuts(&wall), None), None)
}

/// The one run of that use and conductor: count, length, colour.
fn run(material: &Material, joins: Use, conductor: Conductor) -> Option<&Run> {
    let mut runs =
        material.wires.iter().filter(|run| run.joins == joins && run.conductor == conductor);
    let run = runs.next();
    assert!(runs.next().is_none(), "one run of {joins:?} {conductor:?}");
    run
}

fn counted(material: &Material, joins: Use, conductor: Conductor) -> u64 {
    run(material, joins, conductor).map_or(0, |run| run.count)
}

fn quantity(material: &Material, item: &str) -> Option<f64> {
    let found: Vec<_> = material.items.iter().filter(|line| line.item == item).collect();
    assert_eq!(found.len(), 1, "{item}: {:#?}", material.items);
    found[0].quantity
}

/// 3 panels, each with 8 feeds, 20 strips in one data line (19 joints), one receiver, one supply.
#[test]
fn wires_of_the_demo_by_hand() {
    let found = of(&support::tidewall());
    for conductor in [Conductor::Plus, Conductor::Minus] {
        let feed = run(&found, Use::Feed, conductor).expect("feeds");
        assert_eq!(
            (feed.count, feed.length_m, feed.soldered, feed.lugs),
            (24, Metres(1.0), 24, 24)
        );
        // A tenth more for ends and mistakes.
        assert!((feed.total_m.0 - 26.4).abs() < 1e-9);
        assert_eq!(counted(&found, Use::Jumper, conductor), 57);
        assert_eq!(counted(&found, Use::ReceiverSupply, conductor), 3);
    }
    assert_eq!(counted(&found, Use::Jumper, Conductor::Data), 57);
    assert_eq!(counted(&found, Use::DataLead, Conductor::Data), 3);
    assert_eq!(counted(&found, Use::DataLead, Conductor::Minus), 3);
    for conductor in [Conductor::Line, Conductor::Neutral, Conductor::Earth] {
        assert_eq!(counted(&found, Use::MainsCord, conductor), 3);
        assert!(run(&found, Use::MainsCord, conductor).expect("a cord").note.contains("mains"));
        assert_eq!(counted(&found, Use::BoardEarth, conductor), 0, "no board of metal");
    }
}

/// IEC 60445: brown, blue, green-and-yellow; US: black, white, green (both second-hand). A wall's list
/// holds one convention's mains colours and no other wire in any of them.
#[test]
fn colours_of_one_convention() {
    let us = "mains = { volts = 120, hertz = 60, circuit_amps = 15, colours = \"us\" }\n\
              [board]\nmaterial = \"aluminium-composite\"\nthickness = \"3 mm\"\n";
    for (rest, mains) in
        [("", ["brown", "blue", "green-and-yellow"]), (us, ["black", "white", "green"])]
    {
        let found = of(&format!("{}{rest}", support::tidewall()));
        let cord = [Conductor::Line, Conductor::Neutral, Conductor::Earth]
            .map(|conductor| run(&found, Use::MainsCord, conductor).expect("a cord").colour);
        assert_eq!(cord, mains);
        for run in &found.wires {
            assert_eq!(mains.contains(&run.colour), run.conductor.is_mains(), "{run:?}");
            assert!(run.conductor.is_mains() || !run.colour.contains("green"), "{run:?}");
        }
        assert_eq!(
            counted(&found, Use::BoardEarth, Conductor::Earth),
            if rest.is_empty() { 0 } else { 3 }
        );
        let cord = found.items.iter().find(|item| item.key == "mains-cord").expect("cords");
        let earth = if rest.is_empty() { "PE" } else { "G" };
        for (label, colour) in ["L", "N", earth].iter().zip(mains) {
            assert!(cord.note.contains(&format!("{label} {colour}")), "{}", cord.note);
        }
    }
}

/// Every joint counted one by one: strips k and k + 1 are joined unless a data line ends between them;
/// plus stays open between two supplies' strips.
#[test]
fn jumpers_by_counting_joints() {
    for strips in [1u32, 2, 5, 12, 17] {
        for lines in (1..=strips).filter(|lines| *lines < 6) {
            for supplies in (1..=strips).filter(|supplies| *supplies < 5) {
                let panel = format!("data_lines = {lines}\n");
                let power = format!("[power]\nsupplies_per_panel = {supplies}\n");
                let found = of(&support::one(strips, 4, "ws2812b-30", &panel, &power));
                // Shared out in order, the first taking the odd ones.
                let taker = |strip: u32, takers: u32| {
                    let shares =
                        (0..takers).map(|i| strips / takers + u32::from(i < strips % takers));
                    shares
                        .scan(0, |end, share| {
                            *end += share;
                            Some(*end)
                        })
                        .position(|end| strip < end)
                };
                let joined = (1..strips).filter(|k| taker(*k, lines) == taker(*k - 1, lines));
                let joined: Vec<u32> = joined.collect();
                let plus =
                    joined.iter().filter(|k| taker(**k, supplies) == taker(**k - 1, supplies));
                let case = format!("{strips} strips, {lines} lines, {supplies} supplies");
                let of = |conductor| counted(&found, Use::Jumper, conductor);
                assert_eq!(of(Conductor::Minus), joined.len() as u64, "{case}");
                assert_eq!(of(Conductor::Plus), plus.count() as u64, "{case}");
                assert_eq!(of(Conductor::Data), joined.len() as u64, "{case}");
            }
        }
    }
}

/// A progressive jumper runs back along its strip; data-only jumpers carry no power; clocked strips
/// have a second signal.
#[test]
fn jumpers_of_other_kinds() {
    let found =
        of(&support::one(6, 30, "apa102-30", "path = \"progressive\"\njumpers = \"data\"", ""));
    let data = run(&found, Use::Jumper, Conductor::Data).expect("jumpers");
    assert!((data.length_m.0 - 1.04).abs() < 1e-9, "{data:?}");
    assert_eq!(counted(&found, Use::Jumper, Conductor::Clock), 5);
    assert_eq!(counted(&found, Use::Jumper, Conductor::Plus), 0);
    assert_eq!(counted(&found, Use::DataLead, Conductor::Clock), 1);
    assert_eq!(quantity(&found, "level shifter"), Some(2.0));
    assert_eq!(quantity(&found, "series resistor"), Some(2.0));
}

#[test]
fn a_piece_longer_than_a_spool_is_not_counted_away() {
    let long = support::tidewall() + "feed_wire = { gauge = \"2.5 mm2\", length = \"24 m\" }\n";
    let found = of(&long);
    assert_eq!(quantity(&found, "wire 2.5 mm2 red"), None);
    let item = found.items.iter().find(|item| item.item == "wire 2.5 mm2 red").expect("wire");
    assert!(item.note.contains("set wire_spool in [stock]"), "{item:?}");
    let found = of(&format!("{long}[stock]\nwire_spool = \"50 m\"\nwire_spare = 0.0\n"));
    assert_eq!(quantity(&found, "wire 2.5 mm2 red"), Some(12.0), "two pieces from each spool");
}

/// Of the solved network: a fuse for each feed at its rating, and one for each receiver's thin wire.
#[test]
fn fuses_of_the_solved_network() {
    let wall = support::read(&(support::tidewall() + "feed_wire = { gauge = \"2.5 mm2\" }\n"));
    let power = wall_power(&wall).expect("solved");
    let found = material(&wall, &Made::of(&cuts(&wall), None), Some(&power));
    let mut wanted: BTreeMap<String, f64> = BTreeMap::new();
    for feed in power.panels.iter().flat_map(|panel| &panel.feeds) {
        let rating = feed.fuse_amps.expect("2.5 mm2 carries it");
        *wanted.entry(format!("fuse {} A", rating.0)).or_default() += 1.0;
    }
    // 0.3 A over 0.8 is under 1 A, which 0.5 mm2 (3 A) carries.
    *wanted.entry("fuse 1 A".into()).or_default() += 3.0;
    assert_eq!(wanted.values().sum::<f64>(), 27.0);
    for (item, count) in wanted {
        assert_eq!(quantity(&found, &item), Some(count), "{item}");
    }
    assert_eq!(quantity(&found, "fuse holder"), Some(27.0));
    // Wire that no fuse protects: said, not counted away.
    let thin = "feed_wire = { gauge = \"26 AWG\" }\n";
    let wall = support::read(&(support::tidewall() + thin));
    let power = wall_power(&wall).expect("solved");
    let found = material(&wall, &Made::of(&cuts(&wall), None), Some(&power));
    assert_eq!(quantity(&found, "fuse of no known rating"), None);
}

#[test]
fn what_nobody_worked_out_is_not_nothing() {
    let wall =
        support::read(&(support::tidewall() + "[baffle]\n[board]\n[stock]\nrolls = [100]\n"));
    let found = material(&wall, &Made::default(), None);
    assert_eq!(quantity(&found, "strip ws2812b-30"), None);
    assert_eq!(quantity(&found, "filament pla"), None);
    assert_eq!(quantity(&found, "board corrugated-card"), None);
    let made = Made {
        rolls_to_buy: Some(15),
        rolls_are_a_bound: false,
        splices: 2,
        filament: Some(Kilograms(2.5)),
        spools: Some(3),
    };
    let joined = material(&wall, &made, None);
    assert_eq!(quantity(&joined, "strip ws2812b-30"), Some(15.0));
    assert_eq!(quantity(&joined, "filament pla"), Some(3.0));
    let sleeves = |found: &Material| quantity(found, "sleeve").expect("sleeves");
    assert_eq!(sleeves(&joined) - sleeves(&found), 4.0);
    // Pieces that no roll is long enough for: how many rolls it takes is not known, be it none.
    let strip = |rolls_to_buy, rolls_are_a_bound| {
        let made = Made { rolls_to_buy: Some(rolls_to_buy), rolls_are_a_bound, ..made };
        let strip = material(&wall, &made, None).items.swap_remove(0);
        assert_eq!(strip.key, "ws2812b-30");
        (strip.quantity, strip.note)
    };
    let without = "of 150 pixels; 15 without the strips that are longer than a roll";
    assert_eq!(strip(15, true), (None, without.into()));
    assert_eq!(strip(0, true), (None, "of 150 pixels; strips are longer than a roll".into()));
    assert_eq!(strip(15, false), (Some(15.0), "of 150 pixels".into()));
    // 60 strips of 32 pixels are cut 4 from a roll.
    assert_eq!(Made::of(&cuts(&wall), None).rolls_to_buy, Some(15));
    // Each thing once.
    let mut names: Vec<&str> = found.items.iter().map(|item| item.item.as_str()).collect();
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count);
}

// Boards.

/// Front 666.7 x 1066.7, sides of 20 + 5 mm, wrap of 40 mm: 796.7 x 1196.7 mm. From 1.5 m: one upright
/// beside no other, or each across: 3 x 796.7 mm. From 2.5 m, three side by side.
#[test]
fn cloth_from_a_roll() {
    let with = |roll: &str| format!("{}[baffle]\n[board]\n[diffuser]\n{roll}", support::tidewall());
    let cloth = of(&with("")).cloth.expect("cloth");
    assert_eq!(cloth.pieces.len(), 1);
    let piece = &cloth.pieces[0];
    assert!((piece.width_m.0 - 0.79667).abs() < 1e-5 && (piece.height_m.0 - 1.19667).abs() < 1e-5);
    assert_eq!(cloth.length_m, Some(Metres(2.4)));
    let wide = of(&with("roll_width = \"2.5 m\"\n")).cloth.expect("cloth");
    assert_eq!(wide.length_m, Some(Metres(1.2)));
    let narrow = of(&with("roll_width = \"70 cm\"\n"));
    let cloth = narrow.cloth.as_ref().expect("cloth");
    assert_eq!((cloth.length_m, cloth.too_wide.len()), (None, 3));
    assert_eq!(quantity(&narrow, "cloth"), None);
}

/// Unequal pieces share rows; never less than their area, and never much more.
#[test]
fn cloth_of_unequal_panels() {
    let mut chance = Chance(9);
    for _ in 0..50 {
        let count = 1 + chance.below(12);
        let panels: String = (0..count)
            .map(|i| {
                let (columns, rows) = (1 + chance.below(9), 1 + chance.below(9));
                format!(
                    "[[panels]]\nname = \"p{i}\"\nat = [{}, 0]\ncolumns = {columns}\nrows = {rows}\n",
                    9 * i
                )
            })
            .collect();
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 108\nrows = 9\n[strip]\npart = \"ws2812b-30\"\n\
             {panels}[diffuser]\n"
        );
        let cloth = of(&text).cloth.expect("cloth");
        let (Some(length), Some(least)) = (cloth.length_m, cloth.length_at_least_m) else {
            panic!("all fit")
        };
        let area: f64 = cloth
            .pieces
            .iter()
            .map(|piece| piece.width_m.0 * piece.height_m.0 * piece.panels.len() as f64)
            .sum();
        assert!(length.0 + 1e-9 >= least.0 && least.0 * 1.5 + 1e-3 >= area, "{length:?} {least:?}");
        let tallest = cloth.pieces.iter().map(|p| p.width_m.max(p.height_m).0).fold(0.0, f64::max);
        assert!(length.0 <= 2.0 * area / 1.5 + tallest + 0.1, "{length:?}, {area} m2");
    }
}
