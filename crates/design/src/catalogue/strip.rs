//! LED strip by chip type and pixels for each metre.

use glowloom_units::{Amps, KilogramsPerMetre, OhmsPerMetre, PerMetre, Seconds, Volts};

use super::{Figure, MEMORY, PRACTICE, SOFT, figure};

/// How data goes along the strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// One data wire; bits are told by the length of the pulse.
    OneWire,
    /// A data and a clock wire; the frame ends with half a clock for each pixel.
    Clocked {
        /// Bits sent ahead of those clocks.
        tail_bits: u32,
    },
}

/// A strip as catalogued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripPart {
    /// `<chip>-<pixels per metre>`.
    pub key: &'static str,
    /// Pixels for each metre.
    pub pixels_per_metre: PerMetre,
    /// Pixels on a roll as sold.
    pub roll_pixels: Figure<u32>,
    /// The chip's own figures.
    pub chip: &'static Chip,
}

/// What strips of one chip have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chip {
    /// How data goes along the strip.
    pub signal: Signal,
    /// What it is fed with.
    pub volts: Figure<Volts>,
    /// Above this the part may be destroyed.
    pub max_volts: Figure<Volts>,
    /// One colour, full on.
    pub channel_amps: Figure<Amps>,
    /// One pixel, dark.
    pub idle_amps: Figure<Amps>,
    /// Below its knee a colour's current falls away: red, green, blue, white.
    pub knee_volts: Figure<[Volts; 4]>,
    /// The same for the idle current.
    pub idle_knee_volts: Figure<Volts>,
    /// One rail of the strip, one way.
    pub rail_ohms_per_metre: Figure<OhmsPerMetre>,
    /// What the strip's own copper may carry.
    pub rail_amps: Figure<Amps>,
    /// Time of one bit.
    pub bit_seconds: Figure<Seconds>,
    /// Bits to a pixel.
    pub bits_per_pixel: Figure<u32>,
    /// Silence that ends a frame.
    pub reset_seconds: Figure<Seconds>,
    /// Order of the colours on the strip.
    pub order: Figure<&'static str>,
    /// Bare strip.
    pub mass: Figure<KilogramsPerMetre>,
}

const KNEES: &str = "highest forward voltage of the WS2812B data sheet + 0.4 V driver; soft";
const KNEES_IN_SERIES: &str = "three dice in series at that forward voltage + 0.4 V driver; soft";

const WS2812B: Chip = Chip {
    signal: Signal::OneWire,
    volts: figure(Volts(5.0), "WS2812B data sheet, first edition: tested at 4.5 to 5.5 V"),
    max_volts: figure(Volts(5.3), "WS2812B data sheet, first edition: absolute maximum"),
    channel_amps: figure(Amps(0.020), PRACTICE),
    idle_amps: figure(Amps(0.001), PRACTICE),
    knee_volts: figure([Volts(2.6), Volts(3.8), Volts(3.8), Volts(3.8)], KNEES),
    idle_knee_volts: figure(Volts(3.5), "WS2812B data sheet, first edition: lowest supply; soft"),
    rail_ohms_per_metre: figure(OhmsPerMetre(0.10), "from memory; soft, 0.04 to 0.2 is seen"),
    rail_amps: figure(Amps(5.0), SOFT),
    bit_seconds: figure(Seconds(1.25e-6), "WS2812B data sheet, first edition: 1.25 us +- 0.6"),
    bits_per_pixel: figure(24, "WS2812B data sheet"),
    reset_seconds: figure(Seconds(280e-6), "WS2812B-2020 and later, as quoted in three sources"),
    order: figure("grb", "WS2812B data sheet"),
    mass: figure(KilogramsPerMetre(0.035), "from memory, 0.02 to 0.05; weigh one"),
};

/// What is taken over where a chip's own sheet was not read.
const AS_WS2812B: &str = "taken as the WS2812B's, from memory; soft";

/// A chip of 5 V before its own figures are put in.
const LIKE_WS2812B: Chip = Chip {
    volts: figure(Volts(5.0), "as sold"),
    knee_volts: figure(WS2812B.knee_volts.value, AS_WS2812B),
    idle_knee_volts: figure(WS2812B.idle_knee_volts.value, AS_WS2812B),
    bit_seconds: figure(WS2812B.bit_seconds.value, AS_WS2812B),
    bits_per_pixel: figure(24, "three colours of 8 bits, from memory"),
    ..WS2812B
};

const WS2813: Chip = Chip {
    max_volts: figure(Volts(5.5), "WS2813 data sheet"),
    channel_amps: figure(Amps(0.018), "WS2813 data sheet, types A and B; C and D 5 mA"),
    idle_amps: figure(Amps(0.0006), "WS2813 data sheet, types A and B"),
    reset_seconds: figure(Seconds(300e-6), "WS2813 data sheet, p. 5"),
    bit_seconds: figure(Seconds(1.25e-6), "WS2813 data sheet: 1.25 us +- 0.3"),
    order: figure("grb", "WS2813 data sheet, note; a figure of it shows rgb"),
    ..LIKE_WS2812B
};

