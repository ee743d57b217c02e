//! Each finding: what brings it about, what does not, where it points, and that its remedy works.

mod support;

use glowloom_plan::{Code, Finding, plan};

fn findings(text: &str) -> Vec<Finding> {
    plan(&support::read(text)).findings
}

/// Those beside the advice that nearly every wall gets.
fn codes(text: &str) -> Vec<Code> {
    let standing =
        [Code::SupplyNotPowerLimited, Code::FuseAboveCopper, Code::FusesFollow, Code::WarmPanel];
    let all = findings(text).into_iter().map(|finding| finding.code);
    all.filter(|code| !standing.contains(code)).collect()
}

/// The one finding of that code.
fn finding(text: &str, code: Code) -> Finding {
    let mut found: Vec<_> = findings(text).into_iter().filter(|f| f.code == code).collect();
    assert_eq!(found.len(), 1, "{found:#?}");
    found.remove(0)
}

/// What a remedy says to write for a key.
fn advised<'r>(remedy: &'r str, key: &str) -> &'r str {
    let from = remedy.find(&format!("{key} = ")).expect("the remedy names the key") + key.len() + 3;
    let end = remedy[from..].find([',', ' ']).map_or(remedy.len(), |i| from + i);
    remedy[from..end].trim_end_matches('.')
}

/// Wires that lose next to nothing and may carry anything.
const FED: &str = "feed_wire = { ohms_per_metre = 0.0001, amps = 100, length = \"1 m\" }\n\
                   fuses = [1, 2, 4, 8, 16, 100]\n";
const POWER: &str = "[power]\nsupply = \"5v-10a\"\n";

#[test]
fn the_demo_wall_has_none() {
    assert_eq!(codes(&support::tidewall()), []);
}

#[test]
fn uncovered_pixels() {
    let text = support::tidewall()
        .replace("columns = 60", "columns = 63")
        .replace("at = [20, 0]", "at = [21, 0]")
        .replace("at = [40, 0]", "at = [41, 0]");
    let found = finding(&text, Code::UncoveredPixels);
    assert_eq!(found.title, "no panel shows 96 pixels of the picture");
    assert_eq!(
        found.detail,
        "96 of 2016 pixels stay dark: column 20 of rows 0 to 31 and columns 61 to 62 of rows 0 to 31"
    );
    assert!(found.remedy.contains("at = [20, 0], columns = 1 and rows = 32"), "{}", found.remedy);
    assert!(found.remedy.contains("set columns = 61 in [wall]"), "{}", found.remedy);
    assert_eq!((found.line, found.column), (support::line_of(&text, "columns = 63"), 1));
}

/// 10 x 15 pixels at 61 mA and the receiver's 0.3 A are 9.45 A.
#[test]
fn supplies_near_their_rating_and_beyond() {
    let of = |rows: u32, limit: &str| {
        // A feed for every strip, so good that no pixel loses a volt.
        let rest = format!("{POWER}brightness_limit = {limit}\n{FED}feeds = 10");
        support::one(10, rows, "ws2812b-30", "", &rest)
    };
    let near = finding(&of(15, "1.0"), Code::SupplyNearLimit);
    assert!(
        near.detail.contains("9.45 A on only, its receiver's 0.30 A included"),
        "{}",
        near.detail
    );
    assert!(near.detail.contains("80 % of which is 8.00 A"), "{}", near.detail);
    assert_eq!(near.line, support::line_of(&of(15, "1.0"), "supply"));
    // 7.62 A are under 80 % of 10; 10.06 A are over 10.
    assert_eq!(codes(&of(12, "1.0")), []);
    let over = finding(&of(16, "1.0"), Code::SupplyOverloaded);
    assert!(over.detail.contains("10.1 A on only"), "{}", over.detail);
    assert!(over.remedy.contains("supplies_per_panel = 2") && over.remedy.contains("\"5v-20a\""));
    // What is advised holds, and a hundredth more would not.
    let level = advised(&over.remedy, "brightness_limit");
    assert_eq!(codes(&of(16, level)), []);
    let more = format!("{:.2}", level.parse::<f64>().unwrap() + 0.01);
    assert_eq!(codes(&of(16, &more)), [Code::SupplyNearLimit]);
}

