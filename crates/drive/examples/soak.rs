//! A long show on virtual panels, with memory and handles watched: nothing may grow.
//!
//!   cargo run --release -p glowloom-drive --example soak -- [MINUTES] [PANELS]
//!
//! 30 minutes and 12 panels unless told otherwise, 60 frames a second. A line a minute; at the end what
//! memory, handles and threads did after the first tenth, in which buffers fill. Exit code 1 where one has
//! grown, or where a frame was lost. Receivers are asked how they are and looked for, and a stranger's
//! packets come, as in life. Linux alone tells a program its memory and handles this way.

#![allow(clippy::print_stdout, reason = "the result")]
#![allow(clippy::unwrap_used, reason = "what fails here ends the soak")]

use std::net::UdpSocket;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

use glowloom_drive::{
    Announcement, FramesPerSecond, Live, OnLoss, Player, Reach, Settings, VirtualPanels, Which,
};
use glowloom_show::{Brightness, Channels, Finish, Pipeline, made};
use glowloom_wire::Patch;
use glowloom_wire::patch::{self, Address, Common, Line, PanelPatch, Protocol};

const RATE: f64 = 60.0;
/// Columns of a panel, and rows.
const SIZE: (u32, u32) = (20, 32);

/// What the system says of this process.
#[derive(Clone, Copy, Debug)]
struct Use {
    kilobytes: u64,
    handles: u64,
    threads: u64,
}

fn now_used() -> Use {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let of = |key: &str| {
        let line = status.lines().find_map(|line| line.strip_prefix(key));
        line.and_then(|rest| rest.split_whitespace().next()?.parse().ok()).unwrap_or(0)
    };
    let handles = std::fs::read_dir("/proc/self/fd").map_or(0, |all| all.count() as u64);
    Use { kilobytes: of("VmRSS:"), handles, threads: of("Threads:") }
}

/// Processor time of this process so far, seconds.
fn processor_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks = |nth| after_name.split_whitespace().nth(nth).and_then(|n| n.parse::<f64>().ok());
    // utime and stime, the 14th and 15th field, in hundredths of a second (proc(5)).
    (ticks(11).unwrap_or(0.0) + ticks(12).unwrap_or(0.0)) / 100.0
}

fn patch(panels: u32) -> Patch {
    let columns = SIZE.0 * panels;
    let panel = |nth: u32| {
        let pixels = (0..SIZE.0).flat_map(|strip| {
            (0..SIZE.1).map(move |step| Some(step * columns + nth * SIZE.0 + strip))
        });
        let port = UdpSocket::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        PanelPatch {
            name: format!("panel {}", nth + 1),
            address: Address::Udp { host: "127.0.0.1".into(), port },
            lines: vec![Line {
                first_universe: (1 + nth * 4) as u16,
                byte_offset: 0,
                pixels: pixels.collect(),
            }],
        }
    };
    let common = Common {
        columns,
        rows: SIZE.1,
        channels: patch::Channels::Three,
        protocol: Protocol::E131,
        ceiling: 200,
        sync_universe: 9999,
    };
    Patch::new(common, (0..panels).map(panel).collect()).unwrap().of_wall("Soak")
}

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let minutes: u64 =
        arguments.next().map_or(30, |text| text.parse().expect("how many minutes, a whole number"));
    let count: u32 =
        arguments.next().map_or(12, |text| text.parse().expect("how many panels, a whole number"));
    let patch = Arc::new(patch(count));
    let panels = VirtualPanels::open(&patch, Which::AlsoLoopback, OnLoss::Black).unwrap();
    let mdns = UdpSocket::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let places: Vec<_> = panels.health().iter().map(|panel| panel.at).enumerate().collect();
    let stranger_to = places[0].1;
    let _told = Announcement::of_panels(&patch, places, mdns);
    let common = patch.common();
    let finish = Finish { channels: Channels::Rgb, ceiling: common.ceiling };
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, Brightness::FULL);
    pipeline.set_dither(true);
    let picture = made::made_by_code().iter().find(|made| made.name == "drift").unwrap();
    pipeline.show(picture.source(), Duration::ZERO);
    let (live, _remote) = Live::new(pipeline, &patch).unwrap();
    let mut settings = Settings::new(FramesPerSecond(RATE), *b"a soak of drive.").unwrap();
    settings.look_out = Some(Reach { port: mdns, loopback_only: true });
    let player = Player::start(Arc::clone(&patch), settings, Box::new(live)).unwrap();
    let stranger = UdpSocket::bind("127.0.0.1:0").unwrap();

    let start = Instant::now();
    let (mut steady, mut most) = (None, now_used());
    println!(
        "minute   kB  handles  threads  frames  skipped  eased  late 99 % ms  skew 99 % ms  cpu %"
    );
    for minute in 1..=minutes {
        while start.elapsed() < Duration::from_secs(60 * minute) {
            std::thread::sleep(Duration::from_millis(500));
            let _ = stranger.send_to(b"no packet of any protocol", stranger_to);
            // Asked for as `status` does, so that its work is in it.
            let _ = (player.health(), panels.health());
        }
        let (used, health) = (now_used(), player.health());
        if minute * 10 >= minutes {
            steady.get_or_insert(used);
            most = Use {
                kilobytes: most.kilobytes.max(used.kilobytes),
                handles: most.handles.max(used.handles),
                threads: most.threads.max(used.threads),
            };
        }
        println!(
            "{minute:6} {:5} {:8} {:8} {:7} {:8} {:6} {:13.2} {:13.2} {:6.1}",
            used.kilobytes,
            used.handles,
            used.threads,
            health.sent,
            health.skipped,
            health.eased.map_or(1.0, |eased| eased.share),
            health.lateness.share(0.99).as_secs_f64() * 1e3,
            panels.skew().share(0.99).as_secs_f64() * 1e3,
            100.0 * processor_seconds() / start.elapsed().as_secs_f64(),
        );
    }
    let shown = panels.health();
    let last = player.stop();
    let lost: u64 = shown.iter().map(|panel| panel.counts.lost + panel.counts.late).sum();
    let dropped: u64 = last.panels.iter().map(|panel| panel.dropped).sum();
    let steady = steady.unwrap_or(most);
    println!("frames sent {}, packets lost or late {lost}, frames dropped {dropped}", last.sent);
    println!(
        "after the first tenth: {} kB, then at most {}; handles {} and {}; threads {} and {}",
        steady.kilobytes,
        most.kilobytes,
        steady.handles,
        most.handles,
        steady.threads,
        most.threads
    );
    let grown = most.kilobytes > steady.kilobytes + steady.kilobytes / 20
        || most.handles > steady.handles
        || most.threads > steady.threads;
    if grown || lost + dropped > 0 {
        println!("not flat");
        return ExitCode::FAILURE;
    }
    println!("flat");
    ExitCode::SUCCESS
}
