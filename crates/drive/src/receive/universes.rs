//! The universes of a panel, for the protocols that have them.

use std::ops::Range;
use std::time::Duration;

use glowloom_wire::patch::{Common, PanelPatch};

use super::Verdict;
use super::canvas::Canvas;

/// One universe of a panel.
#[derive(Debug)]
pub(super) struct Universe<S> {
    number: u16,
    /// Where its slots lie among the panel's bytes.
    pub at: Range<usize>,
    /// The numbers of its packets.
    pub sequence: S,
    /// When its last packet came; `None`: none yet, or lost.
    pub seen: Option<Duration>,
    /// Whether its slots are newer than the last frame shown.
    fresh: bool,
    /// How many packets were sent to it, as far as their numbers tell.
    pub progress: u64,
}

/// The universes of a panel. A sender sends each of them once a frame.
#[derive(Debug)]
pub(super) struct Universes<S> {
    all: Vec<Universe<S>>,
    /// Numbers in order, each with the place of its universe.
    places: Vec<(u16, usize)>,
    /// All before this one are fresh.
    fresh_before: usize,
    /// The progress of the one furthest on, when a frame was last shown.
    shown: u64,
}

impl<S: Default> Universes<S> {
    /// Each data line begins a new universe and goes on without a gap, 170 or 128 whole pixels in
    /// each.
    pub fn new(common: &Common, panel: &PanelPatch) -> Self {
        let channels = common.channels.count();
        let most = common.channels.pixels_per_universe();
        let mut start = 0;
        let mut all = Vec::new();
        for line in &panel.lines {
            let mut number = line.first_universe;
            for pixels in line.pixels.chunks(most) {
                let end = start + pixels.len() * channels;
                all.push(Universe {
                    number,
                    at: start..end,
                    sequence: S::default(),
                    seen: None,
                    fresh: false,
                    progress: 0,
                });
                (start, number) = (end, number.saturating_add(1));
            }
        }
        let mut places: Vec<_> = all.iter().map(|universe| universe.number).zip(0..).collect();
        places.sort_unstable();
        Self { all, places, fresh_before: 0, shown: 0 }
    }

    /// The universe of this number, by its place.
    pub fn find(&self, number: u16) -> Option<usize> {
        let place = self.places.binary_search_by_key(&number, |(number, _)| *number).ok()?;
        self.places.get(place).map(|(_, index)| *index)
    }

    pub fn get_mut(&mut self, index: usize) -> &mut Universe<S> {
        &mut self.all[index]
    }

    /// Notes whether a universe's slots are newer than the last frame shown.
    pub fn set_fresh(&mut self, index: usize, fresh: bool) {
        self.all[index].fresh = fresh;
        self.fresh_before = self.fresh_before.min(index);
    }

    /// Whether any of them gets packets.
    pub fn any_seen(&self) -> bool {
        self.all.iter().any(|universe| universe.seen.is_some())
    }

    /// Begins anew with another sender.
    pub fn forget(&mut self) {
        (self.shown, self.fresh_before) = (0, 0);
        for universe in &mut self.all {
            (universe.sequence, universe.seen) = (S::default(), None);
            (universe.fresh, universe.progress) = (false, 0);
        }
    }

    /// Gives up those that have been silent for so long.
    pub fn give_up_silent(&mut self, now: Duration, loss: Duration) {
        for universe in &mut self.all {
            if universe.seen.is_some_and(|seen| now.saturating_sub(seen) >= loss) {
                (universe.seen, universe.sequence) = (None, S::default());
            }
        }
    }

    /// Shows one universe at once. A frame is whole when each universe has come since the last one;
    /// if one comes a second time before, the frame that it began is given up.
    pub fn show_at_once(&mut self, index: usize, canvas: &mut Canvas) -> Verdict {
        canvas.show_part(self.all[index].at.clone());
        if self.all[index].fresh {
            self.all.iter_mut().for_each(|universe| universe.fresh = false);
            self.fresh_before = 0;
        }
        self.all[index].fresh = true;
        let rest = self.all[self.fresh_before..].iter();
        self.fresh_before += rest.take_while(|universe| universe.fresh).count();
        if self.fresh_before == self.all.len() { self.shown() } else { Verdict::Drawn }
    }

    /// Shows all that is held, if anything of it is new.
    pub fn show_held(&mut self, canvas: &mut Canvas) -> Verdict {
        if !self.all.iter().any(|universe| universe.fresh) {
            return Verdict::Taken;
        }
        canvas.show();
        self.shown()
    }

    fn shown(&mut self) -> Verdict {
        let mut furthest = 0;
        self.fresh_before = 0;
        for universe in &mut self.all {
            universe.fresh = false;
            furthest = furthest.max(universe.progress);
        }
        let frames = furthest.saturating_sub(self.shown).max(1);
        self.shown = furthest;
        Verdict::Shown { frames }
    }
}
