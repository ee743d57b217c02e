//! The one way from a source to the bytes of the panels.

use std::time::Duration;

use crate::areas::Areas;
use crate::dark::Dark;
use crate::dither::Dither;
use crate::emitters::Emitters;
use crate::finish::{Brightness, Channels, Finish};
use crate::finisher::{Dimming, Finisher};
use crate::frame::LinearFrame;
use crate::guard::FlashGuard;
use crate::look::Look;
use crate::source::{Drawn, Source, SourceError};
use crate::steps::Steps;

/// How fast the brightness follows its setting: all of it in half a second, so that a setting that
/// is moved to and fro makes one flash a second at most.
const BRIGHTNESS_A_SECOND: f32 = 2.0;

/// Device bytes of one frame. Only a [`Pipeline`] makes and fills one: bytes that have not passed
/// the flash guard and the ceiling do not exist.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviceFrame {
    columns: u32,
    rows: u32,
    channels: Channels,
    bytes: Vec<u8>,
}

impl DeviceFrame {
    fn dark(columns: u32, rows: u32, channels: Channels) -> Self {
        let bytes = vec![0; columns as usize * rows as usize * channels.count()];
        Self { columns, rows, channels, bytes }
    }

    /// Pixels across.
    #[must_use]
    pub fn columns(&self) -> u32 {
        self.columns
    }

    /// Pixels down.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.rows
    }

    /// What the bytes of a pixel are.
    #[must_use]
    pub fn channels(&self) -> Channels {
        self.channels
    }

    /// Every byte, row-major from the top left; red, green, blue (and white) of each pixel.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// What became of one frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// What the source did.
    pub drawn: Drawn,
    /// Whether the flash guard held the frame back.
    pub held: bool,
}

/// Source, look, flash guard, the strip's own colours, brightness, ceiling, bytes: in this order, for
/// every frame.
///
/// All times are those of one clock, which this room does not read; they may be measured from any
/// moment.
pub struct Pipeline {
    source: Box<dyn Source>,
    began: Duration,
    /// The frame that the source draws; after a frame passed the guard, an older one.
    drawing: LinearFrame,
    look: Look,
    guard: FlashGuard,
    holding: bool,
    finisher: Finisher,
    /// Whether bytes are dithered, and the number of the frame.
    dithers: bool,
    number: u32,
    brightness: Brightness,
    wanted_brightness: Brightness,
    /// What is left of the brightness.
    share: f32,
    now: Option<Duration>,
}

impl Pipeline {
    /// A pipeline for a wall of `columns` x `rows`, dark until a source is shown.
    #[must_use]
    pub fn new(columns: u32, rows: u32, finish: Finish, brightness: Brightness) -> Self {
        Self {
            source: Box::new(Dark),
            began: Duration::ZERO,
            drawing: LinearFrame::new(columns, rows),
            look: Look::AS_IT_IS,
            guard: FlashGuard::new(columns, rows),
            holding: false,
            finisher: Finisher::new(finish, columns, rows),
            dithers: false,
            number: 0,
            brightness,
            wanted_brightness: brightness,
            share: 1.0,
            now: None,
        }
    }

    /// A dark frame of this wall, to be filled again and again.
    #[must_use]
    pub fn device_frame(&self) -> DeviceFrame {
        let channels = self.finisher.finish().channels;
        DeviceFrame::dark(self.drawing.columns(), self.drawing.rows(), channels)
    }

    /// Shows another source, which begins `now`. Returns the one before.
    pub fn show(&mut self, source: Box<dyn Source>, now: Duration) -> Box<dyn Source> {
        self.began = now;
        self.drawing.clear();
        std::mem::replace(&mut self.source, source)
    }

    /// Shows nothing: the wall goes dark with the next frame.
    pub fn go_dark(&mut self, now: Duration) -> Box<dyn Source> {
        self.show(Box::new(Dark), now)
    }

    /// How pictures are wanted to look, from the next frame on.
    pub fn set_look(&mut self, look: Look) {
        self.look = look;
        // What the source drew last has the old look: it has to draw anew.
        self.drawing.clear();
    }

    /// What the strip is like, and which bytes the way to it carries.
    pub fn set_strip(&mut self, emitters: Emitters, steps: Steps) {
        self.finisher.set_strip(emitters, steps);
    }

    /// Which parts of the wall keep how much of their light. Parts of another picture's size are laid
    /// row-major as far as they go.
    pub fn set_areas(&mut self, areas: Areas) {
        self.finisher.set_areas(areas);
    }

    /// Whether bytes are dithered in time.
    #[must_use]
    pub const fn dithers(&self) -> bool {
        self.dithers
    }