/// 5 strips among 2 supplies: the first has 3, and the receiver.
#[test]
fn strips_are_shared_among_supplies_first_taking_the_odd() {
    let of = |supplies: u32, rows: u32| {
        let rest = format!("{POWER}supplies_per_panel = {supplies}\nfeeds = 5");
        support::one(5, rows, "ws2812b-30", "", &rest)
    };
    // 3 x 60 x 0.061 + 0.3 = 11.28 A on the first; 2 x 60 x 0.061 = 7.32 A on the second.
    let over = finding(&of(2, 60), Code::SupplyOverloaded);
    assert!(over.detail.contains("gives 11.3 A on only"), "{}", over.detail);
    assert_eq!(advised(&over.remedy, "supplies_per_panel"), "3");
    assert_eq!(codes(&of(3, 60)), []);
}

#[test]
fn panels_alike_are_one_finding_and_the_worst_is_first() {
    let text = support::tidewall().replace("brightness_limit = 0.6", "supply = \"5v-30a\"");
    let over = finding(&text, Code::SupplyOverloaded);
    assert_eq!(over.title, "supply overloaded on west, middle and east");
    assert!(over.detail.contains("39.3 A on west, middle and east"), "{}", over.detail);
    // East made half as high: 19.8 A is within 24 A.
    let smaller = text.replace("at = [40, 0]", "at = [40, 0]\nrows = 16");
    let over = finding(&smaller, Code::SupplyOverloaded);
    assert_eq!(over.title, "supply overloaded on west and middle");
}

#[test]
fn volts_that_do_not_suit_the_strip() {
    let of = |part: &str, power: &str| support::one(2, 2, part, "", &format!("[power]\n{power}"));
    let high = finding(&of("ws2812b-30", "supply = \"12v-10a\""), Code::SupplyVoltsTooHigh);
    assert_eq!(high.kind, glowloom_plan::Kind::Hazard);
    assert!(high.detail.contains("12.0 V") && high.detail.contains("5.30 V"), "{}", high.detail);
    let high = finding(&of("ws2812b-30", "trim_volts = 5.31"), Code::SupplyVoltsTooHigh);
    assert_eq!(advised(&high.remedy, "trim_volts"), "5");
    assert_eq!(codes(&of("ws2812b-30", "trim_volts = 5.3")), []);
    // A 5 V supply for 12 V strip; and a trim at which chips stop.
    let low = finding(&of("ws2815-30", "supply = \"5v-10a\""), Code::SupplyVoltsTooLow);
    assert!(low.detail.contains("rated 5.00 V") && low.detail.contains("12.0 V"), "{}", low.detail);
    assert_eq!(
        codes(&of("ws2812b-30", "trim_volts = 3.49\nleast_volts = 3")),
        [Code::SupplyVoltsTooLow]
    );
    assert_eq!(codes(&of("ws2812b-30", "trim_volts = 3.5\nleast_volts = 3")), []);
}

/// 100 x 100 pixels at 61 mA: 610 A at 5 V; with the receiver 3,051.5 W, 26.0 A from the mains.
#[test]
fn a_circuit_near_its_limit_and_beyond() {
    let of = |limit: &str| {
        let rest = format!(
            "[power]\nsupply = {{ volts = 5, amps = 1000 }}\nbrightness_limit = {limit}\nmains = {{ circuit_amps = 10 }}\n\
             {FED}feeds = 100\nconnection_ohms = 0\nleast_volts = 0\n[receiver]\nframes_per_second = 1"
        );
        let copper = "rail_ohms_per_metre = 0.0001\nrail_amps = 100";
        support::one(100, 100, "ws2812b-30", "", &rest)
            .replace("[[panels]]", &format!("{copper}\n[[panels]]"))
    };
    let over = finding(&of("1.0"), Code::CircuitOverloaded);
    assert!(
        over.detail.contains("take 26.0 A from the mains at 230 V, 260 % of the circuit's 10.0 A"),
        "{}",
        over.detail
    );
    assert_eq!(over.line, support::line_of(&of("1.0"), "mains"));
    let level = advised(&over.remedy, "brightness_limit");
    assert_eq!(codes(&of(level)), []);
    let more = format!("{:.2}", level.parse::<f64>().unwrap() + 0.01);
    assert_eq!(codes(&of(&more)), [Code::CircuitNearLimit]);
}

#[test]
fn more_data_lines_than_pins() {
    let text = support::tidewall()
        .replace("rows = 32\n[[panels]]", "rows = 32\ndata_lines = 2\n[[panels]]");
    let found = finding(&text, Code::MoreDataLinesThanPins);
    assert_eq!(found.line, support::line_of(&text, "data_lines"));
    assert_eq!(found.title, "more data lines than the receiver has pins on west, middle and east");
    assert!(found.remedy.contains("board = \"esp32\" or \"esp32-ethernet\""), "{}", found.remedy);
    assert_eq!(codes(&(text.clone() + "[receiver]\nboard = \"esp32\"\n")), []);
    // Said where it is written: twice in two places.
    let own = support::tidewall()
        .replace("at = [0, 0]", "at = [0, 0]\ndata_lines = 2")
        .replace("at = [40, 0]", "at = [40, 0]\ndata_lines = 3");
    let found: Vec<_> = findings(&own)
        .into_iter()
        .filter(|found| found.code == Code::MoreDataLinesThanPins)
        .map(|found| (found.code, found.title))
        .collect();
    assert_eq!(found.len(), 2);
    assert!(found[0].1.ends_with("west") && found[1].1.ends_with("east"), "{found:?}");
}

