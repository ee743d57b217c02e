//! Pictures out of a pipe, as they should come and as they should not.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::time::Duration;

use glowloom_media::Cut;
use glowloom_media::nut::Reader;
use support::{film, head, picture};

#[test]
fn pictures_come_with_their_times() {
    let bytes = film(2, 1, &[(0, 7), (40, 8), (300_000, 9)]);
    let mut from = bytes.as_slice();
    let mut reader = Reader::default();
    let mut frame = Vec::new();
    for (at, grey) in [(0, 7), (40, 8), (300_000, 9)] {
        assert_eq!(reader.next(&mut from, &mut frame).unwrap(), Duration::from_millis(at));
        assert_eq!(frame, [grey; 6]);
    }
    assert_eq!(reader.size(), Some((2, 1)));
    assert!(matches!(reader.next(&mut from, &mut frame), Err(Cut::End)));
}

/// Wherever it is cut off, that is told, and nothing is made up.
#[test]
fn what_is_cut_off_is_told() {
    let bytes = film(2, 1, &[(0, 7), (40, 8)]);
    for length in 0..bytes.len() {
        let mut from = &bytes[..length];
        let mut reader = Reader::default();
        let mut frame = Vec::new();
        let mut whole = 0;
        let cut = loop {
            match reader.next(&mut from, &mut frame) {
                Ok(_) => whole += 1,
                Err(cut) => break cut,
            }
        };
        let one = picture(40, &[8; 6]).len();
        assert_eq!(whole, usize::from(length >= bytes.len() - one), "{length}");
        let between = length <= head(2, 1).len() || length == bytes.len() - one;
        assert!(between || matches!(cut, Cut::Short), "{length}: {cut:?}");
    }
}

#[test]
fn other_bytes_are_no_film() {
    let said = |bytes: &[u8]| {
        let mut from = bytes;
        let cut = loop {
            if let Err(cut) = Reader::default().next(&mut from, &mut Vec::new()) {
                break cut;
            }
        };
        cut.to_string()
    };
    assert!(said(&[b'x'; 200]).contains("no NUT"));
    let mut huge = head(60_000, 60_000);
    huge.extend(picture(0, &[0]));
    // Its size is judged by who asked for it.
    assert_eq!(said(&huge), "it has ended");
    let mut bytes = head(1, 1);
    bytes.extend([0, 0x80 | 1, 0, 0x8F, 0xFF, 0xFF, 0xFF, 0x7F]);
    assert!(said(&bytes).contains("cannot be read"), "{}", said(&bytes));
    let mut endless = head(1, 1);
    endless.extend([0]);
    endless.extend([0xFF; 20]);
    assert!(said(&endless).contains("without an end"));
    assert!(said(&head(0, 5)).contains("0 x 5"));
}
