//! What other senders may do, and what becomes of it. Packets come from sockets of this computer.

use super::*;
use crate::{Calls, FramesPerSecond, Multicast, Sender, Settings};
use glowloom_wire::ddp::{Body, DataType, Header, Message};
use glowloom_wire::patch::{Address, Channels, Line, Protocol};

const COLUMNS: u32 = 30;
const ROWS: u32 = 20;
const ALL: [Protocol; 3] = [Protocol::E131, Protocol::ArtNet, Protocol::Ddp];

/// A wall of 30 x 20: two panels, the second turned upside down with a spare ahead.
fn wall(channels: Channels, first: Address, second: Address, protocol: Protocol) -> Patch {
    let common = Common {
        columns: COLUMNS,
        rows: ROWS,
        channels,
        protocol,
        ceiling: 255,
        sync_universe: 900,
    };
    let half = COLUMNS * ROWS / 2;
    let panel = |name: &str, address, first_universe, pixels| PanelPatch {
        name: name.into(),
        address,
        lines: vec![Line { first_universe, byte_offset: 0, pixels }],
    };
    let west = (0..half).map(Some).collect();
    let east = std::iter::once(None).chain((half..2 * half).rev().map(Some)).collect();
    let panels = vec![panel("west", first, 40, west), panel("east", second, 60, east)];
    Patch::new(common, panels).unwrap()
}

/// That wall, whose own panels nobody sends to.
fn listener(channels: Channels) -> Patch {
    let at = |port| Address::Virtual { port };
    wall(channels, at(1), at(2), Protocol::E131)
}

/// The picture as one receiver of all its rows.
fn sender_of_rows(channels: Channels, protocol: Protocol, address: Address) -> Patch {
    let common = Common { protocol, ..listener(channels).common().clone() };
    let line =
        Line { first_universe: 1, byte_offset: 0, pixels: (0..COLUMNS * ROWS).map(Some).collect() };
    Patch::new(common, vec![PanelPatch { name: "all".into(), address, lines: vec![line] }]).unwrap()
}

fn listening(protocol: Protocol) -> Listening {
    Listening {
        protocol,
        at: SocketAddr::from(([127, 0, 0, 1], 0)),
        arranged: Arranged::Rows { first_universe: 1 },
        on_loss: OnLoss::Black,
        own_cid: [9; 16],
        name: "Breakwater".into(),
    }
}

fn open(channels: Channels, listening: &Listening) -> (Incoming, u16) {
    let incoming = Incoming::open(&listener(channels), listening).unwrap();
    let port = incoming.at().unwrap().port();
    (incoming, port)
}

fn settings(cid: u8, priority: u8) -> Settings {
    let settings = Settings::new(FramesPerSecond(30.0), [cid; 16]).unwrap();
    Settings { priority, source_name: format!("desk {cid}"), ..settings }
}

fn picture(channels: Channels, number: u64) -> Vec<u8> {
    let size = (COLUMNS * ROWS) as usize * channels.count();
    (0..size as u64).map(|at| ((at / 7 * 31 + at + number * 3) % 251) as u8).collect()
}

/// A source and the time.
struct Eye {
    source: Box<dyn Source>,
    frame: LinearFrame,
    now: Duration,
}

impl Eye {
    fn new(incoming: &Incoming) -> Self {
        let frame = LinearFrame::new(COLUMNS, ROWS);
        Self { source: incoming.source(), frame, now: Duration::ZERO }
    }

    fn look(&mut self, millis: u64) -> Drawn {
        self.now += Duration::from_millis(millis);
        self.source.draw(self.now, &mut self.frame).unwrap()
    }

    /// Bytes of the first pixel, as they were sent.
    fn first(&self) -> [u16; 3] {
        self.frame.pixel(0, 0).unwrap().map(|value| value / 257)
    }
}

/// Linear light of a picture, worked out another way than in the code.
fn light(channels: Channels, picture: &[u8]) -> Vec<u16> {
    let mut light = Vec::new();
    for pixel in picture.chunks(channels.count()) {
        let white = if channels == Channels::Four { u32::from(pixel[3]) } else { 0 };
        for level in &pixel[..3] {
            light.push(((u32::from(*level) + white).min(255) * 65_535 / 255) as u16);
        }
    }
    light
}

