//! Findings of the solved network: what brings each about, and that what it advises does it.

mod support;

use glowloom_plan::{Code, Kind};
use support::findings::{advised, found, one, planned, serious, sixteen};

/// Figures of the worked case: 11.433535 A in the middle feed, 5.860 A in a rail, 5.677 A in a jumper,
/// 2.508146 V at the lowest pixel of column 10, row 1.
#[test]
fn the_worked_case_is_hazardous() {
    let text = sixteen("");
    let serious = serious(&text);
    for code in [
        Code::FeedWireOverloaded,
        Code::JumperOverloaded,
        Code::RailOverloaded,
        Code::VoltsBelowLeast,
        Code::ChipsMayStop,
    ] {
        assert!(serious.contains(&code), "{code:?} of {serious:?}");
    }
    let wire = one(&text, Code::FeedWireOverloaded);
    assert!(wire.detail.contains("strip 8, near edge, of only carries 11.4 A"), "{}", wire.detail);
    assert!(wire.detail.contains("may carry 10.0 A"), "{}", wire.detail);
    assert_eq!(wire.line, support::line_of(&text, "feed_wire"));
    let rail = one(&text, Code::RailOverloaded);
    assert!(rail.detail.contains("5.86 A flow along strip"), "{}", rail.detail);
    let jumper = one(&text, Code::JumperOverloaded);
    assert!(jumper.detail.contains("5.68 A flow through the jumper"), "{}", jumper.detail);
    let volts = one(&text, Code::VoltsBelowLeast);
    assert!(
        volts.detail.contains("column 10, row 1 gets 2.51 V, wanted 4.00 V"),
        "{}",
        volts.detail
    );
}

/// The brightness that every remedy names keeps all limits, and a hundredth more does not.
#[test]
fn the_advised_brightness_keeps_every_limit() {
    let text = sixteen("");
    for code in [Code::FeedWireOverloaded, Code::RailOverloaded, Code::VoltsBelowLeast] {
        let level = advised(&one(&text, code).remedy, "brightness_limit").to_owned();
        assert_eq!(level, "brightness_limit = 0.32");
        assert_eq!(serious(&sixteen(&level)), []);
    }
    assert_eq!(serious(&sixteen("brightness_limit = 0.33")), [Code::VoltsBelowLeast]);
}

/// The feeds that are advised, put into the file as they are written, keep all limits; with one fewer
/// placed evenly something breaks.
#[test]
fn the_advised_feeds_keep_every_limit() {
    for limit in ["0.5", "0.7", "1.0"] {
        let text = sixteen(&format!("brightness_limit = {limit}"));
        let feeds = one(&text, Code::FeedsThatDo);
        let (places, wire) = (advised(&feeds.remedy, "feeds"), advised(&feeds.remedy, "feed_wire"));
        let with = |places: &str| {
            support::one(
                16,
                36,
                "ws2812b-30",
                "",
                &format!("[power]\n{places}\n{wire}\nbrightness_limit = {limit}\n"),
            )
        };
        assert_eq!(serious(&with(places)), [], "{limit}: {places}");
        let count = places
            .matches("strip")
            .count()
            .max(places.trim_start_matches("feeds = ").parse().unwrap_or(0));
        assert!(count > 3, "{places}");
        assert_ne!(serious(&with(&format!("feeds = {}", count - 1))), [], "{limit}: {count}");
    }
}

#[test]
fn the_far_edge_lifts_the_lowest_pixel() {
    let text = sixteen("brightness_limit = 0.6");
    let far = one(&text, Code::FeedBothEdges);
    let places = advised(&far.remedy, "feeds");
    assert_eq!(places.matches("far").count(), 3);
    let fed = text.replace("feeds = 3", places);
    let volts = |text: &str| planned(text).power.panels[0].least_volts;
    assert!(volts(&fed) > volts(&text));
    let said = format!("gets {} for {}", volts(&fed), volts(&text));
    assert!(far.detail.contains(&said), "{said}: {}", far.detail);
}

#[test]
fn the_advised_trim_is_the_least_that_does() {
    let text = sixteen("brightness_limit = 0.34");
    let trim = advised(&one(&text, Code::TrimUp).remedy, "trim_volts").to_owned();
    let with = |trim: &str| format!("{text}{trim}\n");
    assert_eq!(serious(&with(&trim)), [], "{trim}");
    let volts: f64 = trim.trim_start_matches("trim_volts = ").parse().unwrap();
    assert_ne!(serious(&with(&format!("trim_volts = {}", volts - 0.01))), []);
    // Where no trimmer reaches that far nothing is advised.
    assert_eq!(found(&sixteen(""), Code::TrimUp), None);
}

