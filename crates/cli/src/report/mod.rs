//! What `plan` and `check` print for a person: a page read from the top.

mod cuts;
mod findings;
mod material;
pub mod measured;
pub mod meter;
mod optics;
mod power;
mod printing;
pub mod progress;
mod schedule;
mod structure;
mod unit;
mod volts;

use glowloom_design::wall::Link;
use glowloom_plan::power::Showing;
use glowloom_plan::{Plan, data::Bottleneck};
use glowloom_units::Hertz;

use crate::opened::Opened;
use crate::output::{QUIET, STRONG};
pub use power::{binding, rounded_down};
use schedule::{Schedule, WIDTH, grouped, listed};

/// The page of `glowloom check`.
pub fn check(opened: &Opened, plan: &Plan) -> String {
    format!("{}\n{}", head(opened, plan), findings::all(&opened.path, &plan.findings))
}

/// The page of `glowloom plan`, at full white or at what is shown in its place; `progress` is what the
/// journal says, or nothing.
pub fn plan(opened: &Opened, plan: &Plan, showing: Showing, progress: &str) -> String {
    [
        head(opened, plan),
        progress.to_owned(),
        size(opened, plan),
        data(opened, plan),
        power::power(opened, plan, showing),
        cuts::table(&plan.cuts),
        printing::baffle(opened, plan),
        structure::structure(opened, plan).unwrap_or_default(),
        optics::optics(opened, plan),
        material::material(plan),
        material::cost(plan).unwrap_or_default(),
        findings::all(&opened.path, &plan.findings),
    ]
    .into_iter()
    .filter(|table| !table.is_empty())
    .collect::<Vec<_>>()
    .join("\n")
}

fn head(opened: &Opened, plan: &Plan) -> String {
    let (wall, geometry) = (&opened.wall, &plan.geometry);
    let panels = match wall.panels.len() {
        1 => "1 panel".to_owned(),
        n => format!("{n} panels"),
    };
    let pixels = format!("{} x {} pixels on {panels}", geometry.columns, geometry.rows);
    let path = crate::output::shown(&opened.path);
    let long = |parts: [&str; 3]| parts.join("   ").chars().count() > WIDTH;
    // A path can not be broken, but it can have a line of its own.
    let before_pixels = if long([&wall.name, &pixels, ""]) { "\n  " } else { "   " };
    let before_path = if long([&wall.name, &pixels, &path]) { "\n  " } else { "   " };
    format!(
        "{STRONG}{}{STRONG:#}{before_pixels}{pixels}{before_path}{QUIET}{path}{QUIET:#}\n",
        wall.name
    )
}

fn size(opened: &Opened, plan: &Plan) -> String {
    let (wall, geometry) = (&opened.wall, &plan.geometry);
    let figures = wall.figures;
    let mut table = Schedule::new("Size");
    table.row("pixels", &grouped(geometry.pixels), "", "");
    if geometry.uncovered_pixels > 0 {
        table.row("not covered", &grouped(geometry.uncovered_pixels), "", "no panel shows them");
    }
    table.quantity("width", &geometry.width_m.shown(figures), "as built");
    table.quantity("height", &geometry.height_m.shown(figures), "as built");
    table.quantity("pitch", &geometry.pitch_m.shown(figures), "from pixel to pixel");
    table.quantity("seen from", &wall.seen_from.shown(figures), "nearest viewer");
    for kind in kinds(wall.panels.iter().zip(&geometry.panels), |(_, panel)| {
        (
            panel.columns,
            panel.rows,
            panel.strips,
            panel.width_m.0.to_bits(),
            panel.height_m.0.to_bits(),
        )
    }) {
        let Some((_, panel)) = kind.first() else { continue };
        let names = listed(kind.iter().map(|(panel, _)| panel.name.as_str()));
        let detail = format!(
            "{} x {} pixels, {} strips of {}, {} x {}: {names}",
            panel.columns,
            panel.rows,
            panel.strips,
            panel.strip_pixels,
            panel.width_m.shown(figures),
            panel.height_m.shown(figures),
        );
        table.row("panels", &kind.len().to_string(), "", &detail);
    }
    table.text()
}

fn data(opened: &Opened, plan: &Plan) -> String {
    let (wall, data) = (&opened.wall, &plan.data);
    let mut table = Schedule::new("Data");
    for kind in kinds(data.lines.iter(), |line| line.pixels) {
        let Some(line) = kind.first() else { continue };
        let spare = match line.spare_pixels {
            0 => String::new(),
            n => format!(", {n} of them spare"),
        };
        let names = listed(kind.iter().map(|line| line.panel.as_str()));
        let detail = format!("of {} pixels{spare}: {names}", grouped(line.pixels));
        table.row("data lines", &kind.len().to_string(), "", &detail);
        table.quantity("", &line.seconds_per_frame.to_string(), "a frame on each of them");
        table.quantity("", &rate(line.fps), "");
    }
    let link = &data.link;
    table.row(
        "link",
        &grouped(link.packets_per_frame),
        "packets",
        &format!("a frame, {}, {}", link_words(wall.receiver.link), protocol_words(link.protocol)),
    );
    table.row("", &grouped(link.bytes_per_frame), "bytes", "a frame, synchronization included");
    table.row(
        "",
        &format!("{:.2}", link.bytes_per_second.0 * 8.0 / 1e6),
        "Mbit/s",
        &format!("at the wanted {}", rate(wall.receiver.frames_per_second)),
    );
    if let Some(share) = link.airtime_share {
        table.row(
            "",
            &percent(share),
            "%",
            "of the channel's air time; plan on half at most (common practice, no source)",
        );
    }
    table.quantity("", &rate(link.fps), "by the link");
    let limit = match data.bottleneck {
        Bottleneck::None => format!("reaches the wanted {}", rate(wall.receiver.frames_per_second)),
        Bottleneck::OneWire => "held back by the data lines".into(),
        Bottleneck::Link => "held back by the link".into(),
        Bottleneck::Receiver => "held back by the receivers".into(),
    };
    table.quantity("frame rate", &rate(data.fps), &limit);
    table.text()
}

fn link_words(link: Link) -> &'static str {
    match link {
        Link::Ethernet => "Ethernet",
        Link::Wifi => "Wi-Fi",
        Link::Usb => "USB",
    }
}

/// The plan's key of a protocol as people write it.
fn protocol_words(protocol: &str) -> &str {
    match protocol {
        "e1.31" => "ANSI E1.31",
        "art-net" => "Art-Net 4",
        "ddp" => "DDP",
        other => other,
    }
}

/// `51.3 frames/s`
fn rate(fps: Hertz) -> String {
    let Hertz(fps) = fps;
    let text = if fps >= 99.95 { format!("{fps:.0}") } else { format!("{fps:.1}") };
    format!("{} frames/s", text.strip_suffix(".0").unwrap_or(&text))
}

/// A share as a number of per cent.
pub fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 9.95 || percent == 0.0 {
        format!("{percent:.0}")
    } else {
        format!("{percent:.1}")
    }
}

/// Groups of equal things, in the order of the first of each.
fn kinds<T, K: PartialEq>(items: impl Iterator<Item = T>, key: impl Fn(&T) -> K) -> Vec<Vec<T>> {
    let mut groups: Vec<(K, Vec<T>)> = Vec::new();
    for item in items {
        let key = key(&item);
        match groups.iter_mut().find(|group| group.0 == key) {
            Some(group) => group.1.push(item),
            None => groups.push((key, vec![item])),
        }
    }
    groups.into_iter().map(|group| group.1).collect()
}
