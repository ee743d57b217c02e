//! Recycled frames between the source and the sender: drawn ahead, and a late one is dropped.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// A frame and the tick that it was drawn for.
#[derive(Debug)]
pub struct Frame {
    /// The tick.
    pub tick: u64,
    /// Whether the bytes are new, or those of the frame before are meant.
    pub new: bool,
    /// The picture; see [`Frames::frame`](crate::Frames::frame).
    pub bytes: Vec<u8>,
}

/// A fixed set of frames that goes round: taken, drawn, sent, given back. Allocates only in `new`.
///
/// The source may be a few ticks ahead, and waits where it would be more. Where the sender finds
/// several frames whose ticks are due, it takes the last, and the older ones are dropped and
/// counted: a late picture is worth less than a new one.
#[derive(Debug)]
pub struct Ring {
    state: Mutex<State>,
    moved: Condvar,
    ahead: u64,
}

#[derive(Debug)]
struct State {
    free: Vec<Frame>,
    ready: VecDeque<Frame>,
    /// The first tick that the sender has not yet asked for.
    wanted: u64,
    dropped: u64,
    /// Whether the source has answered at all.
    begun: bool,
    closed: bool,
}

impl Ring {
    /// A ring whose source may be `ahead` ticks ahead, of frames of this many bytes.
    #[must_use]
    pub fn new(ahead: u8, frame_bytes: usize) -> Self {
        // Those ahead, one that is being drawn, one that is being sent.
        let frames = usize::from(ahead) + 2;
        let frame = || Frame { tick: 0, new: true, bytes: vec![0; frame_bytes] };
        let state = State {
            free: std::iter::repeat_with(frame).take(frames).collect(),
            ready: VecDeque::with_capacity(frames),
            wanted: 0,
            dropped: 0,
            begun: false,
            closed: false,
        };
        Self { state: Mutex::new(state), moved: Condvar::new(), ahead: ahead.into() }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        // Every change of the state is whole before anything can panic.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// For the source: a frame to draw, for `tick` or, where that is past, the first tick to come.
    /// Waits while the source is too far ahead; `None` once the ring is closed.
    pub fn take(&self, tick: u64) -> Option<Frame> {
        let mut state = self.lock();
        loop {
            if state.closed {
                return None;
            }
            let tick = tick.max(state.wanted);
            if tick <= state.wanted.saturating_add(self.ahead)
                && let Some(mut frame) = state.free.pop()
            {
                frame.tick = tick;
                return Some(frame);
            }
            state = self.moved.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// For the source: a frame that is drawn.
    pub fn put(&self, frame: Frame) {
        let mut state = self.lock();
        state.begun = true;
        state.ready.push_back(frame);
        drop(state);
        self.moved.notify_all();
    }

    /// For both: a frame that is not needed any more, or could not be drawn.
    pub fn give_back(&self, frame: Frame) {
        let mut state = self.lock();
        state.begun = true;
        state.free.push(frame);
        drop(state);
        self.moved.notify_all();
    }

    /// For the sender: the last frame drawn for this tick or an earlier one; `None` if there is no
    /// new one. Tells the source how far the show is.
    pub fn latest(&self, tick: u64) -> Option<Frame> {
        let mut state = self.lock();
        state.wanted = tick.saturating_add(1);
        let mut latest: Option<Frame> = None;
        while state.ready.front().is_some_and(|frame| frame.tick <= tick) {
            let Some(frame) = state.ready.pop_front() else { break };
            latest = Some(match latest.take() {
                None => frame,
                // "As before" means the older one, which is then not dropped but shown late.
                Some(older) if !frame.new => {
                    let tick = frame.tick;
                    state.free.push(frame);
                    Frame { tick, ..older }
                }
                Some(older) => {
                    state.dropped += u64::from(older.new);
                    state.free.push(older);
                    frame
                }
            });
        }
        drop(state);
        self.moved.notify_all();
        latest
    }

    /// For the sender: waits until the source has drawn its first frame or failed to. `false` if
    /// the time is over, or the ring closed, before.
    pub fn wait_for_first(&self, most: Duration) -> bool {
        let state = self.lock();
        let none = |state: &mut State| !state.begun && !state.closed;
        let waited = self.moved.wait_timeout_while(state, most, none);
        waited.map_or_else(|poisoned| poisoned.into_inner().0.begun, |(state, _)| state.begun)
    }

    /// Ends the show for the source: [`Ring::take`] gives no more frames.
    pub fn close(&self) {
        self.lock().closed = true;
        self.moved.notify_all();
    }

    /// Frames that were drawn and never sent because a newer one was due.
    #[must_use]
    pub fn dropped(&self) -> u64 {
        self.lock().dropped
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    fn draw(ring: &Ring, tick: u64, byte: u8) {
        let mut frame = ring.take(tick).unwrap();
        frame.bytes.fill(byte);
        frame.new = true;
        ring.put(frame);
    }

    #[test]
    fn frames_go_round_without_new_ones() {
        let ring = Ring::new(2, 4);
        let mut places = std::collections::BTreeSet::new();
        for tick in 0..100 {
            draw(&ring, tick, tick as u8);
            let frame = ring.latest(tick).unwrap();
            assert_eq!((frame.tick, &frame.bytes[..]), (tick, &[tick as u8; 4][..]));
            places.insert(frame.bytes.as_ptr());
            ring.give_back(frame);
        }
        assert!(places.len() <= 4);
        assert_eq!(ring.dropped(), 0);
    }

    #[test]
    fn a_frame_waits_for_its_tick() {
        let ring = Ring::new(2, 1);
        draw(&ring, 0, 10);
        draw(&ring, 1, 11);
        assert_eq!(ring.latest(0).unwrap().bytes, [10]);
        assert!(ring.latest(0).is_none());
        assert_eq!(ring.latest(1).unwrap().bytes, [11]);
    }

    #[test]
    fn late_frames_are_dropped_oldest_first() {
        let ring = Ring::new(2, 1);
        (0..3).for_each(|tick| draw(&ring, tick, tick as u8));
        let frame = ring.latest(9).unwrap();
        assert_eq!((frame.tick, frame.bytes[0], ring.dropped()), (2, 2, 2));
        ring.give_back(frame);
        // The source goes on where the show is, not where it left off.
        assert_eq!(ring.take(3).unwrap().tick, 10);
        // One that comes after its tick is still newer than what is shown.
        draw(&ring, 10, 42);
        assert_eq!(ring.latest(20).unwrap().bytes, [42]);
    }

    #[test]
    fn the_same_again_keeps_the_picture_that_was_dropped() {
        let ring = Ring::new(2, 1);
        draw(&ring, 0, 7);
        let mut same = ring.take(1).unwrap();
        same.new = false;
        ring.put(same);
        let frame = ring.latest(5).unwrap();
        assert_eq!((frame.tick, frame.new, frame.bytes[0]), (1, true, 7));
        ring.give_back(frame);
        assert_eq!(ring.lock().free.len(), 4);
    }

    #[test]
    fn the_source_waits_where_it_is_too_far_ahead() {
        let ring = Arc::new(Ring::new(1, 1));
        draw(&ring, 0, 0);
        draw(&ring, 1, 1);
        let source = Arc::clone(&ring);
        let waiting = std::thread::spawn(move || source.take(2).map(|frame| frame.tick));
        std::thread::sleep(Duration::from_millis(30));
        assert!(!waiting.is_finished());
        ring.latest(0);
        assert_eq!(waiting.join().unwrap(), Some(2));
        let source = Arc::clone(&ring);
        let waiting = std::thread::spawn(move || source.take(3).is_none());
        ring.close();
        assert!(waiting.join().unwrap());
    }

    #[test]
    fn the_first_answer_is_waited_for() {
        let ring = Ring::new(1, 1);
        assert!(!ring.wait_for_first(Duration::from_millis(1)));
        let frame = ring.take(0).unwrap();
        assert!(!ring.wait_for_first(Duration::ZERO));
        ring.give_back(frame);
        assert!(ring.wait_for_first(Duration::ZERO));
    }
}
