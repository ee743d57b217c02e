//! The last stage: linear light to the bytes that the panels' LEDs are driven with.

use crate::areas::Areas;
use crate::dither::Dither;
use crate::emitters::Emitters;
use crate::finish::{Brightness, Channels, Finish};
use crate::frame::LinearFrame;
use crate::srgb::FULL;
use crate::steps::{Ladder, Steps};
use crate::stretch::{Stretch, level};

/// How far a frame is to be dimmed, and how it is rounded.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dimming {
    /// Of the light.
    pub(crate) brightness: Brightness,
    /// Of what is driven, 0 to 1: the same where light is in proportion to the byte.
    pub(crate) share: f32,
    pub(crate) dither: Dither,
}

/// Makes bytes of linear light: holds all that is known of the strip and of its parts.
#[derive(Clone, Debug)]
pub(crate) struct Finisher {
    finish: Finish,
    emitters: Emitters,
    areas: Areas,
    /// Of each channel; `None` where every byte is a step and light is in proportion to it.
    ladders: Option<[Ladder; 4]>,
    /// Of each area and channel, for the frame that is being written.
    gains: Vec<[u32; 4]>,
}

impl Finisher {
    pub(crate) fn new(finish: Finish, columns: u32, rows: u32) -> Self {
        let areas = Areas::even(columns, rows);
        let gains = vec![[0; 4]; areas.shares().len()];
        Self { finish, emitters: Emitters::PLAIN, areas, ladders: None, gains }
    }

    pub(crate) fn finish(&self) -> Finish {
        self.finish
    }

    pub(crate) fn set_strip(&mut self, emitters: Emitters, steps: Steps) {
        self.emitters = emitters;
        let plain = emitters.gamma() == 1.0 && steps == Steps::Eight;
        let ladder = |bits| Ladder::new(bits, emitters.gamma());
        self.ladders = (!plain).then(|| steps.bits().map(ladder));
    }

    pub(crate) fn set_areas(&mut self, areas: Areas) {
        self.gains = vec![[0; 4]; areas.shares().len()];
        self.areas = areas;
    }

    /// Writes every pixel of `frame` to `bytes`, row-major. Writes as many pixels as both hold.
    pub(crate) fn write(&mut self, dimming: Dimming, frame: &LinearFrame, bytes: &mut [u8]) {
        self.set_gains(dimming);
        let columns = frame.columns() as usize;
        let (light, _) = frame.values().as_chunks::<3>();
        match self.finish.channels {
            Channels::Rgb => {
                let (bytes, _) = bytes.as_chunks_mut::<3>();
                let plain = self.ladders.is_none() && self.emitters.mixer().is_none();
                self.write_runs(columns, dimming.dither, light, bytes, |stretch| {
                    if plain { stretch.write_plain() } else { self.write_any(stretch) }
                });
            }
            Channels::Rgbw => {
                let (bytes, _) = bytes.as_chunks_mut::<4>();
                self.write_runs(columns, dimming.dither, light, bytes, |stretch| {
                    self.write_any(stretch);
                });
            }
        }
    }

