//! The LED strip of a wall, with what the file overrides.

use glowloom_units::{
    Amps, Candelas, Chromaticity, KilogramsPerMetre, OhmsPerMetre, PerMetre, Seconds, Volts,
};

pub use crate::catalogue::strip::Signal;

/// LED strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Catalogue key, or `own figures`.
    pub part: String,
    /// Pixels for each metre, above 0.
    pub pixels_per_metre: PerMetre,
    /// Pixels on a roll as sold, at least 1.
    pub roll_pixels: u32,
    /// How data goes along the strip.
    pub signal: Signal,
    /// Nominal voltage.
    pub volts: Volts,
    /// Above this the strip may be destroyed.
    pub max_volts: Volts,
    /// One colour, full on.
    pub channel_amps: Amps,
    /// One pixel, dark.
    pub idle_amps: Amps,
    /// Red, green, blue, white: below its knee a colour's current falls away.
    pub knee_volts: [Volts; 4],
    /// The same for the idle current.
    pub idle_knee_volts: Volts,
    /// One rail, one way.
    pub rail_ohms_per_metre: OhmsPerMetre,
    /// What the strip's own copper may carry.
    pub rail_amps: Amps,
    /// Time of one bit.
    pub bit_seconds: Seconds,
    /// Bits to a pixel.
    pub bits_per_pixel: u32,
    /// Silence that ends a frame.
    pub reset_seconds: Seconds,
    /// Order of the colours on the strip.
    pub order: Order,
    /// Bare strip.
    pub mass: KilogramsPerMetre,
    /// Of one pixel straight ahead, all colours full on. Absent: to be taken from its watts.
    pub candela: Option<Candelas>,
    /// What its light is like.
    pub light: Light,
}

/// What a strip's light is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    /// Of its red, green and blue.
    pub primaries: [Chromaticity; 3],
    /// Of the three full on.
    pub white_point: Chromaticity,
    /// Its light is (byte / 255) to this power: 1 to 4.
    pub gamma: f64,
    /// Of its white LED full on, in full red, green and blue.
    pub white_light: [f64; 3],
}

impl Strip {
    /// Colours of a pixel: 3 or 4.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.order.channels()
    }

    /// Whole pixels to a universe of 512 slots: 170, or 128 with four channels.
    #[must_use]
    pub fn pixels_per_universe(&self) -> u32 {
        if self.channels() == 4 { 128 } else { 170 }
    }
}

/// Order of the colours on a strip: each of r, g, b once, and w on 4-channel strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Order {
    letters: [u8; 4],
    channels: u8,
}

impl Order {
    /// Reads `grb`, `rgbw` and the like. `None` unless each colour stands there once.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        let wanted: &[u8] = if bytes.len() == 4 { b"rgbw" } else { b"rgb" };
        if bytes.len() != wanted.len() || !wanted.iter().all(|w| bytes.contains(w)) {
            return None;
        }
        let mut letters = [0; 4];
        letters[..bytes.len()].copy_from_slice(bytes);
        Some(Self { letters, channels: if bytes.len() == 4 { 4 } else { 3 } })
    }

    /// 3 or 4.
    #[must_use]
    pub fn channels(self) -> usize {
        usize::from(self.channels)
    }

    /// The letters in order.
    #[must_use]
    pub fn letters(&self) -> &str {
        std::str::from_utf8(&self.letters[..self.channels()]).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders() {
        assert_eq!(Order::from_text("grb").unwrap().letters(), "grb");
        assert_eq!(Order::from_text("wrgb").unwrap().channels(), 4);
        for wrong in ["", "rg", "rgg", "rgbb", "rgbx", "RGB", "rgbwr", "é"] {
            assert_eq!(Order::from_text(wrong), None, "{wrong}");
        }
    }
}
