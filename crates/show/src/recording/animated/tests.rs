//! One file of many frames: what comes back, what other readers see, and stores that are full.

use super::*;
use crate::finish::Channels;
use proptest::prelude::*;

fn head(channels: Channels) -> Head {
    Head { columns: 5, rows: 3, channels }
}

fn frame(head: Head, n: u8) -> Vec<u8> {
    (0..head.frame_bytes()).map(|at| (at as u8).wrapping_mul(37).wrapping_add(n)).collect()
}

fn at(n: u8) -> Duration {
    Duration::from_secs(1) * u32::from(n) / 60
}

fn written(head: Head, frames: u8) -> Vec<u8> {
    let mut writer = Writer::new(Cursor::new(Vec::new()), head);
    (0..frames).for_each(|n| writer.add(at(n), &frame(head, n)).unwrap());
    writer.finish().unwrap().into_inner()
}

/// All frames of a file, each the one that follows the other.
fn read(file: &[u8]) -> Result<Vec<Recorded>, RecordingError> {
    let mut reader = Reader::new(Cursor::new(file));
    let (mut seal, mut all) = (Seal::START, Vec::new());
    while let Some(recorded) = reader.read()? {
        recorded.follows(seal)?;
        seal = recorded.seal;
        all.push(recorded);
    }
    Ok(all)
}

#[test]
fn frames_come_back_byte_for_byte() {
    for channels in [Channels::Rgb, Channels::Rgbw] {
        let head = head(channels);
        let file = written(head, 70);
        let all = read(&file).unwrap();
        assert_eq!(all.len(), 70);
        for (n, recorded) in (0..).zip(&all) {
            assert_eq!((recorded.at, &recorded.bytes), (at(n), &frame(head, n)));
        }
        let mut reader = Reader::new(Cursor::new(&file));
        let first = reader.read().unwrap();
        reader.read().unwrap();
        reader.rewind().unwrap();
        assert_eq!(reader.read().unwrap(), first);
    }
}

/// Outside check: the decoder of the `png` crate, which looks at checksums, sequence numbers and the number of frames.
#[test]
fn other_readers_see_the_same_pixels_and_times() {
    let head = head(Channels::Rgb);
    let mut reader = ::png::Decoder::new(Cursor::new(written(head, 61))).read_info().unwrap();
    let control = reader.info().animation_control().unwrap();
    assert_eq!((control.num_frames, control.num_plays), (61, 0));
    let mut total = 0.0;
    for n in 0..61 {
        let mut pixels = vec![0; head.frame_bytes()];
        reader.next_frame(&mut pixels).unwrap();
        assert_eq!(pixels, frame(head, n));
        let control = reader.info().frame_control().unwrap();
        assert_eq!((control.width, control.height), (5, 3));
        let lasts = f64::from(control.delay_num) / f64::from(control.delay_den);
        assert!((lasts - 1.0 / 60.0).abs() <= 0.000_11, "{lasts}");
        total += if n < 60 { lasts } else { 0.0 };
    }
    // Sixty of them are a second: the errors do not add up.
    assert!((total - 1.0).abs() < 1e-9, "{total}");
}

#[test]
fn long_frames_are_told_as_exactly_as_can_be() {
    let s = Duration::from_secs;
    assert_eq!(fraction(s(0), Duration::from_micros(16_700)), (167, 10_000));
    assert_eq!(fraction(s(9), s(7)), (7000, 1000));
    assert_eq!(fraction(s(9), s(100)), (10_000, 100));
    assert_eq!(fraction(s(9), s(5000)), (50_000, 10));
    assert_eq!(fraction(s(9), s(50_000)), (50_000, 1));
    assert_eq!(fraction(s(9), s(500_000)), (u16::MAX, 1));
}

/// A store with so much room: what is full takes a part of a frame and then nothing.
struct Full {
    inner: Cursor<Vec<u8>>,
    room: u64,
}

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let room = self.room.saturating_sub(self.inner.position());
        let most = bytes.len().min(usize::try_from(room).unwrap_or(usize::MAX));
        if most == 0 && !bytes.is_empty() {
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.inner.write(&bytes[..most])
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Full {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.inner.seek(to)
    }
}

impl Store for Full {
    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.inner.cut(length)
    }
}

proptest! {
    /// Wherever the room ends: the frames before it are there, and the file is one that others read.
    #[test]
    fn a_full_store_leaves_a_whole_file(room in 0u64..6000) {
        let head = head(Channels::Rgb);
        let mut writer = Writer::new(Full { inner: Cursor::new(Vec::new()), room }, head);
        let kept = (0..200).take_while(|n| writer.add(at(*n), &frame(head, *n)).is_ok()).count();
        prop_assert!(kept < 200);
        prop_assert_eq!(writer.frames() as usize, kept);
        let file = writer.finish().unwrap().inner.into_inner();
        prop_assert!(file.len() as u64 <= room);
        if kept == 0 {
            prop_assert!(file.is_empty());
        } else {
            prop_assert_eq!(read(&file).unwrap().len(), kept);
            let mut reader = ::png::Decoder::new(Cursor::new(&file)).read_info().unwrap();
            let mut pixels = vec![0; head.frame_bytes()];
            for _ in 0..kept {
                reader.next_frame(&mut pixels).unwrap();
            }
            prop_assert!(reader.next_frame(&mut pixels).is_err());
        }
    }

    /// A file that was changed anywhere in its pixels or texts gives no frame that was not recorded.
    #[test]
    fn broken_files_are_told(place in 0usize..4000, byte: u8) {
        let head = head(Channels::Rgb);
        let mut file = written(head, 9);
        let place = place % file.len();
        prop_assert!(read(&file[..place]).is_err());
        file[place] = byte;
        if let Ok(all) = read(&file) {
            for (n, recorded) in (0..).zip(&all) {
                prop_assert_eq!((recorded.at, &recorded.bytes), (at(n), &frame(head, n)));
            }
        }
    }
}

#[test]
fn frames_that_changed_places_are_refused() {
    let head = head(Channels::Rgb);
    let file = written(head, 3);
    // The texts of the second and the third frame change places.
    let places: Vec<usize> =
        (0..file.len() - 4).filter(|&at| file[at..].starts_with(b"tEXt")).collect();
    let [_, second, third] = places[..] else { panic!("{places:?}") };
    let length = u32::from_be_bytes(*file[second - 4..].first_chunk().unwrap()) as usize;
    let mut swapped = file.clone();
    swapped[second..second + length].copy_from_slice(&file[third..third + length]);
    assert_eq!(read(&swapped), Err(RecordingError::Changed));
    let picture = crate::png::encode_rgb8(3, 2, &[1; 18]).unwrap();
    assert_eq!(read(&picture), Err(RecordingError::NoRecording));
}
