//! Averages a picture onto a wall and writes the raw values to standard output, to be compared with
//! another program's.
//!
//! `average PICTURE COLUMNS ROWS fill|fit|stretch linear|sharp|bytes [MILLISECONDS]`
//!
//! `linear` writes linear light, little-endian `u16`; `sharp` the same by the sharper filter; `bytes` writes device bytes at full brightness
//! and a ceiling of 255. Both row-major, red, green, blue. An animation is shown as it is so many
//! milliseconds after it began.

use std::error::Error;
use std::io::Write;
use std::time::Duration;

use glowloom_show::picture::Picture;
use glowloom_show::{Brightness, Channels, Filter, Finish, Laying, LinearFrame, Pipeline, Sizing};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [path, columns, rows, sizing, wanted, rest @ ..] = &arguments[..] else {
        return Err("wanted: PICTURE COLUMNS ROWS fill|fit|stretch linear|sharp|bytes [MS]".into());
    };
    let (columns, rows) = (columns.parse()?, rows.parse()?);
    let sizing = match sizing.as_str() {
        "fill" => Sizing::Fill,
        "fit" => Sizing::Fit,
        "stretch" => Sizing::Stretch,
        other => return Err(format!("sizing {other}; wanted: fill, fit or stretch").into()),
    };
    let filter = if wanted == "sharp" { Filter::Sharp } else { Filter::Area };
    let laying = Laying { sizing, filter };
    let at = Duration::from_millis(rest.first().map_or(Ok(0), |text| text.parse())?);
    let mut source = Picture::open(std::fs::read(path)?)?.into_source(laying);
    let bytes = match wanted.as_str() {
        "linear" | "sharp" => {
            let mut frame = LinearFrame::new(columns, rows);
            source.draw(at, &mut frame)?;
            frame.values().iter().flat_map(|value| value.to_le_bytes()).collect()
        }
        "bytes" => {
            let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
            let mut pipeline = Pipeline::new(columns, rows, finish, Brightness::FULL);
            let mut device = pipeline.device_frame();
            pipeline.show(source, Duration::ZERO);
            pipeline.frame(at, &mut device)?;
            device.bytes().to_vec()
        }
        other => return Err(format!("output {other}; wanted: linear, sharp or bytes").into()),
    };
    std::io::stdout().write_all(&bytes)?;
    Ok(())
}