/// 8 strips of 10 pixels: 4.88 A in one feed; a 5 A fuse may be loaded with 4 A.
#[test]
fn fuses_that_do_not_fit() {
    let of = |wire: &str, fuses: &str| {
        let rest = format!(
            "[power]\nfeeds = 1\nleast_volts = 0\nfuses = {fuses}\n\
             feed_wire = {{ ohms_per_metre = 0.0001, length = \"1 m\"{wire} }}"
        );
        support::one(8, 10, "ws2812b-30", "", &rest)
            .replace("[[panels]]", "rail_ohms_per_metre = 0.0001\n[[panels]]")
    };
    let seven = of(", amps = 7", "[1, 2, 5, 10]");
    let fuse = one(&seven, Code::NoFuseFits);
    assert!(
        fuse.detail.contains("carries 4.8") && fuse.detail.contains("with 4.00 A"),
        "{}",
        fuse.detail
    );
    assert_eq!(found(&of(", amps = 10", "[1, 2, 5, 10]"), Code::NoFuseFits), None);
    // No wire is blamed twice.
    let thin = of(", amps = 3", "[1, 2, 5, 10]");
    assert_eq!(found(&thin, Code::NoFuseFits), None);
    one(&thin, Code::FeedWireOverloaded);
    // A limit that nobody knows.
    let unknown = one(&of("", "[1, 2, 5, 10]"), Code::WireLimitUnknown);
    assert_eq!(unknown.line, support::line_of(&seven, "feed_wire"));
    assert!(unknown.remedy.contains("amps = 5"));
}

/// 16 x 36 at 0.6: the panel of the worked case where one fuse open makes 11.27 A of 10.
#[test]
fn fuses_that_follow_one_another() {
    let text = sixteen("brightness_limit = 0.32");
    let follow = one(&text, Code::FusesFollow);
    assert!(
        follow.detail.contains("its fuse is 7.50 A")
            || follow.detail.contains("its fuse is 5.00 A"),
        "{}",
        follow.detail
    );
    // One feed has no neighbour.
    let alone = support::one(2, 4, "ws2812b-30", "", "[power]\nfeeds = 1");
    assert_eq!(found(&alone, Code::FusesFollow), None);
}

#[test]
fn warm_joints() {
    // 11.43 A through 2 milliohms are 0.26 W, through 4 they are above half a watt.
    assert_eq!(found(&sixteen(""), Code::WarmJoints), None);
    let bad = one(&sixteen("connection_ohms = 0.006"), Code::WarmJoints);
    assert!(bad.detail.contains("6 milliohms"), "{}", bad.detail);
}

/// 61 mA at 5 V on 900 pixels a square metre: 274 W, 52 degrees.
#[test]
fn heat_behind_the_cloth() {
    let of = |part: &str, more: &str| {
        let rest = format!(
            "[power]\nfeeds = 10\nsupply = {{ volts = 5, amps = 500 }}\n\
             feed_wire = {{ gauge = \"2.5 mm2\", length = \"0.3 m\" }}\n{more}"
        );
        support::one(10, 10, part, "", &rest)
    };
    let warm = one(&of("ws2812b-30", ""), Code::WarmPanel);
    assert!(warm.detail.contains("about 52 degrees"), "{}", warm.detail);
    let level = advised(&warm.remedy, "brightness_limit");
    assert_eq!(found(&of("ws2812b-30", level), Code::WarmPanel), None, "{level}");
    // Four times as close: too hot for card, and warm on metal.
    let card = "[board]\nmaterial = \"corrugated-card\"";
    let hot = one(&of("ws2812b-60", card), Code::TooHotForPanel);
    assert_eq!(hot.kind, Kind::Hazard);
    assert!(hot.title.contains("corrugated card"), "{}", hot.title);
    let metal = "[board]\nmaterial = \"aluminium-composite\"\nthickness = \"3 mm\"";
    assert_eq!(found(&of("ws2812b-60", metal), Code::TooHotForPanel), None);
    // Metal is not advised where the board is of it already.
    let warm = one(&of("ws2812b-60", metal), Code::WarmPanel);
    assert!(!warm.remedy.contains("aluminium"), "{}", warm.remedy);
    assert!(hot.remedy.contains("aluminium-composite"), "{}", hot.remedy);
}

/// 2 feeds leave 2.9 V at the lowest pixel: with less light it takes a larger share of its nominal amps.
#[test]
fn the_advised_brightness_is_cool_enough_where_volts_were_short() {
    let rest = "[power]\nfeeds = 2\nsupply = \"5v-40a\"\n";
    let of = |more: &str| support::one(20, 16, "ws2812b-30", "", &format!("{rest}{more}"));
    let warm = one(&of(""), Code::WarmPanel);
    let level = advised(&warm.remedy, "brightness_limit");
    assert_eq!(found(&of(level), Code::WarmPanel), None, "{level}");
}

