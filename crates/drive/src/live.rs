//! The one way from a source of pictures to the panels: through show's pipeline, with its flash
//! guard.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::mpsc;
use std::time::Duration;

use glowloom_show::{Areas, Channels, DeviceFrame, Pipeline, Shares, dither};
use glowloom_wire::{Evened, Patch, patch};

use crate::{Change, Dimming, DriveError, FrameError, Frames, Rate, SupplyGuard};

type Order = Box<dyn FnOnce(&mut Pipeline, Duration) + Send>;

/// A pipeline whose frames go to panels.
pub struct Live {
    pipeline: Pipeline,
    frame: DeviceFrame,
    guard: Option<SupplyGuard>,
    dimming: Option<Dimming>,
    orders: mpsc::Receiver<Order>,
    /// Dither is off because frames come too slowly for it.
    too_slow: bool,
}

/// Changes what a [`Live`] shows while it plays, from any thread and without waiting for it.
#[derive(Clone)]
pub struct Remote {
    orders: mpsc::Sender<Order>,
}

impl Live {
    /// Takes over a pipeline, which may show a source already, and tells it how much of its light each
    /// panel keeps: here it is known which panel a pixel of the picture is on.
    ///
    /// # Errors
    /// [`DriveError::PictureSize`] where its frames are not those of the wall.
    pub fn new(mut pipeline: Pipeline, patch: &Patch) -> Result<(Self, Remote), DriveError> {
        let frame = pipeline.device_frame();
        let common = patch.common();
        let found = (frame.columns(), frame.rows(), frame.channels().count());
        let wanted = (common.columns, common.rows, common.channels.count());
        let same_channels = matches!(
            (frame.channels(), common.channels),
            (Channels::Rgb, patch::Channels::Three) | (Channels::Rgbw, patch::Channels::Four)
        );
        if found != wanted || !same_channels {
            return Err(DriveError::PictureSize { wanted, found });
        }
        pipeline.set_areas(areas(patch));
        let (sender, orders) = mpsc::channel();
        let guard = SupplyGuard::of(patch);
        let live = Self { pipeline, frame, guard, dimming: None, orders, too_slow: false };
        Ok((live, Remote { orders: sender }))
    }

    /// Keeps quiet hours: from now on they say what the brightness is.
    pub fn set_dimming(&mut self, dimming: Dimming) {
        self.dimming = Some(dimming);
    }
}

/// What keeps less than all of its light, as parts of the picture: panels, and pixels of them.
fn areas(patch: &Patch) -> Areas {
    let common = patch.common();
    let mut parts = Vec::new();
    for (number, panel) in patch.panels().iter().enumerate() {
        let balance = patch.balance(number);
        let evened = patch.evened(number);
        let mut alike: BTreeMap<Evened, Vec<u32>> = BTreeMap::new();
        for (place, pixel) in panel.lit().enumerate() {
            let kept = evened.get(place).copied().unwrap_or(Evened::ALL);
            alike.entry(kept).or_default().push(pixel);
        }
        for (kept, pixels) in alike {
            let (of_panel, of_pixel) = (balance.shares(), kept.shares());
            // Both hold shares of 0 to 1, as these have to be.
            let shares = Shares::new(std::array::from_fn(|k| of_panel[k] * of_pixel[k]));
            let shares = shares.unwrap_or(Shares::ALL);
            if shares != Shares::ALL {
                parts.push((shares, pixels));
            }
        }
    }
    Areas::new(common.columns, common.rows, parts)
}

/// Whether bytes may be dithered in time at this rate without a flicker that is seen.
#[must_use]
pub fn may_dither(rate: Rate) -> bool {
    rate.get().0 >= dither::LEAST_RATE.0
}

