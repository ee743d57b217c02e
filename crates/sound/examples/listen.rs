//! Prints what is heard, to be compared with another program's.
//!
//! `listen bands PARTS`: of each band from 20 Hz to 20 kHz, its middle, edges and A-weighting.
//!
//! `listen RATE`: hears samples on standard input, 32-bit floats, little-endian; prints the bands' edges, and for
//! every hop the samples heard so far, the A-weighted level in dB, the sample at which a beat began or `-`, and the
//! mean square in each band.

use std::error::Error;
use std::io::{Read, Write};

use glowloom_sound::{Analyser, Ballistics, BandsPerOctave, Rate, a_weighting, bands};
use glowloom_units::Hertz;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let out = &mut std::io::stdout().lock();
    match &arguments[..] {
        [word, parts] if word == "bands" => {
            let parts = BandsPerOctave::new(parts.parse()?).ok_or("parts are 1 to 24")?;
            for band in bands(parts, Hertz(19.9), Hertz(20_000.0)) {
                let (middle, low, high) = (band.middle.0, band.low.0, band.high.0);
                writeln!(out, "{middle:e} {low:e} {high:e} {:e}", a_weighting(band.middle).0)?;
            }
            Ok(())
        }
        [rate] => hear(Rate::new(rate.parse()?)?, out),
        _ => Err("wanted: bands PARTS, or RATE".into()),
    }
}

fn hear(rate: Rate, out: &mut impl Write) -> Result<(), Box<dyn Error>> {
    let mut analyser = Analyser::new(rate, Ballistics::default());
    let edges: Vec<String> =
        analyser.bands().iter().map(|band| format!("{:e},{:e}", band.low.0, band.high.0)).collect();
    writeln!(out, "{} {}", analyser.window(), edges.join(" "))?;
    let mut bytes = Vec::new();
    std::io::stdin().read_to_end(&mut bytes)?;
    let (samples, _) = bytes.as_chunks::<4>();
    let samples: Vec<f32> = samples.iter().map(|sample| f32::from_le_bytes(*sample)).collect();
    let mut lines = Vec::new();
    analyser.hear(&samples, |heard| {
        let powers: Vec<String> = heard.powers.iter().map(|power| format!("{power:e}")).collect();
        let beat = heard.beat.map_or("-".into(), |beat| beat.at.to_string());
        lines.push(format!("{} {} {beat} {}", heard.until, heard.loudness.0, powers.join(" ")));
    });
    for line in lines {
        writeln!(out, "{line}")?;
    }
    Ok(())
}
