//! Water that rises and falls slowly under an evening sky.

use std::time::Duration;

use super::ramp::{Ramp, mix, rgb, smooth, values};
use super::{seconds_into, turns};
use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// After this long all waves are where they began: a whole number of every period below.
const ROUND: u32 = 1680;

/// A slow tide: a water line that rises and falls within 28 seconds, small waves on it, light in
/// the water, dusk above.
#[derive(Clone, Debug, Default)]
pub struct Tide {
    /// Of each column: where the water line is, and how light falls into the water.
    line: Vec<f32>,
    shafts: Vec<f32>,
}

impl Source for Tide {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let (columns, rows) = (into.columns() as usize, into.rows());
        let t = seconds_into(at, ROUND);
        self.waves(columns, t);
        let sky = Ramp::new([0x1B_1B_45, 0x45_2F_66, 0xA6_4E_63, 0xF0_8A_4B]);
        let water = Ramp::new([0x3F_B7_AE, 0x14_7E_8C, 0x0C_4A_72, 0x08_1F_45]);
        let crest = rgb(0xFF_E9_C4);
        // In shares of the height: half a pixel, and how far the glow of the crest reaches.
        let half = 0.5 / rows.max(1) as f32;
        let reach = 0.035f32.max(half * 1.5);
        for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(columns.max(1) * 3)) {
            let y = (row as f32 + 0.5) * 2.0 * half;
            let (pixels, _) = out.as_chunks_mut::<3>();
            for ((pixel, &line), &shaft) in pixels.iter_mut().zip(&self.line).zip(&self.shafts) {
                let depth = y - line;
                let above = sky.at(y / line.max(0.2));
                let below = water.at(depth * 1.6);
                let fade = (1.0 - depth * 1.8).clamp(0.0, 1.0);
                let below = below.map(|value| value * (1.0 + 0.55 * shaft * fade));
                let colour = mix(above, below, smooth(-half, half, depth));
                let glow = (-(depth / reach).powi(2)).exp();
                *pixel = values(mix(colour, crest, 0.65 * glow));
            }
        }
        Ok(Drawn::New)
    }
}

impl Tide {
    fn waves(&mut self, columns: usize, t: f32) {
        self.line.resize(columns, 0.0);
        self.shafts.resize(columns, 0.0);
        let tide = 0.52 + 0.2 * turns(t, 28.0).sin();
        for (n, (line, shaft)) in self.line.iter_mut().zip(&mut self.shafts).enumerate() {
            let x = (n as f32 + 0.5) / columns as f32 * std::f32::consts::TAU;
            *line = tide
                + 0.035 * (1.3 * x + turns(t, 7.0)).sin()
                + 0.018 * (2.9 * x - turns(t, 5.0)).sin();
            *shaft = (2.3 * x + turns(t, 14.0)).sin() * (1.1 * x - turns(t, 10.0)).sin();
        }
    }
}
