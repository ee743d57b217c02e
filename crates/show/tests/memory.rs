//! Memory, counted by an allocator: none is taken once frames flow, and no file can ask for more
//! than its header was allowed.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod common;

use std::hint::black_box;
use std::io::Cursor;
use std::time::Duration;

use allocation_counter::measure;
use common::*;
use glowloom_show::heard::{Sounding, pictures_of_sound};
use glowloom_show::lettering::{
    ClockPicture, ClockStyle, DateOrder, Flow, Hours, Reading, Seconds, Text, TextStyle,
};
use glowloom_show::made::made_by_code;
use glowloom_show::picture::Picture;
use glowloom_show::{
    Areas, Averager, Brightness, Channels, Emitters, Filter, Finish, Laying, Layout, LinearFrame,
    Look, Pipeline, Raster, Shares, Sizing, Source, Steps,
};
use glowloom_sound::Recording;
use glowloom_units::Chromaticity;
use png::ColorType;

const TICK: Duration = Duration::from_micros(33_333);

/// What 100 frames take, after ten to warm up.
fn taken(source: Box<dyn Source>, channels: Channels) -> u64 {
    taken_by(source, channels, |_| ())
}

/// The same by a pipeline on which something has been set.
fn taken_by(source: Box<dyn Source>, channels: Channels, set: impl Fn(&mut Pipeline)) -> u64 {
    let finish = Finish { channels, ceiling: 200 };
    let mut pipeline = Pipeline::new(60, 32, finish, Brightness::FULL);
    set(&mut pipeline);
    let mut device = pipeline.device_frame();
    pipeline.show(source, Duration::ZERO);
    (0..10).for_each(|n| drop(pipeline.frame(TICK * n, &mut device)));
    let counted = measure(|| {
        for n in 10..110 {
            pipeline.frame(TICK * n, &mut device).unwrap();
        }
    });
    counted.count_total
}

#[test]
fn a_hundred_frames_take_nothing() {
    let still = png((120, 64), ColorType::Grayscale, png::BitDepth::Eight, None, &[99; 120 * 64]);
    for channels in [Channels::Rgb, Channels::Rgbw] {
        let still = Picture::open(&still[..]).unwrap().into_source(Sizing::Fill);
        assert_eq!(taken(still, channels), 0, "a still");
        for made in made_by_code() {
            assert_eq!(taken(made.source(), channels), 0, "{}", made.name);
        }
        for flow in [Flow::Still, Flow::Scroll] {
            let style = TextStyle { flow, ..TextStyle::default() };
            let text = Text::new("Ebb & flut à la marée", style, (90, 32)).unwrap();
            assert_eq!(taken(Box::new(text), channels), 0, "a text");
        }
        assert_eq!(taken(Box::new(Ticking::new()), channels), 0, "a clock");
        for hearing in pictures_of_sound() {
            let recording = Recording::open(Cursor::new(hum())).unwrap();
            let sounding = Sounding::new(Box::new(recording), hearing.picture());
            assert_eq!(taken(Box::new(sounding), channels), 0, "{}", hearing.name);
        }
    }
}

