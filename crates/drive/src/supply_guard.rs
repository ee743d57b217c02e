//! Holds each frame to the limits that came with the patch: by what that very frame draws, so that a dim
//! picture may be bright and full white is held back.
//!
//! It counts the bytes that would be sent, rounding and all. A frame that passes a limit is scaled down
//! before it leaves, all panels alike, so that no seam shows; afterwards the light comes back over
//! seconds.

use std::time::Duration;

use glowloom_wire::Patch;
use glowloom_wire::guard::Guard;

/// How fast the light comes back, of full a second.
const BACK_A_SECOND: f64 = 0.25;
/// Taken off the first scaling, so that rounding up to whole bytes does not undo it; twice as much off
/// each one after it, for steps may be coarse.
const MARGIN: f64 = 2e-3;
/// So many times a frame is scaled before it is made dark: the last leaves next to nothing.
const MOST_TIMES: i32 = 9;
/// More weights than this would take longer than a frame lasts.
pub const MOST_WEIGHTS: usize = 4_000_000;

/// The guard of a wall and how far it is down.
pub struct SupplyGuard {
    guard: Guard,
    /// Of each panel, the picture pixel of each light pixel.
    sources: Vec<Vec<u32>>,
    slots: usize,
    /// Numbers of the panel that is looked at.
    numbers: Vec<f32>,
    share: f64,
    last: Option<Duration>,
    held: u64,
}

impl SupplyGuard {
    /// `None` where the patch has no limits, or too many to be held to in time.
    #[must_use]
    pub fn of(patch: &Patch) -> Option<Self> {
        let guard = patch.guard()?;
        let weights: usize = (0..guard.panels())
            .flat_map(|panel| guard.rows(panel))
            .map(|row| row.weights.len())
            .sum();
        if weights > MOST_WEIGHTS {
            return None;
        }
        let sources: Vec<Vec<u32>> = patch
            .panels()
            .iter()
            .map(|panel| {
                panel.lines.iter().flat_map(|line| &line.pixels).flatten().copied().collect()
            })
            .collect();
        let most = sources.iter().map(Vec::len).max().unwrap_or(0);
        Some(Self {
            guard: guard.clone(),
            sources,
            slots: patch.common().channels.count(),
            numbers: Vec::with_capacity(most),
            share: 1.0,
            last: None,
            held: 0,
        })
    }

    /// Frames that had to be held back.
    #[must_use]
    pub fn held(&self) -> u64 {
        self.held
    }

    /// The share of the brightness to begin a frame with.
    #[must_use]
    pub fn begin(&mut self, at: Duration) -> f32 {
        let since = self.last.map_or(0.0, |last| at.saturating_sub(last).as_secs_f64());
        self.last = Some(at);
        self.share = (self.share + since * BACK_A_SECOND).min(1.0);
        narrow(self.share)
    }

    /// Looks at a frame and has it made again, with the share that it is told, until it keeps every limit.
    pub fn hold(&mut self, bytes: &mut [u8], mut again: impl FnMut(f32, &mut [u8])) {
        let mut keeps = self.keeps(bytes);
        if keeps >= 1.0 {
            return;
        }
        self.held += 1;
        for times in 0..MOST_TIMES {
            self.share = (self.share * keeps * (1.0 - MARGIN * 2f64.powi(times))).max(0.0);
            again(narrow(self.share), bytes);
            keeps = self.keeps(bytes);
            if keeps >= 1.0 {
                return;
            }
        }
        self.share = 0.0;
        again(0.0, bytes);
    }

    /// The largest share of these bytes that keeps every limit.
    fn keeps(&mut self, bytes: &[u8]) -> f64 {
        let mut share: f64 = 1.0;
        let mut all = 0.0;
        for (panel, sources) in self.sources.iter().enumerate() {
            self.numbers.clear();
            for source in sources {
                let start = *source as usize * self.slots;
                let slots = bytes.get(start..start + self.slots).unwrap_or_default();
                let sum: u32 = slots.iter().map(|byte| u32::from(*byte)).sum();
                #[expect(clippy::cast_precision_loss, reason = "at most 1,020")]
                self.numbers.push(sum as f32 / 255.0);
            }
            all += self.numbers.iter().map(|number| f64::from(*number)).sum::<f64>();
            for row in self.guard.rows(panel) {
                share = share.min(row.share(&self.numbers));
            }
        }
        if all > self.guard.all() {
            share = share.min((self.guard.all() / all).max(0.0));
        }
        share
    }
}

