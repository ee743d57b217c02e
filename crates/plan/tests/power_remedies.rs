//! Remedies of the solved network, put into the wall file as they are written and planned again.

mod support;

use glowloom_plan::Code;
use support::findings::{advised, found, one, planned, serious};

/// More data lines cut the power between them: feeds that make good for it go with them.
#[test]
fn data_lines_are_advised_with_feeds_for_them() {
    let of = |lines: &str, power: &str| {
        support::one(
            12,
            8,
            "ws2812b-30",
            lines,
            &format!(
                "[power]\nbrightness_limit = 0.1\n{power}\n\
                 [receiver]\nboard = \"esp32\"\nframes_per_second = 500\n"
            ),
        )
    };
    let remedy = one(&of("", "feeds = 1"), Code::RateNotReached).remedy;
    let lines = advised(&remedy, "data_lines").trim_end_matches(',').to_owned();
    let (feeds, wire) = (advised(&remedy, "feeds"), advised(&remedy, "feed_wire"));
    assert_eq!(serious(&of("", "feeds = 1")), []);
    assert_eq!(serious(&of(&lines, "feeds = 1")), [Code::DeadStrips], "{lines} alone");
    assert_eq!(serious(&of(&lines, &format!("{feeds}\n{wire}"))), [], "{lines} {feeds}");
    // Where every strip is fed nothing is missing.
    let remedy = one(&of("", "feeds = 12"), Code::RateNotReached).remedy;
    assert!(remedy.contains("data_lines = ") && !remedy.contains("feed_wire"), "{remedy}");
}

/// More supplies part the strips as well.
#[test]
fn supplies_are_advised_with_what_they_need() {
    let of = |power: &str| {
        let rest = format!(
            "[power]\nsupply = \"5v-10a\"\nleast_volts = 0\n{power}\n\
             feed_wire = {{ gauge = \"2.5 mm2\", length = \"0.5 m\" }}\n"
        );
        support::one(12, 20, "ws2812b-30", "", &rest)
    };
    let plain = of("feeds = 12");
    let supply = one(&plain, Code::SupplyOverloaded);
    let supplies = advised(&supply.remedy, "supplies_per_panel").trim_end_matches(',').to_owned();
    assert_eq!(serious(&of(&format!("feeds = 12\n{supplies}"))), [], "{supplies}");
    // Whatever is named together is written together, and keeps all limits that held before.
    for feeds in ["feeds = 2", "feeds = 3", "feeds = 4"] {
        let text = of(&format!("{feeds}\nbrightness_limit = 0.7"));
        let Some(found) = found(&text, Code::SupplyOverloaded) else { continue };
        let Some(at) = found.remedy.find("supplies_per_panel = ") else { continue };
        let said = found.remedy[at..].split(" or ").next().unwrap();
        let mut new = advised(said, "supplies_per_panel").trim_end_matches([',', '.']).to_owned();
        new += "\nbrightness_limit = 0.7\n";
        let changed = if said.contains("feed_wire") {
            let (places, wire) = (advised(said, "feeds"), advised(said, "feed_wire"));
            of(&format!("{places}\n{new}"))
                .replace("feed_wire = { gauge = \"2.5 mm2\", length = \"0.5 m\" }", wire)
        } else {
            of(&format!("{feeds}\n{new}"))
        };
        let before = serious(&text);
        for code in serious(&changed) {
            assert!(before.contains(&code), "{feeds}: {said} brings {code:?}");
        }
    }
}

/// Dark strips: the number that is advised leaves none, and one fewer does.
#[test]
fn the_advised_number_of_feeds_reaches_every_strip() {
    for (panel, power) in [
        ("", "feeds = 0"),
        ("data_lines = 3", "feeds = 2"),
        ("jumpers = \"data\"", "feeds = 4"),
        ("", "supplies_per_panel = 3\nfeeds = 1"),
        ("data_lines = 2", "supplies_per_panel = 3\nfeeds = 3"),
    ] {
        let receiver = "\n[receiver]\nboard = \"esp32\"\n";
        let rest = |power: &str| format!("[power]\n{power}\nbrightness_limit = 0.1{receiver}");
        let of = |power: &str| support::one(12, 2, "ws2812b-30", panel, &rest(power));
        let dark = one(&of(power), Code::DeadStrips);
        let feeds = advised(&dark.remedy, "feeds");
        let count: u32 = feeds.trim_start_matches("feeds = ").parse().unwrap();
        let with = |count: u32| {
            let others = power.split('\n').filter(|line| !line.starts_with("feeds"));
            let others: Vec<&str> = others.collect();
            of(&format!("{}\nfeeds = {count}", others.join("\n")))
        };
        assert_eq!(found(&with(count), Code::DeadStrips), None, "{panel} {power}");
        assert!(found(&with(count - 1), Code::DeadStrips).is_some(), "{panel} {power}");
    }
    // Panels whose feeds are their own are named.
    let own = support::one(6, 2, "ws2812b-30", "feeds = 0", "");
    assert!(one(&own, Code::DeadStrips).remedy.contains("in the [[panels]] entry of only"));
}

