//! Figures of a wall that may be changed on its sheets, each with its place in the wall file.

use glowloom_design::Wall;
use glowloom_design::wall::{Corner, Direction, Link, Path, Protocol};

/// How a figure is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A whole number.
    Whole,
    /// A number.
    Number,
    /// A text, or a quantity with its unit.
    Text,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// The same length twice, in a list.
    Square,
    /// One whole number, in a list.
    One,
}

/// Where on the page a figure stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// How large, how many.
    Size,
    /// Which way strips go.
    Path,
    /// Volts, wires, supplies.
    Power,
    /// What sends the signal.
    Data,
    /// What is on the bench: for the beginning only.
    Bench,
}

impl Group {
    /// All of them with their headings.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Size, "Size"),
        (Self::Path, "Strips and path"),
        (Self::Power, "Power"),
        (Self::Data, "Data"),
    ];
}

/// A figure that may be changed.
#[derive(Debug)]
pub struct Figure {
    /// Its name for programs.
    pub key: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Where it stands.
    pub group: Group,
    /// Its sections and its key, joined by points.
    pub at: &'static str,
    /// How it is written.
    pub form: Form,
    /// What holds now, as it would be written.
    pub now: fn(&Wall) -> String,
}

const SUPPLIES: Form = Form::Choice(&[
    "5v-10a", "5v-20a", "5v-30a", "5v-40a", "5v-60a", "12v-10a", "12v-20a", "12v-30a",
]);

/// All of them, in the order of the page.
pub const FIGURES: &[Figure] = &[
    Figure {
        key: "name",
        name: "wall",
        group: Group::Size,
        at: "wall.name",
        form: Form::Text,
        now: |w| w.name.clone(),
    },
    Figure {
        key: "columns",
        name: "columns of the picture",
        group: Group::Size,
        at: "wall.columns",
        form: Form::Whole,
        now: |w| w.columns.to_string(),
    },
    Figure {
        key: "rows",
        name: "rows of the picture",
        group: Group::Size,
        at: "wall.rows",
        form: Form::Whole,
        now: |w| w.rows.to_string(),
    },
    Figure {
        key: "panel-columns",
        name: "columns of a panel",
        group: Group::Size,
        at: "panel.columns",
        form: Form::Whole,
        now: |w| first(w, |p| p.columns.to_string()),
    },
    Figure {
        key: "panel-rows",
        name: "rows of a panel",
        group: Group::Size,
        at: "panel.rows",
        form: Form::Whole,
        now: |w| first(w, |p| p.rows.to_string()),
    },
    Figure {
        key: "seen-from",
        name: "nearest viewer",
        group: Group::Size,
        at: "wall.seen_from",
        form: Form::Text,
        now: |w| metres(w.seen_from.0),
    },
    Figure {
        key: "strip",
        name: "strip",
        group: Group::Path,
        at: "strip.part",
        form: Form::Text,
        now: |w| w.strip.part.clone(),
    },
    Figure {
        key: "strips",
        name: "strips run",
        group: Group::Path,
        at: "panel.strips",
        form: Form::Choice(&["vertical", "horizontal"]),
        now: |w| first(w, |p| direction(p.strips).into()),
    },
    Figure {
        key: "enter",
        name: "first pixel at",
        group: Group::Path,
        at: "panel.enter",
        form: Form::Choice(&["top-left", "top-right", "bottom-left", "bottom-right"]),
        now: |w| first(w, |p| corner(p.enter).into()),
    },
    Figure {
        key: "path",
        name: "path",
        group: Group::Path,
        at: "panel.path",
        form: Form::Choice(&["serpentine", "progressive"]),
        now: |w| first(w, |p| path(p.path).into()),
    },
    Figure {
        key: "data-lines",
        name: "data lines of a panel",
        group: Group::Path,
        at: "panel.data_lines",
        form: Form::Whole,
        now: |w| first(w, |p| p.data_lines.to_string()),
    },
    Figure {
        key: "supply",
        name: "supply",
        group: Group::Power,
        at: "power.supply",
        form: SUPPLIES,
        now: |w| w.power.supply.part.clone(),
    },
    Figure {
        key: "supplies",
        name: "supplies of a panel",
        group: Group::Power,
        at: "power.supplies_per_panel",
        form: Form::Whole,
        now: |w| w.power.supplies_per_panel.to_string(),
    },
    Figure {
        key: "trim",
        name: "supplies set to, V",
        group: Group::Power,
        at: "power.trim_volts",
        form: Form::Number,
        now: |w| w.power.trim_volts.0.to_string(),
    },
    Figure {
        key: "feed-wire",
        name: "wire of a feed",
        group: Group::Power,
        at: "power.feed_wire.gauge",
        form: Form::Text,
        now: |w| first(w, |p| p.feed_wire.gauge.map(|g| g.to_string()).unwrap_or_default()),
    },
    Figure {
        key: "feed-wire-length",
        name: "its length, one way",
        group: Group::Power,
        at: "power.feed_wire.length",
        form: Form::Text,
        now: |w| first(w, |p| metres(p.feed_wire.length.0)),
    },
    Figure {
        key: "least-volts",
        name: "least volts wanted",
        group: Group::Power,
        at: "power.least_volts",
        form: Form::Number,
        now: |w| w.power.least_volts.0.to_string(),
    },
    Figure {
        key: "brightness-limit",
        name: "ceiling, 0 to 1",
        group: Group::Power,
        at: "power.brightness_limit",
        form: Form::Number,
        now: |w| w.power.brightness_limit.to_string(),
    },
    Figure {
        key: "board",
        name: "receiver",
        group: Group::Data,
        at: "receiver.board",
        form: Form::Choice(&["esp8266", "esp32", "esp32-ethernet"]),
        now: |w| w.receiver.board.clone(),
    },
    Figure {
        key: "link",
        name: "link",
        group: Group::Data,
        at: "receiver.link",
        form: Form::Choice(&["wifi", "ethernet", "usb"]),
        now: |w| link(w.receiver.link).into(),
    },
    Figure {
        key: "protocol",
        name: "protocol",
        group: Group::Data,
        at: "receiver.protocol",
        form: Form::Choice(&["e1.31", "art-net", "ddp"]),
        now: |w| protocol(w.receiver.protocol).into(),
    },
    Figure {
        key: "rate",
        name: "frames a second wanted",
        group: Group::Data,
        at: "receiver.frames_per_second",
        form: Form::Number,
        now: |w| w.receiver.frames_per_second.0.to_string(),
    },
    Figure {
        key: "bed",
        name: "printer's bed, a side",
        group: Group::Bench,
        at: "baffle.bed",
        form: Form::Square,
        now: |w| w.baffle.as_ref().map(|b| metres(b.bed.0.0)).unwrap_or_default(),
    },
    Figure {
        key: "shelf",
        name: "strip on the shelf, pixels",
        group: Group::Bench,
        at: "stock.rolls",
        form: Form::One,
        now: |w| w.stock.as_ref().and_then(|s| s.first()).map(u32::to_string).unwrap_or_default(),
    },
];

