//! The one canvas on which an animation's frames are laid.
//!
//! GIF, APNG and WebP share the same few rules: a frame is a rectangle that replaces what is under
//! it or is laid over it, and before the next frame its place is left, emptied, or put back to what
//! it was.

use crate::raster::{Layout, Raster};

/// What happens to a frame's place before the next frame is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dispose {
    /// The frame stays.
    Keep,
    /// Its place becomes transparent.
    Clear,
    /// Its place becomes what it was before.
    Restore,
}

/// How a frame meets what is under it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Blend {
    /// It replaces it, transparency included.
    Replace,
    /// It is laid over it.
    Over,
}

/// A rectangle of the canvas, in pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) left: u32,
    pub(super) top: u32,
    pub(super) width: u32,
    pub(super) height: u32,
}

/// RGBA pixels, row-major, not premultiplied; transparent to begin with.
#[derive(Clone, Debug)]
pub(crate) struct Canvas {
    width: u32,
    height: u32,
    pixels: Vec<u8>,
    opaque: bool,
    /// Where the last frame was laid and what is to happen to that place.
    last: Place,
    dispose: Dispose,
    /// The pixels under the last frame, if they are to be put back.
    under: Vec<u8>,
}

impl Canvas {
    /// A transparent canvas. The caller has checked its size.
    pub(super) fn new(width: u32, height: u32) -> Self {
        Self {
            width,
            height,
            pixels: vec![0; width as usize * height as usize * 4],
            opaque: false,
            last: Place::default(),
            dispose: Dispose::Keep,
            under: Vec::new(),
        }
    }

    /// Lays the next frame: `pixels` are RGBA, row-major, as many as `place` has. What lies outside
    /// of the canvas is cut off.
    pub(super) fn lay(&mut self, place: Place, pixels: &[u8], blend: Blend, dispose: Dispose) {
        let stays_opaque = self.opaque && self.dispose == Dispose::Keep && blend == Blend::Over;
        self.dispose_of_last();
        let shown = self.within(place);
        if dispose == Dispose::Restore {
            self.save(shown);
        }
        let stride = place.width as usize * 4;
        for row in 0..shown.height {
            let start = row as usize * stride;
            let (Some(from), Some(to)) =
                (pixels.get(start..start + shown.width as usize * 4), self.row_mut(shown, row))
            else {
                break;
            };
            match blend {
                Blend::Replace => to.copy_from_slice(from),
                Blend::Over => lay_over(from, to),
            }
        }
        (self.last, self.dispose) = (shown, dispose);
        self.opaque =
            stays_opaque || self.pixels.iter().skip(3).step_by(4).all(|&alpha| alpha == 255);
    }

    /// The canvas as it is to be seen now.
    pub(super) fn raster(&self) -> Option<Raster<'_>> {
        let layout = if self.opaque { Layout::RgbaOpaque } else { Layout::Rgba };
        Raster::new(self.width, self.height, layout, &self.pixels)
    }

    /// Makes the canvas transparent again, as before the first frame.
    pub(super) fn clear(&mut self) {
        self.pixels.fill(0);
        (self.last, self.dispose, self.opaque) = (Place::default(), Dispose::Keep, false);
    }

    fn dispose_of_last(&mut self) {
        let last = self.last;
        match self.dispose {
            Dispose::Keep => {}
            Dispose::Clear => {
                for row in 0..last.height {
                    if let Some(line) = self.row_mut(last, row) {
                        line.fill(0);
                    }
                }
            }
            Dispose::Restore => {
                let under = std::mem::take(&mut self.under);
                let length = last.width as usize * 4;
                for row in 0..last.height {
                    let saved = under.get(row as usize * length..(row as usize + 1) * length);
                    if let (Some(line), Some(saved)) = (self.row_mut(last, row), saved) {
                        line.copy_from_slice(saved);
                    }
                }
                self.under = under;
            }
        }
    }

    fn save(&mut self, place: Place) {
        let mut under = std::mem::take(&mut self.under);
        under.clear();
        for row in 0..place.height {
            if let Some(line) = self.row_mut(place, row) {
                under.extend_from_slice(line);
            }
        }
        self.under = under;
    }

    /// The part of `place` that lies on the canvas.
    fn within(&self, place: Place) -> Place {
        let left = place.left.min(self.width);
        let top = place.top.min(self.height);
        let width = place.width.min(self.width - left);
        let height = place.height.min(self.height - top);
        Place { left, top, width, height }
    }

    /// One row of a place that lies on the canvas.
    fn row_mut(&mut self, place: Place, row: u32) -> Option<&mut [u8]> {
        let start = (place.top + row) as usize * self.width as usize + place.left as usize;
        self.pixels.get_mut(start * 4..(start + place.width as usize) * 4)
    }
}

/// Lays RGBA pixels over others, on the 8-bit codes as they are: the rule of the APNG
/// specification's example for `APNG_BLEND_OP_OVER` (from memory), which WebP shares.
fn lay_over(from: &[u8], to: &mut [u8]) {
    let (from, _) = from.as_chunks::<4>();
    let (to, _) = to.as_chunks_mut::<4>();
    for (&above, below) in from.iter().zip(to) {
        *below = over(above, *below);
    }
}

