//! The sea, as high at each place as a range of tones is loud.

use std::time::Duration;

use glowloom_sound::Impression;

use super::{Glow, SoundPicture, between};
use crate::frame::LinearFrame;
use crate::made::ramp::{Ramp, mix, rgb, smooth, values};
use crate::made::{seconds_into, turns};

/// After this long all waves are where they began: a whole number of every period below.
const ROUND: u32 = 420;

/// Water that stands low in silence and rises where the sound is loud, low tones left and high ones right;
/// its crest shines up with each beat.
#[derive(Clone, Debug, Default)]
pub struct Swell {
    /// The water line of each column, in shares of the height from the top.
    line: Vec<f32>,
    glow: Glow,
}

impl SoundPicture for Swell {
    fn paint(&mut self, at: Duration, heard: &Impression, into: &mut LinearFrame) {
        let (columns, rows) = (into.columns() as usize, into.rows());
        let t = seconds_into(at, ROUND);
        let shine = 0.35 + 0.65 * self.glow.after(heard.beats(), at, 0.15);
        self.line.resize(columns, 0.0);
        for (n, line) in self.line.iter_mut().enumerate() {
            let x = (n as f32 + 0.5) / columns.max(1) as f32;
            let small = 0.015 * (17.0 * x + turns(t, 6.0)).sin();
            *line = 0.88 - 0.76 * between(heard.bands(), x) + small;
        }
        let sky = Ramp::new([0x0A_0E_24, 0x18_1A_40, 0x2E_24_55]);
        let water = Ramp::new([0x4F_C3_B5, 0x1B_86_94, 0x0E_50_78, 0x0A_26_4C]);
        let crest = rgb(0xFF_F0_D0);
        let half = 0.5 / rows.max(1) as f32;
        let reach = 0.03f32.max(half * 1.5);
        for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(columns.max(1) * 3)) {
            let y = (row as f32 + 0.5) * 2.0 * half;
            let above = sky.at(y);
            for (pixel, &line) in out.as_chunks_mut::<3>().0.iter_mut().zip(&self.line) {
                let depth = y - line;
                let below = water.at(depth * 1.8);
                let colour = mix(above, below, smooth(-half, half, depth));
                let edge = (-(depth / reach).powi(2)).exp();
                *pixel = values(mix(colour, crest, shine * edge));
            }
        }
    }
}
