//! Panels on serial cables, on pseudo-terminals: what arrives, and what becomes of a cable that is
//! slow, pulled or not there.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod support;

use std::os::fd::OwnedFd;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use glowloom_drive::{Calls, OnLoss, Player, Sender, VirtualPanels, Which};
use glowloom_wire::ddp::{Body, DataType, Message, Packet};
use glowloom_wire::patch::{Address, Channels, Protocol};
use glowloom_wire::{ColourBits, Patch, colour_bits, slip};
use support::{Numbered, Wall, free_port, picture, settings, until};

const BAUD: u32 = 921_600;

/// A port that a cable is plugged into: a path that may lead to a pseudo-terminal.
struct Port(PathBuf);

impl Port {
    fn new() -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let nth = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("glowloom-port-{}-{nth}", std::process::id());
        Self(std::env::temp_dir().join(name))
    }

    fn address(&self, bits: ColourBits) -> Address {
        Address::Serial { port: Some(self.0.display().to_string()), baud: BAUD, bits }
    }

    /// Plugs a board in.
    fn plug(&self) -> Board {
        use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
        let flags = OpenptFlags::RDWR | OpenptFlags::NOCTTY;
        let board = openpt(flags).unwrap();
        grantpt(&board).unwrap();
        unlockpt(&board).unwrap();
        rustix::io::ioctl_fionbio(&board, true).unwrap();
        let name = ptsname(&board, Vec::new()).unwrap().into_string().unwrap();
        let _ = std::fs::remove_file(&self.0);
        std::os::unix::fs::symlink(name, &self.0).unwrap();
        Board { port: board, decoder: slip::Decoder::new(vec![0; 1 << 17]), bad: 0 }
    }

    /// Pulls it.
    fn pull(&self, board: Board) {
        drop(board);
        std::fs::remove_file(&self.0).unwrap();
    }
}

impl Drop for Port {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}

/// What is at the other end of a cable.
struct Board {
    port: OwnedFd,
    decoder: slip::Decoder<Vec<u8>>,
    /// Packets that were no whole ones.
    bad: u64,
}

/// A packet as the board understands it.
#[derive(Debug, PartialEq)]
struct Heard {
    offset: u32,
    push: bool,
    sequence: u8,
    data_type: DataType,
    data: Vec<u8>,
}

impl Board {
    /// Reads at most so many bytes.
    fn read(&mut self, most: usize) -> Vec<Heard> {
        let mut bytes = vec![0; most];
        // A port that nobody has open yet gives an error.
        let count = rustix::io::read(&self.port, &mut bytes[..]).unwrap_or(0);
        let mut heard = Vec::new();
        let bad = &mut self.bad;
        self.decoder.feed(&bytes[..count], |packet| {
            let message = packet.ok().and_then(|packet| {
                let packet = Packet::new_checked(packet).ok()?;
                Message::parse(&packet).ok()
            });
            let Some(Message { header, body: Body::Data(data) }) = message else {
                *bad += 1;
                return;
            };
            heard.push(Heard {
                offset: header.offset,
                push: header.push,
                sequence: header.sequence.get(),
                data_type: header.data_type,
                data: data.to_vec(),
            });
        });
        heard
    }

    /// Reads until a frame has been pushed.
    fn frame(&mut self) -> Vec<Heard> {
        let mut heard = Vec::new();
        until("a frame arrives on the cable", || {
            heard.extend(self.read(1 << 16));
            heard.last().is_some_and(|packet: &Heard| packet.push)
        });
        heard
    }
}

/// The bytes that a board wants for a picture: of all panels, one after the other.
fn wanted(patch: &Patch, picture: &[u8], bits: ColourBits) -> Vec<u8> {
    let slots = patch.common().channels.count();
    let lines = patch.panels().iter().flat_map(|panel| &panel.lines);
    let mut bytes = Vec::new();
    for source in lines.flat_map(|line| &line.pixels) {
        let pixel = match source {
            Some(at) => picture[*at as usize * slots..][..slots].to_vec(),
            None => vec![0; slots],
        };
        match bits {
            ColourBits::TwentyFour => bytes.extend(pixel),
            ColourBits::Sixteen => {
                bytes.extend(colour_bits::pack([pixel[0], pixel[1], pixel[2]]));
                bytes.extend(&pixel[3..]);
            }
        }
    }
    bytes
}