    /// One call for each run of pixels that share a row and an area.
    fn write_runs<const N: usize>(
        &self,
        columns: usize,
        dither: Dither,
        mut light: &[[u16; 3]],
        mut bytes: &mut [[u8; N]],
        write: impl Fn(Stretch<'_, N>),
    ) {
        let (mut row, mut column) = (0, 0);
        let mut thresholds = dither.row::<N>(row);
        for run in self.areas.runs() {
            let pixels = (run.pixels as usize).min(light.len()).min(bytes.len());
            let (these, rest) = light.split_at(pixels);
            let (into, bytes_left) = bytes.split_at_mut(pixels);
            (light, bytes) = (rest, bytes_left);
            let gains = self.gains.get(run.area as usize).copied().unwrap_or_default();
            write(Stretch::new(these, into, gains, &thresholds, column));
            column += pixels;
            if column >= columns {
                (row, column) = (row + 1, 0);
                thresholds = dither.row::<N>(row);
            }
        }
    }

    fn write_any<const N: usize>(&self, stretch: Stretch<'_, N>) {
        let emitters = &self.emitters;
        let mixed = |light: [u16; 3]| emitters.mixer().map_or(light, |mixer| mixer.mix(light));
        let lit = |light: [u16; 3]| {
            if N == 4 {
                return emitters.with_white(mixed(light));
            }
            let [red, green, blue] = mixed(light);
            [red, green, blue, 0]
        };
        match &self.ladders {
            None => stretch.write(lit, |_, value, gain, threshold| {
                // At most 255 and 255 of 256ths: no byte passes the ceiling.
                ((u32::from(level(value, gain)) + u32::from(threshold)) >> 8) as u8
            }),
            Some(ladders) => {
                let tops = ladders.each_ref().map(|ladder| ladder.top(self.finish.ceiling));
                stretch.write(lit, |channel, value, gain, threshold| {
                    let light = ((u64::from(value) * u64::from(gain) + 0x8000) >> 16) as u16;
                    ladders[channel].byte(light, threshold, tops[channel])
                });
            }
        }
    }

    /// What full light of each area and channel is multiplied by, in 65,536ths: to levels in 256ths of
    /// a byte, at most 65,281, or to light for the ladders, at most 65,536.
    fn set_gains(&mut self, Dimming { brightness, share, .. }: Dimming) {
        let (brightness, share) = (f64::from(brightness.share()), f64::from(share));
        let ceiling = self.finish.ceiling;
        let full = match &self.ladders {
            None => [brightness * share * f64::from(ceiling) * 256.0 / f64::from(FULL); 4],
            Some(ladders) => {
                let driven = brightness * share.powf(self.emitters.gamma());
                ladders.each_ref().map(|ladder| driven * ladder.light(ladder.top(ceiling)))
            }
        };
        for (gains, shares) in self.gains.iter_mut().zip(self.areas.shares()) {
            for ((gain, full), share) in gains.iter_mut().zip(full).zip(shares.get()) {
                // Rounded up, for levels are rounded down: full light is then the ceiling itself.
                *gain = (full * f64::from(share) * 65_536.0).ceil() as u32;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::areas::Shares;
    use proptest::prelude::*;

    const NEAREST: Dither = Dither::Nearest;

    fn written(finisher: &mut Finisher, dimming: Dimming, pixel: [u16; 3]) -> Vec<u8> {
        let mut frame = LinearFrame::new(1, 1);
        frame.values_mut().copy_from_slice(&pixel);
        let mut bytes = vec![0xA5; finisher.finish.channels.count()];
        finisher.write(dimming, &frame, &mut bytes);
        bytes
    }

    fn dimmed(share: f32, dither: Dither) -> Dimming {
        Dimming { brightness: Brightness::new(share).unwrap(), share: 1.0, dither }
    }

    fn bytes(channels: Channels, ceiling: u8, share: f32, pixel: [u16; 3]) -> Vec<u8> {
        let mut finisher = Finisher::new(Finish { channels, ceiling }, 1, 1);
        written(&mut finisher, dimmed(share, NEAREST), pixel)
    }

    /// The levels are the bytes before they were rounded.
    #[test]
    fn levels_are_the_bytes_unrounded() {
        let plain = Emitters::PLAIN;
        let curved = plain.with_gamma(2.2).unwrap().with_white_light([1.5, 1.2, 0.8]).unwrap();
        for channels in [Channels::Rgb, Channels::Rgbw] {
            for emitters in [plain, curved] {
                let mut finisher = Finisher::new(Finish { channels, ceiling: 255 }, 1, 1);
                finisher.set_strip(emitters, Steps::Eight);
                for pixel in [[0, 0, 0], [65_535; 3], [65_535, 1000, 30_000], [5, 40_000, 40_000]] {
                    let found = written(&mut finisher, dimmed(1.0, NEAREST), pixel);
                    for (byte, level) in found.iter().zip(emitters.levels(channels, pixel)) {
                        // The curve is straight between two bytes.
                        let apart = (f64::from(*byte) - 255.0 * level).abs();
                        assert!(apart <= 0.75, "{pixel:?}: {found:?} {level}");
                    }
                }
            }
        }
    }

    /// The column "rounded to 8 bit" of the sRGB check values (see `srgb`).
    #[test]
    fn check_values_at_full_brightness() {
        for (code, byte) in
            [(0, 0), (1, 0), (10, 1), (11, 1), (64, 13), (127, 54), (128, 55), (188, 128)]
                .into_iter()
                .chain([(192, 134), (255, 255)])
        {
            let value = crate::srgb::linear(code);
            assert_eq!(bytes(Channels::Rgb, 255, 1.0, [value; 3]), [byte; 3], "code {code}");
        }
    }

    /// Codes 1 to 6 are all below half a step of an 8-bit channel.
    #[test]
    fn the_darkest_codes_are_dark_without_dither() {
        for code in 1..=6 {
            assert_eq!(bytes(Channels::Rgb, 255, 1.0, [crate::srgb::linear(code); 3]), [0; 3]);
        }
        assert_eq!(bytes(Channels::Rgb, 255, 1.0, [crate::srgb::linear(7); 3]), [1; 3]);
    }

    #[test]
    fn white_takes_over_what_is_common() {
        let [red, green, blue] = [65535, 32896, 13107];
        assert_eq!(bytes(Channels::Rgbw, 255, 1.0, [red, green, blue]), [204, 77, 0, 51]);
        assert_eq!(bytes(Channels::Rgbw, 100, 1.0, [65535; 3]), [0, 0, 0, 100]);
        assert_eq!(bytes(Channels::Rgb, 255, 0.0, [65535; 3]), [0; 3]);
    }

    /// Over 256 frames, every setting of the strip: the mean light is the light wanted, to 1/256 of a
    /// step, and no byte is above the ceiling.
    #[test]
    fn the_mean_of_256_frames_is_the_light() {
        for (channels, ceiling) in
            [(Channels::Rgb, 255), (Channels::Rgbw, 255), (Channels::Rgb, 77)]
        {
            let mut finisher = Finisher::new(Finish { channels, ceiling }, 1, 1);
            for pixel in [[20, 40, 61], [65_535, 0, 12_345], [300, 301, 302]] {
                let mut sums = [0u32; 4];
                for number in 0..256 {
                    let dither = Dither::Frame(number);
                    let found = written(&mut finisher, dimmed(0.7, dither), pixel);
                    assert!(found.iter().all(|byte| *byte <= ceiling));
                    for (sum, byte) in sums.iter_mut().zip(found) {
                        *sum += u32::from(byte);
                    }
                }
                let levels = Emitters::PLAIN.levels(channels, pixel);
                for (sum, level) in sums.iter().zip(levels) {
                    let want = level * 0.7 * f64::from(ceiling);
                    let mean = f64::from(*sum) / 256.0;
                    assert!((mean - want).abs() <= 1.01 / 256.0, "{pixel:?}: {mean} for {want}");
                }
            }
        }
    }

    #[test]
    fn areas_keep_their_shares() {
        let finish = Finish { channels: Channels::Rgb, ceiling: 200 };
        let mut frame = LinearFrame::new(40, 2);
        frame.values_mut().fill(65_535);
        let mut found = vec![0; 240];
        let dim = Shares::new([0.5, 1.0, 0.25, 1.0]).unwrap();
        let mut finisher = Finisher::new(finish, 40, 2);
        finisher.set_areas(Areas::new(40, 2, [(dim, (3..30).chain([79]))]));
        for dither in [NEAREST, Dither::Frame(5)] {
            finisher.write(dimmed(1.0, dither), &frame, &mut found);
            for (n, pixel) in found.as_chunks::<3>().0.iter().enumerate() {
                let inside = (3..30).contains(&n) || n == 79;
                assert_eq!(*pixel, if inside { [100, 200, 50] } else { [200; 3] }, "{n}");
            }
        }
    }

    /// What a link of 16 bits carries is what is written; full light is its highest step.
    #[test]
    fn few_bits_are_dithered_between_their_own_steps() {
        let finish = Finish { channels: Channels::Rgb, ceiling: 150 };
        let mut finisher = Finisher::new(finish, 1, 1);
        finisher.set_strip(Emitters::PLAIN, Steps::FiveSixFive);
        let full = written(&mut finisher, dimmed(1.0, NEAREST), [65_535; 3]);
        assert_eq!(full, [148, 150, 148]);
        let mut sums = [0.0; 3];
        for number in 0..256 {
            let dither = Dither::Frame(number);
            let found = written(&mut finisher, dimmed(1.0, dither), [20_000; 3]);
            for ((sum, byte), bits) in sums.iter_mut().zip(found).zip([5, 6, 5]) {
                let low = byte & ((1 << (8 - bits)) - 1);
                assert_eq!(low, byte >> bits, "steps repeat their top bits: {byte}");
                *sum += f64::from(byte) / 256.0;
            }
        }
        for (mean, top) in sums.iter().zip([148.0, 150.0, 148.0]) {
            let want = 20_000.0 / 65_535.0 * top;
            assert!((mean - want).abs() <= 8.0 / 256.0 + 0.01, "{mean} for {want}");
        }
    }

    proptest! {
        /// Against the rule written plainly in f64: never more than one step away, never above the
        /// ceiling, and exactly the nearest byte unless the value lies within 1/128 of a step of
        /// the border between two.
        #[test]
        fn nearest_and_never_above_the_ceiling(
            value: u16, ceiling: u8, share in 0.0f32..=1.0, white: bool
        ) {
            let wanted = f64::from(value) / 65_535.0 * f64::from(share) * f64::from(ceiling);
            let channels = if white { Channels::Rgbw } else { Channels::Rgb };
            let found = bytes(channels, ceiling, share, [value; 3])[channels.count() - 1];
            prop_assert!(found <= ceiling);
            prop_assert!((f64::from(found) - wanted).abs() <= 0.5 + 1.0 / 128.0);
        }

        /// Whatever the strip and the frame, the share is a share of what is driven, a dimmer frame
        /// has no brighter byte, and none is above the ceiling.
        #[test]
        fn dimmer_is_nowhere_brighter(
            pixel: [u16; 3], ceiling: u8, gamma in 1.0f64..4.0, number: u32, few: bool, white: bool,
            share in 0.0f32..=1.0, less in 0.0f32..=1.0
        ) {
            let channels = if white { Channels::Rgbw } else { Channels::Rgb };
            let steps = if few { Steps::FiveSixFive } else { Steps::Eight };
            let mut finisher = Finisher::new(Finish { channels, ceiling }, 1, 1);
            finisher.set_strip(Emitters::PLAIN.with_gamma(gamma).unwrap(), steps);
            let at = |share| Dimming { share, ..dimmed(1.0, Dither::Frame(number)) };
            let bright = written(&mut finisher, at(share), pixel);
            let dim = written(&mut finisher, at(share * less), pixel);
            prop_assert!(bright.iter().zip(&dim).all(|(b, d)| d <= b && *b <= ceiling));
            let dark = written(&mut finisher, at(0.0), pixel);
            prop_assert!(dark.iter().all(|byte| *byte == 0));
        }
    }
}