#[test]
fn a_link_that_the_board_lacks() {
    let text = support::tidewall() + "[receiver]\nlink = \"ethernet\"\n";
    let found = finding(&text, Code::LinkNotOnBoard);
    assert_eq!(found.detail, "the board, esp8266, has wifi and usb");
    assert!(
        found.remedy.contains("link = \"wifi\" or \"usb\"")
            && found.remedy.contains("board = \"esp32-ethernet\"")
    );
    assert_eq!(found.line, support::line_of(&text, "link"));
}

#[test]
fn data_levels() {
    let fed = |part: &str, supply: &str, panel: &str, receiver: &str| {
        let rest = format!(
            "[power]\nsupply = \"{supply}\"\nbrightness_limit = 0.3\n[receiver]\n{receiver}"
        );
        support::one(2, 2, part, panel, &rest)
    };
    let of = |panel: &str, receiver: &str| fed("ws2812b-30", "5v-10a", panel, receiver);
    let low = finding(&of("", "data_level = \"none\""), Code::DataLevelTooLow);
    assert!(
        low.detail.contains("3.30 V") && low.detail.contains("0.7 x 5.00 V = 3.50 V"),
        "{}",
        low.detail
    );
    assert_eq!(codes(&of("", "data_level = \"shifter\"")), []);
    // 12 V parts make 5 V for their logic.
    for part in ["ws2811-30", "ws2815-30"] {
        assert_eq!(
            codes(&fed(part, "12v-10a", "", "data_level = \"none\"")),
            [Code::DataLevelTooLow]
        );
    }
    // A pin of 5 V needs nothing.
    let five =
        "board = { links = [\"wifi\"], data_pins = 1, pin_volts = 5.0 }\ndata_level = \"none\"";
    assert_eq!(codes(&of("", five)), []);
    // A spare pixel must be there.
    let found = finding(&of("", "data_level = \"spare pixel\""), Code::DataLevelTooLow);
    assert!(found.title.ends_with("re-shapes the data signal on only"), "{}", found.title);
    assert_eq!(codes(&of("spare_pixels = 1", "data_level = \"spare pixel\"")), []);
}

#[test]
fn data_leads() {
    let of = |lead: &str| support::tidewall() + &format!("[receiver]\ndata_lead = \"{lead}\"\n");
    assert_eq!(codes(&of("1 m")), []);
    assert_eq!(codes(&of("1.01 m")), [Code::LongDataLead]);
    assert_eq!(codes(&of("10 m")), [Code::LongDataLead]);
    assert_eq!(codes(&of("10.1 m")), [Code::DataLeadTooLong]);
    assert!(finding(&of("2 m"), Code::LongDataLead).detail.contains("common practice, no source"));
}

#[test]
fn panels_that_overlap_as_built() {
    let spaced = support::tidewall()
        .replace("rows = 32\n[[panels]]", "rows = 32\nstrip_spacing = \"40 mm\"\n[[panels]]");
    let found = finding(&spaced, Code::PanelsOverlapAsBuilt);
    // 20 strips 40 mm apart are 800 mm; the next panel stands at 666.7 mm.
    assert_eq!(
        found.detail,
        "middle reaches 133 mm across and 1.07 m down into west; another pair of panels overlaps as well"
    );
    assert!(found.remedy.contains("place = [\"800 mm\", \"0 mm\"]"), "{}", found.remedy);
    let placed = spaced
        .replace("at = [20, 0]", "at = [20, 0]\nplace = [\"800 mm\", \"0 mm\"]")
        .replace("at = [40, 0]", "at = [40, 0]\nplace = [\"1600 mm\", \"0 mm\"]");
    assert_eq!(codes(&placed), []);
}