#[test]
fn every_pixel_of_every_protocol_comes_to_its_place() {
    for protocol in ALL {
        for channels in [Channels::Three, Channels::Four] {
            let (incoming, port) = open(channels, &listening(protocol));
            let from = sender_of_rows(channels, protocol, Address::Virtual { port });
            let mut sender = Sender::new(&from, &settings(1, 100), Calls::Many).unwrap();
            let mut eye = Eye::new(&incoming);
            assert_eq!(eye.look(0), Drawn::New);
            assert!(eye.frame.values().iter().all(|&value| value == 0));
            for number in 0..30 {
                let frame = picture(channels, number);
                sender.draw(&frame).unwrap();
                sender.send(Duration::from_millis(number));
                assert_eq!(eye.look(10), Drawn::New, "{protocol:?} {number}");
                assert!(eye.frame.values() == light(channels, &frame), "{protocol:?} {number}");
                assert_eq!(eye.look(0), Drawn::Same);
            }
            let health = incoming.health();
            assert_eq!((health.state, health.counts.shown), (State::Live, 30));
            assert_eq!(health.counts.lost + health.counts.late + health.counts.wrong, 0);
            let name = (protocol == Protocol::E131).then(|| "desk 1".to_owned());
            assert_eq!(health.name, name);
        }
    }
}

#[test]
fn a_sender_may_send_as_to_the_panels() {
    for protocol in [Protocol::E131, Protocol::ArtNet] {
        let chosen = Listening { arranged: Arranged::Panels, ..listening(protocol) };
        let (incoming, port) = open(Channels::Three, &chosen);
        // Both panels at one place, said in two ways.
        let first = Address::Udp { host: "127.0.0.1".into(), port };
        let from = wall(Channels::Three, first, Address::Virtual { port }, protocol);
        let mut sender = Sender::new(&from, &settings(1, 100), Calls::Many).unwrap();
        let frame = picture(Channels::Three, 5);
        sender.draw(&frame).unwrap();
        sender.send(Duration::ZERO);
        let mut eye = Eye::new(&incoming);
        eye.look(0);
        assert!(eye.frame.values() == light(Channels::Three, &frame), "{protocol:?}");
    }
    // With DDP the panels' bytes follow each other: 300 pixels, a spare, 300 backwards.
    let chosen = Listening { arranged: Arranged::Panels, ..listening(Protocol::Ddp) };
    let (incoming, port) = open(Channels::Three, &chosen);
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    ddp(&socket, port, 3 * 300, &[7, 7, 7, 1, 2, 3]);
    let mut eye = Eye::new(&incoming);
    eye.look(0);
    assert_eq!(eye.frame.pixel(29, 19), Some([257, 514, 771]));
    assert!(eye.frame.values()[..599 * 3].iter().all(|&value| value == 0));
}

fn ddp(socket: &UdpSocket, port: u16, offset: u32, data: &[u8]) {
    let header = Header::new(DataType::RGB, offset, true);
    let mut bytes = vec![0; 10 + data.len()];
    Message { header, body: Body::Data(data) }.emit(&mut bytes).unwrap();
    socket.send_to(&bytes, ("127.0.0.1", port)).unwrap();
}

/// A sender of E1.31 that sends one level.
struct Desk(Sender, u64);

impl Desk {
    fn new(cid: u8, priority: u8, port: u16) -> Self {
        let from = sender_of_rows(Channels::Three, Protocol::E131, Address::Virtual { port });
        Self(Sender::new(&from, &settings(cid, priority), Calls::Many).unwrap(), 0)
    }

    fn send(&mut self, level: u8) {
        self.0.draw(&[level; (COLUMNS * ROWS * 3) as usize]).unwrap();
        self.1 += 1;
        self.0.send(Duration::from_millis(self.1));
    }
}

#[test]
fn the_higher_priority_is_shown_until_it_ends_or_is_lost() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::E131));
    let (mut low, mut same) = (Desk::new(1, 100, port), Desk::new(2, 100, port));
    let mut high = Desk::new(3, 150, port);
    let mut eye = Eye::new(&incoming);
    let mut shown = |millis: u64| {
        eye.look(millis);
        eye.first()[0]
    };
    low.send(10);
    same.send(20);
    assert_eq!(shown(10), 10);
    high.send(30);
    low.send(11);
    assert_eq!((shown(10), incoming.health().name), (30, Some("desk 3".into())));
    // An end by the standard's rule: the other is shown at once.
    high.0.terminate();
    high.send(31);
    low.send(12);
    assert_eq!(shown(10), 12);
    // Silence: 2.5 s, then black, then whoever comes.
    assert_eq!(shown(2499), 12);
    assert_eq!((shown(1), incoming.health().state), (0, State::Lost));
    same.send(21);
    assert_eq!((shown(10), incoming.health().name), (21, Some("desk 2".into())));
}