fn over(above: [u8; 4], below: [u8; 4]) -> [u8; 4] {
    match (above[3], below[3]) {
        (255, _) | (_, 0) => above,
        (0, _) => below,
        (alpha, under) => {
            // Shares in 255 x 255ths, so that nothing is rounded before the end.
            let above_share = u32::from(alpha) * 255;
            let below_share = (255 - u32::from(alpha)) * u32::from(under);
            let all = above_share + below_share;
            let mix = |k: usize| {
                let sum = u32::from(above[k]) * above_share + u32::from(below[k]) * below_share;
                ((sum + all / 2) / all) as u8
            };
            [mix(0), mix(1), mix(2), ((all + 127) / 255) as u8]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RED: [u8; 4] = [255, 0, 0, 255];
    const BLUE: [u8; 4] = [0, 0, 255, 255];
    const CLEAR: [u8; 4] = [0; 4];

    fn one(left: u32) -> Place {
        Place { left, top: 0, width: 1, height: 1 }
    }

    fn seen(canvas: &Canvas) -> Vec<[u8; 4]> {
        canvas.pixels.as_chunks::<4>().0.to_vec()
    }

    #[test]
    fn disposal_happens_before_the_next_frame() {
        for (dispose, left_behind) in
            [(Dispose::Keep, BLUE), (Dispose::Clear, CLEAR), (Dispose::Restore, RED)]
        {
            let mut canvas = Canvas::new(3, 1);
            canvas.lay(one(0), &RED, Blend::Replace, Dispose::Keep);
            canvas.lay(one(0), &BLUE, Blend::Replace, dispose);
            assert_eq!(seen(&canvas), [BLUE, CLEAR, CLEAR]);
            canvas.lay(one(2), &RED, Blend::Replace, Dispose::Keep);
            assert_eq!(seen(&canvas), [left_behind, CLEAR, RED], "{dispose:?}");
        }
    }

    /// The APNG specification: "previous" on the first frame means "background" (from memory).
    #[test]
    fn restoring_the_first_frame_clears_it() {
        let mut canvas = Canvas::new(2, 1);
        canvas.lay(one(0), &RED, Blend::Replace, Dispose::Restore);
        canvas.lay(one(1), &BLUE, Blend::Replace, Dispose::Keep);
        assert_eq!(seen(&canvas), [CLEAR, BLUE]);
    }

    #[test]
    fn only_what_is_there_is_laid_over() {
        let mut canvas = Canvas::new(1, 1);
        canvas.lay(one(0), &RED, Blend::Over, Dispose::Keep);
        canvas.lay(one(0), &CLEAR, Blend::Over, Dispose::Keep);
        assert_eq!(seen(&canvas), [RED]);
        canvas.lay(one(0), &CLEAR, Blend::Replace, Dispose::Keep);
        assert_eq!(seen(&canvas), [CLEAR]);
    }

    /// Against the formula in f64: alpha a + b (1 - a), colour the mean weighed by it.
    #[test]
    fn half_over_half() {
        for above in (1..=254).step_by(11) {
            for under in (1..=255).step_by(13) {
                let [red, .., alpha] = over([200, 0, 0, above], [40, 0, 0, under]);
                let (a, b) = (f64::from(above) / 255.0, f64::from(under) / 255.0);
                let all = a + b * (1.0 - a);
                assert!((f64::from(alpha) - all * 255.0).abs() <= 0.5 + 1e-9);
                let wanted = (200.0 * a + 40.0 * b * (1.0 - a)) / all;
                assert!((f64::from(red) - wanted).abs() <= 0.5 + 1e-9);
            }
        }
    }

    #[test]
    fn what_lies_outside_is_cut_off() {
        let mut canvas = Canvas::new(2, 2);
        let place = Place { left: 1, top: 1, width: 2, height: 2 };
        let pixels = [RED, BLUE, BLUE, BLUE].concat();
        canvas.lay(place, &pixels, Blend::Replace, Dispose::Clear);
        assert_eq!(seen(&canvas), [CLEAR, CLEAR, CLEAR, RED]);
        let far = Place { left: u32::MAX, top: u32::MAX, width: 1, height: 1 };
        canvas.lay(far, &RED, Blend::Over, Dispose::Keep);
        assert_eq!(seen(&canvas), [CLEAR; 4]);
    }

    #[test]
    fn a_canvas_knows_when_it_is_opaque() {
        let mut canvas = Canvas::new(2, 1);
        canvas.lay(one(0), &RED, Blend::Over, Dispose::Keep);
        assert_eq!(canvas.raster().map(|r| r.layout()), Some(Layout::Rgba));
        canvas.lay(one(1), &RED, Blend::Over, Dispose::Keep);
        assert_eq!(canvas.raster().map(|r| r.layout()), Some(Layout::RgbaOpaque));
        canvas.lay(one(0), &CLEAR, Blend::Over, Dispose::Restore);
        assert_eq!(canvas.raster().map(|r| r.layout()), Some(Layout::RgbaOpaque));
        canvas.lay(one(0), &CLEAR, Blend::Replace, Dispose::Keep);
        assert_eq!(canvas.raster().map(|r| r.layout()), Some(Layout::Rgba));
        canvas.lay(one(0), &RED, Blend::Over, Dispose::Clear);
        canvas.lay(one(1), &RED, Blend::Over, Dispose::Keep);
        assert_eq!(canvas.raster().map(|r| r.layout()), Some(Layout::Rgba));
        canvas.clear();
        assert_eq!(seen(&canvas), [CLEAR; 2]);
    }
}
