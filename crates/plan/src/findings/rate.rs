//! Whether the wanted frame rate is reached, and what would help where it is not.

use glowloom_design::Wall;
use glowloom_design::catalogue::receiver as boards;
use glowloom_design::wall::{Link, Panel, Protocol};
use glowloom_units::Hertz;

use super::key_place;
use super::tried::{Outcome, Trial};
use super::words::{listed, names, percent, rate_to_write};
use crate::airtime;
use crate::data::{Bottleneck, Data, reached};
use crate::finding::{Code, Finding};
use crate::link::{self, Traffic, Way};
use crate::path::Shares;
use crate::signal::frame_seconds;

/// A wall that shows fewer frames a second than are wanted.
pub(super) fn not_reached(wall: &Wall, data: &Data, trial: Option<Trial>) -> Option<Finding> {
    let wanted = wall.receiver.frames_per_second;
    let (limit, mut ways) = match data.bottleneck {
        Bottleneck::None => return None,
        Bottleneck::OneWire => (one_wire(data), more_lines(wall, trial)),
        Bottleneck::Link => (link_limit(wall, data), better_links(wall)),
        Bottleneck::Receiver => (receiver_limit(wall, data), fewer_packets(wall)),
    };
    if let Some(rate) = rate_to_write(data.fps.0) {
        ways.push(format!("set frames_per_second = {rate} in [receiver]"));
    }
    let remedy = if ways.is_empty() {
        "Split the wall into smaller walls, each with a file of its own.".to_owned()
    } else {
        let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
        let sentence = listed(&ways, "or");
        format!("{}{}.", sentence[..1].to_uppercase(), &sentence[1..])
    };
    Some(Finding::new(
        Code::RateNotReached,
        key_place(wall, "receiver", "frames_per_second"),
        format!("{} frames a second are wanted, {} are reached", wanted.0, shown(data.fps)),
        format!(
            "{limit}. Data lines allow {} frames a second, the link {}{}",
            shown(data.wire_fps),
            shown(data.link.fps),
            data.receiver_fps
                .map(|fps| format!(", the receivers {}", shown(fps)))
                .unwrap_or_default()
        ),
        remedy,
    ))
}

/// A rate without its unit: `51.3`.
fn shown(fps: Hertz) -> String {
    if fps.0 < 99.95 { format!("{:.1}", fps.0) } else { format!("{:.0}", fps.0) }
}

fn one_wire(data: &Data) -> String {
    let slowest = data.lines.iter().reduce(|a, b| if b.fps < a.fps { b } else { a });
    slowest.map_or_else(String::new, |line| {
        format!(
            "The longest data line, line {} of {} with {} pixels, takes {} a frame",
            line.line, line.panel, line.pixels, line.seconds_per_frame
        )
    })
}

/// The data lines that every panel needs, a board for them, and feeds for what they part.
fn more_lines(wall: &Wall, trial: Option<Trial>) -> Vec<String> {
    let mut slow = Vec::new();
    let mut lines = 0;
    for panel in &wall.panels {
        let Some(needed) = lines_for(wall, panel) else { return Vec::new() };
        if needed > panel.data_lines {
            slow.push(panel.name.as_str());
            lines = lines.max(needed);
        }
    }
    let most = wall.panels.iter().filter(|p| slow.contains(&p.name.as_str()));
    if lines == 0 || most.map(Panel::strip_count).min().is_none_or(|strips| strips < lines) {
        return Vec::new();
    }
    let called = |i: &usize| slow.contains(&wall.panels[*i].name.as_str());
    let panels: Vec<usize> = (0..wall.panels.len()).filter(called).collect();
    let more = format!("set data_lines = {lines} for {}", names(&slow));
    let more = match trial.map_or(Outcome::No, |trial| trial.lines(&panels, lines)) {
        Outcome::Keeps => more,
        Outcome::WithFeeds(feeds) => format!("{more}, and {feeds}"),
        Outcome::No => return Vec::new(),
    };
    if lines <= wall.receiver.data_pins {
        return vec![more];
    }
    let board = boards::ALL
        .iter()
        .find(|part| part.data_pins.value >= lines && part.links.contains(&wall.receiver.link));
    let board = match board {
        Some(part) => format!("board = \"{}\" in [receiver]", part.key),
        None => format!("a board that drives {lines} pins"),
    };
    vec![format!("{more} with {board}")]
}

/// The fewest data lines at which a panel reaches the wanted rate.
fn lines_for(wall: &Wall, panel: &Panel) -> Option<u32> {
    let fast = |lines: u32| {
        let strips = Shares::new(panel.strip_count(), lines).of(0);
        let pixels = panel.spare_pixels + strips * panel.strip_pixels();
        reached(frame_seconds(&wall.strip, pixels).rate(), wall.receiver.frames_per_second)
    };
    (panel.data_lines..=panel.strip_count()).find(|lines| fast(*lines))
}

