//! One panel behind a bad network, off, slow or flooded: the others never miss a frame, and the panel is back
//! soon. Frames are counted, not timed: a busy computer sends fewer of them, and the counts hold.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod shaper;
mod support;

use std::net::UdpSocket;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use glowloom_drive::{OnLoss, Player, VirtualPanels, Which};
use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Protocol};
use shaper::{Faults, Shaper};
use support::{ALL, Numbered, Wall, free_ports, settings, until};

const RATE: f64 = 60.0;
/// Frames of a second: so soon a panel is to be back.
const SECOND: u64 = RATE as u64;

/// Three panels, the first behind a bad network.
struct Bench {
    player: Player,
    first: Option<VirtualPanels>,
    /// The first panel alone, at its own port.
    first_patch: Patch,
    others: VirtualPanels,
    shaper: Shaper,
}

/// One panel of a patch alone.
fn alone(patch: &Patch, panels: std::ops::Range<usize>) -> Patch {
    Patch::new(patch.common().clone(), patch.panels()[panels].to_vec()).unwrap()
}

impl Bench {
    fn new(protocol: Protocol) -> Self {
        // Between finding a port free and opening it, another test may take it.
        for _ in 0..20 {
            let ports = free_ports(3);
            let at = |ports: &[u16]| -> Vec<_> {
                ports.iter().map(|port| Address::Virtual { port: *port }).collect()
            };
            let behind = Wall::new(protocol).patch(&at(&ports));
            let (first_patch, others) = (alone(&behind, 0..1), alone(&behind, 1..3));
            let open = |patch| VirtualPanels::open(patch, Which::Virtual, OnLoss::Black);
            let (Ok(first), Ok(others)) = (open(&first_patch), open(&others)) else { continue };
            let shaper = Shaper::start(ports[0], 7);
            let sent = Wall::new(protocol).patch(&at(&[shaper.port, ports[1], ports[2]]));
            let source = Numbered::new(&sent);
            let player = Player::start(Arc::new(sent), settings(RATE), source).unwrap();
            let bench = Self { player, first: Some(first), first_patch, others, shaper };
            until("the first panel is lit", || bench.shown() > 5);
            return bench;
        }
        panic!("no free ports");
    }

    /// Frames that left for the first panel.
    fn sent(&self) -> u64 {
        self.player.health().panels[0].sent
    }

    /// Frames that the first panel has shown.
    fn shown(&self) -> u64 {
        self.first.as_ref().map_or(0, |first| first.health()[0].counts.shown)
    }

    fn after(&self, frames: u64) {
        let sent = self.player.health().sent;
        until("frames are sent", || self.player.health().sent >= sent + frames);
    }

    /// A fault, from now on for so many frames, and how many frames after its end the panel shows the next one.
    fn with(&self, frames: u64, begin: impl FnOnce(&Faults), end: impl FnOnce(&Faults)) -> u64 {
        begin(&self.shaper.faults);
        self.after(frames);
        end(&self.shaper.faults);
        self.back()
    }

    fn back(&self) -> u64 {
        let (sent, shown) = (self.sent(), self.shown());
        until("it is back", || self.shown() > shown + 1);
        self.sent() - sent
    }

    /// Ends the show, and finds that the other panels have shown every frame that was sent.
    fn others_missed_nothing(self, what: &str) {
        let protocol = self.first_patch.common().protocol;
        let health = self.player.stop();
        // The packets that end a stream show nothing.
        let ends = if protocol == Protocol::E131 { 3 } else { 0 };
        for (place, sent) in [(0, &health.panels[1]), (1, &health.panels[2])] {
            let counts = || self.others.health()[place].counts;
            until(&format!("{what}: all are shown"), || counts().shown >= sent.sent - ends);
            assert_eq!(counts().shown, sent.sent - ends, "{what} {protocol:?}");
            assert_eq!(
                (counts().lost, counts().late, counts().wrong),
                (0, 0, 0),
                "{what} {protocol:?}"
            );
            assert_eq!((sent.dropped, &sent.error), (0, &None), "{what} {protocol:?}");
        }
    }
}

fn set(value: &std::sync::atomic::AtomicU32, of_thousand: u32) {
    value.store(of_thousand, Ordering::Relaxed);
}

