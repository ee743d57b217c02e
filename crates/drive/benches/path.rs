//! The whole way of a frame, from an 8-bit picture of 2 x 2 pixels to an LED to E1.31 packets on the loopback
//! interface, beside a plain way to write it, a tuned script (`path.py`, if numpy is there; `GLOWLOOM_PYTHON` names the
//! interpreter) and a copy of the picture: all in one run, ratios within rounds, processor time of the thread.
//!
//! Then the same held at 60 frames a second by the player, with the time from when a source draws to when the last
//! packet with it arrives. Receivers never read but for the last panel's then. `count COLUMNS ROWS PANELS FRAMES` draws so many
//! frames and nothing else, for a count of instructions (`instructions.sh`).

#![allow(clippy::print_stdout, reason = "the result")]
#![allow(clippy::unwrap_used, reason = "what fails here ends the bench")]

mod support;

use std::hint::black_box;
use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, UdpSocket};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use glowloom_drive::{Calls, Frames, FramesPerSecond, Live, Player, Sender, Settings};
use glowloom_show::{
    Averager, Brightness, Channels, Drawn, Finish, Layout, LinearFrame, Pipeline, Raster, Sizing,
    Source, SourceError,
};
use glowloom_wire::Patch;
use support::{patch, print, spread};

const ROUNDS: usize = 15;
const EACH: u32 = 2;
const RATE: f64 = 60.0;
/// Columns, rows, panels, frames to a round; what is asked of the ratios: the plain way over ours, whole and colour
/// alone, at least; our colour over a copy of the picture at most.
const WALLS: [(u32, u32, u32, u32, [f64; 3]); 3] = [
    (60, 30, 3, 60, [7.0, 17.0, 35.0]),
    (400, 250, 20, 2, [10.0, 17.0, 15.0]),
    (1250, 800, 50, 1, [10.0, 13.0, 7.0]),
];

/// Lights that tell frames apart, far enough from each other that dither does not mix them up.
const LEVELS: usize = 50;
const STEP: u16 = 1300;

/// Processor time of this thread.
#[cfg(unix)]
fn busy() -> Duration {
    clock(rustix::time::ClockId::ThreadCPUTime)
}

#[cfg(unix)]
fn clock(clock: rustix::time::ClockId) -> Duration {
    let time = rustix::time::clock_gettime(clock);
    Duration::new(time.tv_sec as u64, time.tv_nsec as u32)
}

#[cfg(unix)]
fn busy_all() -> Option<Duration> {
    Some(clock(rustix::time::ClockId::ProcessCPUTime))
}

/// Elsewhere the time of day has to do.
#[cfg(not(unix))]
fn busy() -> Duration {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    START.get_or_init(Instant::now).elapsed()
}

#[cfg(not(unix))]
fn busy_all() -> Option<Duration> {
    None
}

/// Pictures of noise, as a film would bring them. The light of the first row and of the last tells which one it is.
struct Noise {
    pictures: [Vec<u8>; 2],
    averager: Averager,
    drawn: Option<Arc<Mutex<Vec<Instant>>>>,
    count: usize,
}

impl Noise {
    fn new(columns: u32, rows: u32, drawn: Option<Arc<Mutex<Vec<Instant>>>>) -> Self {
        let length = (columns * rows * EACH * EACH * 3) as usize;
        let mut state = 0x9E37_79B9u32;
        let mut noise = || {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            (state >> 8) as u8
        };
        let pictures = [0, 1].map(|_| (0..length).map(|_| noise()).collect());
        Self { pictures, averager: Averager::new(), drawn, count: 0 }
    }
}

impl Source for Noise {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let began = Instant::now();
        let (width, height) = (into.columns() * EACH, into.rows() * EACH);
        let picture = &self.pictures[self.count % 2];
        if let Some(raster) = Raster::new(width, height, Layout::Rgb, picture) {
            self.averager.draw(raster, Sizing::Fill, into);
        }
        if let Some(drawn) = &self.drawn {
            let level = (self.count % LEVELS) as u16 * STEP;
            let row = into.columns() as usize * 3;
            let start = into.values().len() - row;
            into.values_mut()[start..].fill(level);
            into.values_mut()[..row].fill(level);
            drawn.lock().unwrap().push(began);
        }
        self.count += 1;
        Ok(Drawn::New)
    }
}

