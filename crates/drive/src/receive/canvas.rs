//! The pixels of one panel: what is held for later, and what is lit.

use std::ops::Range;

use glowloom_wire::patch::{Common, PanelPatch};

use super::OnLoss;

/// Light of each colour while a panel without frames glows: faint, and far below any ceiling that a
/// supply may need. Common practice, no source.
const GLOW: u8 = 8;

/// The pixels of a panel, data line after data line, slots of a pixel together.
#[derive(Debug)]
pub(super) struct Canvas {
    held: Vec<u8>,
    lit: Vec<u8>,
    /// For each pixel the picture pixel that it shows.
    sources: Vec<Option<u32>>,
    channels: usize,
    glow: u8,
}

impl Canvas {
    pub fn new(common: &Common, panel: &PanelPatch) -> Self {
        let sources: Vec<_> =
            panel.lines.iter().flat_map(|line| line.pixels.iter().copied()).collect();
        let channels = common.channels.count();
        let dark = vec![0; sources.len() * channels];
        Self { held: dark.clone(), lit: dark, sources, channels, glow: GLOW.min(common.ceiling) }
    }

    /// Keeps bytes for the next frame. What does not fit is left out.
    pub fn hold(&mut self, at: Range<usize>, bytes: &[u8]) {
        if let Some(to) = self.held.get_mut(at) {
            let size = to.len().min(bytes.len());
            to[..size].copy_from_slice(&bytes[..size]);
        }
    }

    /// Lights one part of what is held.
    pub fn show_part(&mut self, at: Range<usize>) {
        if let (Some(to), Some(from)) = (self.lit.get_mut(at.clone()), self.held.get(at)) {
            to.copy_from_slice(from);
        }
    }

    /// Lights all that is held.
    pub fn show(&mut self) {
        self.lit.copy_from_slice(&self.held);
    }

    /// What is to be seen when frames stop. Spare pixels stay dark.
    pub fn lose(&mut self, on_loss: OnLoss) {
        match on_loss {
            OnLoss::Keep => {}
            OnLoss::Black => self.lit.fill(0),
            OnLoss::Glow => {
                let pixels = self.lit.chunks_exact_mut(self.channels);
                for (pixel, source) in pixels.zip(&self.sources) {
                    // Red, green and blue; a white channel stays dark.
                    let glow = if source.is_some() { self.glow } else { 0 };
                    pixel.fill(0);
                    pixel[..3].fill(glow);
                }
            }
        }
        // The next sender starts with a clean sheet.
        self.held.copy_from_slice(&self.lit);
    }

    pub fn lit(&self) -> &[u8] {
        &self.lit
    }

    pub fn draw(&self, picture: &mut [u8]) {
        let pixels = self.lit.chunks_exact(self.channels);
        for (pixel, source) in pixels.zip(&self.sources) {
            let Some(source) = source else { continue };
            let at = *source as usize * self.channels;
            if let Some(to) = picture.get_mut(at..at + self.channels) {
                to.copy_from_slice(pixel);
            }
        }
    }
}
