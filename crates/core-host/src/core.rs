//! One panel's receiver, with the guard of a board behind it.

use std::net::{IpAddr, SocketAddr};
use std::time::Duration;

use glowloom_wire::patch::{Channels, Common, PanelPatch, Protocol};

use crate::raw::{Line, Memory, Panel};

/// What a receiver does when frames stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreOnLoss {
    /// All pixels go dark.
    Black,
    /// The last picture stays.
    Keep,
    /// All pixels glow faintly.
    Glow,
}

/// What came of a packet, or of time going by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreEvent {
    /// Nothing to see.
    Nothing,
    /// Some pixels changed, but the frame is not whole yet.
    Drawn,
    /// A frame is shown.
    Shown {
        /// How many frames were sent since the one shown before.
        frames: u64,
    },
    /// Frames have stopped.
    Lost,
}

/// Whether frames come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreState {
    /// Not yet.
    Waiting,
    /// Yes.
    Live,
    /// Not any more.
    Lost,
}

/// What the core has counted; the first seven as `receiver/core/receiver.hpp` says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CoreCounts {
    /// Packets that arrived.
    pub packets: u64,
    /// Packets that never came.
    pub lost: u64,
    /// Packets thrown away because a newer one had come.
    pub late: u64,
    /// Packets that are malformed or for somebody else.
    pub wrong: u64,
    /// Packets that are not meant for light.
    pub ignored: u64,
    /// Packets of other senders.
    pub strangers: u64,
    /// Frames shown.
    pub shown: u64,
    /// Bytes that were above the ceiling.
    pub held_bytes: u64,
    /// Frames that would have been one flash too many.
    pub held_flashes: u64,
}

/// A receiver as on a board.
pub struct Core {
    memory: Memory,
    /// For each pixel the picture pixel that it shows.
    sources: Vec<Option<u32>>,
    channels: usize,
    from: Option<SocketAddr>,
    /// The guard has more to let through.
    held_back: bool,
}

impl std::fmt::Debug for Core {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Core").field("state", &self.state()).finish_non_exhaustive()
    }
}

impl Core {
    /// A receiver that has heard nothing; `None` where the panel has no pixels.
    #[must_use]
    pub fn new(common: &Common, panel: &PanelPatch, on_loss: CoreOnLoss) -> Option<Self> {
        let lines = panel.lines.iter().map(|line| Line {
            first_universe: line.first_universe.into(),
            byte_offset: line.byte_offset,
            pixels: u32::try_from(line.pixels.len()).unwrap_or(u32::MAX),
            // Spares are at the head of a line.
            spares: line.pixels.iter().take_while(|pixel| pixel.is_none()).count() as u32,
        });
        let described = Panel {
            protocol: match common.protocol {
                Protocol::E131 => 1,
                Protocol::ArtNet => 2,
                Protocol::Ddp => 3,
            },
            channels: match common.channels {
                Channels::Three => 3,
                Channels::Four => 4,
            },
            ceiling: common.ceiling,
            on_loss: match on_loss {
                CoreOnLoss::Black => 0,
                CoreOnLoss::Keep => 1,
                CoreOnLoss::Glow => 2,
            },
            lines: lines.collect(),
        };
        Some(Self {
            memory: Memory::begin(&described)?,
            sources: panel.lines.iter().flat_map(|line| line.pixels.iter().copied()).collect(),
            channels: common.channels.count(),
            from: None,
            held_back: false,
        })
    }

    /// Takes a packet that came at `now`, a time that never steps back.
    pub fn packet(&mut self, now: Duration, from: SocketAddr, bytes: &[u8]) -> CoreEvent {
        let ip = match from.ip() {
            IpAddr::V4(ip) => ip.to_ipv6_mapped(),
            IpAddr::V6(ip) => ip,
        };
        let said = self.memory.packet(millis(now), &ip.octets(), bytes);
        let event = self.after(now, said & 0x7f);
        if event == CoreEvent::Lost {
            self.from = None;
        } else if said & 0x80 != 0 {
            self.from = Some(from);
        }
        event
    }

    /// Lets time go by; tells as well when the guard lets through what it had held back.
    pub fn wait(&mut self, now: Duration) -> CoreEvent {
        let event = self.memory.wait(millis(now));
        let event = self.after(now, event);
        match event {
            CoreEvent::Lost => self.from = None,
            CoreEvent::Nothing if self.held_back => {
                self.held_back = !self.memory.pass(millis(now));
                return CoreEvent::Drawn;
            }
            _ => {}
        }
        event
    }

    /// Whatever changed goes through the guard.
    fn after(&mut self, now: Duration, event: u8) -> CoreEvent {
        let event = match event {
            1 => CoreEvent::Drawn,
            2 => CoreEvent::Shown { frames: self.memory.counts().frames },
            3 => CoreEvent::Lost,
            _ => return CoreEvent::Nothing,
        };
        self.held_back = !self.memory.pass(millis(now));
        event
    }

    /// Whether frames come in.
    #[must_use]
    pub fn state(&self) -> CoreState {
        match self.memory.state() {
            0 => CoreState::Waiting,
            1 => CoreState::Live,
            _ => CoreState::Lost,
        }
    }

    /// Who sends the frames that are shown.
    #[must_use]
    pub const fn from(&self) -> Option<SocketAddr> {
        self.from
    }

    /// What has been counted.
    #[must_use]
    pub fn counts(&self) -> CoreCounts {
        let counts = self.memory.counts();
        CoreCounts {
            packets: counts.packets,
            lost: counts.lost,
            late: counts.late,
            wrong: counts.wrong,
            ignored: counts.ignored,
            strangers: counts.strangers,
            shown: counts.shown,
            held_bytes: counts.held_bytes,
            held_flashes: counts.held_flashes,
        }
    }

    /// The light of all pixels as the packets have it, before the guard: data line after data line.
    #[must_use]
    pub fn lit(&self) -> &[u8] {
        self.memory.lit()
    }

    /// The light that the board puts out.
    #[must_use]
    pub fn shown(&self) -> &[u8] {
        self.memory.shown()
    }

    /// Copies the light that the board puts out to where it is in the picture.
    pub fn draw(&self, picture: &mut [u8]) {
        let pixels = self.shown().chunks_exact(self.channels);
        for (pixel, source) in pixels.zip(&self.sources) {
            let Some(source) = source else { continue };
            let at = *source as usize * self.channels;
            if let Some(to) = picture.get_mut(at..at + self.channels) {
                to.copy_from_slice(pixel);
            }
        }
    }
}

/// The core counts milliseconds in 32 bits, which wrap after 49 days.
fn millis(now: Duration) -> u32 {
    now.as_millis() as u32
}
