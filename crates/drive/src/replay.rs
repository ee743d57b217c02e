//! What was kept of a show, sent again: the very bytes, past no colours, brightness or dither, which they have been
//! through.
//!
//! They have passed the guards as well, and pass them again, for a file may come from elsewhere: frames that flash too
//! often are held back, frames above a limit of the supplies dimmed, bytes above the ceiling held to it. Of a recording
//! of the same wall none of them is to change a byte. Rounding to bytes may have moved a change across the line that
//! the flash guard had kept to, so it sees these frames a little flatter and brighter, and time a little longer
//! ([`FLATTER`], [`LONGER`]): what it kept once it lets pass, and what flashes it holds back. A red that is dimmer than two
//! thirds is then no saturated red to it.

use std::time::Duration;

use glowloom_show::recording::{Head, Recorded};
use glowloom_show::{Channels, FlashGuard, LinearFrame};
use glowloom_wire::{Patch, patch};

use crate::{Change, DriveError, FrameError, Frames, SupplyGuard};

/// Light as the flash guard is shown it: so much of it, and so much more. A change of a tenth of full light counts, and
/// rounding adds up to 0.8 % of full light to one; a darker state of 0.8 or more is forgiven, and is 0.82 here.
const FLATTER: f32 = 0.9;
const BRIGHTER: f32 = 0.1;
/// And time: frames come at ticks, and a change is counted at the one where it is large enough.
const LONGER: f64 = 1.05;
/// Ticks are rounded up to nanoseconds; a frame is due as well if so little is wanting.
const SLACK: Duration = Duration::from_micros(1);

/// Where a recording is read from: frame after frame.
pub trait Reel: Send {
    /// The next frame; `None` at the end.
    ///
    /// # Errors
    /// Why it cannot be read, in one line with no full stop; the one after it may be.
    fn next(&mut self) -> Option<Result<Recorded, String>>;

    /// Begins anew.
    fn rewind(&mut self);
}

/// A recording as frames for the panels, over and over.
pub struct Replay {
    reel: Box<dyn Reel>,
    head: Head,
    ceiling: u8,
    flashes: FlashGuard,
    light: LinearFrame,
    supply: Option<SupplyGuard>,
    /// The frame that is shown, as it was kept.
    shown: Vec<u8>,
    /// The one that the supply guard is to hold, before it does.
    whole: Vec<u8>,
    next: Option<Recorded>,
    began: Option<Duration>,
    /// When the last frame was due, and how long it stays, for the turn after it.
    last: Duration,
    gap: Duration,
    trouble: Option<String>,
    /// Frames that the flash guard changed.
    held: u64,
}

impl Replay {
    /// Reads the first frame, and sees that it is of this wall. `field` is how much of the picture a viewer sees
    /// at once, as [`FlashGuard::set_field`] has it.
    ///
    /// # Errors
    /// [`DriveError::Replay`]: there is none, or it is of another wall.
    pub fn new(
        mut reel: Box<dyn Reel>,
        patch: &Patch,
        field: (f64, f64),
    ) -> Result<Self, DriveError> {
        let common = patch.common();
        let channels = match common.channels {
            patch::Channels::Three => Channels::Rgb,
            patch::Channels::Four => Channels::Rgbw,
        };
        let head = Head { columns: common.columns, rows: common.rows, channels };
        let first = match reel.next() {
            Some(Ok(first)) => first,
            Some(Err(why)) => return Err(DriveError::Replay(why)),
            None => return Err(DriveError::Replay("there is no frame in it".into())),
        };
        if let Some(why) = of_another_wall(head, first.head) {
            return Err(DriveError::Replay(why));
        }
        let mut flashes = FlashGuard::new(head.columns, head.rows);
        flashes.set_field(field.0, field.1);
        Ok(Self {
            reel,
            head,
            ceiling: common.ceiling,
            flashes,
            light: LinearFrame::new(head.columns, head.rows),
            supply: SupplyGuard::of(patch),
            shown: vec![0; head.frame_bytes()],
            whole: vec![0; head.frame_bytes()],
            next: Some(first),
            began: None,
            last: Duration::ZERO,
            gap: Duration::from_millis(20),
            trouble: None,
            held: 0,
        })
    }

    /// How many frames the flash guard changed: of a recording that nobody changed, none.
    #[must_use]
    pub fn held(&self) -> u64 {
        self.held
    }

    /// Takes the frame that is due.
    fn take(&mut self, at: Duration) {
        let began = *self.began.get_or_insert(at);
        let mut due = at.saturating_sub(began).saturating_add(SLACK);
        let mut turned = false;
        loop {
            match &self.next {
                Some(next) if next.at <= due => {
                    if next.at > self.last {
                        self.gap = next.at - self.last;
                    }
                    self.last = next.at;
                    self.shown.copy_from_slice(&next.bytes);
                    self.next = self.read();
                }
                Some(_) => return,
                // The last one stays as long as the one before it did. Only once: a recording of no length
                // would turn for ever.
                None if due > self.last.saturating_add(self.gap) && !turned => {
                    turned = true;
                    self.began = Some(at);
                    due = SLACK;
                    self.last = Duration::ZERO;
                    self.reel.rewind();
                    self.next = self.read();
                }
                None => return,
            }
        }
    }

