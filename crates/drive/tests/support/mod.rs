//! A wall of virtual panels and pictures that tell every pixel and every frame apart.

#![allow(dead_code, reason = "not every test needs all of it")]
#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::net::UdpSocket;
use std::time::{Duration, Instant};

use glowloom_drive::{
    Change, DriveError, FrameError, Frames, FramesPerSecond, OnLoss, Settings, VirtualPanels, Which,
};
use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};

pub const ALL: [Protocol; 3] = [Protocol::E131, Protocol::ArtNet, Protocol::Ddp];

/// Each panel: 10 columns of 40 pixels, strips upright.
const COLUMNS: u32 = 10;
const ROWS: u32 = 40;

pub struct Wall {
    pub protocol: Protocol,
    pub channels: Channels,
    pub ceiling: u8,
    pub panels: u32,
}

impl Wall {
    pub fn new(protocol: Protocol) -> Self {
        Self { protocol, channels: Channels::Three, ceiling: 255, panels: 3 }
    }

    /// Panels side by side. On each, two data lines of five serpentine strips, each line with a
    /// spare ahead: 201 pixels, so two universes a line. The last pixel of the picture is shown by
    /// none.
    pub fn patch(&self, addresses: &[Address]) -> Patch {
        let columns = COLUMNS * self.panels;
        let bytes = self.channels.count() as u32;
        let panels = addresses.iter().zip(0..).map(|(address, nth): (_, u32)| {
            let line = |half: u32| {
                let first = nth * COLUMNS + half * 5;
                let pixels = (0..5).flat_map(move |strip| {
                    (0..ROWS).map(move |step| {
                        let row = if strip % 2 == 0 { ROWS - 1 - step } else { step };
                        row * columns + first + strip
                    })
                });
                let shown = pixels.map(|pixel| (pixel + 1 < columns * ROWS).then_some(pixel));
                Line {
                    first_universe: (1 + nth * 4 + half * 2) as u16,
                    byte_offset: half * 201 * bytes,
                    pixels: std::iter::once(None).chain(shown).collect(),
                }
            };
            PanelPatch {
                name: format!("panel {}", nth + 1),
                address: address.clone(),
                lines: vec![line(0), line(1)],
            }
        });
        let common = Common {
            columns,
            rows: ROWS,
            channels: self.channels,
            protocol: self.protocol,
            ceiling: self.ceiling,
            sync_universe: 5000,
        };
        Patch::new(common, panels.collect()).unwrap()
    }

    /// The wall on free ports, and its virtual panels.
    pub fn open(&self, on_loss: OnLoss) -> (Patch, VirtualPanels) {
        self.open_with(&[], on_loss)
    }

    /// The same, the first panels elsewhere.
    pub fn open_with(&self, first: &[Address], on_loss: OnLoss) -> (Patch, VirtualPanels) {
        // Between finding a port free and opening it, another test may take it.
        for _ in 0..20 {
            let mut addresses = first.to_vec();
            let more = (self.panels as usize).saturating_sub(first.len());
            addresses.extend(free_ports(more).into_iter().map(|port| Address::Virtual { port }));
            let patch = self.patch(&addresses);
            match VirtualPanels::open(&patch, Which::Virtual, on_loss) {
                Ok(panels) => return (patch, panels),
                Err(DriveError::PortHeld { .. }) => {}
                Err(error) => panic!("{error}"),
            }
        }
        panic!("no free ports");
    }
}

pub fn free_port() -> u16 {
    free_ports(1)[0]
}

/// So many free ports, no two of them the same: all are held until all are found.
pub fn free_ports(count: usize) -> Vec<u16> {
    let held: Vec<_> = (0..count).map(|_| UdpSocket::bind("127.0.0.1:0").unwrap()).collect();
    held.iter().map(|socket| socket.local_addr().unwrap().port()).collect()
}

pub fn settings(rate: f64) -> Settings {
    Settings::new(FramesPerSecond(rate), *b"a test of drive.").unwrap()
}

/// The picture of a frame: the first byte is the frame's number, and every byte depends on it and
/// on its own place. The pixel that nobody shows is black.
pub fn picture(patch: &Patch, number: u64) -> Vec<u8> {
    let size = patch.frame_bytes();
    let unseen = size - patch.common().channels.count();
    let byte = |at: usize| ((at as u64 / 7 * 31 + at as u64 + number) % 251) as u8;
    (0..size).map(|at| if at < unseen { byte(at) } else { 0 }).collect()
}

/// Draws one picture after the other. Also writes where nobody looks.
pub struct Numbered {
    patch: Patch,
    next: u64,
}

impl Numbered {
    pub fn new(patch: &Patch) -> Box<Self> {
        Box::new(Self { patch: patch.clone(), next: 0 })
    }
}

impl Frames for Numbered {
    fn frame(&mut self, _: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        into.copy_from_slice(&picture(&self.patch, self.next));
        let last = into.len() - 1;
        into[last] = 99;
        self.next += 1;
        Ok(Change::New)
    }
}

/// Frames by a function of their number.
pub struct Made<F>(pub F, pub u64);

impl<F: FnMut(u64, &mut [u8]) -> Result<Change, FrameError> + Send> Frames for Made<F> {
    fn frame(&mut self, _: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        self.1 += 1;
        self.0(self.1 - 1, into)
    }
}

/// Waits until something holds; far longer than it can take.
pub fn until(what: &str, mut holds: impl FnMut() -> bool) {
    let start = Instant::now();
    while !holds() {
        assert!(start.elapsed() < Duration::from_secs(20), "never happened: {what}");
        std::thread::sleep(Duration::from_millis(2));
    }
}