#[test]
fn every_pixel_arrives_in_either_form() {
    for channels in [Channels::Three, Channels::Four] {
        for bits in [ColourBits::TwentyFour, ColourBits::Sixteen] {
            let port = Port::new();
            let mut board = port.plug();
            let wall = Wall { channels, ceiling: 240, ..Wall::new(Protocol::Ddp) };
            let patch = wall.patch(&[(); 3].map(|()| port.address(bits)));
            let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
            let mut sequence = 0;
            for number in 0..20 {
                let mut frame = picture(&patch, number);
                sender.draw(&frame).unwrap();
                sender.send(Duration::from_millis(number));
                let heard = board.frame();
                frame.iter_mut().for_each(|byte| *byte = (*byte).min(240));
                let all: Vec<u8> = heard.iter().flat_map(|packet| packet.data.clone()).collect();
                assert!(all == wanted(&patch, &frame, bits), "{channels:?} {bits:?} {number}");
                let mut offset = 0;
                for packet in &heard {
                    sequence = sequence % 15 + 1;
                    assert_eq!((packet.sequence, packet.offset), (sequence, offset));
                    assert_eq!(packet.data_type, DataType::of(channels, bits));
                    offset += packet.data.len() as u32;
                }
                // A packet for each panel; the last of all shows the frame.
                assert_eq!(heard.iter().map(|p| p.push).collect::<Vec<_>>(), [false, false, true]);
            }
            assert_eq!(board.bad, 0);
            until("all are counted", || sender.panels().iter().all(|panel| panel.sent == 20));
            let health = sender.panels();
            assert!(health.iter().all(|panel| panel.dropped == 0 && panel.error.is_none()));
            assert_eq!(health[0].port.as_deref(), port.0.to_str());
        }
    }
}

/// 8N1 without any translation, at the speed of the wall file.
#[test]
fn the_port_carries_raw_bytes() {
    use rustix::termios::{ControlModes, InputModes, LocalModes, OutputModes, tcgetattr};
    let port = Port::new();
    let mut board = port.plug();
    let patch = Wall { panels: 1, ..Wall::new(Protocol::Ddp) }
        .patch(&[port.address(ColourBits::TwentyFour)]);
    let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
    sender.send(Duration::ZERO);
    board.frame();
    let found = tcgetattr(&board.port).unwrap();
    assert_eq!(found.output_speed(), BAUD);
    assert!(found.control_modes.contains(ControlModes::CS8 | ControlModes::CREAD));
    let unwanted = ControlModes::PARENB | ControlModes::CSTOPB | ControlModes::CRTSCTS;
    assert!(!found.control_modes.intersects(unwanted | ControlModes::HUPCL));
    assert!(!found.local_modes.intersects(LocalModes::ECHO | LocalModes::ICANON));
    assert!(!found.output_modes.contains(OutputModes::OPOST));
    assert!(!found.input_modes.intersects(InputModes::IXON | InputModes::ICRNL));
}

/// A board that reads a few bytes now and then: it gets whole frames, in order, and others get all
/// of theirs.
#[test]
fn a_slow_cable_leaves_out_whole_frames_of_its_own() {
    let port = Port::new();
    let mut board = port.plug();
    let wall = Wall { panels: 2, ..Wall::new(Protocol::Ddp) };
    let udp = Address::Virtual { port: free_port() };
    let patch = Arc::new(wall.patch(&[port.address(ColourBits::TwentyFour), udp]));
    let panels = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap();
    let player = Player::start(Arc::clone(&patch), settings(200.0), Numbered::new(&patch)).unwrap();
    let cable = wall_of_first(&patch);
    let (mut shown, mut missing, mut sequence) = (Vec::new(), 0, 0);
    let start = Instant::now();
    let mut most = 1;
    while start.elapsed() < Duration::from_secs(2) {
        most = most * 7 % 997;
        for heard in board.read(most) {
            assert!(heard.push && heard.offset == 0);
            // What is left out leaves no gap.
            sequence = sequence % 15 + 1;
            assert_eq!(heard.sequence, sequence);
            let number =
                number_of(&patch, &cable, &heard.data).expect("a whole frame of one picture");
            if let Some(last) = shown.last() {
                let ahead: u64 = (number + 251 - last) % 251;
                // A frame may come twice where the source was late.
                assert!(ahead < 200, "{last} {number}");
                missing += ahead.saturating_sub(1);
            }
            shown.push(number);
        }
        std::thread::sleep(Duration::from_millis(4));
    }
    assert_eq!(board.bad, 0);
    assert!(shown.len() > 20 && missing > 20, "{} shown, {missing} missing", shown.len());
    let health = player.health();
    assert!(health.panels[0].failing && health.panels[0].dropped > 20, "{health:?}");
    let error = health.panels[0].error.clone().unwrap();
    assert!(error.contains("carries fewer frames"), "{error}");
    assert_eq!((health.panels[1].dropped, &health.panels[1].error), (0, &None));
    // The end is waited for: the last frame that arrives whole is black.
    let reader = std::thread::spawn(move || {
        let mut last = None;
        let mut quiet = Instant::now();
        while quiet.elapsed() < Duration::from_secs(1) {
            for heard in board.read(512) {
                last = Some(heard.data);
                quiet = Instant::now();
            }
            std::thread::sleep(Duration::from_millis(2));
        }
        last.unwrap()
    });
    player.stop();
    assert!(reader.join().unwrap().iter().all(|&byte| byte == 0));
    let counts = panels.health()[0].counts;
    assert_eq!((counts.lost, counts.late, counts.wrong), (0, 0, 0));
}