/// A strip for more than may be touched is not advised as the way out of it.
#[test]
fn volts_that_may_not_be_touched() {
    let of = |strip: &str| {
        support::one(2, 2, "ws2815-30", "", "[power]\nsupply = { volts = 72, amps = 5 }\n")
            .replace("[[panels]]", &format!("{strip}\n[[panels]]"))
    };
    let strip = "volts = 72\nmax_volts = 80\nknee_volts = [40, 40, 40]\nidle_knee_volts = 40";
    let own = one(&of(strip), Code::TouchVolts);
    assert!(own.remedy.starts_with("In [strip]") && !own.remedy.contains("72"), "{}", own.remedy);
    let supply = one(&of(""), Code::TouchVolts);
    assert!(supply.remedy.ends_with("best the strip's own 12.0 V."), "{}", supply.remedy);
}

#[test]
fn supplies_together_and_their_strength() {
    let of = |n: u32, supply: &str| {
        let rest = format!("[power]\nsupply = \"{supply}\"\nsupplies_per_panel = {n}\nfeeds = {n}");
        support::one(8, 2, "ws2812b-30", "", &rest)
    };
    assert_eq!(found(&of(3, "5v-10a"), Code::Inrush), None);
    assert!(one(&of(4, "5v-10a"), Code::Inrush).title.starts_with("4 supplies"));
    let strong = one(&of(1, "5v-60a"), Code::SupplyNotPowerLimited);
    assert!(
        strong.detail.contains("60.0 A") && strong.detail.contains("300 W"),
        "{}",
        strong.detail
    );
    let weak = of(1, "5v-10a").replace("\"5v-10a\"", "{ volts = 5, amps = 5 }");
    assert_eq!(found(&weak, Code::SupplyNotPowerLimited), None);
}

/// Several panels of two kinds: the entries that need it are named, and what is written there does it.
#[test]
fn panels_of_two_kinds() {
    let of = |second: &str| {
        format!(
            "format = 1\n[wall]\nname = \"Two\"\ncolumns = 24\nrows = 36\n[strip]\npart = \"ws2812b-30\"\n\
             [panel]\nrows = 36\n[[panels]]\nname = \"narrow\"\nat = [0, 0]\ncolumns = 8\nfeeds = 8\n\
             [[panels]]\nname = \"wide\"\nat = [8, 0]\ncolumns = 16\n{second}\n\
             [power]\nfeeds = 3\nbrightness_limit = 0.5\n\
             feed_wire = {{ gauge = \"14 AWG\", length = \"1 m\" }}\n"
        )
    };
    let feeds = one(&of(""), Code::FeedsThatDo);
    assert!(feeds.remedy.contains("in the [[panels]] entry of wide"), "{}", feeds.remedy);
    let places = advised(&feeds.remedy, "feeds");
    assert_eq!(serious(&of(places)), [], "{places}");
}

/// Two kinds that both break limits: a remedy changes the panels that its finding is of, all at once.
#[test]
fn a_remedy_mends_every_panel_of_its_finding() {
    let of = |a: &str, b: &str| {
        format!(
            "format = 1\n[wall]\nname = \"Two\"\ncolumns = 40\nrows = 16\n[strip]\npart = \"ws2812b-30\"\n\
             [panel]\ncolumns = 20\nrows = 16\n[[panels]]\nname = \"a\"\nat = [0, 0]\n{a}\n\
             [[panels]]\nname = \"b\"\nat = [20, 0]\n{b}\n[power]\nsupply = \"5v-40a\"\n\
             feed_wire = {{ gauge = \"18 AWG\", length = \"2 m\" }}\n"
        )
    };
    let text = of("feeds = 2", "feeds = 3");
    let rail = one(&text, Code::RailOverloaded);
    assert!(rail.title.ends_with("on a") && rail.remedy.contains("entry of a"), "{rail:?}");
    assert!(!rail.remedy.contains("entry of b"), "{}", rail.remedy);
    let volts = one(&text, Code::VoltsBelowLeast).remedy;
    let way = |name: &str| {
        let wire = "feed_wire = { gauge = \"18 AWG\", length = \"2 m\" }";
        format!("set feeds = 5 and {wire} in the [[panels]] entry of {name}")
    };
    assert!(volts.contains(&format!("{} and {}", way("a"), way("b"))), "{volts}");
    assert_eq!(serious(&of("feeds = 5", "feeds = 5")), []);
}

/// Wanted volts that no supply gives are named as what is wrong, not the feeds.
#[test]
fn more_volts_wanted_than_there_are() {
    let text = sixteen("least_volts = 5.0");
    for code in [Code::VoltsBelowLeast, Code::RailOverloaded] {
        let remedy = one(&text, code).remedy;
        assert_eq!(advised(&remedy, "least_volts"), "least_volts = 4", "{remedy}");
    }
    let remedy = one(&sixteen("least_volts = 4"), Code::VoltsBelowLeast).remedy;
    assert!(remedy.contains("set feeds = "), "{remedy}");
}