    /// Whether bytes are dithered in time, as frames come at 50 a second or more
    /// ([`LEAST_RATE`](crate::dither::LEAST_RATE)); else they are rounded.
    pub fn set_dither(&mut self, dithers: bool) {
        self.dithers = dithers;
    }

    /// How much of the picture a viewer has in one field of 10 degrees, in pixels across and down
    /// ([`FlashGuard::set_field`]). For a wall that is dark.
    pub fn set_field(&mut self, columns: f64, rows: f64) {
        self.guard.set_field(columns, rows);
    }

    /// Sets the brightness. The frames that follow go there within half a second.
    pub fn set_brightness(&mut self, brightness: Brightness) {
        self.wanted_brightness = brightness;
    }

    /// Draws what is to be seen `now` and fills `into` with its bytes. Takes no memory once the
    /// source does not.
    ///
    /// # Errors
    /// When the source cannot go on as it should ([`Source::draw`]). `into` is then filled all the
    /// same, with the last good picture, and can be sent.
    pub fn frame(&mut self, now: Duration, into: &mut DeviceFrame) -> Result<Shown, SourceError> {
        self.follow_brightness(now);
        self.guard.set_brightness(self.brightness.share());
        let drawn = self.source.draw(now.saturating_sub(self.began), &mut self.drawing);
        // What has not changed and was not held back is what is shown already.
        let unchanged = matches!(drawn, Ok(Drawn::Same | Drawn::Ended));
        if !unchanged {
            self.look.apply(&mut self.drawing);
        }
        if !unchanged || self.holding {
            self.holding = self.guard.pass(now, &mut self.drawing);
        }
        let channels = self.finisher.finish().channels;
        let size = (self.drawing.columns(), self.drawing.rows(), channels);
        self.number = self.number.wrapping_add(1);
        if (into.columns, into.rows, into.channels) != size {
            *into = self.device_frame();
        }
        self.finish_again(into);
        drawn.map(|drawn| Shown { drawn, held: self.holding })
    }

    /// What is left of what is driven from the next frame on, 0 to 1: for whoever has to hold frames back
    /// by what they draw.
    pub fn set_share(&mut self, share: f32) {
        self.share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
    }

    /// Fills `into` once more with the frame that was shown last, with the share set since.
    pub fn finish_again(&mut self, into: &mut DeviceFrame) {
        let dither = if self.dithers { Dither::Frame(self.number) } else { Dither::Nearest };
        let dimming = Dimming { brightness: self.brightness, share: self.share, dither };
        self.finisher.write(dimming, self.guard.shown(), &mut into.bytes);
    }

    /// The frame that was shown last, in linear light, before brightness and ceiling.
    #[must_use]
    pub fn shown(&self) -> &LinearFrame {
        self.guard.shown()
    }

    /// How many frames the flash guard has held back.
    #[must_use]
    pub fn held(&self) -> u64 {
        self.guard.held()
    }