fn live(patch: &Patch, drawn: Option<Arc<Mutex<Vec<Instant>>>>) -> Live {
    let common = patch.common();
    let finish = Finish { channels: Channels::Rgb, ceiling: common.ceiling };
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, Brightness::FULL);
    pipeline.set_dither(true);
    let source = Noise::new(common.columns, common.rows, drawn);
    pipeline.show(Box::new(source), Duration::ZERO);
    Live::new(pipeline, patch).unwrap().0
}

/// The plain way to bytes: every sample through the formula, new memory for every step.
fn plain(picture: &[u8], columns: usize, rows: usize) -> Vec<u8> {
    let each = EACH as usize;
    let linear: Vec<f32> = picture
        .iter()
        .map(|&code| {
            let c = f32::from(code) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        })
        .collect();
    let mut averages = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            for colour in 0..3 {
                let mut sum = 0.0;
                for y in 0..each {
                    for x in 0..each {
                        let at = (row * each + y) * columns * each + column * each + x;
                        sum += linear[at * 3 + colour];
                    }
                }
                averages.push(sum / (each * each) as f32);
            }
        }
    }
    averages.iter().map(|value| (value * 200.0).round() as u8).collect()
}

/// The plain way to packets: a new one for each universe.
fn plain_packets(bytes: &[u8], patch: &Patch, number: u8) -> Vec<(SocketAddr, Vec<u8>)> {
    let mut packets = Vec::new();
    for panel in patch.panels() {
        let glowloom_wire::patch::Address::Virtual { port } = panel.address else { continue };
        let to = SocketAddr::from(([127, 0, 0, 1], port));
        for line in &panel.lines {
            for (universe, pixels) in (line.first_universe..).zip(line.pixels.chunks(170)) {
                let mut packet = vec![0u8; 126];
                packet[111] = number;
                packet[113..115].copy_from_slice(&universe.to_be_bytes());
                for pixel in pixels.iter().flatten() {
                    let at = *pixel as usize * 3;
                    packet.extend_from_slice(&bytes[at..at + 3]);
                }
                packet.resize(638, 0);
                packets.push((to, packet));
            }
        }
    }
    packets
}

/// The script, where there is numpy.
struct Script {
    child: Child,
    answers: BufReader<std::process::ChildStdout>,
}

impl Script {
    fn start(columns: u32, rows: u32, panels: u32, ports: &[u16]) -> Option<Self> {
        let python = std::env::var_os("GLOWLOOM_PYTHON").unwrap_or_else(|| "python3".into());
        let there =
            Command::new(&python).args(["-c", "import numpy"]).stderr(Stdio::null()).status();
        if !there.is_ok_and(|status| status.success()) {
            return None;
        }
        let ports: Vec<_> = ports.iter().map(u16::to_string).collect();
        let mut child = Command::new(python)
            .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/benches/path.py"))
            .args([columns, rows, panels].map(|number| number.to_string()))
            .arg(ports.join(","))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let answers = BufReader::new(child.stdout.take().unwrap());
        Some(Self { child, answers })
    }

    /// Nanoseconds of processor time a pixel, with what sending costs or without.
    fn run(&mut self, frames: u32, how: &str) -> f64 {
        writeln!(self.child.stdin.as_mut().unwrap(), "{frames}{how}").unwrap();
        let mut line = String::new();
        self.answers.read_line(&mut line).unwrap();
        line.trim().parse().unwrap()
    }
}

impl Drop for Script {
    fn drop(&mut self) {
        drop(self.child.stdin.take());
        let _ = self.child.wait();
    }
}

fn open(panels: u32) -> (Vec<UdpSocket>, Vec<u16>) {
    let receivers: Vec<_> = (0..panels).map(|_| UdpSocket::bind("127.0.0.1:0").unwrap()).collect();
    let ports = receivers.iter().map(|receiver| receiver.local_addr().unwrap().port()).collect();
    (receivers, ports)
}

