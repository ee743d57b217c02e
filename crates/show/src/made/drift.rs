//! Colours that drift into one another.

use std::time::Duration;

use super::ramp::{Ramp, values};
use super::{seconds_into, turns};
use crate::frame::LinearFrame;
use crate::source::{Drawn, Source, SourceError};

/// After this long all waves are where they began: a whole number of every period below.
const ROUND: u32 = 2520;

/// Shades between one end of the colours and the other.
const SHADES: usize = 1024;

/// A slow drift of evening colours, no two places alike.
#[derive(Clone, Debug, Default)]
pub struct Drift {
    shades: Vec<[u16; 3]>,
    /// Of each column: two waves that run across.
    across: Vec<[f32; 2]>,
}

impl Source for Drift {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let (columns, rows) = (into.columns() as usize, into.rows());
        let t = seconds_into(at, ROUND);
        if self.shades.is_empty() {
            self.shades = shades();
        }
        self.across.resize(columns, [0.0; 2]);
        let longest = columns.max(rows as usize).max(1) as f32;
        for (n, waves) in self.across.iter_mut().enumerate() {
            let x = (n as f32 + 0.5) / longest;
            *waves = [(3.1 * x + turns(t, 36.0)).sin(), (5.3 * x - turns(t, 28.0)).sin()];
        }
        for (row, out) in (0u32..).zip(into.values_mut().chunks_exact_mut(columns.max(1) * 3)) {
            let y = (row as f32 + 0.5) / longest;
            let down = (3.7 * y - turns(t, 30.0)).sin();
            let weave = (4.5 * y + turns(t, 42.0)).sin();
            let (pixels, _) = out.as_chunks_mut::<3>();
            for (pixel, &[wide, narrow]) in pixels.iter_mut().zip(&self.across) {
                let sum = 0.45 * wide + 0.3 * down + 0.25 * narrow * weave;
                let shade = (sum + 1.0) * 0.5 * (SHADES - 1) as f32 + 0.5;
                if let Some(&colour) = self.shades.get(shade as usize) {
                    *pixel = colour;
                }
            }
        }
        Ok(Drawn::New)
    }
}

fn shades() -> Vec<[u16; 3]> {
    let ramp = Ramp::new([0x0B_14_4A, 0x0E_5C_74, 0x2A_9D_8F, 0xE9_A1_5B, 0xC8_4B_5C, 0x4A_1E_5E]);
    (0..SHADES).map(|n| values(ramp.at(n as f32 / (SHADES - 1) as f32))).collect()
}