#[test]
fn late_packets_are_thrown_away() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::ArtNet));
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let send = |number: u8, level: u8| {
        for universe in 1..=4u16 {
            let header = artnet::dmx::Header {
                sequence: artnet::Sequence::new(number).unwrap(),
                physical: 0,
                address: artnet::PortAddress::new(universe).unwrap(),
            };
            let slots = [level; 512];
            let mut bytes = [0; 530];
            artnet::dmx::Dmx { header, slots: &slots }.emit(&mut bytes).unwrap();
            socket.send_to(&bytes, ("127.0.0.1", port)).unwrap();
        }
    };
    let mut eye = Eye::new(&incoming);
    send(7, 70);
    send(6, 60);
    eye.look(10);
    assert_eq!((eye.first(), incoming.health().counts.late), ([70; 3], 4));
    send(8, 80);
    eye.look(10);
    assert_eq!(eye.first(), [80; 3]);
}

/// A sender that sends to some universes only is shown all the same, a moment later.
#[test]
fn part_of_a_picture_is_not_waited_for_long() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::ArtNet));
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let send = |level: u8| {
        let address = artnet::PortAddress::new(1).unwrap();
        let sequence = artnet::Sequence::UNUSED;
        let header = artnet::dmx::Header { sequence, physical: 0, address };
        let mut bytes = [0; 530];
        artnet::dmx::Dmx { header, slots: &[level; 512] }.emit(&mut bytes).unwrap();
        socket.send_to(&bytes, ("127.0.0.1", port)).unwrap();
    };
    let mut eye = Eye::new(&incoming);
    eye.look(0);
    send(40);
    assert_eq!((eye.look(99), eye.first()), (Drawn::Same, [0; 3]));
    assert_eq!((eye.look(1), eye.first()), (Drawn::New, [40; 3]));
    send(50);
    assert_eq!((eye.look(10), eye.first()), (Drawn::New, [50; 3]));
}

#[test]
fn a_fast_sender_costs_a_frame_only_so_much() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::Ddp));
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let mut eye = Eye::new(&incoming);
    for level in 1..=200 {
        ddp(&socket, port, 0, &[level; 3]);
    }
    eye.look(10);
    let health = incoming.health();
    assert_eq!((eye.first(), health.counts.shown, health.thrown_away), ([8; 3], 8, 192));
    ddp(&socket, port, 0, &[250; 3]);
    eye.look(10);
    assert_eq!(eye.first(), [250; 3]);
}

/// Random bytes, many a second, and packets too long for a network: none is shown, none does harm,
/// what is meant is shown, and nothing takes memory.
#[test]
fn garbage_in_great_numbers_does_no_harm() {
    for protocol in ALL {
        let (incoming, port) = open(Channels::Three, &listening(protocol));
        let from = sender_of_rows(Channels::Three, protocol, Address::Virtual { port });
        let mut sender = Sender::new(&from, &settings(1, 100), Calls::Many).unwrap();
        let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
        let mut eye = Eye::new(&incoming);
        let mut chance = 0x9e37_79b9_7f4a_7c15_u64;
        let mut next = || {
            chance ^= chance << 13;
            chance ^= chance >> 7;
            chance ^= chance << 17;
            chance
        };
        let mut taken = 0;
        // 10,000 packets a second at 30 frames a second, for a second.
        for number in 0..30 {
            for nth in 0..333 {
                let size = next() as usize % 700;
                let mut bytes: Vec<u8> = (0..size).map(|_| next() as u8).collect();
                // Some begin as they should.
                let good: &[u8] = match nth % 4 {
                    0 => b"Art-Net\0\x00\x50\x00\x0e",
                    1 => b"\x00\x10\x00\x00ASC-E1.17\x00\x00\x00",
                    2 => b"\x41\x01\x0b\x01\x00\x00\x00",
                    _ => b"",
                };
                let start = good.len().min(size);
                bytes[..start].copy_from_slice(&good[..start]);
                socket.send_to(&bytes, ("127.0.0.1", port)).unwrap();
            }
            socket.send_to(&[0; 1473], ("127.0.0.1", port)).unwrap();
            if number == 0 {
                // The sender is known before the garbage could be taken for one.
                while incoming.health().state != State::Live {
                    sender.draw(&picture(Channels::Three, 1)).unwrap();
                    sender.send(Duration::ZERO);
                    eye.look(10);
                }
            }
            let frame = picture(Channels::Three, number);
            sender.draw(&frame).unwrap();
            sender.send(Duration::from_millis(number));
            let counted = allocation_counter::measure(|| {
                eye.look(33);
            });
            taken += if number > 1 { counted.count_total } else { 0 };
            if protocol != Protocol::Ddp && number > 0 {
                assert!(eye.frame.values() == light(Channels::Three, &frame), "{protocol:?}");
            }
        }
        let health = incoming.health();
        assert!(health.too_long >= 29, "{health:?}");
        assert!(health.counts.wrong + health.counts.ignored > 5000, "{health:?}");
        assert_eq!(taken, 0, "{protocol:?}");
    }
}

