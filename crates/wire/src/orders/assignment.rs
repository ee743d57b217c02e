//! Who a board is: the record that it is sent and keeps. Layout in `receiver/core/assignment.hpp`.

use crate::patch::{Channels, Common, PanelPatch, Protocol};

/// Bytes of a record.
pub(super) const SIZE: usize = 156;
const MOST_LINES: usize = 8;
const NAME: usize = 32;

/// One data line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AssignmentLine {
    /// The universe of its first pixel.
    pub first_universe: u16,
    /// Where it starts in the panel's bytes.
    pub byte_offset: u32,
    /// Its pixels, spares included.
    pub pixels: u32,
    /// Unlit pixels at its head.
    pub spares: u16,
}

/// What a board is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    /// The panel's name, as much of it as fits.
    pub name: String,
    /// How frames come.
    pub protocol: Protocol,
    /// Slots to a pixel.
    pub channels: Channels,
    /// Which channel goes out first, second, ...: 0 red, 1 green, 2 blue, 3 white.
    pub order: Vec<u8>,
    /// A two-wire strip.
    pub clocked: bool,
    /// A one is high for half of its bit, not for three quarters.
    pub short_one: bool,
    /// Three colours in two bytes (DDP on USB).
    pub packed: bool,
    /// 0 black, 1 keep, 2 glow.
    pub on_loss: u8,
    /// The highest byte of any channel.
    pub ceiling: u8,
    /// Time of a bit, nanoseconds.
    pub bit_ns: u16,
    /// Silence after a frame, microseconds.
    pub reset_us: u16,
    /// What all pixels may take.
    pub milliamps: u32,
    /// Microamps of red, green, blue, white, full on, and of a dark pixel.
    pub microamps: [u16; 5],
    /// The universe of synchronization packets; 0 for none.
    pub sync_universe: u16,
    /// Data lines in order of the pins.
    pub lines: Vec<AssignmentLine>,
}

/// Why a panel cannot be told to a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AssignmentError {
    /// It has more data lines than a board drives.
    Lines(usize),
    /// A line has no pixels, or more than can be counted.
    Pixels,
}

impl std::fmt::Display for AssignmentError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Lines(lines) => write!(f, "{lines} data lines; a board drives {MOST_LINES}"),
            Self::Pixels => f.write_str("a data line without pixels, or too long to be counted"),
        }
    }
}

impl std::error::Error for AssignmentError {}

impl Assignment {
    /// A panel's lines, name, protocol and ceiling; all else for an ordinary strip, to be set by the caller.
    ///
    /// # Errors
    /// [`AssignmentError`].
    pub fn of(common: &Common, panel: &PanelPatch) -> Result<Self, AssignmentError> {
        if panel.lines.is_empty() || panel.lines.len() > MOST_LINES {
            return Err(AssignmentError::Lines(panel.lines.len()));
        }
        let line = |line: &crate::patch::Line| {
            let spares = line.pixels.iter().take_while(|pixel| pixel.is_none()).count();
            let pixels = u32::try_from(line.pixels.len()).ok().filter(|&pixels| pixels > 0);
            Some(AssignmentLine {
                first_universe: line.first_universe,
                byte_offset: line.byte_offset,
                pixels: pixels?,
                spares: u16::try_from(spares).ok()?,
            })
        };
        let lines: Option<_> = panel.lines.iter().map(line).collect();
        Ok(Self {
            name: fitting(&panel.name),
            protocol: common.protocol,
            channels: common.channels,
            order: (0..common.channels.count() as u8).collect(),
            clocked: false,
            short_one: false,
            packed: false,
            on_loss: 0,
            ceiling: common.ceiling,
            bit_ns: 1250,
            reset_us: 280,
            milliamps: 0,
            microamps: [0; 5],
            sync_universe: common.sync_universe,
            lines: lines.ok_or(AssignmentError::Pixels)?,
        })
    }

    /// The record.
    #[must_use]
    pub fn bytes(&self) -> [u8; SIZE] {
        let mut to = [0; SIZE];
        let order = self.order.iter().zip([6, 4, 2, 0]);
        let protocol = match self.protocol {
            Protocol::E131 => 1,
            Protocol::ArtNet => 2,
            Protocol::Ddp => 3,
        };
        let flags =
            u8::from(self.clocked) | u8::from(self.short_one) << 1 | u8::from(self.packed) << 2;
        to[..8].copy_from_slice(&[
            1,
            protocol,
            self.channels.count() as u8,
            order.fold(0, |all, (channel, shift)| all | (channel & 3) << shift),
            flags,
            self.on_loss,
            self.ceiling,
            self.lines.len() as u8,
        ]);
        to[8..10].copy_from_slice(&self.bit_ns.to_be_bytes());
        to[10..12].copy_from_slice(&self.reset_us.to_be_bytes());
        to[12..16].copy_from_slice(&self.milliamps.to_be_bytes());
        for (place, amps) in to[16..26].chunks_exact_mut(2).zip(self.microamps) {
            place.copy_from_slice(&amps.to_be_bytes());
        }
        to[26..28].copy_from_slice(&self.sync_universe.to_be_bytes());
        let name = fitting(&self.name);
        to[28..28 + name.len()].copy_from_slice(name.as_bytes());
        for (place, line) in to[60..].chunks_exact_mut(12).zip(&self.lines) {
            place[..2].copy_from_slice(&line.first_universe.to_be_bytes());
            place[2..4].copy_from_slice(&line.spares.to_be_bytes());
            place[4..8].copy_from_slice(&line.pixels.to_be_bytes());
            place[8..].copy_from_slice(&line.byte_offset.to_be_bytes());
        }
        to
    }
}

/// As much of a name as a board keeps, cut between two characters.
fn fitting(name: &str) -> String {
    let mut end = name.len().min(NAME - 1);
    while !name.is_char_boundary(end) {
        end -= 1;
    }
    name[..end].to_owned()
}
