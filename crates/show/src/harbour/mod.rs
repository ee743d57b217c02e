//! A picture drawn by code for the demo wall: an invented harbour café at dusk.
//!
//! Café and quay on the left, two moored boats, the moon and its path on the water. Large shapes
//! and few colours, so that it reads on a wall of a few thousand pixels.

mod animation;
mod palette;
mod scene;
mod shapes;

use self::scene::Scene;
use crate::made::ramp::{Rgb, values};
use crate::srgb::code;

pub use self::animation::animation;

/// Samples each way to a pixel.
const SAMPLES: u32 = 3;

/// The harbour as `width` x `height` pixels of 8-bit sRGB, row-major, three bytes to a pixel. It is
/// made for a width of 15 to a height of 8; other proportions see more or less of the water on the
/// right.
#[must_use]
pub fn picture(width: u32, height: u32) -> Vec<u8> {
    picture_at(width, height, 0.0)
}

/// The harbour at a moment of its round, 0 to 1.
fn picture_at(width: u32, height: u32, moment: f32) -> Vec<u8> {
    let scene = Scene::at(moment);
    let mut pixels = Vec::with_capacity(width as usize * height as usize * 3);
    for row in 0..height {
        for column in 0..width {
            pixels.extend(values(pixel(&scene, column, row, height)).map(code));
        }
    }
    pixels
}

/// The mean light of one pixel.
fn pixel(scene: &Scene, column: u32, row: u32, height: u32) -> Rgb {
    let scale = 1.0 / (height * SAMPLES) as f32;
    let mut sum = [0.0; 3];
    for n in 0..SAMPLES * SAMPLES {
        let x = ((column * SAMPLES + n % SAMPLES) as f32 + 0.5) * scale;
        let y = ((row * SAMPLES + n / SAMPLES) as f32 + 0.5) * scale;
        for (sum, part) in sum.iter_mut().zip(scene.light(x, y)) {
            *sum += part;
        }
    }
    sum.map(|sum| sum / (SAMPLES * SAMPLES) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_harbour_every_time() {
        let once = picture(48, 26);
        assert_eq!(once.len(), 48 * 26 * 3);
        assert_eq!(once, picture(48, 26));
    }

    /// What the wall has to show: a dark foreground, warm windows, a bright moon.
    #[test]
    fn it_has_its_lights_and_its_darks() {
        let pixels = picture(60, 32);
        let (pixels, _) = pixels.as_chunks::<3>();
        let moon = pixels.iter().filter(|p| p.iter().all(|&c| c > 200)).count();
        let warm = pixels.iter().filter(|p| p[0] > 200 && p[2] < 140).count();
        let dark = pixels.iter().filter(|p| p.iter().all(|&c| c < 60)).count();
        assert!((8..80).contains(&moon), "{moon}");
        assert!((30..300).contains(&warm), "{warm}");
        assert!((120..1200).contains(&dark), "{dark}");
    }
}
