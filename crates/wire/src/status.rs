//! What a receiver says of itself: a query of DDP for ID 251, by whatever protocol its frames come, and
//! JSON in the reply. `docs/protocols.md` has every member.

use std::fmt::{self, Write};

use crate::ddp::{self, Body, DataType, Header, Message, Packet};
use crate::json;
use crate::patch::{Common, PanelPatch, Protocol};

/// The ID that the specification of DDP gives to JSON status.
pub const ID: u8 = 251;

/// The question.
pub const QUESTION: [u8; ddp::HEADER] = [0x42, 0, 0, ID, 0, 0, 0, 0, 0, 0];

/// Whoever asks more often than this, milliseconds, is not answered each time.
pub const LEAST_GAP_MILLIS: u64 = 50;

/// The most bytes of a reply's JSON.
const MOST: usize = ddp::MAX_UDP_DATA;

/// The most characters that are kept of a text from outside.
const LONGEST: usize = 64;

/// Whether these bytes ask for the status.
#[must_use]
pub fn is_question(bytes: &[u8]) -> bool {
    let Ok(message) = Packet::new_checked(bytes).and_then(|packet| Message::parse(&packet)) else {
        return false;
    };
    let header = message.header;
    matches!(message.body, Body::Query(_)) && header.destination == ID && !header.reply
}

/// What a receiver says of itself; what it does not know is absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Status {
    /// Who made the program.
    pub maker: Option<String>,
    /// The board.
    pub model: Option<String>,
    /// The program's version.
    pub version: Option<String>,
    /// The wall that it was made for.
    pub wall: Option<String>,
    /// The panel that it was made for.
    pub panel: Option<String>,
    /// The print of its settings; see [`print()`].
    pub print: Option<u32>,
    /// Seconds since it started.
    pub up: Option<u64>,
    /// Frames shown.
    pub shown: Option<u64>,
    /// Packets that never came.
    pub lost: Option<u64>,
    /// Packets that came too late, or twice.
    pub late: Option<u64>,
    /// Packets that were malformed or not for it.
    pub wrong: Option<u64>,
    /// Microseconds since the last frame was shown.
    pub ago: Option<u64>,
    /// The address whose frames are shown.
    pub from: Option<String>,
    /// The address of another sender that is not shown.
    pub other: Option<String>,
    /// Its source name.
    pub other_name: Option<String>,
    /// Its priority.
    pub other_priority: Option<u8>,
    /// Strength of the Wi-Fi signal, dBm.
    pub rssi: Option<f64>,
    /// Temperature of the board, degrees Celsius.
    pub celsius: Option<f64>,
    /// Volts at its supply input.
    pub volts: Option<f64>,
}

/// Why bytes are no status, or why one cannot be built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// No packet of DDP.
    Ddp(ddp::Error),
    /// A packet of DDP, and no reply with a status.
    NoStatus,
    /// The texts in it are too long for one packet.
    Long,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ddp(error) => error.fmt(f),
            Self::NoStatus => f.write_str("the packet is no reply with a status as JSON"),
            Self::Long => write!(f, "the status takes more than {MOST} bytes; shorten the names"),
        }
    }
}

impl std::error::Error for Error {}

impl From<ddp::Error> for Error {
    fn from(error: ddp::Error) -> Self {
        Self::Ddp(error)
    }
}

impl Status {
    /// Reads a reply. Members that are of another kind than they should be are taken as absent.
    ///
    /// # Errors
    /// [`Error::Ddp`] or [`Error::NoStatus`].
    pub fn parse(bytes: &[u8]) -> Result<Self, Error> {
        let message = Message::parse(&Packet::new_checked(bytes)?)?;
        let header = message.header;
        let Body::Data(data) = message.body else { return Err(Error::NoStatus) };
        if !header.reply || header.destination != ID || header.offset != 0 {
            return Err(Error::NoStatus);
        }
        let text = std::str::from_utf8(data).map_err(|_| Error::NoStatus)?;
        let all = json::members(text).ok_or(Error::NoStatus)?;
        let status = json::value(&all, "status").and_then(json::members).ok_or(Error::NoStatus)?;
        let text = |name| {
            let text = json::unquoted(json::value(&status, name)?)?;
            Some(text.chars().take(LONGEST).collect::<String>())
        };
        let count = |name| json::value(&status, name)?.parse::<u64>().ok();
        let figure = |name| {
            let value = json::value(&status, name)?.parse::<f64>().ok()?;
            value.is_finite().then_some(value)
        };
        Ok(Self {
            maker: text("man"),
            model: text("mod"),
            version: text("ver"),
            wall: text("wall"),
            panel: text("panel"),
            print: text("print").and_then(|text| u32::from_str_radix(&text, 16).ok()),
            up: count("up"),
            shown: count("shown"),
            lost: count("lost"),
            late: count("late"),
            wrong: count("wrong"),
            ago: count("ago"),
            from: text("from"),
            other: text("other"),
            other_name: text("other_name"),
            other_priority: count("other_priority").and_then(|level| level.try_into().ok()),
            rssi: figure("rssi"),
            celsius: figure("celsius"),
            volts: figure("volts"),
        })
    }