impl Frames for Live {
    fn frame(&mut self, at: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        for order in self.orders.try_iter() {
            order(&mut self.pipeline, at);
        }
        if let Some(dimming) = &mut self.dimming {
            self.pipeline.set_brightness(dimming.brightness(at));
        }
        if let Some(guard) = &mut self.guard {
            self.pipeline.set_share(guard.begin(at));
        }
        let drawn = self.pipeline.frame(at, &mut self.frame);
        // Both are of the size of the wall's picture. An error does not keep the frame back: the
        // guard has counted it as shown.
        into.copy_from_slice(self.frame.bytes());
        if let Some(guard) = &mut self.guard {
            let (pipeline, frame) = (&mut self.pipeline, &mut self.frame);
            guard.hold(into, |share, into| {
                pipeline.set_share(share);
                pipeline.finish_again(frame);
                into.copy_from_slice(frame.bytes());
            });
        }
        // Even the same picture may come in other bytes: the brightness moves.
        Ok(match drawn {
            Ok(_) => Change::New,
            Err(error) => Change::Marred(FrameError(error.to_string())),
        })
    }

    fn paced(&mut self, rate: Rate) {
        if !may_dither(rate) && self.pipeline.dithers() {
            self.pipeline.set_dither(false);
            self.too_slow = true;
        } else if may_dither(rate) && std::mem::take(&mut self.too_slow) {
            self.pipeline.set_dither(true);
        }
    }

    fn dimmed(&self) -> u64 {
        self.guard.as_ref().map_or(0, SupplyGuard::held)
    }
}

impl Remote {
    /// Does something to the pipeline before its next frame; it is told that frame's time. `false`:
    /// the show is over, and nothing was done.
    pub fn tell(&self, order: impl FnOnce(&mut Pipeline, Duration) + Send + 'static) -> bool {
        self.orders.send(Box::new(order)).is_ok()
    }
}

impl fmt::Debug for Live {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Live").finish_non_exhaustive()
    }
}