/// A WAV file of half a second that beats.
fn hum() -> Vec<u8> {
    let sample_format = hound::SampleFormat::Int;
    let spec =
        hound::WavSpec { channels: 2, sample_rate: 44_100, bits_per_sample: 24, sample_format };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for n in 0..44_100 {
        writer.write_sample((n * 7919 % 65_536 - 32_768) * i32::from(n % 20_000 < 2_000)).unwrap();
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

/// A clock with all that it can show, an hour to a second.
struct Ticking(ClockPicture);

impl Ticking {
    fn new() -> Self {
        let style = ClockStyle {
            hours: Hours::Twelve,
            seconds: Seconds::Sweep,
            date: Some(DateOrder::YearMonthDay),
            ..ClockStyle::default()
        };
        Self(ClockPicture::new(style, (60, 32)).unwrap())
    }
}

impl Source for Ticking {
    fn draw(
        &mut self,
        at: Duration,
        into: &mut LinearFrame,
    ) -> Result<glowloom_show::Drawn, glowloom_show::SourceError> {
        let (hour, nanosecond) = ((at.as_secs() % 24) as u8, at.subsec_nanos());
        let now =
            Reading { year: 2026, month: 12, day: 31, hour, minute: 59, second: 58, nanosecond };
        Ok(self.0.draw(&now, into))
    }
}

/// Another picture every time, by the sharper filter.
struct Moving(Averager, Vec<u8>);

impl Source for Moving {
    fn draw(
        &mut self,
        at: Duration,
        into: &mut LinearFrame,
    ) -> Result<glowloom_show::Drawn, glowloom_show::SourceError> {
        self.1.fill(at.subsec_millis() as u8);
        let raster = Raster::new(100, 50, Layout::Rgb, &self.1).unwrap();
        let laying = Laying { sizing: Sizing::Fill, filter: Filter::Sharp };
        self.0.draw(raster, laying, into);
        Ok(glowloom_show::Drawn::New)
    }
}

/// Every stage of the colour path is at work.
#[test]
fn the_whole_colour_path_takes_nothing() {
    let at = |x, y| Chromaticity::new(x, y).unwrap();
    let primaries = [at(0.69, 0.31), at(0.17, 0.70), at(0.13, 0.07)];
    let strip = Emitters::new(primaries, at(0.28, 0.29)).unwrap();
    let strip = strip.with_gamma(2.2).unwrap().with_white_light([1.5, 1.3, 0.9]).unwrap();
    for channels in [Channels::Rgb, Channels::Rgbw] {
        for steps in [Steps::Eight, Steps::FiveSixFive] {
            let moving = Moving(Averager::new(), vec![0; 100 * 50 * 3]);
            let took = taken_by(Box::new(moving), channels, |pipeline| {
                pipeline.set_look(Look::new(1.3, at(0.3457, 0.3585)).unwrap());
                pipeline.set_strip(strip, steps);
                let dim = Shares::new([0.9, 0.8, 1.0, 0.7]).unwrap();
                pipeline.set_areas(Areas::new(60, 32, [(dim, 0..700)]));
                pipeline.set_dither(true);
            });
            assert_eq!(took, 0, "{channels:?} {steps:?}");
        }
    }
}

/// Black and white in turn, ten times a second: the flash guard is at work.
struct Strobe;

impl Source for Strobe {
    fn draw(
        &mut self,
        at: Duration,
        into: &mut LinearFrame,
    ) -> Result<glowloom_show::Drawn, glowloom_show::SourceError> {
        let white = (at.as_millis() / 50).is_multiple_of(2);
        into.values_mut().fill(if white { u16::MAX } else { 0 });
        Ok(glowloom_show::Drawn::New)
    }
}

#[test]
fn holding_frames_back_takes_nothing() {
    assert_eq!(taken(Box::new(Strobe), Channels::Rgb), 0);
}

#[test]
fn the_counter_counts() {
    assert_eq!(measure(|| drop(black_box(vec![0u8; 100]))).count_total, 1);
}

/// Headers of a few bytes that promise thousands of millions of pixels.
#[test]
fn a_header_takes_no_memory() {
    let huge = ihdr((60_000, 60_000), ColorType::Rgba, false);
    let canvas = [&[2, 0, 0, 0][..], &[0xFF; 6]].concat();
    let mut gif = gif((1, 1), Some(0), &[Frame::row(0, &[RED], 100)]);
    gif[6..10].fill(0xFF);
    for file in [
        raw_png(&[(b"IHDR", huge)]),
        gif,
        chunk(b"RIFF", &[b"WEBP".to_vec(), chunk(b"VP8X", &canvas)].concat()),
    ] {
        let counted = measure(|| assert!(Picture::open(&file[..]).is_err()));
        assert!(counted.bytes_max < 300_000, "{} bytes", counted.bytes_max);
    }
}

/// An animation holds one canvas, not its frames.
#[test]
fn an_animation_is_decoded_as_it_plays() {
    const SIDE: u32 = 100;
    let pixels = vec![RED; (SIDE * SIDE) as usize];
    let frame = Frame { width: SIDE, height: SIDE, ..Frame::row(0, &pixels, 20) };
    let frames = vec![frame; 200];
    let size = (SIDE, SIDE);
    for file in [
        gif((SIDE as u16, SIDE as u16), Some(0), &frames),
        apng(size, 0, &frames),
        animated_webp(size, 0, &frames),
    ] {
        let canvas = u64::from(SIDE * SIDE) * 4;
        let counted = measure(|| {
            let mut source = Picture::open(&file[..]).unwrap().into_source(Sizing::Fill);
            let mut wall = LinearFrame::new(6, 6);
            for ms in (0..4000).step_by(20) {
                source.draw(Duration::from_millis(ms), &mut wall).unwrap();
            }
        });
        let most = 4 * canvas + 300_000 + file.len() as u64;
        assert!(counted.bytes_max < most, "{} of {most} bytes", counted.bytes_max);
    }
}