/// Rounded down: a share may lose a little and win nothing.
fn narrow(share: f64) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let near = share as f32;
    if f64::from(near) > share { near.next_down() } else { near }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_wire::guard::GuardRow;
    use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};

    /// Two panels of two pixels; the numbers of a panel may add up to 3, of which white is 6; all to 5.
    fn guard() -> SupplyGuard {
        let common = Common {
            columns: 4,
            rows: 1,
            channels: Channels::Three,
            protocol: Protocol::Ddp,
            ceiling: 255,
            sync_universe: 9,
        };
        let panel = |port: u16, first: u32| PanelPatch {
            name: format!("p{port}"),
            address: Address::Virtual { port },
            lines: vec![Line {
                first_universe: port,
                byte_offset: 0,
                pixels: vec![None, Some(first), Some(first + 1)],
            }],
        };
        let row = GuardRow { about: "supply".into(), first: 0, weights: vec![1.0; 2], limit: 3.0 };
        let rows = Guard::new(vec![vec![row]], vec![0, 0], 5.0).unwrap();
        let patch = Patch::new(common, vec![panel(1, 0), panel(2, 2)]).unwrap();
        SupplyGuard::of(&patch.with_guard(rows).unwrap()).unwrap()
    }

    /// A frame of these levels, scaled and rounded as the pipeline does.
    fn frame(levels: [f32; 4], share: f32, bytes: &mut [u8]) {
        for (pixel, level) in bytes.chunks_mut(3).zip(levels) {
            pixel.fill((level * share * 255.0).round() as u8);
        }
    }

    fn numbers(bytes: &[u8]) -> [f64; 2] {
        let sum = |half: &[u8]| half.iter().map(|b| f64::from(*b)).sum::<f64>() / 255.0;
        [sum(&bytes[..6]), sum(&bytes[6..])]
    }

    #[test]
    fn full_white_is_held_and_half_is_not() {
        let mut guard = guard();
        let mut bytes = [0; 12];
        for (levels, held) in [([1.0; 4], true), ([0.4; 4], false), ([1.0, 0.0, 0.0, 1.0], true)] {
            let before = guard.held();
            let share = {
                guard.share = 1.0;
                guard.begin(Duration::ZERO)
            };
            frame(levels, share, &mut bytes);
            guard.hold(&mut bytes, |share, bytes| frame(levels, share, bytes));
            let [left, right] = numbers(&bytes);
            assert!(left <= 3.0 && right <= 3.0 && left + right <= 5.0, "{levels:?}");
            assert_eq!(guard.held() > before, held, "{levels:?}");
            // Not darker than it has to be.
            if held {
                assert!(left + right > 4.9, "{left} {right}");
            }
        }
    }

    /// Down at once, up over seconds.
    #[test]
    fn the_light_comes_back_slowly() {
        let mut guard = guard();
        let mut bytes = [0; 12];
        let white = [1.0; 4];
        frame(white, guard.begin(Duration::ZERO), &mut bytes);
        guard.hold(&mut bytes, |share, bytes| frame(white, share, bytes));
        let down = guard.share;
        assert!(down < 0.42, "{down}");
        let later = guard.begin(Duration::from_secs(1));
        assert!((f64::from(later) - down - 0.25).abs() < 1e-6);
        assert!((guard.begin(Duration::from_secs(9)) - 1.0).abs() < 1e-6);
    }

    /// Steps as coarse as those of a link of 16 bits: the frame goes down by whole steps, not to black.
    #[test]
    fn coarse_steps_do_not_make_it_dark() {
        let coarse = |share: f32, bytes: &mut [u8]| {
            for byte in bytes.iter_mut() {
                let step = (share * 31.0 * 0.561).round() as u8;
                *byte = step << 3 | step >> 2;
            }
        };
        // Seventeen steps of 31 are just too many.
        let mut guard = guard();
        let row = GuardRow { about: "x".into(), first: 0, weights: vec![1.0; 2], limit: 3.27 };
        guard.guard = Guard::new(vec![vec![row]], vec![0, 0], 9.0).unwrap();
        let mut bytes = [0; 12];
        coarse(guard.begin(Duration::ZERO), &mut bytes);
        assert_eq!(bytes[0], 17 << 3 | 17 >> 2);
        guard.hold(&mut bytes, coarse);
        assert_eq!(bytes, [16 << 3 | 16 >> 2; 12]);
    }

    /// Nothing may be lit: the frame is dark.
    #[test]
    fn a_limit_that_leaves_nothing() {
        let mut guard = guard();
        let row = GuardRow { about: "x".into(), first: 0, weights: vec![1.0; 2], limit: -1.0 };
        guard.guard = Guard::new(vec![vec![row]], vec![0, 0], 5.0).unwrap();
        let mut bytes = [0; 12];
        frame([1.0; 4], 1.0, &mut bytes);
        guard.hold(&mut bytes, |share, bytes| frame([1.0; 4], share, bytes));
        assert_eq!(bytes, [0; 12]);
    }
}