    /// The reply as a packet.
    ///
    /// # Errors
    /// [`Error::Long`].
    pub fn packet(&self) -> Result<Vec<u8>, Error> {
        let json = self.json();
        if json.len() > MOST {
            return Err(Error::Long);
        }
        let header = Header { reply: true, destination: ID, ..Header::new(DataType(0), 0, true) };
        let mut bytes = vec![0; ddp::HEADER + json.len()];
        Message { header, body: Body::Data(json.as_bytes()) }.emit(&mut bytes)?;
        Ok(bytes)
    }

    fn json(&self) -> String {
        let mut out = String::from("{\"status\":{");
        let mut first = true;
        let mut member = |name: &str, value: Option<String>| {
            if let Some(value) = value {
                let comma = if std::mem::take(&mut first) { "" } else { "," };
                // Writing to a text does not fail.
                let _ = write!(out, "{comma}\"{name}\":{value}");
            }
        };
        let text = |text: &Option<String>| {
            let mut quoted = String::new();
            let _ = json::quote(text.as_deref()?, &mut quoted);
            Some(quoted)
        };
        let count = |count: Option<u64>| count.map(|count| count.to_string());
        // Whoever puts in what is no number says nothing.
        let figure = |figure: Option<f64>| {
            figure.filter(|figure| figure.is_finite()).map(|figure| figure.to_string())
        };
        member("man", text(&self.maker));
        member("mod", text(&self.model));
        member("ver", text(&self.version));
        member("wall", text(&self.wall));
        member("panel", text(&self.panel));
        member("print", self.print.map(|print| format!("\"{print:08x}\"")));
        member("up", count(self.up));
        member("shown", count(self.shown));
        member("lost", count(self.lost));
        member("late", count(self.late));
        member("wrong", count(self.wrong));
        member("ago", count(self.ago));
        member("from", text(&self.from));
        member("other", text(&self.other));
        member("other_name", text(&self.other_name));
        member("other_priority", count(self.other_priority.map(u64::from)));
        member("rssi", figure(self.rssi));
        member("celsius", figure(self.celsius));
        member("volts", figure(self.volts));
        out.push_str("}}");
        out
    }
}

/// The print of a panel's settings: 32-bit FNV-1a of what its receiver has to know of the pixel map.
#[must_use]
pub fn print(common: &Common, panel: &PanelPatch) -> u32 {
    let (number, by_universe) = match common.protocol {
        Protocol::E131 => (1, true),
        Protocol::ArtNet => (2, true),
        Protocol::Ddp => (3, false),
    };
    let mut hash = Fnv(0x811c_9dc5);
    let channels = u8::try_from(common.channels.count()).unwrap_or(u8::MAX);
    hash.add(&[number, channels]);
    let sync = if common.protocol == Protocol::E131 { common.sync_universe } else { 0 };
    hash.add(&sync.to_be_bytes());
    for line in &panel.lines {
        let (universe, offset) =
            if by_universe { (line.first_universe, 0) } else { (0, line.byte_offset) };
        hash.add(&universe.to_be_bytes());
        hash.add(&offset.to_be_bytes());
        hash.add(&u32::try_from(line.pixels.len()).unwrap_or(u32::MAX).to_be_bytes());
    }
    hash.0
}

struct Fnv(u32);