    /// The next frame that is one of this wall; what is none is told and left out.
    fn read(&mut self) -> Option<Recorded> {
        loop {
            let why = match self.reel.next()? {
                Ok(next) => match of_another_wall(self.head, next.head) {
                    None => return Some(next),
                    Some(why) => why,
                },
                Err(why) => why,
            };
            self.trouble = Some(format!("a frame of the recording is left out: {why}"));
        }
    }

    /// What the flash guard lets through of the frame that is shown.
    fn guard(&mut self, at: Duration, into: &mut [u8]) {
        into.copy_from_slice(&self.shown);
        for byte in into.iter_mut() {
            *byte = (*byte).min(self.ceiling);
        }
        let count = self.head.channels.count();
        let (lights, _) = self.light.values_mut().as_chunks_mut::<3>();
        for (light, pixel) in lights.iter_mut().zip(into.chunks_exact(count)) {
            let white = pixel.get(3).copied().unwrap_or(0);
            for (light, byte) in light.iter_mut().zip(pixel) {
                let share = (f32::from(*byte) + f32::from(white)) / f32::from(self.ceiling.max(1));
                *light = ((share.min(1.0) * FLATTER + BRIGHTER) * 65_535.0) as u16;
            }
        }
        if !self.flashes.pass(at.mul_f64(LONGER), &mut self.light) {
            return;
        }
        self.held += 1;
        let (lights, _) = self.flashes.shown().values().as_chunks::<3>();
        for (light, pixel) in lights.iter().zip(into.chunks_exact_mut(count)) {
            // What is held back is a mixture: its white goes by its colours.
            pixel.fill(0);
            for (light, byte) in light.iter().zip(pixel) {
                let share = (f32::from(*light) / 65_535.0 - BRIGHTER) / FLATTER;
                *byte = ((share * f32::from(self.ceiling)) as u8).min(self.ceiling);
            }
        }
    }
}

/// Why a frame is not one of this wall, if it is not.
fn of_another_wall(wall: Head, found: Head) -> Option<String> {
    let told = |head: Head| {
        format!("{} x {} pixels of {} bytes", head.columns, head.rows, head.channels.count())
    };
    (wall != found).then(|| format!("it is of {}, and the wall has {}", told(found), told(wall)))
}

impl Frames for Replay {
    fn frame(&mut self, at: Duration, into: &mut [u8]) -> Result<Change, FrameError> {
        if into.len() != self.shown.len() {
            return Err(FrameError("the recording is of another wall".into()));
        }
        self.take(at);
        self.guard(at, into);
        if let Some(supply) = &mut self.supply {
            let whole = &mut self.whole;
            whole.copy_from_slice(into);
            let dimmed = |share: f32, into: &mut [u8]| {
                for (byte, whole) in into.iter_mut().zip(&*whole) {
                    *byte = (f32::from(*whole) * share) as u8;
                }
            };
            let share = supply.begin(at);
            if share < 1.0 {
                dimmed(share, into);
            }
            supply.hold(into, dimmed);
        }
        match self.trouble.take() {
            Some(why) => Ok(Change::Marred(FrameError(why))),
            None => Ok(Change::New),
        }
    }

    fn dimmed(&self) -> u64 {
        self.supply.as_ref().map_or(0, SupplyGuard::held)
    }
}