#[test]
fn a_rate_that_data_lines_do_not_reach() {
    let of = |panel: &str, receiver: &str| {
        let lines = format!("rows = 32\n{panel}\n[[panels]]");
        support::tidewall().replacen("rows = 32\n[[panels]]", &lines, 1)
            + &format!("[receiver]\nframes_per_second = 60\n{receiver}\n")
    };
    let found = finding(&of("", ""), Code::RateNotReached);
    assert_eq!(found.title, "60 frames a second are wanted, 51.3 are reached");
    assert!(
        found.detail.contains("line 1 of west with 640 pixels, takes 19.5 ms"),
        "{}",
        found.detail
    );
    assert_eq!(
        found.remedy,
        "Set data_lines = 2 for west, middle and east with board = \"esp32\" in [receiver] or set \
         frames_per_second = 51 in [receiver]."
    );
    assert_eq!(codes(&of("data_lines = 2", "board = \"esp32\"")), []);
    assert_eq!(codes(&of("", "").replace("_second = 60", "_second = 51")), []);
}

#[test]
fn a_rate_that_a_serial_cable_does_not_reach() {
    let of = |receiver: &str| support::tidewall() + "[receiver]\nlink = \"usb\"\n" + receiver;
    let found = finding(&of(""), Code::RateNotReached);
    assert!(found.detail.contains("5796 bytes in 3 packets"), "{}", found.detail);
    assert_eq!(advised(&found.remedy, "baud"), "2000000");
    assert_eq!(codes(&of("baud = 2000000")), []);
    assert_eq!(codes(&of("baud = 1500000")), [Code::RateNotReached]);
    assert_eq!(advised(&found.remedy, "frames_per_second"), "15");
    assert!(!found.remedy.contains("colour_bits"), "23.8 fps with 16 bits do not reach 30");
    let sixteen = finding(&of("frames_per_second = 20"), Code::RateNotReached);
    assert!(sixteen.remedy.contains("colour_bits = 16"), "{}", sixteen.remedy);
    assert_eq!(codes(&of("frames_per_second = 20\ncolour_bits = 16")), []);
}

#[test]
fn a_rate_that_the_air_does_not_carry() {
    let of = |receiver: &str| {
        let panel = "data_lines = 100\nstrips = \"horizontal\"";
        let rest = format!(
            "[power]\nfeeds = 100\nsupply = {{ volts = 5, amps = 2000 }}\nmains = {{ circuit_amps = 100 }}\n\
            brightness_limit = 0.1\n\
            [receiver]\nboard = {{ links = [\"wifi\", \"ethernet\"], data_pins = 100, packets_per_second = 1e5 }}\n{receiver}"
        );
        support::one(100, 100, "ws2812b-30", panel, &rest)
    };
    let found = finding(&of("frames_per_second = 40"), Code::RateNotReached);
    assert!(
        found.detail.contains("of a Wi-Fi channel, and 50 % is what to plan on"),
        "{}",
        found.detail
    );
    assert!(found.remedy.contains("protocol = \"ddp\""), "{}", found.remedy);
    assert_eq!(codes(&of("frames_per_second = 40\nprotocol = \"ddp\"")), []);
    assert!(found.remedy.contains("link = \"ethernet\""), "{}", found.remedy);
    assert_eq!(codes(&of("frames_per_second = 40\nlink = \"ethernet\"")), []);
}

#[test]
fn a_rate_that_receivers_do_not_take_in() {
    let of = |receiver: &str| {
        support::tidewall()
            + "[receiver]\nboard = { links = [\"wifi\"], data_pins = 1, packets_per_second = 100 }\n"
            + receiver
    };
    let found = finding(&of(""), Code::RateNotReached);
    assert!(
        found.detail.contains("5 packets a frame and takes in 100 a second: 20.0 frames"),
        "{}",
        found.detail
    );
    assert!(
        found.remedy.contains("protocol = \"ddp\"") && found.remedy.contains("board = \"esp8266\""),
        "{}",
        found.remedy
    );
    assert_eq!(codes(&of("protocol = \"ddp\"")), []);
    assert_eq!(codes(&of("frames_per_second = 20")), []);
}

#[test]
fn serious_first_then_as_the_file_goes() {
    let text = support::tidewall()
        .replace("columns = 60", "columns = 61")
        .replace("brightness_limit = 0.6", "supply = \"12v-10a\"")
        + "[receiver]\nlink = \"ethernet\"\ndata_level = \"none\"\ndata_lead = \"2 m\"\n";
    assert_eq!(
        codes(&text),
        [
            Code::SupplyVoltsTooHigh,
            Code::VoltsBelowLeast,
            Code::SupplyOverloaded,
            Code::LinkNotOnBoard,
            Code::DataLevelTooLow,
            Code::UncoveredPixels,
            Code::FeedBothEdges,
            Code::FeedsThatDo,
            Code::LongDataLead,
        ]
    );
}