const WS2815: Chip = Chip {
    volts: figure(Volts(12.0), "as sold"),
    max_volts: figure(Volts(13.0), "quoted data sheet: 9 to 13 V; another copy says 13.5"),
    channel_amps: figure(Amps(0.010), "quoted data sheet; 15 mA from memory"),
    idle_amps: figure(Amps(0.0021), "quoted data sheet"),
    knee_volts: figure([Volts(7.0), Volts(10.6), Volts(10.6), Volts(10.6)], KNEES_IN_SERIES),
    idle_knee_volts: figure(Volts(9.0), "quoted data sheet: lowest supply; soft"),
    reset_seconds: figure(Seconds(300e-6), "quoted data sheet; 280 us in one revision"),
    order: figure("grb", "sources differ: grb or rgb"),
    ..LIKE_WS2812B
};

const SK6812: Chip = Chip {
    max_volts: figure(Volts(5.5), MEMORY),
    channel_amps: figure(Amps(0.020), "nominal, quoted; one strip measured 8 mA"),
    idle_amps: figure(Amps(0.001), "nominal, quoted; 0.23 mA measured"),
    bit_seconds: figure(
        Seconds(1.25e-6),
        "common practice, no source; its own times add up to 1.2 us",
    ),
    reset_seconds: figure(Seconds(80e-6), "quoted data sheet"),
    order: figure("grb", "quoted data sheet"),
    ..LIKE_WS2812B
};

const SK6812_RGBW: Chip = Chip {
    bits_per_pixel: figure(32, "quoted data sheet"),
    order: figure("grbw", "quoted data sheet"),
    ..SK6812
};

const WS2811: Chip = Chip {
    volts: figure(Volts(12.0), "as sold: one chip for three LEDs in series"),
    max_volts: figure(Volts(13.2), "from memory: 12 V + 10 %"),
    channel_amps: figure(Amps(0.0185), "from memory; set by a resistor in some"),
    idle_amps: figure(Amps(0.0007), "quoted data sheet"),
    knee_volts: figure([Volts(7.0), Volts(10.6), Volts(10.6), Volts(10.6)], KNEES_IN_SERIES),
    idle_knee_volts: figure(Volts(6.0), SOFT),
    bit_seconds: figure(Seconds(2.5e-6), "quoted data sheet: low speed, 400 kbit/s"),
    reset_seconds: figure(Seconds(50e-6), "quoted data sheet"),
    order: figure("rgb", "WS2811 data sheet"),
    ..LIKE_WS2812B
};

const APA102: Chip = Chip {
    signal: Signal::Clocked { tail_bits: 0 },
    max_volts: figure(Volts(5.5), MEMORY),
    channel_amps: figure(Amps(0.020), "measured elsewhere: 19 to 22 mA"),
    idle_amps: figure(Amps(0.001), "measured elsewhere"),
    bit_seconds: figure(Seconds(0.25e-6), "a clock of 4 MHz: common practice, no source"),
    bits_per_pixel: figure(32, "agreeing sources: 3 + 5 bits of brightness, then 24"),
    reset_seconds: figure(Seconds(0.0), "a clocked strip needs no silence"),
    order: figure("bgr", "agreeing sources"),
    ..LIKE_WS2812B
};

const SK9822: Chip = Chip {
    signal: Signal::Clocked { tail_bits: 32 },
    channel_amps: figure(Amps(0.018), MEMORY),
    idle_amps: figure(Amps(0.001), MEMORY),
    reset_seconds: figure(Seconds(0.0), "taken as the APA102's, from memory"),
    bits_per_pixel: figure(32, "taken as the APA102's, from memory"),
    order: figure("bgr", "agreeing sources"),
    ..APA102
};

const fn part(key: &'static str, per_metre: u32, roll: u32, chip: &'static Chip) -> StripPart {
    StripPart {
        key,
        pixels_per_metre: PerMetre(per_metre as f64),
        roll_pixels: figure(roll, "as sold, from memory: rolls of 5 m, 1 m at 144 pixels a metre"),
        chip,
    }
}

/// Every strip, in the order to offer them.
pub const ALL: &[StripPart] = &[
    part("ws2812b-30", 30, 150, &WS2812B),
    part("ws2812b-60", 60, 300, &WS2812B),
    part("ws2812b-144", 144, 144, &WS2812B),
    part("ws2813-30", 30, 150, &WS2813),
    part("ws2813-60", 60, 300, &WS2813),
    part("ws2815-30", 30, 150, &WS2815),
    part("ws2815-60", 60, 300, &WS2815),
    part("sk6812-30", 30, 150, &SK6812),
    part("sk6812-60", 60, 300, &SK6812),
    part("sk6812-rgbw-30", 30, 150, &SK6812_RGBW),
    part("sk6812-rgbw-60", 60, 300, &SK6812_RGBW),
    part("ws2811-30", 30, 150, &WS2811),
    part("apa102-30", 30, 150, &APA102),
    part("apa102-60", 60, 300, &APA102),
    part("sk9822-30", 30, 150, &SK9822),
    part("sk9822-60", 60, 300, &SK9822),
];

/// The strip of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static StripPart> {
    ALL.iter().find(|part| part.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_say_what_they_hold() {
        for part in ALL {
            let (chip, per_metre) = part.key.rsplit_once('-').unwrap();
            assert_eq!(per_metre.parse(), Ok(part.pixels_per_metre.0), "{}", part.key);
            let rgbw = chip.ends_with("rgbw");
            assert_eq!(part.chip.order.value.len(), if rgbw { 4 } else { 3 }, "{}", part.key);
            let clocked = part.chip.signal != Signal::OneWire;
            assert_eq!(clocked, chip.starts_with("apa") || chip.starts_with("sk9"), "{}", part.key);
        }
    }
}