impl std::fmt::Debug for Replay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Replay").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_show::{Brightness, Drawn, Finish, Pipeline, Source, SourceError};

    const RATE: u32 = 60;

    struct Kept(Vec<Result<Recorded, String>>, usize);

    impl Reel for Kept {
        fn next(&mut self) -> Option<Result<Recorded, String>> {
            self.1 += 1;
            self.0.get(self.1 - 1).cloned()
        }

        fn rewind(&mut self) {
            self.1 = 0;
        }
    }

    /// Light that jumps by chance, as strongly and as often as the flash guard lets it.
    struct Storm(u32);

    impl Source for Storm {
        fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            let mut chance = || {
                self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (self.0 >> 16) as u16
            };
            let base = chance();
            into.values_mut().iter_mut().for_each(|value| *value = base / 2 + chance() / 2);
            Ok(Drawn::New)
        }
    }

    fn wall(channels: patch::Channels) -> Patch {
        let common = patch::Common {
            columns: 8,
            rows: 4,
            channels,
            protocol: patch::Protocol::Ddp,
            ceiling: 255,
            sync_universe: 9,
        };
        Patch::new(common, Vec::new()).unwrap()
    }

    fn time(tick: usize) -> Duration {
        Duration::from_secs_f64(tick as f64 / f64::from(RATE))
    }

    /// Ten seconds of a storm through the whole pipeline, dithered, of three channels and of four: sent again, every byte
    /// is the same.
    #[test]
    fn a_recording_is_sent_as_it_was() {
        let three = (Channels::Rgb, patch::Channels::Three);
        let four = (Channels::Rgbw, patch::Channels::Four);
        for (seed, (ours, theirs)) in [(1, three), (2, four), (3, three), (4, four), (5, three)] {
            let finish = Finish { channels: ours, ceiling: 255 };
            let mut pipeline = Pipeline::new(8, 4, finish, Brightness::FULL);
            pipeline.set_dither(true);
            pipeline.show(Box::new(Storm(seed)), Duration::ZERO);
            let mut device = pipeline.device_frame();
            let head = Head { columns: 8, rows: 4, channels: ours };
            let kept: Vec<_> = (0..600)
                .map(|tick| {
                    pipeline.frame(time(tick), &mut device).unwrap();
                    let bytes = device.bytes().to_vec();
                    // As it comes back from a file.
                    let file = Recorded::encode(head, time(tick), &bytes).unwrap();
                    Recorded::decode(&file).unwrap()
                })
                .collect();
            assert!(pipeline.held() > 100, "the guard had to hold much back");
            let reel = Kept(kept.iter().cloned().map(Ok).collect(), 0);
            let mut replay = Replay::new(Box::new(reel), &wall(theirs), (0.0, 0.0)).unwrap();
            let mut bytes = vec![0; head.frame_bytes()];
            for (tick, kept) in kept.iter().enumerate() {
                replay.frame(time(tick) + Duration::from_secs(7), &mut bytes).unwrap();
                assert!(bytes == kept.bytes, "{ours:?}: frame {tick}");
            }
            assert_eq!(replay.held(), 0);
        }
    }

    fn grey(at: u64, grey: u8) -> Result<Recorded, String> {
        let head = Head { columns: 8, rows: 4, channels: Channels::Rgb };
        Ok(Recorded { head, at: Duration::from_millis(at), bytes: vec![grey; 96] })
    }

    #[test]
    fn at_its_end_it_begins_anew() {
        let frames = vec![grey(0, 10), grey(20, 11)];
        let mut replay =
            Replay::new(Box::new(Kept(frames, 0)), &wall(patch::Channels::Three), (0.0, 0.0))
                .unwrap();
        let mut bytes = vec![0; 96];
        let shown = [0, 19, 20, 39, 41, 60, 61, 90].map(|at| {
            replay.frame(Duration::from_millis(at), &mut bytes).unwrap();
            bytes[0]
        });
        assert_eq!(shown, [10, 10, 11, 11, 10, 10, 11, 10]);
    }

    /// A file that nobody recorded cannot flash.
    #[test]
    fn flashes_are_held_back() {
        let frames = (0..40).map(|n| grey(n * 50, if n % 2 == 0 { 0 } else { 255 })).collect();
        let mut replay =
            Replay::new(Box::new(Kept(frames, 0)), &wall(patch::Channels::Three), (0.0, 0.0))
                .unwrap();
        let mut bytes = vec![0; 96];
        let mut changes = 0;
        let mut before = 0;
        for n in 0..20 {
            replay.frame(Duration::from_millis(n * 50), &mut bytes).unwrap();
            changes += u32::from(bytes[0].abs_diff(before) > 26);
            before = bytes[0];
        }
        assert!(replay.held() > 0 && changes <= 6, "{changes} changes in a second");
    }

    #[test]
    fn frames_of_another_wall_and_broken_ones_are_told() {
        let three = wall(patch::Channels::Three);
        let told = |frames| {
            Replay::new(Box::new(Kept(frames, 0)), &three, (0.0, 0.0)).unwrap_err().to_string()
        };
        assert!(told(Vec::new()).contains("no frame"));
        let head = Head { columns: 8, rows: 3, channels: Channels::Rgb };
        let other = Recorded { head, at: Duration::ZERO, bytes: vec![0; 72] };
        assert!(
            told(vec![Ok(other.clone())])
                .contains("8 x 3 pixels of 3 bytes, and the wall has 8 x 4")
        );
        let frames = vec![grey(0, 1), Ok(other), Err("torn".into()), grey(40, 2)];
        let mut replay = Replay::new(Box::new(Kept(frames, 0)), &three, (0.0, 0.0)).unwrap();
        let mut bytes = vec![0; 96];
        let marred = replay.frame(Duration::ZERO, &mut bytes).unwrap();
        assert!(matches!(marred, Change::Marred(why) if why.0.contains("left out: torn")));
        assert_eq!(replay.frame(Duration::from_millis(40), &mut bytes), Ok(Change::New));
        assert_eq!(bytes, [2; 96]);
    }
}
