//! A show at its own pace, beside a plain loop that sleeps and calls `send_to`: processor share, how late
//! frames leave, how far apart panels show them, and how soon a panel is back after a fault.
//!
//!   cargo bench -p glowloom-drive --bench links
//!
//! Everything runs on the loopback interface of this computer, so the figures are of this program and
//! computer, not of a network. "Loaded" has two threads for each core that only count. Linux alone tells a
//! program its processor time this way.

#![allow(clippy::print_stdout, reason = "the result")]
#![allow(clippy::unwrap_used, reason = "what fails here ends the bench")]

#[path = "../tests/shaper/mod.rs"]
mod shaper;

use std::hint::black_box;
use std::net::{SocketAddr, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use glowloom_drive::block::Block;
use glowloom_drive::{
    Change, FrameError, Frames, FramesPerSecond, OnLoss, Player, Settings, Spread, VirtualPanels,
    Which,
};
use glowloom_wire::Patch;
use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};
use shaper::{Faults, Shaper};

const RATE: f64 = 60.0;
/// Columns of a panel, and rows: four universes.
const SIZE: (u32, u32) = (20, 32);
/// How long each of them plays.
const PLAYED: Duration = Duration::from_secs(10);

fn patch(ports: &[u16], protocol: Protocol) -> Patch {
    let columns = SIZE.0 * ports.len() as u32;
    let panel = |(port, nth): (&u16, u32)| {
        let strips = (0..SIZE.0)
            .flat_map(|strip| (0..SIZE.1).map(move |row| row * columns + nth * SIZE.0 + strip));
        PanelPatch {
            name: format!("panel {}", nth + 1),
            address: Address::Virtual { port: *port },
            lines: vec![Line {
                first_universe: (1 + nth * 4) as u16,
                byte_offset: 0,
                pixels: strips.map(Some).collect(),
            }],
        }
    };
    let common = Common {
        columns,
        rows: SIZE.1,
        channels: Channels::Three,
        protocol,
        ceiling: 255,
        sync_universe: 9999,
    };
    Patch::new(common, ports.iter().zip(0..).map(panel).collect()).unwrap()
}

fn settings() -> Settings {
    Settings::new(FramesPerSecond(RATE), *b"a bench of links").unwrap()
}

/// Grey that changes with every frame.
struct Grey(u8);

impl Frames for Grey {
    fn frame(&mut self, _: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        self.0 = self.0.wrapping_add(1);
        into.fill(self.0);
        Ok(Change::New)
    }
}

/// Processor time of this process so far (proc(5): utime and stime, in hundredths of a second).
fn processor() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<_> = stat.rsplit(')').next().unwrap_or_default().split_whitespace().collect();
    let of = |nth: usize| fields.get(nth).and_then(|text| text.parse::<f64>().ok()).unwrap_or(0.0);
    (of(11) + of(12)) / 100.0
}

/// Processor share of some work, percent of one core, and how late its frames left.
fn measured(work: impl FnOnce() -> Spread) -> (f64, Spread) {
    let (before, start) = (processor(), Instant::now());
    let late = work();
    (100.0 * (processor() - before) / start.elapsed().as_secs_f64(), late)
}

/// The same packets by a loop that sleeps from frame to frame and sends one by one.
fn plain(patch: &Patch, to: &[SocketAddr]) -> Spread {
    let mut block = Block::new(patch, &settings()).unwrap();
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let period = Duration::from_secs_f64(1.0 / RATE);
    let mut frame = vec![0; patch.frame_bytes()];
    let (start, mut late) = (Instant::now(), Spread::default());
    let mut due = Duration::ZERO;
    while start.elapsed() < PLAYED {
        thread::sleep(due.saturating_sub(start.elapsed()));
        late.add(start.elapsed().saturating_sub(due));
        let grey: u8 = frame[0];
        frame.fill(grey.wrapping_add(1));
        block.draw(&frame).unwrap();
        for (panel, to) in to.iter().enumerate() {
            for packet in block.packets_of(panel) {
                let _ = socket.send_to(block.packet(packet), to);
            }
        }
        due += period;
    }
    late
}

fn ours(patch: &Arc<Patch>) -> Spread {
    let quiet = Settings { ask: false, ..settings() };
    let player = Player::start(Arc::clone(patch), quiet, Box::new(Grey(0))).unwrap();
    thread::sleep(PLAYED);
    player.stop().lateness
}

fn show(what: &str, (share, late): (f64, Spread)) {
    let millis = |share| late.share(share).as_secs_f64() * 1e3;
    println!(
        "  {what:<28} {share:6.1} % of a core; late {:.2} ms in the middle, {:.2} ms at 99 %, {} frames",
        millis(0.5),
        millis(0.99),
        late.count()
    );
}

/// Two threads that only count, for each core, until it is dropped.
struct Load(Arc<AtomicBool>);