/// The figure of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static Figure> {
    FIGURES.iter().find(|figure| figure.key == key)
}

fn first(wall: &Wall, of: impl FnOnce(&glowloom_design::wall::Panel) -> String) -> String {
    wall.panels.first().map(of).unwrap_or_default()
}

fn metres(metres: f64) -> String {
    format!("{} m", (metres * 1e4).round() / 1e4)
}

fn direction(direction: Direction) -> &'static str {
    match direction {
        Direction::Vertical => "vertical",
        Direction::Horizontal => "horizontal",
    }
}

fn corner(corner: Corner) -> &'static str {
    match (corner.is_top(), corner.is_left()) {
        (true, true) => "top-left",
        (true, false) => "top-right",
        (false, true) => "bottom-left",
        (false, false) => "bottom-right",
    }
}

fn path(path: Path) -> &'static str {
    match path {
        Path::Serpentine => "serpentine",
        Path::Progressive => "progressive",
    }
}

fn link(link: Link) -> &'static str {
    match link {
        Link::Ethernet => "ethernet",
        Link::Wifi => "wifi",
        Link::Usb => "usb",
    }
}

fn protocol(protocol: Protocol) -> &'static str {
    match protocol {
        Protocol::E131 => "e1.31",
        Protocol::ArtNet => "art-net",
        Protocol::Ddp => "ddp",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Change, changed};

    /// What is shown as the value of each figure can be written back, and then nothing is another.
    #[test]
    fn what_is_shown_can_be_written() {
        let text = include_str!("../../../examples/walls/tidewall.toml");
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        for figure in FIGURES {
            let value = (figure.now)(&wall);
            if let Form::Choice(words) = figure.form {
                assert!(words.contains(&&*value), "{}: {value}", figure.key);
            }
            let change = Change::Set { figure: figure.key.into(), value };
            let now = changed(text, &wall, &[change]).unwrap();
            let again = glowloom_design::read(now.as_bytes()).unwrap();
            assert_eq!((figure.now)(&again), (figure.now)(&wall), "{}", figure.key);
            let plain = |wall: &glowloom_design::Wall| format!("{:?}", wall.panels);
            assert_eq!(plain(&again), plain(&wall), "{}", figure.key);
        }
    }
}
