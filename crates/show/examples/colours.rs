//! Sends one picture through the pipeline again and again and writes the device bytes of every frame to
//! standard output, to be compared with another program's.
//!
//! `colours COLUMNS ROWS FRAMES [KEY=NUMBER,..]...`
//!
//! The picture comes on standard input: 8-bit sRGB, row-major, one pixel to a pixel of the wall. Keys:
//! `ceiling`, `brightness`, `saturation`, `white` (CIE x and y wanted), `primaries` (x and y of red, green
//! and blue), `strip-white`, `gamma`, `white-light` (of a white LED; there is one then), `shares` (of red,
//! green, blue and white that the right half keeps), `dither` (0 or 1), `bits` (24 or 16).

use std::collections::BTreeMap;
use std::error::Error;
use std::io::{Read, Write};
use std::time::Duration;

use glowloom_show::{
    Areas, Averager, Brightness, Channels, Drawn, Emitters, Finish, Layout, LinearFrame, Look,
    Pipeline, Raster, Shares, Sizing, Source, SourceError, Steps,
};
use glowloom_units::Chromaticity;

/// One picture, one picture pixel to a wall pixel.
struct Given(Vec<u8>);

impl Source for Given {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if let Some(raster) = Raster::new(into.columns(), into.rows(), Layout::Rgb, &self.0) {
            Averager::new().draw(raster, Sizing::Stretch, into);
        }
        Ok(Drawn::New)
    }
}

type Figures = BTreeMap<String, Vec<f64>>;

fn numbers<const N: usize>(figures: &Figures, key: &str, or: [f64; N]) -> Result<[f64; N], String> {
    figures.get(key).map_or(Ok(or), |found| {
        found.as_slice().try_into().map_err(|_| format!("{key} takes {N} numbers"))
    })
}

fn place([x, y]: [f64; 2]) -> Result<Chromaticity, String> {
    Chromaticity::new(x, y).ok_or_else(|| format!("no light has x {x} and y {y}"))
}

fn look(figures: &Figures) -> Result<Look, String> {
    let [saturation] = numbers(figures, "saturation", [1.0])?;
    let white = place(numbers(figures, "white", [0.3127, 0.3290])?)?;
    Look::new(saturation, white).ok_or_else(|| "no such look".into())
}

fn emitters(figures: &Figures) -> Result<Emitters, String> {
    let [a, b, c, d, e, f] = numbers(figures, "primaries", [0.64, 0.33, 0.30, 0.60, 0.15, 0.06])?;
    let primaries = [place([a, b])?, place([c, d])?, place([e, f])?];
    let white = place(numbers(figures, "strip-white", [0.3127, 0.3290])?)?;
    let [gamma] = numbers(figures, "gamma", [1.0])?;
    let light = numbers(figures, "white-light", [1.0; 3])?;
    Emitters::new(primaries, white)
        .and_then(|emitters| emitters.with_gamma(gamma))
        .and_then(|emitters| emitters.with_white_light(light))
        .ok_or_else(|| "no such strip".into())
}

fn pipeline(columns: u32, rows: u32, figures: &Figures) -> Result<Pipeline, String> {
    let white = figures.contains_key("white-light");
    let channels = if white { Channels::Rgbw } else { Channels::Rgb };
    let [ceiling] = numbers(figures, "ceiling", [255.0])?;
    let [brightness] = numbers(figures, "brightness", [1.0])?;
    let brightness = Brightness::new(brightness as f32).ok_or("brightness is 0 to 1")?;
    let finish = Finish { channels, ceiling: ceiling as u8 };
    let mut pipeline = Pipeline::new(columns, rows, finish, brightness);
    pipeline.set_look(look(figures)?);
    let [bits] = numbers(figures, "bits", [24.0])?;
    let steps = if bits < 24.0 { Steps::FiveSixFive } else { Steps::Eight };
    pipeline.set_strip(emitters(figures)?, steps);
    let shares = numbers(figures, "shares", [1.0; 4])?.map(|share| share as f32);
    let right = (0..columns * rows).filter(|pixel| pixel % columns >= columns / 2);
    let shares = Shares::new(shares).ok_or("shares are 0 to 1")?;
    pipeline.set_areas(Areas::new(columns, rows, [(shares, right)]));
    let [dither] = numbers(figures, "dither", [0.0])?;
    pipeline.set_dither(dither > 0.0);
    Ok(pipeline)
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [columns, rows, frames, rest @ ..] = &arguments[..] else {
        return Err("wanted: COLUMNS ROWS FRAMES [KEY=NUMBER,..]...".into());
    };
    let (columns, rows, frames): (u32, u32, u32) =
        (columns.parse()?, rows.parse()?, frames.parse()?);
    let mut figures = Figures::new();
    for figure in rest {
        let (key, values) = figure.split_once('=').ok_or("wanted: KEY=NUMBER,..")?;
        let values = values.split(',').map(str::parse).collect::<Result<_, _>>()?;
        figures.insert(key.to_owned(), values);
    }
    let mut picture = Vec::new();
    std::io::stdin().read_to_end(&mut picture)?;
    if picture.len() != (columns * rows * 3) as usize {
        return Err("the picture is not of that size".into());
    }
    let mut pipeline = pipeline(columns, rows, &figures)?;
    let mut device = pipeline.device_frame();
    pipeline.show(Box::new(Given(picture)), Duration::ZERO);
    let mut out = std::io::stdout().lock();
    for number in 0..frames {
        pipeline.frame(Duration::from_millis(20) * number, &mut device)?;
        out.write_all(device.bytes())?;
    }
    Ok(())
}
