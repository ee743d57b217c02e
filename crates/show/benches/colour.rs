//! The colour path, picture to device bytes, beside a plain way to write it and beside a mere copy
//! of the picture.
//!
//! Every round runs all variants in turn, so that a machine that changes its speed changes it for
//! all; what counts is the median of the ratios within rounds. Two by two picture pixels to an LED.

use std::hint::black_box;
use std::io::{self, Write};
use std::time::{Duration, Instant};

use glowloom_show::{
    Averager, Brightness, Channels, DeviceFrame, Drawn, Finish, FlashGuard, Layout, LinearFrame,
    Pipeline, Raster, Sizing, Source, SourceError,
};

const ROUNDS: usize = 15;
/// Picture pixels to an LED, each way.
const EACH: u32 = 2;
/// How long one variant runs in one round, at least.
const LEAST: Duration = Duration::from_millis(8);

/// A wall, and what is asked of it: the plain way over ours at least, ours over a copy at most.
struct Wall {
    columns: u32,
    rows: u32,
    plain_over_ours: f64,
    ours_over_copy: f64,
}

const WALLS: [Wall; 3] = [
    Wall { columns: 60, rows: 30, plain_over_ours: 17.0, ours_over_copy: 35.0 },
    Wall { columns: 400, rows: 250, plain_over_ours: 17.0, ours_over_copy: 15.0 },
    Wall { columns: 1250, rows: 800, plain_over_ours: 13.0, ours_over_copy: 7.0 },
];

/// Pictures of noise, one after the other, as a video would be.
struct Noise {
    pictures: [Vec<u8>; 2],
    next: usize,
    averager: Averager,
}

impl Noise {
    fn new(columns: u32, rows: u32) -> Self {
        let length = (columns * rows * EACH * EACH * 3) as usize;
        let mut state = 0x9E37_79B9u32;
        let mut noise = || {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            (state >> 8) as u8
        };
        let pictures = [0, 1].map(|_| (0..length).map(|_| noise()).collect());
        Self { pictures, next: 0, averager: Averager::new() }
    }
}

impl Source for Noise {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        self.next ^= 1;
        let (width, height) = (into.columns() * EACH, into.rows() * EACH);
        if let Some(raster) = Raster::new(width, height, Layout::Rgb, &self.pictures[self.next]) {
            self.averager.draw(raster, Sizing::Fill, into);
        }
        Ok(Drawn::New)
    }
}

/// A source that draws once: what is left is brightness, ceiling and bytes.
struct Once;

impl Source for Once {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if into.is_blank() {
            into.values_mut().fill(31_000);
            return Ok(Drawn::New);
        }
        Ok(Drawn::Same)
    }
}

/// The plain way: every sample through the formula, new memory for every step. No flash guard.
fn plain(picture: &[u8], columns: usize, rows: usize, gain: f32) -> Vec<u8> {
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
    averages.iter().map(|value| (value * gain * 255.0).round() as u8).collect()
}

/// Nanoseconds a pixel of as many runs as fill the least time.
fn time(pixels: f64, mut run: impl FnMut()) -> f64 {
    let began = Instant::now();
    let mut runs = 0;
    while runs == 0 || began.elapsed() < LEAST {
        run();
        runs += 1;
    }
    began.elapsed().as_nanos() as f64 / (f64::from(runs) * pixels)
}

const VARIANTS: [&str; 6] =
    ["copy of the picture", "area average", "flash guard", "bytes", "whole, ours", "whole, plain"];

/// One round: the time of each variant, in their order.
fn round(wall: &Wall, bench: &mut Bench, tick: &mut u32) -> [f64; VARIANTS.len()] {
    let pixels = f64::from(wall.columns * wall.rows);
    let Bench { noise, frame, guard, whole, once, device, copy } = bench;
    let mut now = || {
        *tick += 1;
        Duration::from_micros(16_667) * *tick
    };
    let picture = noise.pictures[0].clone();
    [
        time(pixels, || copy.copy_from_slice(black_box(&picture))),
        time(pixels, || drop(black_box(noise.draw(Duration::ZERO, frame)))),
        time(pixels, || {
            black_box(guard.pass(now(), frame));
        }),
        time(pixels, || drop(black_box(once.frame(now(), device)))),
        time(pixels, || drop(black_box(whole.frame(now(), device)))),
        time(pixels, || {
            let (columns, rows) = (wall.columns as usize, wall.rows as usize);
            black_box(plain(black_box(&picture), columns, rows, 0.6));
        }),
    ]
}

struct Bench {
    noise: Noise,
    frame: LinearFrame,
    guard: FlashGuard,
    whole: Pipeline,
    once: Pipeline,
    device: DeviceFrame,
    copy: Vec<u8>,
}

impl Bench {
    fn new(columns: u32, rows: u32) -> Self {
        let noise = Noise::new(columns, rows);
        let finish = Finish { channels: Channels::Rgb, ceiling: 153 };
        let pipeline = |source: Box<dyn Source>| {
            let mut pipeline = Pipeline::new(columns, rows, finish, Brightness::FULL);
            pipeline.show(source, Duration::ZERO);
            pipeline
        };
        let once = pipeline(Box::new(Once));
        Self {
            frame: LinearFrame::new(columns, rows),
            guard: FlashGuard::new(columns, rows),
            whole: pipeline(Box::new(Noise::new(columns, rows))),
            device: once.device_frame(),
            copy: vec![0; noise.pictures[0].len()],
            once,
            noise,
        }
    }
}

/// The least, the middle and the greatest of some values.
fn spread(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    [values[0], values[values.len() / 2], values[values.len() - 1]]
}

fn main() -> io::Result<()> {
    let mut out = io::stdout().lock();
    writeln!(out, "ns a pixel, least / median / greatest of {ROUNDS} rounds")?;
    for wall in &WALLS {
        let mut bench = Bench::new(wall.columns, wall.rows);
        let mut tick = 0;
        round(wall, &mut bench, &mut tick);
        let rounds: Vec<_> = (0..ROUNDS).map(|_| round(wall, &mut bench, &mut tick)).collect();
        writeln!(out, "\n{} pixels ({} x {})", wall.columns * wall.rows, wall.columns, wall.rows)?;
        for (n, name) in VARIANTS.iter().enumerate() {
            let [least, median, most] = spread(rounds.iter().map(|round| round[n]).collect());
            writeln!(out, "  {name:24} {least:8.2} / {median:8.2} / {most:8.2}")?;
        }
        let ratio = |over: usize, under: usize| {
            spread(rounds.iter().map(|round| round[over] / round[under]).collect())
        };
        let [least, median, most] = ratio(5, 4);
        let wanted = wall.plain_over_ours;
        let ok = if median >= wanted { "met" } else { "MISSED" };
        writeln!(
            out,
            "  {:24} {least:8.1} / {median:8.1} / {most:8.1}   at least {wanted}: {ok}",
            "plain over ours"
        )?;
        let [least, median, most] = ratio(4, 0);
        let wanted = wall.ours_over_copy;
        let ok = if median <= wanted { "met" } else { "MISSED" };
        writeln!(
            out,
            "  {:24} {least:8.1} / {median:8.1} / {most:8.1}   at most {wanted}: {ok}",
            "ours over a copy"
        )?;
    }
    Ok(())
}