impl Load {
    fn start() -> Self {
        let over = Arc::new(AtomicBool::new(false));
        for _ in 0..2 * thread::available_parallelism().map_or(2, usize::from) {
            let over = Arc::clone(&over);
            thread::spawn(move || {
                let mut count = 0_u64;
                while !over.load(Ordering::Relaxed) {
                    count = black_box(count.wrapping_add(1));
                }
            });
        }
        Self(over)
    }
}

impl Drop for Load {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

fn pace() {
    // Nobody reads: the kernel does a receiver's half in the sender's call and drops the packets.
    let sockets: Vec<_> = (0..60).map(|_| UdpSocket::bind("127.0.0.1:0").unwrap()).collect();
    let at: Vec<_> = sockets.iter().map(|socket| socket.local_addr().unwrap()).collect();
    let ports: Vec<_> = at.iter().map(SocketAddr::port).collect();
    let patch = Arc::new(patch(&ports, Protocol::E131));
    println!("60 panels of 4 packets, 60 frames a second");
    show("plain loop, idle", measured(|| plain(&patch, &at)));
    show("show, idle", measured(|| ours(&patch)));
    let _load = Load::start();
    // The load's own processor time is in these shares: only the lateness tells.
    show("plain loop, loaded", measured(|| plain(&patch, &at)));
    show("show, loaded", measured(|| ours(&patch)));
}

fn ports(count: usize) -> Vec<u16> {
    let all: Vec<_> = (0..count).map(|_| UdpSocket::bind("127.0.0.1:0").unwrap()).collect();
    all.iter().map(|socket| socket.local_addr().unwrap().port()).collect()
}

fn skew() {
    println!("from the first to the last panel that shows a frame, 12 panels, 60 frames a second");
    for protocol in [Protocol::E131, Protocol::ArtNet, Protocol::Ddp] {
        let patch = Arc::new(patch(&ports(12), protocol));
        let panels = VirtualPanels::open(&patch, Which::Virtual, OnLoss::Black).unwrap();
        let player = Player::start(Arc::clone(&patch), settings(), Box::new(Grey(0))).unwrap();
        thread::sleep(PLAYED);
        drop(player);
        let skew = panels.skew();
        let millis = |share| skew.share(share).as_secs_f64() * 1e3;
        println!(
            "  {protocol:<28?} {:.3} ms in the middle, {:.3} ms at 99 %, {} frames",
            millis(0.5),
            millis(0.99),
            skew.count()
        );
    }
}

/// Begins a fault, or ends it.
type Fault = fn(&Faults, bool);

/// From the end of a fault to the next frame that the panel shows.
fn recovery() {
    println!("from the end of a fault to the next frame shown, 10 times each: middle and longest");
    for protocol in [Protocol::E131, Protocol::ArtNet, Protocol::Ddp] {
        let behind = patch(&ports(1), protocol);
        let Address::Virtual { port } = behind.panels()[0].address else { return };
        let open = || VirtualPanels::open(&behind, Which::Virtual, OnLoss::Black).unwrap();
        let mut panels = Some(open());
        let shaper = Shaper::start(port, 3);
        let sent = Arc::new(patch(&[shaper.port], protocol));
        let _player = Player::start(sent, settings(), Box::new(Grey(0))).unwrap();
        let faults: [(&str, Fault); 3] = [
            ("a stall of 300 ms", |f, on| f.held.store(on, Ordering::Relaxed)),
            ("off for 300 ms", |f, on| f.off.store(on, Ordering::Relaxed)),
            ("5 % lost for 300 ms", |f, on| f.lost.store(50 * u32::from(on), Ordering::Relaxed)),
        ];
        let back = |panels: &VirtualPanels| {
            let (end, shown) = (Instant::now(), panels.health()[0].counts.shown);
            while panels.health()[0].counts.shown == shown {
                thread::sleep(Duration::from_micros(200));
            }
            end.elapsed()
        };
        thread::sleep(Duration::from_secs(1));
        for (what, fault) in faults {
            let mut times = Spread::default();
            for _ in 0..10 {
                fault(&shaper.faults, true);
                thread::sleep(Duration::from_millis(300));
                fault(&shaper.faults, false);
                times.add(back(panels.as_ref().unwrap()));
            }
            tell(protocol, what, &times);
        }
        let mut times = Spread::default();
        for _ in 0..10 {
            drop(panels.take());
            thread::sleep(Duration::from_millis(300));
            times.add(back(panels.insert(open())));
        }
        tell(protocol, "started anew after 300 ms", &times);
    }
}

fn tell(protocol: Protocol, what: &str, times: &Spread) {
    let millis = |length: Duration| length.as_secs_f64() * 1e3;
    let (middle, most) = (millis(times.share(0.5)), millis(times.most()));
    println!("  {:<8} {what:<28} {middle:7.1} ms, {most:7.1} ms", format!("{protocol:?}"));
}

fn main() {
    pace();
    skew();
    recovery();
}