/// No fuse is advised for its neighbours' sake that the copper behind it could not carry.
#[test]
fn fuses_are_advised_that_protect_what_is_behind_them() {
    let of = |jumper: &str| {
        let rest = format!(
            "[power]\nfeeds = 5\nbrightness_limit = 0.5\nfeed_wire = {{ gauge = \"14 AWG\", length = \"1 m\" }}\n\
             jumper_wire = {{ gauge = \"{jumper}\", length = \"40 mm\" }}\n"
        );
        support::one(20, 20, "ws2812b-30", "", &rest)
    };
    let thin = of("22 AWG");
    let above = one(&thin, Code::FuseAboveCopper);
    // The jumpers carry 3.15 A; fuses are sold for 3 A.
    assert!(above.remedy.contains("(up to 3.00 A)"), "{}", above.remedy);
    let follow = one(&thin, Code::FusesFollow);
    assert!(follow.remedy.contains("give more feeds"), "{}", follow.remedy);
    assert!(!follow.remedy.contains("fuses there"), "{}", follow.remedy);
    let follow = one(&of("16 AWG"), Code::FusesFollow);
    assert!(follow.remedy.contains("fit 5.00 A fuses there"), "{}", follow.remedy);
}

/// A series without a fuse for the wire is said in words: nothing may be loaded with 0 A.
#[test]
fn every_fuse_is_too_large() {
    let text = sixteen("fuses = [30]\nbrightness_limit = 0.5");
    let fuse = one(&text, Code::NoFuseFits);
    assert!(fuse.detail.contains("the smallest of [power] fuses is larger"), "{}", fuse.detail);
    assert!(!fuse.detail.contains("0.00 A"), "{}", fuse.detail);
    // Feeds as many as there are, but thicker, are told by their wire.
    let title = one(&text, Code::FeedsThatDo).title;
    assert!(
        title.contains("AWG keep every limit of the copper on only, which has 3 of 16 AWG"),
        "{title}"
    );
}

/// Lengths are written as they were meant, whatever a foot is in metres.
#[test]
fn lengths_have_no_tail() {
    let text = sixteen("").replace("4 ft", "7 ft");
    let feeds = one(&text, Code::FeedsThatDo).remedy;
    assert!(feeds.contains("length = \"2.1336 m\""), "{feeds}");
}

/// Binding limit, panel and pictures of the document.
#[test]
fn the_document() {
    let power = planned(&sixteen("")).power;
    assert!((power.highest_safe_brightness - 0.324864).abs() < 1e-6);
    assert_eq!(power.binding.key(), "least_volts");
    assert_eq!(power.binding_panel.as_deref(), Some("only"));
    let panel = &power.panels[0];
    assert!((panel.amps.0 - 31.742361).abs() < 1e-6);
    assert!((panel.least_volts_white.light[0] - 2.508146 / 2.6).abs() < 1e-6);
    let names: Vec<_> = power.shown.iter().map(|shown| shown.picture).collect();
    assert_eq!(names, ["white", "red", "green", "blue", "typical", "black"]);
    let amps = |name: &str| power.shown.iter().find(|s| s.picture == name).unwrap().amps.0;
    assert!((amps("white") - panel.amps.0).abs() < 1e-12);
    assert!((amps("black") - 576.0 * 0.001).abs() < 1e-9);
    // Red alone keeps every pixel above the knees: 20 mA and the idle 1 mA each.
    assert!((amps("red") - 576.0 * 0.021).abs() < 1e-9);
    assert_eq!(power.energy, None);
    let priced = sixteen("") + "[prices]\nhours_per_day = 10\n";
    let energy = planned(&priced).power.energy.unwrap();
    let watts =
        planned(&priced).power.shown.iter().find(|s| s.picture == "typical").unwrap().mains_watts;
    assert!((energy.kwh_per_day.0 - watts.0 / 100.0).abs() < 1e-9);
    assert!((energy.kwh_per_year.0 - 365.0 * energy.kwh_per_day.0).abs() < 1e-9);
}

/// A supply that is too small does not hide what the copper needs: each has its own way out.
#[test]
fn feeds_are_advised_beside_a_supply_that_is_too_small() {
    let text = sixteen("supply = \"5v-20a\"");
    let feeds = one(&text, Code::FeedsThatDo);
    let places = advised(&feeds.remedy, "feeds");
    let fed = text.replace("feeds = 3", places);
    assert_eq!(serious(&fed), [Code::SupplyOverloaded]);
    let supply = one(&fed, Code::SupplyOverloaded);
    let larger = advised(&supply.remedy, "supply");
    assert_eq!(serious(&fed.replace("supply = \"5v-20a\"", larger)), []);
}