impl Fnv {
    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u32::from(*byte)).wrapping_mul(0x0100_0193);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patch::{Address, Channels, Line};
    use proptest::prelude::*;

    fn full() -> Status {
        Status {
            maker: Some("Glowloom".into()),
            model: Some("esp32".into()),
            version: Some("0.1.0".into()),
            wall: Some("Tide \"wall\" \\ Æ".into()),
            panel: Some("west".into()),
            print: Some(0x0d0c_9e1f),
            up: Some(93),
            shown: Some(u64::MAX),
            lost: Some(3),
            late: Some(0),
            wrong: Some(2),
            ago: Some(8120),
            from: Some("192.0.2.9".into()),
            other: Some("192.0.2.7".into()),
            other_name: Some("desk".into()),
            other_priority: Some(120),
            rssi: Some(-61.0),
            celsius: Some(41.5),
            volts: Some(4.93),
        }
    }

    #[test]
    fn the_question_is_what_ddp_has() {
        let header = Header { destination: ID, ..Header::new(DataType(0), 0, false) };
        let mut bytes = [0; ddp::HEADER];
        Message { header, body: Body::Query(0) }.emit(&mut bytes).unwrap();
        assert_eq!(bytes, QUESTION);
        assert!(is_question(&QUESTION));
        // Another ID, another version, a reply, data, too short.
        for (at, value) in [(3, 250), (0, 0x82), (0, 0x46), (0, 0x40)] {
            let mut other = QUESTION;
            other[at] = value;
            assert!(!is_question(&other), "{at} {value}");
        }
        assert!(!is_question(&QUESTION[..9]) && !is_question(b"Art-Net\0\0\x20\0\x0e"));
    }

    #[test]
    fn an_answer_comes_back_as_it_was() {
        for status in [full(), Status::default()] {
            let bytes = status.packet().unwrap();
            assert_eq!(bytes[..8], [0x45, 0, 0, 251, 0, 0, 0, 0]);
            assert_eq!(Status::parse(&bytes), Ok(status));
        }
        let long = Status { wall: Some("x".repeat(1500)), ..full() };
        assert_eq!(long.packet(), Err(Error::Long));
    }

    /// The answer of another program: members in another order, of other kinds, and unknown ones.
    #[test]
    fn what_is_not_known_is_passed_by() {
        let json = b" {\"config\":[1,2], \"status\": {\"shown\": 7.5, \"lost\": 9, \"push\": true, \"mod\":\
                     \"board\", \"up\": -1, \"rssi\": \"-61\", \"print\": \"xyz\"}} ";
        let mut bytes = vec![0x45, 0, 0, 251, 0, 0, 0, 0, 0, json.len() as u8];
        bytes.extend(json);
        let wanted = Status { lost: Some(9), model: Some("board".into()), ..Status::default() };
        assert_eq!(Status::parse(&bytes), Ok(wanted));
        assert!(Status::parse(&bytes[..bytes.len() - 1]).is_err());
        for (at, value) in [(0, 0x41), (3, 250), (7, 1), (11, b'[')] {
            let mut other = bytes.clone();
            other[at] = value;
            assert_eq!(Status::parse(&other), Err(Error::NoStatus), "{at}");
        }
    }

    /// The hash of these bytes, worked out by the definition in another language.
    #[test]
    fn the_print_is_that_of_the_definition() {
        let line = |first_universe, byte_offset, pixels: usize| Line {
            first_universe,
            byte_offset,
            pixels: vec![None; pixels],
        };
        let panel = PanelPatch {
            name: "west".into(),
            address: Address::Virtual { port: 1 },
            lines: vec![line(1, 0, 201), line(3, 603, 200)],
        };
        let common = |protocol| Common {
            columns: 1,
            rows: 1,
            channels: Channels::Three,
            protocol,
            ceiling: 255,
            sync_universe: 13,
        };
        let prints = [Protocol::E131, Protocol::ArtNet, Protocol::Ddp]
            .map(|protocol| print(&common(protocol), &panel));
        assert_eq!(prints, PRINTS);
    }

    /// By Python: `for b in data: h = ((h ^ b) * 16777619) & 0xffffffff`.
    const PRINTS: [u32; 3] = [0x647d_29ab, 0x38f6_93cf, 0x8691_c697];

    proptest! {
        #[test]
        fn no_bytes_do_harm(head in 0..2usize, rest in prop::collection::vec(any::<u8>(), 0..200)) {
            let mut bytes = if head == 0 { Vec::new() } else { full().packet().unwrap() };
            let keep = bytes.len().min(rest.len() * 2);
            bytes.truncate(keep);
            bytes.extend(rest);
            let _ = (is_question(&bytes), Status::parse(&bytes));
        }
    }
}
