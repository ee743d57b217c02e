//! Lamps along the quay, one for each range of tones.

use std::time::Duration;

use glowloom_sound::Impression;

use super::{Glow, SoundPicture, between};
use crate::frame::LinearFrame;
use crate::made::ramp::{Ramp, Rgb, mix, rgb, smooth, values};
use crate::made::{seconds_into, turns};

/// After this long all ripples are where they began.
const ROUND: u32 = 60;

/// Pixels from lamp to lamp, at least.
const APART: usize = 5;

/// Where lamps hang, and where the quay ends and the water begins: shares of the height.
const HUNG: f32 = 0.3;
const QUAY: f32 = 0.58;

/// A quay at night: each lamp is as bright as its tones are loud, low ones left and high ones right, and
/// shines again in the water. With each beat the sky over the harbour brightens.
#[derive(Clone, Debug, Default)]
pub struct Lamps {
    /// Light of each lamp that falls on each column, by column and brightness.
    light: Vec<f32>,
    glow: Glow,
}

impl SoundPicture for Lamps {
    fn paint(&mut self, at: Duration, heard: &Impression, into: &mut LinearFrame) {
        let (columns, rows) = (into.columns() as usize, into.rows());
        let t = seconds_into(at, ROUND);
        let beat = self.glow.after(heard.beats(), at, 0.2);
        let lamps = (columns / APART).clamp(1, heard.bands().len().max(1));
        let apart = columns as f32 / lamps as f32;
        self.light.resize(columns, 0.0);
        // A lamp is a pixel wide or a fifth of what lies between two.
        let width = (apart / 5.0).max(0.8);
        for (n, light) in self.light.iter_mut().enumerate() {
            let place = (n as f32 + 0.5) / apart;
            let lamp = (place as usize).min(lamps.saturating_sub(1));
            let off = (place - lamp as f32 - 0.5) * apart;
            let loud = between(heard.bands(), (lamp as f32 + 0.5) / lamps as f32);
            // Brightness as an eye takes it, for light is linear here.
            *light = loud.powi(2) * (-(off / width).powi(2)).exp();
        }
        let sky = Ramp::new([0x06_08_18, 0x14_16_34, 0x30_26_4A]);
        let half = 0.5 / rows.max(1) as f32;
        let tall = 0.10f32.max(half * 1.6);
        for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(columns.max(1) * 3)) {
            let y = (row as f32 + 0.5) * 2.0 * half;
            let ground = ground(&sky, y, beat);
            let ripple = 0.75 + 0.25 * (40.0 * y + turns(t, 3.0)).sin();
            let upright = (-((y - HUNG) / tall).powi(2)).exp();
            let mirrored = 0.55 * ripple * (1.0 - (y - QUAY) * 1.6).clamp(0.0, 1.0);
            let share = if y < QUAY { upright } else { mirrored };
            for (pixel, &light) in out.as_chunks_mut::<3>().0.iter_mut().zip(&self.light) {
                let lit = light * share;
                let colour = mix(rgb(0xFF_9A_3C), rgb(0xFF_E6_B8), lit);
                *pixel = values(std::array::from_fn(|k| ground[k] + colour[k] * lit));
            }
        }
    }
}

/// What is there without lamps: sky, quay, water.
fn ground(sky: &Ramp<3>, y: f32, beat: f32) -> Rgb {
    let brighter = |colour: Rgb, by: f32| colour.map(|value| value * (1.0 + by));
    if y < QUAY - 0.08 {
        brighter(sky.at(y / QUAY), 1.5 * beat)
    } else if y < QUAY {
        rgb(0x08_06_06)
    } else {
        let deep = smooth(QUAY, 1.0, y);
        brighter(mix(rgb(0x10_20_34), rgb(0x06_0C_18), deep), beat)
    }
}