impl fmt::Debug for Remote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Remote").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_show::{Brightness, Drawn, Finish, LinearFrame, Source, SourceError};
    use glowloom_wire::Balance;

    /// Grey that rises with time: half of full light in a minute.
    struct Dawn;

    impl Source for Dawn {
        fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            let level = (at.as_secs_f64() / 120.0 * f64::from(u16::MAX / 2)) as u16;
            into.values_mut().fill(level);
            Ok(Drawn::New)
        }
    }

    fn pipeline(channels: Channels) -> Pipeline {
        let finish = Finish { channels, ceiling: 200 };
        let mut pipeline = Pipeline::new(4, 2, finish, Brightness::FULL);
        pipeline.show(Box::new(Dawn), Duration::ZERO);
        pipeline
    }

    fn wall(channels: patch::Channels) -> Patch {
        let common = patch::Common {
            columns: 4,
            rows: 2,
            channels,
            protocol: patch::Protocol::Ddp,
            ceiling: 200,
            sync_universe: 9,
        };
        Patch::new(common, Vec::new()).unwrap()
    }

    #[test]
    fn the_bytes_are_those_of_the_pipeline() {
        for (ours, theirs) in
            [(Channels::Rgb, patch::Channels::Three), (Channels::Rgbw, patch::Channels::Four)]
        {
            let (mut live, _remote) = Live::new(pipeline(ours), &wall(theirs)).unwrap();
            let mut alone = pipeline(ours);
            let mut wanted = alone.device_frame();
            let mut bytes = vec![77; 8 * theirs.count()];
            for second in (0..60).map(Duration::from_secs) {
                alone.frame(second, &mut wanted).unwrap();
                assert_eq!(live.frame(second, &mut bytes), Ok(Change::New));
                assert_eq!(bytes, wanted.bytes());
            }
            assert!(bytes.iter().any(|&byte| byte > 20));
        }
    }

    /// Panels that keep part of their light do so, spares and other panels' pixels left alone.
    #[test]
    fn panels_keep_their_shares() {
        let panel = |port, pixels: &[Option<u32>]| patch::PanelPatch {
            name: format!("p{port}"),
            address: patch::Address::Virtual { port },
            lines: vec![patch::Line {
                first_universe: port,
                byte_offset: 0,
                pixels: pixels.to_vec(),
            }],
        };
        let panels = vec![
            panel(1, &[None, Some(0), Some(4), Some(1)]),
            panel(2, &[Some(3), Some(2), Some(6), Some(7)]),
        ];
        let common = wall(patch::Channels::Three).common().clone();
        let dim = Balance::new([0.5, 1.0, 0.25, 1.0]).unwrap();
        let patch =
            Patch::new(common, panels).unwrap().with_balances(vec![Balance::EVEN, dim]).unwrap();
        let (mut live, _remote) = Live::new(pipeline(Channels::Rgb), &patch).unwrap();
        let mut bytes = vec![0; 24];
        live.frame(Duration::from_secs(100_000), &mut bytes).unwrap();
        for (n, pixel) in bytes.as_chunks::<3>().0.iter().enumerate() {
            let wanted = if [2, 3, 6, 7].contains(&n) { [100, 200, 50] } else { [200; 3] };
            assert_eq!(*pixel, wanted, "{n}");
        }
    }

    /// Pixels that are dimmed for others are so besides what their panel keeps.
    #[test]
    fn pixels_keep_their_shares_of_their_panels() {
        let pixels = vec![None, Some(5), Some(2)];
        let lines = vec![patch::Line { first_universe: 1, byte_offset: 0, pixels }];
        let panel = patch::PanelPatch {
            name: "p".into(),
            address: patch::Address::Virtual { port: 1 },
            lines,
        };
        let patch = Patch::new(wall(patch::Channels::Three).common().clone(), vec![panel]).unwrap();
        let half = Balance::new([0.5, 1.0, 1.0, 1.0]).unwrap();
        let patch = patch.with_balances(vec![half]).unwrap();
        let other = patch.clone().with_evened(vec![vec![Evened::ALL; 3]]);
        assert_eq!(other, Err(patch::PatchError::EvenedOfOther));
        let kept = vec![Evened::ALL, Evened::nearest([0.5, 0.25, 1.0, 1.0])];
        let patch = patch.with_evened(vec![kept]).unwrap();
        let (mut live, _remote) = Live::new(pipeline(Channels::Rgb), &patch).unwrap();
        let mut bytes = vec![0; 24];
        live.frame(Duration::from_secs(100_000), &mut bytes).unwrap();
        for (n, pixel) in bytes.as_chunks::<3>().0.iter().enumerate() {
            let wanted = match n {
                5 => [100, 200, 200],
                2 => [50, 50, 200],
                _ => [200; 3],
            };
            assert_eq!(*pixel, wanted, "{n}");
        }
    }

    #[test]
    fn dither_waits_for_its_rate() {
        let at = |fps| may_dither(Rate::new(crate::FramesPerSecond(fps)).unwrap());
        assert!(at(50.0) && at(60.0) && !at(49.9) && !at(1.0));
    }

    #[test]
    fn dither_pauses_while_frames_come_too_slowly() {
        let rate = |fps| Rate::new(crate::FramesPerSecond(fps)).unwrap();
        for wanted in [true, false] {
            let mut pipeline = pipeline(Channels::Rgb);
            pipeline.set_dither(wanted);
            let (mut live, _remote) = Live::new(pipeline, &wall(patch::Channels::Three)).unwrap();
            let mut after = |fps| {
                live.paced(rate(fps));
                live.pipeline.dithers()
            };
            assert_eq!([48.0, 36.0, 48.0, 60.0].map(&mut after), [false, false, false, wanted]);
        }
    }

    #[test]
    fn frames_of_another_size_are_refused() {
        let error = Live::new(pipeline(Channels::Rgbw), &wall(patch::Channels::Three));
        let Err(DriveError::PictureSize { wanted, found }) = error else { panic!("not refused") };
        assert_eq!((wanted, found), ((4, 2, 3), (4, 2, 4)));
    }

    #[test]
    fn orders_are_done_before_the_next_frame() {
        let (mut live, remote) =
            Live::new(pipeline(Channels::Rgb), &wall(patch::Channels::Three)).unwrap();
        let mut bytes = vec![0; 24];
        let at = Duration::from_secs(60);
        live.frame(at, &mut bytes).unwrap();
        assert!(bytes.iter().all(|&byte| byte > 0));
        assert!(remote.tell(|pipeline, now| {
            assert_eq!(now, Duration::from_secs(61));
            pipeline.go_dark(now);
        }));
        live.frame(at + Duration::from_secs(1), &mut bytes).unwrap();
        assert!(bytes.iter().all(|&byte| byte == 0));
        drop(live);
        assert!(!remote.tell(|_, _| ()));
    }
}