#[test]
fn groups_are_heard_and_our_own_packets_are_not() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::E131));
    assert_eq!(incoming.health().no_multicast, None);
    let address = Address::Udp { host: "192.0.2.1".into(), port };
    let from = sender_of_rows(Channels::Three, Protocol::E131, address);
    let interface = Some(Ipv4Addr::LOCALHOST);
    let multicast = Some(Multicast { interface, ..Multicast::default() });
    let mut eye = Eye::new(&incoming);
    let mut send = |cid: u8, level: u8| {
        let settings = Settings { multicast, ..settings(cid, 100) };
        let mut sender = Sender::new(&from, &settings, Calls::Many).unwrap();
        sender.draw(&[level; (COLUMNS * ROWS * 3) as usize]).unwrap();
        sender.send(Duration::ZERO);
        eye.look(10);
        eye.first()[0]
    };
    assert_eq!(send(9, 90), 0);
    assert_eq!(incoming.health().own, 4);
    assert_eq!(send(8, 80), 80);
}

#[test]
fn who_asks_by_art_net_is_answered_with_the_wall_s_numbers() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::ArtNet));
    let asker = UdpSocket::bind("127.0.0.1:0").unwrap();
    asker.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let mut question = [0; artnet::poll::SIZE];
    artnet::poll::Poll::default().emit(&mut question).unwrap();
    asker.send_to(&question, ("127.0.0.1", port)).unwrap();
    Eye::new(&incoming).look(0);
    let mut bytes = [0; 600];
    let size = asker.recv(&mut bytes).unwrap();
    let Ok(artnet::Any::Reply(reply)) = artnet::Any::parse(&bytes[..size]) else {
        panic!("no reply");
    };
    let numbers: Vec<_> = reply.outputs.iter().flatten().map(|port| port.get()).collect();
    assert_eq!((numbers, reply.long_name.as_str()), (vec![1, 2, 3, 4], "Breakwater"));
}

#[test]
fn what_cannot_be_listened_to_is_refused() {
    let holder = UdpSocket::bind("127.0.0.1:0").unwrap();
    let wall = listener(Channels::Three);
    let held = Listening { at: holder.local_addr().unwrap(), ..listening(Protocol::Ddp) };
    let error = Incoming::open(&wall, &held).unwrap_err();
    assert!(matches!(error, DriveError::Incoming { .. }), "{error}");
    for (protocol, last) in [(Protocol::E131, 63_999), (Protocol::ArtNet, 32_767)] {
        let rows = |first_universe| Listening {
            arranged: Arranged::Rows { first_universe },
            ..listening(protocol)
        };
        // Four universes.
        assert!(Incoming::open(&wall, &rows(last - 3)).is_ok());
        let refused = Incoming::open(&wall, &rows(last - 2)).unwrap_err();
        assert!(matches!(refused, DriveError::TooManyUniverses { .. }), "{refused}");
    }
}

/// Turns of a sequence share one port, and each begins at its own nought.
#[test]
fn several_sources_share_the_port() {
    let (incoming, port) = open(Channels::Three, &listening(Protocol::Ddp));
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let mut eye = Eye::new(&incoming);
    ddp(&socket, port, 0, &[5; 3]);
    eye.look(2000);
    assert_eq!(eye.first(), [5; 3]);
    let mut other = Eye::new(&incoming);
    assert_eq!((other.look(0), other.first()), (Drawn::New, [5; 3]));
    // The time of the second turn goes on from the first: silence is counted through.
    other.look(2499);
    assert_eq!(other.first(), [5; 3]);
    other.look(1);
    assert_eq!(other.first(), [0; 3]);
}
