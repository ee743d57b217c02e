//! Sends frames through the pipeline with its flash guard and writes the device bytes of each to standard
//! output, for another program to count flashes in.
//!
//! `guarded COLUMNS ROWS FRAMES_PER_SECOND [BRIGHTNESS [FIELD]]`, a field of 10 degrees being so many pixels.
//!
//! Frames come on standard input one after the other: 8-bit sRGB, row-major, one pixel to a pixel of the wall.

use std::error::Error;
use std::io::{ErrorKind, Read, Write};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use glowloom_show::{
    Brightness, Channels, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError, srgb,
};

/// The frame that was read last.
#[derive(Clone)]
struct Given(Arc<Mutex<Vec<u8>>>);

impl Source for Given {
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let table = srgb::linear_table();
        let codes = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        for (to, &code) in into.values_mut().iter_mut().zip(codes.iter()) {
            *to = table[usize::from(code)];
        }
        Ok(Drawn::New)
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number =
        |nth: usize| arguments.get(nth).ok_or("COLUMNS ROWS FRAMES_PER_SECOND [BRIGHTNESS]");
    let (columns, rows): (u32, u32) = (number(0)?.parse()?, number(1)?.parse()?);
    let rate: u32 = number(2)?.parse()?;
    let share = arguments.get(3).map_or(Ok(1.0), |share| share.parse())?;
    let brightness = Brightness::new(share).ok_or("a brightness is 0 to 1")?;
    let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
    let mut pipeline = Pipeline::new(columns, rows, finish, brightness);
    if let Some(field) = arguments.get(4) {
        let pixels = field.parse()?;
        pipeline.set_field(pixels, pixels);
    }
    let given = Given(Arc::new(Mutex::new(vec![0; columns as usize * rows as usize * 3])));
    pipeline.show(Box::new(given.clone()), Duration::ZERO);
    let mut device = pipeline.device_frame();
    let (mut input, mut output) = (std::io::stdin().lock(), std::io::stdout().lock());
    for frame in 0.. {
        let read = {
            let mut codes = given.0.lock().unwrap_or_else(PoisonError::into_inner);
            input.read_exact(&mut codes)
        };
        match read {
            Err(error) if error.kind() == ErrorKind::UnexpectedEof => break,
            read => read?,
        }
        let now = Duration::from_secs(1) * frame / rate;
        pipeline.frame(now, &mut device)?;
        output.write_all(device.bytes())?;
    }
    writeln!(std::io::stderr(), "{} held back", pipeline.held())?;
    Ok(())
}
