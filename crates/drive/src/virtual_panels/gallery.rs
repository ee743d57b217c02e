//! What virtual panels show, for others to look at: the wall right now, and whole frames in order.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use super::VirtualHealth;
use super::panel::Panel;
use crate::spread::Spread;

/// Bytes of whole frames that are kept for whoever is slow, as far as [`KEPT`] allows.
const KEPT_BYTES: usize = 16 << 20;
/// The least and the most whole frames that are kept.
const KEPT: (usize, usize) = (4, 64);

#[derive(Debug)]
pub(super) struct Gallery {
    state: Mutex<State>,
    completed: Condvar,
}

#[derive(Debug)]
struct State {
    picture: Vec<u8>,
    /// Whole frames so far.
    frames: u64,
    /// Whole frames that nobody has asked for yet, the oldest first, each with its number.
    kept: VecDeque<(u64, Vec<u8>)>,
    most_kept: usize,
    /// Buffers to use again.
    free: Vec<Vec<u8>>,
    health: Vec<VirtualHealth>,
    /// When each panel showed its last frame, by its place.
    shown: Vec<Option<Instant>>,
    skew: Spread,
    closed: bool,
}

impl State {
    fn note(&mut self, place: usize, receiver: &Panel) {
        if let Some(health) = self.health.get_mut(place) {
            health.state = receiver.state();
            health.from = receiver.from();
            health.other = receiver.other();
            health.counts = receiver.counts();
        }
    }
}

impl Gallery {
    pub fn new(frame_bytes: usize, health: Vec<VirtualHealth>) -> Self {
        let most_kept = (KEPT_BYTES / frame_bytes.max(1)).clamp(KEPT.0, KEPT.1);
        let state = State {
            picture: vec![0; frame_bytes],
            frames: 0,
            kept: VecDeque::with_capacity(most_kept),
            most_kept,
            free: Vec::new(),
            shown: vec![None; health.len()],
            skew: Spread::default(),
            health,
            closed: false,
        };
        Self { state: Mutex::new(state), completed: Condvar::new() }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Hangs what a panel shows, and notes how it is doing, by its place in the list.
    pub fn draw(&self, place: usize, receiver: &Panel) {
        let mut state = self.lock();
        receiver.draw(&mut state.picture);
        state.note(place, receiver);
    }

    /// The same for a panel that shows a frame just now.
    pub fn hang(&self, place: usize, receiver: &Panel) {
        let now = Instant::now();
        let mut state = self.lock();
        receiver.draw(&mut state.picture);
        state.note(place, receiver);
        if let Some(shown) = state.shown.get_mut(place) {
            *shown = Some(now);
        }
    }

    /// How a panel is, and when it showed its last frame.
    pub fn of(&self, place: usize) -> Option<(VirtualHealth, Option<Instant>)> {
        let state = self.lock();
        Some((state.health.get(place)?.clone(), *state.shown.get(place)?))
    }

    /// How far apart panels showed the same frame.
    pub fn skew(&self) -> Spread {
        self.lock().skew.clone()
    }

    /// The wall is whole as it hangs; these panels have shown the frame.
    pub fn complete(&self, places: impl Iterator<Item = usize>) {
        let mut state = self.lock();
        let state = &mut *state;
        state.frames += 1;
        let mut ends = None;
        for shown in places.filter_map(|place| *state.shown.get(place)?) {
            let (first, last) = ends.unwrap_or((shown, shown));
            ends = Some((shown.min(first), shown.max(last)));
        }
        if let Some((first, last)) = ends {
            state.skew.add(last - first);
        }
        let mut buffer = if state.kept.len() < state.most_kept {
            state.free.pop().unwrap_or_default()
        } else {
            state.kept.pop_front().map(|(_, buffer)| buffer).unwrap_or_default()
        };
        buffer.clone_from(&state.picture);
        state.kept.push_back((state.frames, buffer));
        self.completed.notify_all();
    }

    /// Notes how a panel is doing that has nothing new to show.
    pub fn note(&self, place: usize, receiver: &Panel) {
        self.lock().note(place, receiver);
    }

    /// Nothing will change any more.
    pub fn close(&self) {
        self.lock().closed = true;
        self.completed.notify_all();
    }

    pub fn health(&self) -> Vec<VirtualHealth> {
        self.lock().health.clone()
    }

    pub fn picture(&self, into: &mut Vec<u8>) -> u64 {
        let state = self.lock();
        into.clone_from(&state.picture);
        state.frames
    }

    pub fn wait_for_frame(&self, most: Duration, into: &mut Vec<u8>) -> Option<u64> {
        let until = Instant::now().checked_add(most);
        let mut state = self.lock();
        loop {
            if let Some((number, frame)) = state.kept.pop_front() {
                state.free.push(std::mem::replace(into, frame));
                return Some(number);
            }
            if state.closed {
                return None;
            }
            let left = until.map(|until| until.saturating_duration_since(Instant::now()));
            let left = left.unwrap_or(Duration::from_secs(3600));
            if left.is_zero() {
                return None;
            }
            let waited = self.completed.wait_timeout(state, left);
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_whole_frame_is_seen_once() {
        let gallery = Gallery::new(1, Vec::new());
        let mut frame = Vec::new();
        let next = |frame: &mut Vec<u8>| gallery.wait_for_frame(Duration::ZERO, frame);
        assert_eq!(next(&mut frame), None);
        for number in 1..=3u8 {
            gallery.lock().picture[0] = number;
            gallery.complete(std::iter::empty());
        }
        for number in 1..=3u8 {
            assert_eq!(next(&mut frame), Some(number.into()));
            assert_eq!(frame, [number]);
        }
        assert_eq!(next(&mut frame), None);
        assert_eq!((gallery.picture(&mut frame), &frame[..]), (3, &[3][..]));
    }

    #[test]
    fn whoever_is_slow_finds_the_last_ones() {
        let gallery = Gallery::new(KEPT_BYTES, Vec::new());
        (0..10).for_each(|_| gallery.complete(std::iter::empty()));
        let mut frame = Vec::new();
        let numbers: Vec<_> =
            std::iter::from_fn(|| gallery.wait_for_frame(Duration::ZERO, &mut frame)).collect();
        assert_eq!(numbers, [7, 8, 9, 10]);
    }

    #[test]
    fn waiting_ends_when_all_is_over() {
        let gallery = Gallery::new(1, Vec::new());
        std::thread::scope(|scope| {
            let waiting =
                scope.spawn(|| gallery.wait_for_frame(Duration::from_secs(60), &mut Vec::new()));
            gallery.close();
            assert_eq!(waiting.join().unwrap(), None);
        });
    }
}