fn settings() -> Settings {
    let mut settings = Settings::new(FramesPerSecond(RATE), [7; 16]).unwrap();
    (settings.ask, settings.look_out) = (false, None);
    settings
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(at) = arguments.iter().position(|word| word == "count") {
        let numbers = arguments[at + 1..].iter().map(|word| word.parse().unwrap());
        let [columns, rows, panels, frames] = *numbers.collect::<Vec<u32>>() else {
            panic!("wanted: count COLUMNS ROWS PANELS FRAMES");
        };
        count(columns, rows, panels, frames);
        return;
    }
    for (columns, rows, panels, frames, wanted) in WALLS {
        let pixels = columns * rows;
        println!(
            "{columns} x {rows} = {pixels} pixels, {panels} panels; minimum / median / maximum"
        );
        race(columns, rows, panels, frames, wanted);
        held(columns, rows, panels);
    }
}

/// Colour path and mapping alone.
fn count(columns: u32, rows: u32, panels: u32, frames: u32) {
    let ports: Vec<_> = (0..panels as u16).map(|nth| 20_000 + nth).collect();
    let patch = patch(columns, rows, panels, &ports);
    let mut live = live(&patch, None);
    let mut block = glowloom_drive::block::Block::new(&patch, &settings()).unwrap();
    let mut bytes = vec![0; patch.frame_bytes()];
    for tick in 0..frames {
        live.frame(Duration::from_micros(16_667) * tick, &mut bytes).unwrap();
        black_box(block.draw(&bytes).unwrap());
    }
}

fn race(columns: u32, rows: u32, panels: u32, frames: u32, wanted: [f64; 3]) {
    let (_receivers, ports) = open(panels);
    let patch = patch(columns, rows, panels, &ports);
    let pixels = f64::from(columns * rows);
    let mut sender = Sender::new(&patch, &settings(), Calls::Many).unwrap();
    let mut script = Script::start(columns, rows, panels, &ports);
    let mut live = live(&patch, None);
    let mut bytes = vec![0; patch.frame_bytes()];
    let picture = Noise::new(columns, rows, None).pictures[0].clone();
    let mut copy = picture.clone();
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    let (columns, rows) = (columns as usize, rows as usize);
    let mut tick = 0u32;
    let mut rounds = vec![Vec::new(); 7];
    for round in 0..=ROUNDS {
        let mut time = |variant: usize, run: &mut dyn FnMut()| {
            let began = busy();
            (0..frames).for_each(|_| run());
            let each = (busy() - began).as_secs_f64() * 1e9 / f64::from(frames) / pixels;
            // The first round warms up.
            if round > 0 {
                rounds[variant].push(each);
            }
        };
        let mut colour = |sender: &mut Sender| {
            tick += 1;
            live.frame(Duration::from_micros(16_667) * tick, &mut bytes).unwrap();
            black_box(sender.draw(&bytes).unwrap());
        };
        time(0, &mut || copy.copy_from_slice(black_box(&picture)));
        time(1, &mut || colour(&mut sender));
        time(2, &mut || {
            colour(&mut sender);
            sender.send(Duration::ZERO);
        });
        time(3, &mut || {
            let bytes = plain(black_box(&picture), columns, rows);
            black_box(plain_packets(&bytes, &patch, 0));
        });
        time(4, &mut || {
            let bytes = plain(black_box(&picture), columns, rows);
            for (to, packet) in plain_packets(&bytes, &patch, 0) {
                socket.send_to(&packet, to).unwrap();
            }
            for port in &ports {
                socket.send_to(&[0; 49], ("127.0.0.1", *port)).unwrap();
            }
        });
        if let Some(script) = &mut script {
            for (variant, how) in [(5, ""), (6, " unsent")] {
                let each = script.run(frames, how);
                if round > 0 {
                    rounds[variant].push(each);
                }
            }
        }
    }
    let names = [
        "copy of the picture",
        "colour and mapping",
        "whole",
        "plain colour and mapping",
        "plain whole",
    ];
    for (name, values) in names.iter().zip(&rounds) {
        print(&format!("{name}, ns a pixel"), values.clone(), 2);
    }
    let ratio = |over: usize, under: usize| -> Vec<f64> {
        rounds[over].iter().zip(&rounds[under]).map(|(over, under)| over / under).collect()
    };
    asked(
        "plain whole / whole",
        ratio(4, 2),
        |found| found >= wanted[0],
        &format!("at least {}", wanted[0]),
    );
    asked(
        "plain colour / colour",
        ratio(3, 1),
        |found| found >= wanted[1],
        &format!("at least {}", wanted[1]),
    );
    asked(
        "colour / copy",
        ratio(1, 0),
        |found| found <= wanted[2],
        &format!("at most {}", wanted[2]),
    );
    if rounds[5].is_empty() {
        println!("  numpy is not there: no script to compare with");
        return;
    }
    print("script colour and mapping, ns a pixel", rounds[6].clone(), 2);
    asked("script colour / colour", ratio(6, 1), |found| found >= 5.0, "at least 5");
    print("script whole, ns a pixel", rounds[5].clone(), 2);
    asked("script whole / whole", ratio(5, 2), |found| found >= 5.0, "at least 5");
}