/// The patch with its first panel alone.
fn wall_of_first(patch: &Patch) -> Patch {
    let common = patch.common().clone();
    Patch::new(common, patch.panels()[..1].to_vec()).unwrap()
}

/// Which picture these bytes are of.
fn number_of(patch: &Patch, cable: &Patch, bytes: &[u8]) -> Option<u64> {
    // Of a picture that is the next one, every byte is one more.
    let first = wanted(cable, &picture(patch, 0), ColourBits::TwentyFour);
    let number = (u64::from(bytes[3]) + 251 - u64::from(first[3])) % 251;
    (wanted(cable, &picture(patch, number), ColourBits::TwentyFour) == bytes).then_some(number)
}

#[test]
fn a_cable_that_is_pulled_and_put_back_is_lit_again() {
    let port = Port::new();
    let wall = Wall { panels: 2, ..Wall::new(Protocol::Ddp) };
    let udp = Address::Virtual { port: free_port() };
    let patch = Arc::new(wall.patch(&[port.address(ColourBits::Sixteen), udp]));
    let panels = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap();
    let player = Player::start(Arc::clone(&patch), settings(100.0), Numbered::new(&patch)).unwrap();
    // It is not there at first.
    until("the missing port is told", || {
        let health = player.health().panels.remove(0);
        health.failing && health.error.is_some_and(|error| error.contains("No such file"))
    });
    for _ in 0..3 {
        let mut board = port.plug();
        let plugged = Instant::now();
        let heard = board.frame();
        let took = plugged.elapsed();
        // What was asked for is 1 s.
        assert!(took < Duration::from_secs(1), "{took:?}");
        assert_eq!((heard.len(), board.bad), (1, 0));
        // It is read all the time: a board that takes nothing is told as failing, too.
        until("it is well again", || {
            board.read(1000);
            !player.health().panels[0].failing
        });
        // The board is in the middle of a packet when the cable is pulled.
        board.read(100);
        port.pull(board);
        until("the pulled cable is told", || {
            let health = player.health().panels.remove(0);
            health.failing && health.error.is_some()
        });
    }
    let health = player.stop();
    assert_eq!(health.panels[1].dropped, 0);
    let counts = panels.health()[0].counts;
    assert_eq!((counts.lost, counts.late), (0, 0));
    assert!(counts.shown + 2 >= health.panels[1].sent);
}

/// A board that takes nothing at all keeps nobody waiting, and a show from ending.
#[test]
fn a_stuck_board_keeps_nobody() {
    let port = Port::new();
    let board = port.plug();
    let wall = Wall { panels: 3, ..Wall::new(Protocol::Ddp) };
    let patch = wall.patch(&[(); 3].map(|()| port.address(ColourBits::TwentyFour)));
    let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
    let mut slowest = Duration::ZERO;
    for number in 0..300 {
        sender.draw(&picture(&patch, number)).unwrap();
        let before = Instant::now();
        sender.send(Duration::from_millis(number));
        slowest = slowest.max(before.elapsed());
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(slowest < Duration::from_millis(100), "{slowest:?}");
    let health = sender.panels().remove(0);
    assert!(health.failing && health.dropped > 100, "{health:?}");
    let before = Instant::now();
    drop(sender);
    assert!(before.elapsed() < Duration::from_secs(1), "{:?}", before.elapsed());
    drop(board);
}

#[test]
fn what_is_no_serial_port_is_not_written_to() {
    let file = std::env::temp_dir().join(format!("glowloom-file-{}", std::process::id()));
    std::fs::write(&file, "mine").unwrap();
    let wall = Wall { panels: 1, ..Wall::new(Protocol::Ddp) };
    let address = Address::Serial {
        port: Some(file.display().to_string()),
        baud: BAUD,
        bits: ColourBits::TwentyFour,
    };
    let mut sender = Sender::new(&wall.patch(&[address]), &settings(30.0), Calls::Many).unwrap();
    sender.send(Duration::ZERO);
    until("it is told", || sender.panels()[0].failing);
    let error = sender.panels()[0].error.clone().unwrap();
    assert!(error.contains("no serial port") && error.contains("glowloom-file"), "{error}");
    drop(sender);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    std::fs::remove_file(file).unwrap();
}

#[test]
fn sending_takes_no_memory() {
    for bits in [ColourBits::TwentyFour, ColourBits::Sixteen] {
        let port = Port::new();
        let mut board = port.plug();
        let wall = Wall { panels: 1, ..Wall::new(Protocol::Ddp) };
        let patch = wall.patch(&[port.address(bits)]);
        let mut sender = Sender::new(&patch, &settings(30.0), Calls::Many).unwrap();
        // Every byte escaped: the longest that a frame can get.
        let white = vec![slip::END; patch.frame_bytes()];
        sender.draw(&white).unwrap();
        let mut counted = 0;
        for tick in 0..100 {
            let now = Duration::from_millis(tick);
            counted += allocation_counter::measure(|| sender.send(now)).count_total;
            board.read(1 << 14);
        }
        assert_eq!(counted, 0, "{bits:?}");
    }
}