    fn follow_brightness(&mut self, now: Duration) {
        let since = self.now.map_or(Duration::MAX, |then| now.saturating_sub(then));
        let most = (since.as_secs_f32() * BRIGHTNESS_A_SECOND).min(1.0);
        self.brightness = self.brightness.towards(self.wanted_brightness, most);
        self.now = Some(self.now.map_or(now, |then| then.max(now)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PictureError;

    const FINISH: Finish = Finish { channels: Channels::Rgb, ceiling: 200 };

    /// One light everywhere; trouble at two seconds.
    struct Plain(u16);

    impl Source for Plain {
        fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            if at == Duration::from_secs(2) {
                into.values_mut().fill(self.0);
                return Err(PictureError::Empty.into());
            }
            if !into.is_blank() {
                return Ok(Drawn::Same);
            }
            into.values_mut().fill(self.0);
            Ok(Drawn::New)
        }
    }

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    fn playing(light: u16) -> (Pipeline, DeviceFrame) {
        let mut pipeline = Pipeline::new(3, 2, FINISH, Brightness::FULL);
        let device = pipeline.device_frame();
        pipeline.show(Box::new(Plain(light)), ms(1000));
        (pipeline, device)
    }

    #[test]
    fn a_pipeline_starts_dark_and_can_go_dark() {
        let mut pipeline = Pipeline::new(3, 2, FINISH, Brightness::FULL);
        let mut device = pipeline.device_frame();
        assert_eq!(device.bytes(), [0; 18]);
        pipeline.frame(ms(0), &mut device).unwrap();
        assert_eq!(device.bytes(), [0; 18]);
        pipeline.show(Box::new(Plain(65_535)), ms(10));
        pipeline.frame(ms(10), &mut device).unwrap();
        assert_eq!(device.bytes(), [200; 18]);
        pipeline.go_dark(ms(500));
        pipeline.frame(ms(500), &mut device).unwrap();
        assert_eq!(device.bytes(), [0; 18]);
    }

    #[test]
    fn every_frame_is_filled_whatever_was_in_it() {
        let (mut pipeline, mut device) = playing(32_768);
        for n in 0..5 {
            device.bytes.fill(0xA5);
            let shown = pipeline.frame(ms(1000 + n), &mut device).unwrap();
            assert_eq!(device.bytes(), [100; 18], "{shown:?}");
            assert!(!shown.held);
        }
        let mut other = Pipeline::new(1, 1, FINISH, Brightness::FULL).device_frame();
        pipeline.frame(ms(1100), &mut other).unwrap();
        assert_eq!(other, device, "a frame of another wall is made to fit");
    }

    #[test]
    fn trouble_still_fills_the_frame() {
        let (mut pipeline, mut device) = playing(65_535);
        let error = pipeline.frame(ms(3000), &mut device).unwrap_err();
        assert_eq!(error, SourceError::Picture(PictureError::Empty));
        assert_eq!(device.bytes(), [200; 18]);
    }

    /// The whole way up or down takes half a second.
    #[test]
    fn brightness_goes_where_it_is_set() {
        let (mut pipeline, mut device) = playing(65_535);
        let mut first = |now| {
            pipeline.frame(ms(now), &mut device).unwrap();
            device.bytes()[0]
        };
        assert_eq!(first(1000), 200);
        pipeline.set_brightness(Brightness::DARK);
        let mut first = |now| {
            pipeline.frame(ms(now), &mut device).unwrap();
            device.bytes()[0]
        };
        assert_eq!([1100, 1100, 1250, 1500, 9000].map(&mut first), [160, 160, 100, 0, 0]);
    }

    #[test]
    fn time_may_stand_still_or_go_back() {
        let (mut pipeline, mut device) = playing(65_535);
        for now in [1000, 1000, 400, 0, 1001] {
            pipeline.frame(ms(now), &mut device).unwrap();
            assert_eq!(device.bytes(), [200; 18]);
        }
    }

    /// A look that is set while a picture stands still is seen with the next frame, and once only: the
    /// picture does not go through it again and again.
    #[test]
    fn a_look_is_seen_at_once_and_stays() {
        let mut pipeline = Pipeline::new(1, 1, FINISH, Brightness::FULL);
        let mut device = pipeline.device_frame();
        pipeline.show(Box::new(Red), ms(0));
        pipeline.frame(ms(0), &mut device).unwrap();
        assert_eq!(device.bytes(), [200, 0, 0]);
        pipeline.set_look(Look::new(0.5, glowloom_units::Chromaticity::D65).unwrap());
        for now in [5000, 5100, 5200] {
            pipeline.frame(ms(now), &mut device).unwrap();
            // Half-way to the grey of its luminance, 0.2126.
            assert_eq!(device.bytes(), [121, 21, 21]);
        }
    }

    struct Red;

    impl Source for Red {
        fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            if !into.is_blank() {
                return Ok(Drawn::Same);
            }
            into.values_mut().copy_from_slice(&[65_535, 0, 0]);
            Ok(Drawn::New)
        }
    }

    /// What is made again comes out as it was, and the next frame has other thresholds.
    #[test]
    fn dither_goes_on_from_frame_to_frame_only() {
        let (mut pipeline, mut device) = playing(100);
        pipeline.set_dither(true);
        let mut sum = 0;
        let mut differ = false;
        for n in 0..256 {
            let before = device.clone();
            pipeline.frame(ms(1000 + 3 * n), &mut device).unwrap();
            differ |= before != device;
            let first = device.clone();
            pipeline.finish_again(&mut device);
            assert_eq!(first, device);
            sum += u32::from(device.bytes()[0]);
        }
        assert!(differ);
        // 100 / 65,535 x 200 steps x 256 frames.
        assert!((77..=79).contains(&sum), "{sum}");
    }

    #[test]
    fn white_has_its_own_byte() {
        let finish = Finish { channels: Channels::Rgbw, ..FINISH };
        let mut pipeline = Pipeline::new(1, 1, finish, Brightness::FULL);
        let mut device = pipeline.device_frame();
        pipeline.show(Box::new(Plain(65_535)), ms(0));
        pipeline.frame(ms(0), &mut device).unwrap();
        assert_eq!(device.bytes(), [0, 0, 0, 200]);
    }
}
