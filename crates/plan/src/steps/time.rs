//! How long things take. All of it common practice with no source: a first-time builder's pace, to
//! plan an evening by. What a printer needs is worked out elsewhere.

use glowloom_units::Seconds;

const fn minutes(minutes: f64) -> Seconds {
    Seconds(minutes * 60.0)
}

/// Cutting a strip off a roll and labelling it.
pub(super) const CUT_STRIP: Seconds = minutes(1.5);
/// Cutting, stripping and labelling a wire.
pub(super) const CUT_WIRE: Seconds = minutes(2.0);
/// Cutting and marking a board.
pub(super) const BOARD: Seconds = minutes(40.0);
/// Cutting a piece of cloth.
pub(super) const CUT_CLOTH: Seconds = minutes(15.0);
/// Laying a strip, by the metre.
pub(super) const LAY_METRE: Seconds = minutes(2.0);
/// Laying a strip, besides.
pub(super) const LAY: Seconds = minutes(1.0);
/// Soldering one wire between two strips.
pub(super) const JUMPER: Seconds = minutes(1.5);
/// Wiring a supply to its cord.
pub(super) const SUPPLY: Seconds = minutes(30.0);
/// Laying and joining a feed, fuse and all.
pub(super) const FEED: Seconds = minutes(10.0);
/// Fixing a receiver.
pub(super) const RECEIVER: Seconds = minutes(15.0);
/// Making a data lead.
pub(super) const LEAD: Seconds = minutes(10.0);
/// One reading of a meter.
pub(super) const READING: Seconds = minutes(1.0);
/// Before and after readings: plugs, fuses, settings.
pub(super) const SETTING: Seconds = minutes(10.0);
/// Laying a tile.
pub(super) const TILE: Seconds = minutes(1.5);
/// Stretching a cloth.
pub(super) const CLOTH: Seconds = minutes(30.0);
/// Hanging a panel, by two people.
pub(super) const HANG: Seconds = minutes(20.0);
/// The bench test.
pub(super) const BENCH: Seconds = minutes(45.0);
/// Laying out what was bought, and reading the book.
pub(super) const READY: Seconds = minutes(60.0);

/// So many times.
pub(super) fn times(each: Seconds, count: usize) -> Seconds {
    #[expect(clippy::cast_precision_loss, reason = "a count of things to do by hand")]
    let count = count as f64;
    each * count
}

/// Up to the next five minutes, from two hours on to the nearest half.
pub(super) fn said(time: Seconds) -> Seconds {
    let whole = |step: f64, round: fn(f64) -> f64| Seconds(round(time.0 / step) * step);
    if time < Seconds(7200.0) { whole(300.0, f64::ceil) } else { whole(1800.0, f64::round) }
}