fn asked(what: &str, values: Vec<f64>, met: impl Fn(f64) -> bool, wanted: &str) {
    let median = spread(values.clone())[1];
    print(what, values, 1);
    println!("  {:<46} {wanted}: {}", "", if met(median) { "met" } else { "MISSED" });
}

/// Plays for some seconds, as a show does, on as many threads as it has.
fn held(columns: u32, rows: u32, panels: u32) {
    const SECONDS: f64 = 6.0;
    let (receivers, ports) = open(panels);
    let patch = Arc::new(patch(columns, rows, panels, &ports));
    let drawn = Arc::new(Mutex::new(Vec::with_capacity(10_000)));
    let live = live(&patch, Some(Arc::clone(&drawn)));
    let last = receivers.last().unwrap().try_clone().unwrap();
    last.set_read_timeout(Some(Duration::from_secs(1))).unwrap();
    let arrivals = std::thread::spawn(move || arrivals(&last));
    let (began, busy) = (Instant::now(), busy_all());
    let player = Player::start(Arc::clone(&patch), settings(), Box::new(live)).unwrap();
    std::thread::sleep(Duration::from_secs_f64(SECONDS));
    let health = player.health();
    let (took, used) = (began.elapsed(), busy_all().zip(busy).map(|(all, before)| all - before));
    player.stop();
    let arrivals = arrivals.join().unwrap();
    let drawn = drawn.lock().unwrap();
    let late = health.skipped + health.overtaken;
    println!(
        "  held at {RATE} a second: {} frames sent, {late} late, {} repeated",
        health.sent, health.repeated
    );
    if let Some(used) = used {
        println!(
            "  {:<46} {:>10.1} % of a core",
            "processor, all threads and the last receiver",
            used.as_secs_f64() / took.as_secs_f64() * 100.0
        );
    }
    // The frame that a level tells: the last one of that level that was drawn before it came.
    let latencies = arrivals.iter().filter_map(|(at, level)| {
        let mut frames = drawn.iter().enumerate().rev();
        let drawn = frames.find(|(n, began)| n % LEVELS == *level && **began <= *at);
        drawn.map(|(_, began)| (*at - *began).as_secs_f64() * 1e3)
    });
    let mut latencies: Vec<f64> = latencies.collect();
    latencies.sort_by(f64::total_cmp);
    if let [first, .., last] = *latencies {
        let share = |share: f64| latencies[((latencies.len() - 1) as f64 * share) as usize];
        println!(
            "  {:<46} {first:>10.2} / {:>10.2} / {last:>10.2}, 99 %: {:.2}",
            "source frame to last packet, ms, ahead in ring",
            share(0.5),
            share(0.99)
        );
    }
    println!(
        "  {:<46} median {:.2}, 99 %: {:.2}",
        "tick to its sending, ms",
        health.lateness.share(0.5).as_secs_f64() * 1e3,
        health.lateness.share(0.99).as_secs_f64() * 1e3
    );
}

/// When each new frame's last packet came to the last panel, and the level that it shows.
fn arrivals(receiver: &UdpSocket) -> Vec<(Instant, usize)> {
    let mut packet = [0; 1500];
    let mut all = Vec::with_capacity(10_000);
    let mut level = None;
    while let Ok(length) = receiver.recv(&mut packet) {
        if length == 49 {
            // All data came before it.
            if let Some(level) = level.take() {
                all.push((Instant::now(), level));
            }
            continue;
        }
        // The last strip of all ends in the first row or in the last one.
        let byte = f64::from(packet[length - 1]);
        let light = byte / 200.0 * 65_535.0;
        level = Some(((light / f64::from(STEP)).round()) as usize);
    }
    all
}
