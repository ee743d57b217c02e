//! Recordings sent again: byte for byte, or not at all.

use super::*;
use glowloom_show::{Brightness, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError};

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

/// Light that jumps by chance, more than the flash guard lets through.
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
        ceiling: 200,
        sync_universe: 9,
    };
    Patch::new(common, Vec::new()).unwrap()
}

fn ms(ms: u64) -> Duration {
    Duration::from_millis(ms)
}

/// Ten seconds of a storm through the whole pipeline, dithered, of three channels and of four, through PNG files: sent again,
/// every byte is the same.
#[test]
fn a_recording_is_sent_as_it_was() {
    for (ours, theirs) in
        [(Channels::Rgb, patch::Channels::Three), (Channels::Rgbw, patch::Channels::Four)]
    {
        let finish = Finish { channels: ours, ceiling: 200 };
        let mut pipeline = Pipeline::new(8, 4, finish, Brightness::FULL);
        pipeline.set_dither(true);
        pipeline.show(Box::new(Storm(1)), Duration::ZERO);
        let mut device = pipeline.device_frame();
        let head = Head { columns: 8, rows: 4, channels: ours };
        let time = |tick: u32| Duration::from_secs(1) * tick / 60;
        let mut seal = Seal::START;
        let mut keep = |tick| {
            pipeline.frame(time(tick), &mut device).unwrap();
            let (file, then) = Recorded::encode(head, time(tick), device.bytes(), seal).unwrap();
            seal = then;
            Recorded::decode(&file).unwrap()
        };
        let kept: Vec<_> = (0..600).map(&mut keep).collect();
        assert!(pipeline.held() > 100, "the guard had to hold much back");
        assert!(kept.windows(2).any(|two| two[0].bytes != two[1].bytes));
        let reel = Kept(kept.iter().cloned().map(Ok).collect(), 0);
        let mut replay = Replay::new(Box::new(reel), &wall(theirs)).unwrap();
        let mut bytes = vec![0; head.frame_bytes()];
        for (tick, kept) in (0..).zip(&kept) {
            let change = replay.frame(time(tick) + ms(7000), &mut bytes);
            assert!(bytes == kept.bytes && change == Ok(Change::New), "{ours:?}: frame {tick}");
        }
    }
}

const HEAD: Head = Head { columns: 8, rows: 4, channels: Channels::Rgb };

fn sealed(frames: &[(u64, u8)]) -> Vec<Recorded> {
    let mut seal = Seal::START;
    let frame = |&(at, grey): &(u64, u8)| {
        let bytes = vec![grey; 96];
        seal = seal.then(HEAD, ms(at), &bytes);
        Recorded { head: HEAD, at: ms(at), bytes, seal }
    };
    frames.iter().map(frame).collect()
}

fn replay(frames: Vec<Result<Recorded, String>>) -> Result<Replay, DriveError> {
    Replay::new(Box::new(Kept(frames, 0)), &wall(patch::Channels::Three))
}

/// The last frame and the first one stay for a second at the turn.
#[test]
fn at_its_end_it_begins_anew() {
    let frames = sealed(&[(0, 10), (20, 11), (40, 12)]).into_iter().map(Ok).collect();
    let mut replay = replay(frames).unwrap();
    let mut bytes = vec![0; 96];
    let shown = [0, 19, 20, 40, 1039, 1041, 2040, 2061, 2081, 3080, 3083].map(|at| {
        assert_eq!(replay.frame(ms(at), &mut bytes), Ok(Change::New));
        bytes[0]
    });
    assert_eq!(shown, [10, 10, 11, 12, 12, 10, 10, 11, 12, 12, 10]);
}

/// What was changed, moved or left out is not sent, and the last good frame stays.
#[test]
fn only_what_was_recorded_is_sent() {
    let whole = sealed(&[(0, 10), (20, 90), (40, 12)]);
    let mut changed = whole.clone();
    changed[1].bytes[5] = 0;
    let moved = vec![whole[0].clone(), whole[2].clone(), whole[1].clone()];
    let sooner = vec![whole[0].clone(), Recorded { at: ms(1), ..whole[1].clone() }];
    for frames in [changed, moved, sooner] {
        let mut replay = replay(frames.into_iter().map(Ok).collect()).unwrap();
        let mut bytes = vec![0; 96];
        for at in [0, 20, 40, 5000, 10_000] {
            let change = replay.frame(ms(at), &mut bytes).unwrap();
            assert_eq!(bytes, [10; 96]);
            assert!(
                matches!(change, Change::Marred(why) if why.0.contains("not as it was recorded"))
            );
        }
    }
    let error = replay(vec![Ok(whole[1].clone())]).unwrap_err().to_string();
    assert!(error.contains("one before it is missing"), "{error}");
}

#[test]
fn other_walls_and_broken_files_are_told() {
    let told = |frames| replay(frames).unwrap_err().to_string();
    assert!(told(Vec::new()).contains("no frame"));
    let head = Head { rows: 3, ..HEAD };
    let seal = Seal::START.then(head, Duration::ZERO, &[0; 72]);
    let other = Recorded { head, at: Duration::ZERO, bytes: vec![0; 72], seal };
    assert!(told(vec![Ok(other)]).contains("8 x 3 pixels of 3 bytes, and the wall has 8 x 4"));
    assert!(told(vec![Err("torn".into())]).contains("torn"));
}

/// A ceiling that was lowered since holds.
#[test]
fn the_ceiling_holds() {
    let mut replay = replay(sealed(&[(0, 255)]).into_iter().map(Ok).collect()).unwrap();
    let mut bytes = vec![0; 96];
    replay.frame(ms(0), &mut bytes).unwrap();
    assert_eq!(bytes, [200; 96]);
}