#[test]
fn loss_of_five_in_a_hundred() {
    for protocol in ALL {
        let bench = Bench::new(protocol);
        let shown = bench.shown();
        let back = bench.with(300, |f| set(&f.lost, 50), |f| set(&f.lost, 0));
        let counts = bench.first.as_ref().unwrap().health()[0].counts;
        assert!(counts.lost > 0, "{protocol:?} {counts:?}");
        // Most frames were shown in spite of it.
        assert!(bench.shown() - shown > 100, "{protocol:?} {counts:?}");
        assert!(back <= SECOND, "{protocol:?} {back}");
        bench.others_missed_nothing("loss");
    }
}

#[test]
fn packets_out_of_order_and_doubled() {
    for protocol in ALL {
        let bench = Bench::new(protocol);
        let faults = |n| {
            move |f: &Faults| {
                set(&f.swapped, n);
                set(&f.doubled, n);
            }
        };
        let back = bench.with(200, faults(100), faults(0));
        assert!(back <= SECOND, "{protocol:?} {back}");
        let counts = bench.first.as_ref().unwrap().health()[0].counts;
        assert!(counts.late > 0, "{protocol:?} {counts:?}");
        bench.others_missed_nothing("order");
    }
}

#[test]
fn a_stall_of_three_tenths_of_a_second_and_a_slow_panel() {
    for protocol in ALL {
        let bench = Bench::new(protocol);
        let hold = |on| move |f: &Faults| f.held.store(on, Ordering::Relaxed);
        // 18 frames are 300 ms.
        let back = bench.with(18, hold(true), hold(false));
        assert!(back <= SECOND, "{protocol:?} {back}");
        // Slow: it takes packets in gulps.
        for _ in 0..10 {
            bench.with(6, hold(true), hold(false));
        }
        assert!(bench.back() <= SECOND, "{protocol:?}");
        bench.others_missed_nothing("stall");
    }
}

#[test]
fn a_panel_that_is_off_and_starts_anew() {
    for protocol in ALL {
        let mut bench = Bench::new(protocol);
        // Its cable is pulled.
        let off = |on| move |f: &Faults| f.off.store(on, Ordering::Relaxed);
        let back = bench.with(60, off(true), off(false));
        assert!(back <= SECOND, "{protocol:?} {back}");
        // It loses its power, and has it again.
        bench.first = None;
        bench.after(60);
        let open = VirtualPanels::open(&bench.first_patch, Which::Virtual, OnLoss::Black);
        bench.first = Some(open.unwrap());
        let back = bench.back();
        assert!(back <= SECOND, "{protocol:?} {back}");
        bench.others_missed_nothing("off");
    }
}

#[test]
fn ten_thousand_random_packets() {
    for protocol in ALL {
        let bench = Bench::new(protocol);
        let to = match bench.first_patch.panels()[0].address {
            Address::Virtual { port } => ("127.0.0.1", port),
            _ => panic!("a virtual panel"),
        };
        let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
        let mut chance = 0x9e37_79b9_7f4a_7c15_u64;
        let mut bytes = [0; 700];
        for nth in 0..10_000_u32 {
            for byte in &mut bytes {
                chance ^= chance << 13;
                chance ^= chance >> 7;
                chance ^= chance << 17;
                *byte = chance as u8;
            }
            // Half of them begin as good ones do.
            match nth % 8 {
                0 => bytes[..12].copy_from_slice(b"\x00\x10\x00\x00ASC-E1.1"),
                2 => bytes[..10].copy_from_slice(b"Art-Net\0\0\x50"),
                4 => bytes[0] = 0x41,
                6 => bytes[0] = 0x42,
                _ => {}
            }
            let size = chance as usize % bytes.len();
            let _ = socket.send_to(&bytes[..size], to);
            if nth % 10 == 9 {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
        let back = bench.back();
        assert!(back <= SECOND, "{protocol:?} {back}");
        bench.others_missed_nothing("flood");
    }
}

#[test]
fn sixty_panels_at_once() {
    for protocol in ALL {
        let wall = Wall { panels: 60, ..Wall::new(protocol) };
        let (patch, panels) = wall.open(OnLoss::Black);
        let source = Numbered::new(&patch);
        let player = Player::start(Arc::new(patch), settings(30.0), source).unwrap();
        until("frames are sent", || player.health().sent >= 60);
        let health = player.stop();
        let ends = if protocol == Protocol::E131 { 3 } else { 0 };
        for (place, sent) in health.panels.iter().enumerate() {
            let counts = || panels.health()[place].counts;
            until("all are shown", || counts().shown >= sent.sent - ends);
            assert_eq!(
                (counts().lost, counts().late, sent.dropped),
                (0, 0, 0),
                "{protocol:?} {place}"
            );
        }
    }
}