fn link_limit(wall: &Wall, data: &Data) -> String {
    let sent = format!(
        "A frame is {} bytes in {}",
        data.link.bytes_per_frame,
        match data.link.packets_per_frame {
            1 => "1 packet".to_owned(),
            packets => format!("{packets} packets"),
        }
    );
    match wall.receiver.link {
        Link::Wifi => format!(
            "{sent}; at the wanted rate they would take {} of a Wi-Fi channel, and {} is what to plan \
             on (common practice, no source)",
            percent(data.link.airtime_share.unwrap_or(0.0)),
            percent(airtime::SHARE_TO_PLAN_ON)
        ),
        Link::Ethernet => format!("{sent}; the sender's cable carries 100 Mbit/s"),
        Link::Usb => {
            format!("{sent}; the cable carries {} bit/s, ten to a byte", wall.receiver.baud)
        }
    }
}

/// Other ways that reach the wanted rate, each by one change.
fn better_links(wall: &Wall) -> Vec<String> {
    let (now, receiver) = (Way::of(wall), &wall.receiver);
    let reaches =
        |way: Way| reached(link::fps(&link::traffic(wall, way)), receiver.frames_per_second);
    let has = |link: Link| receiver.links.contains(&link);
    let mut ways = Vec::new();
    if now.link == Link::Usb {
        let three = wall.strip.channels() == 3;
        if three && now.colour_bits == 24 && reaches(Way { colour_bits: 16, ..now }) {
            ways.push("set colour_bits = 16 in [receiver]".to_owned());
        }
        let faster = BAUDS.iter().filter(|baud| **baud > now.baud);
        if let Some(baud) = faster.copied().find(|baud| reaches(Way { baud: *baud, ..now })) {
            ways.push(format!("set baud = {baud} in [receiver], if both ends keep it"));
        }
        if has(Link::Wifi) && reaches(Way { link: Link::Wifi, ..now }) {
            ways.push("set link = \"wifi\" in [receiver]".to_owned());
        }
    } else if now.protocol != Protocol::Ddp && reaches(Way { protocol: Protocol::Ddp, ..now }) {
        ways.push("set protocol = \"ddp\" in [receiver]".to_owned());
    }
    if now.link != Link::Ethernet && reaches(Way { link: Link::Ethernet, ..now }) {
        let wired = boards::ALL.iter().find(|part| part.links.contains(&Link::Ethernet));
        match wired {
            _ if has(Link::Ethernet) => {
                ways.push("set link = \"ethernet\" in [receiver]".to_owned())
            }
            Some(part) => ways.push(format!(
                "set link = \"ethernet\" and board = \"{}\" in [receiver]",
                part.key
            )),
            None => {}
        }
    }
    ways
}

/// Speeds above the usual 921,600 that USB serial chips reach (common practice, no source).
const BAUDS: &[u32] = &[921_600, 1_500_000, 2_000_000, 3_000_000];

fn receiver_limit(wall: &Wall, data: &Data) -> String {
    let traffic = link::traffic(wall, Way::of(wall));
    format!(
        "The busiest receiver gets {} packets a frame and takes in {:.0} a second{}",
        traffic.packets_of_one,
        wall.receiver.packets_per_second.0,
        data.receiver_fps.map(|fps| format!(": {} frames", shown(fps))).unwrap_or_default()
    )
}

/// Changes that let the receivers keep up, each by itself.
fn fewer_packets(wall: &Wall) -> Vec<String> {
    let (now, receiver) = (Way::of(wall), &wall.receiver);
    let keeps_up = |per_second: Hertz, traffic: &Traffic| {
        #[expect(clippy::cast_precision_loss, reason = "packets of one frame")]
        let packets = traffic.packets_of_one as f64;
        reached(per_second / packets, receiver.frames_per_second)
    };
    let mut ways = Vec::new();
    let by_ddp = link::traffic(wall, Way { protocol: Protocol::Ddp, ..now });
    if now.protocol != Protocol::Ddp && keeps_up(receiver.packets_per_second, &by_ddp) {
        ways.push("set protocol = \"ddp\" in [receiver]".to_owned());
    }
    let same = link::traffic(wall, now);
    let faster = boards::ALL.iter().find(|part| {
        part.links.contains(&now.link) && keeps_up(part.packets_per_second.value, &same)
    });
    if let Some(part) = faster {
        ways.push(format!("set board = \"{}\" in [receiver]", part.key));
    }
    ways
}
