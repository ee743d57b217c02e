//! Whether the baffle can be printed: its settings against each other and against the printer.

use glowloom_design::Wall;
use glowloom_design::wall::Baffle;
use glowloom_units::{Figures, Hours, Metres};

use super::key_place;
use super::words::names;
use crate::finding::{Code, Finding};
use crate::tiles::Tiles;
use crate::tiles::conflicts::{Conflict, conflicts};

/// All of them; none where the wall has no baffle.
pub(super) fn baffle(wall: &Wall, tiles: Option<&Tiles>) -> Vec<Finding> {
    let Some(baffle) = &wall.baffle else { return Vec::new() };
    let mut found = thin(wall, baffle);
    found.extend(conflicts(wall, baffle).into_iter().map(|(conflict, panels)| {
        let panels: Vec<&str> = panels
            .iter()
            .filter_map(|number| wall.panels.get(*number))
            .map(|panel| panel.name.as_str())
            .collect();
        clash(wall, baffle, conflict, &names(&panels))
    }));
    found.extend(tiles.and_then(|tiles| long(wall, baffle, tiles)));
    found
}

/// A length to read. Walls and gaps are so thin that hundredths of a millimetre count.
fn fine(length: Metres, figures: Figures) -> String {
    match figures {
        _ if length.0.abs() >= 0.01 => length.shown(figures),
        Figures::Metric => format!("{} mm", (length.0 * 1e5).round() / 100.0),
        Figures::Imperial => format!("{:.3} in", length.0 / 0.0254),
    }
}

/// A length as it may be written in the file: millimetres, to the hundredth, not above it.
fn at_most(length: Metres) -> String {
    millimetres((length.0 * 1e5 + 1e-6).floor() / 100.0)
}

/// A length that is less by a tenth of a millimetre: for what has to be below another.
fn below(length: Metres) -> Metres {
    Metres(length.0 - 0.0001)
}

/// A length as it may be written, not below it.
fn at_least(length: Metres) -> String {
    millimetres((length.0 * 1e5 - 1e-6).ceil() / 100.0)
}

fn millimetres(number: f64) -> String {
    format!("\"{} mm\"", number + 0.0)
}

/// Walls and rims thinner than one line. An outer wall of a tile is half a wall.
fn thin(wall: &Wall, baffle: &Baffle) -> Vec<Finding> {
    let shown = |length: Metres| fine(length, wall.figures);
    // Halves of a length that is written in decimals are not exact in binary.
    let too_thin = |length: Metres| length.0 < baffle.nozzle.0 - 1e-9;
    let outer = baffle.wall / 2.0;
    let mut found = Vec::new();
    if too_thin(outer) {
        found.push(Finding::new(
            Code::BaffleWallTooThin,
            key_place(wall, "baffle", "wall"),
            "outer walls of the tiles are thinner than a line of the nozzle".into(),
            format!(
                "wall is {}; two neighbours share it, so an outer wall is {}, and a nozzle of {} lays \
                 no thinner line",
                shown(baffle.wall),
                shown(outer),
                shown(baffle.nozzle)
            ),
            format!(
                "In [baffle], set wall = {}, or nozzle = {} if the printer has one.",
                at_least(baffle.nozzle * 2.0),
                at_most(outer)
            ),
        ));
    }
    if let Some(rim) = baffle.rim.filter(|rim| too_thin(*rim)) {
        found.push(Finding::new(
            Code::BaffleWallTooThin,
            key_place(wall, "baffle", "rim"),
            "the rim is thinner than a line of the nozzle".into(),
            format!(
                "rim is {}; a nozzle of {} lays no thinner line",
                shown(rim),
                shown(baffle.nozzle)
            ),
            format!("In [baffle], set rim = {}.", at_least(baffle.nozzle)),
        ));
    }
    found
}