/// Each feed keeps its own wire, also at the far edge: the volts that are told are those that come.
#[test]
fn the_far_edge_through_each_feed_s_own_wire() {
    let of = |feeds: &str| {
        let rest = format!(
            "[power]\nbrightness_limit = 0.6\n{feeds}\n\
             feed_wire = {{ gauge = \"1 mm2\", length = \"1 m\" }}\n"
        );
        support::one(16, 36, "ws2812b-30", "", &rest)
    };
    let text = of(
        "feeds = [{ strip = 1, edge = \"near\", wire = { gauge = \"4 mm2\", length = \"3 m\" } }, \
                   { strip = 14, edge = \"near\" }]",
    );
    let far = one(&text, Code::FeedBothEdges);
    let feeds = advised(&far.remedy, "feeds");
    let volts = planned(&of(feeds)).power.panels[0].least_volts;
    assert!(far.detail.contains(&format!("gets {volts} for ")), "{volts}: {}", far.detail);
}

/// A proposal for one kind of panel leaves the wires of the others as they are.
#[test]
fn feeds_of_one_kind_leave_the_other_alone() {
    let of = |wide: &str| {
        format!(
            "format = 1\n[wall]\nname = \"Two\"\ncolumns = 24\nrows = 36\n[strip]\npart = \"ws2812b-30\"\n\
             [panel]\nrows = 36\n[[panels]]\nname = \"narrow\"\nat = [0, 0]\ncolumns = 8\nfeeds = 8\n\
             [[panels]]\nname = \"wide\"\nat = [8, 0]\ncolumns = 16\n{wide}\n\
             [power]\nfeeds = 3\nbrightness_limit = 0.5\n\
             feed_wire = {{ gauge = \"18 AWG\", length = \"1 m\" }}\n"
        )
    };
    // The second way has thicker wire than the other panel's.
    let remedy = one(&of(""), Code::FeedsThatDo).remedy;
    let (_, second) = remedy.split_once("; or ").unwrap();
    assert!(!second.contains("[power]"), "{second}");
    let wire = advised(second, "feed_wire");
    assert_eq!(wire, "feed_wire = { gauge = \"16 AWG\", length = \"1 m\" }");
    let places = &format!("{}\n{wire}", advised(second, "feeds"));
    let (before, after) = (planned(&of("")), planned(&of(places)));
    assert_eq!(before.power.panels[0], after.power.panels[0]);
    assert_eq!(serious(&of(places)), []);
}

/// A thicker jumper is advised only where it ends its overload and brings nothing new.
#[test]
fn a_thicker_jumper_is_tried_first() {
    let mut said = 0;
    for feeds in 1..=6 {
        for limit in ["0.3", "0.5", "0.7"] {
            for least in ["0", "4.0", "5.0"] {
                let of = |jumper: &str| {
                    let rest = format!(
                        "[power]\nfeeds = {feeds}\nbrightness_limit = {limit}\nleast_volts = {least}\n{jumper}"
                    );
                    support::one(16, 24, "ws2812b-30", "", &rest)
                };
                let Some(jumper) = found(&of(""), Code::JumperOverloaded) else { continue };
                if !jumper.remedy.contains("jumper_wire = ") {
                    continue;
                }
                let thick = advised(&jumper.remedy, "jumper_wire");
                let (before, after) = (serious(&of("")), serious(&of(thick)));
                assert!(!after.contains(&Code::JumperOverloaded), "{feeds} {limit}: {thick}");
                assert!(
                    after.iter().all(|code| before.contains(code)),
                    "{feeds} {limit} {after:?}"
                );
                said += 1;
            }
        }
    }
    assert!(said > 3, "{said}");
}