fn clash(wall: &Wall, baffle: &Baffle, conflict: Conflict, panels: &str) -> Finding {
    let shown = |length: Metres| fine(length, wall.figures);
    let bed = format!("{} x {}", shown(baffle.bed.0), shown(baffle.bed.1));
    let (code, key, title, detail, remedy) = match conflict {
        Conflict::Bed { cell: (across, along) } => (
            Code::BaffleBedTooSmall,
            "bed",
            "the printer's bed is smaller than one cell".to_owned(),
            format!(
                "a tile of one cell of {panels} is {} x {}, the bed {bed}",
                shown(across),
                shown(along)
            ),
            format!(
                "In [baffle], set bed = [{}, {}] or more, as the printer has it, or leave the section \
                 out.",
                at_least(across),
                at_least(along)
            ),
        ),
        Conflict::RimOffBed => (
            Code::BaffleBedTooSmall,
            "rim",
            "a strip of the rim does not lie on the bed".to_owned(),
            format!("it is as broad as the tiles are deep, {}, the bed {bed}", shown(baffle.depth)),
            "In [baffle], leave rim out, or set bed as the printer has it.".to_owned(),
        ),
        Conflict::Channel { widest } => channel(wall, baffle, widest, panels),
        Conflict::LeadIn => (
            Code::BaffleLeadInTooHigh,
            "lead_in",
            "the lead-in is higher than the channel".to_owned(),
            format!(
                "at 45 degrees it is {} high, the channel {}",
                shown(baffle.lead_in),
                shown(baffle.channel.1)
            ),
            format!("In [baffle], set lead_in = {}.", at_most(baffle.channel.1)),
        ),
        Conflict::JointRoom { longest } => (
            Code::BaffleJointRoomTooLong,
            "joint_room",
            "the joint room reaches beyond the middle of a cell".to_owned(),
            format!(
                "it goes {} inward from the wall at the edge; to the pixel of {panels} there are {}",
                shown(baffle.joint_room.0),
                shown(longest.max(Metres(0.0)))
            ),
            if longest.0 >= 0.0001 {
                format!(
                    "In [baffle], set joint_room = [{}, {}].",
                    at_most(longest),
                    at_most(baffle.joint_room.1)
                )
            } else {
                "In [baffle], make wall and fit_gap so small that a cell is left.".to_owned()
            },
        ),
        Conflict::Depth { least, by_joint_room } => shallow(wall, baffle, least, by_joint_room),
        Conflict::Lip { widest } => (
            Code::BaffleLipTooWide,
            "lip",
            "the lip reaches over the strip".to_owned(),
            format!(
                "it is {} wide; from the outer wall to the strip's channel or the pixel of {panels} \
                 there are {}",
                shown(baffle.lip.map_or(Metres(0.0), |lip| lip.0)),
                shown(widest)
            ),
            match baffle.lip {
                Some(lip) if below(widest).0 >= 0.0001 => format!(
                    "In [baffle], set lip = [{}, {}], or leave it out.",
                    at_most(below(widest)),
                    at_most(lip.1)
                ),
                _ => "In [baffle], leave lip out.".to_owned(),
            },
        ),
    };
    Finding::new(code, key_place(wall, "baffle", key), title, detail, remedy)
}

/// Code, key, title, detail, remedy.
type Clash = (Code, &'static str, String, String, String);

fn channel(wall: &Wall, baffle: &Baffle, widest: Metres, panels: &str) -> Clash {
    let shown = |length: Metres| fine(length, wall.figures);
    let (width, height) = baffle.channel;
    let mut ways = Vec::new();
    let narrow = below(widest - baffle.lead_in * 2.0);
    if narrow.0 >= 0.0001 {
        ways.push(format!("set channel = [{}, {}]", at_most(narrow), at_most(height)));
    }
    if width < below(widest) {
        let lead_in = at_most(below(widest - width) / 2.0);
        ways.push(format!("set lead_in = {lead_in}"));
    }
    let wider = baffle.wall + baffle.fit_gap + width + baffle.lead_in * 2.0 + Metres(0.0001);
    let spacing = format!("strip_spacing = {} or more in [panel]", at_least(wider));
    let remedy = match ways.join(", or ") {
        ways if ways.is_empty() => format!("Set {spacing}, or make the walls thinner."),
        ways => format!("In [baffle], {ways}, if the strip is no wider; else set {spacing}."),
    };
    (
        Code::BaffleChannelTooWide,
        "channel",
        "the channel for the strip is wider than a cell".to_owned(),
        format!(
            "it is {} wide, {} with its lead-in; a cell of {panels} is {} wide between its walls",
            shown(width),
            shown(width + baffle.lead_in * 2.0),
            shown(widest.max(Metres(0.0)))
        ),
        remedy,
    )
}

fn shallow(wall: &Wall, baffle: &Baffle, least: Metres, by_joint_room: bool) -> Clash {
    let shown = |length: Metres| fine(length, wall.figures);
    let (what, height) = if by_joint_room {
        ("the joint room", baffle.joint_room.1)
    } else {
        ("the channel", baffle.channel.1)
    };
    let lip = baffle.lip.map(|lip| format!(", the lip {} thick", shown(lip.1)));
    (
        Code::BaffleTooShallow,
        "depth",
        format!("{what} is as high as the baffle is deep"),
        format!(
            "depth is {}; {what} is {} high{}",
            shown(baffle.depth),
            shown(height),
            lip.unwrap_or_default()
        ),
        format!(
            "In [baffle], set depth = {} or more, or make {what} lower.",
            at_least(least + Metres(0.001))
        ),
    )
}

/// The longest print, where it is longer than a day's hours.
fn long(wall: &Wall, baffle: &Baffle, tiles: &Tiles) -> Option<Finding> {
    let day = Hours(baffle.hours_per_day);
    let longest = tiles.plates.iter().reduce(|a, b| {
        // The first of equal ones.
        if b.hours_each > a.hours_each { b } else { a }
    })?;
    if longest.hours_each <= day {
        return None;
    }
    let hours = (longest.hours_each.0 * 10.0 - 1e-6).ceil() / 10.0;
    let run = if hours <= 24.0 {
        format!("set hours_per_day = {hours} in [baffle]")
    } else {
        "let it run through the night".to_owned()
    };
    Some(Finding::new(
        Code::LongPrint,
        key_place(wall, "baffle", "hours_per_day"),
        "a print takes longer than the printer runs a day".into(),
        format!(
            "{} takes {:.1} h at {} mm3/s, the printer runs {} h a day: the calendar counts whole days \
             for each",
            longest.part, longest.hours_each.0, baffle.flow.0, baffle.hours_per_day
        ),
        format!(
            "Where a printer may run so long, {run} and never leave it alone where it could burn; or \
             set bed smaller, for smaller tiles."
        ),
    ))
}
