//! Quiet hours: the wall is dimmed, so evenly for the eye that no step is seen.

use std::time::Duration;

use super::{Hours, LocalTime};
use crate::finish::Brightness;

/// How long the way from black to full light takes.
const ALL_THE_WAY: Duration = Duration::from_secs(60);

/// How light full light is (CIE 1976 L*).
const LIGHTEST: f32 = 100.0;

/// One line of the dimming table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuietHours {
    /// When it holds.
    pub hours: Hours,
    /// The brightness meanwhile.
    pub brightness: Brightness,
}

/// Follows the dimming table.
///
/// The brightness goes to where the table has it by as much lightness (CIE 1976 L*) in each second: a
/// hundred in a minute. Of 25 frames a second each differs by 0.07, where a difference of about 1 can just
/// be seen (common practice, no source).
#[derive(Clone, Debug)]
pub struct Dimmer {
    table: Vec<QuietHours>,
    full: Brightness,
    /// Where it is, L*, and when that was.
    now: Option<(f32, Duration)>,
}

impl Dimmer {
    /// A table, and the brightness where none of its lines holds. Of several that hold the lowest counts, and
    /// none is brighter than `full`.
    #[must_use]
    pub fn new(table: Vec<QuietHours>, full: Brightness) -> Self {
        Self { table, full, now: None }
    }

    /// Goes by another's table from now on: the brightness goes there as it does elsewhere.
    pub fn take_over(&mut self, other: Self) {
        (self.table, self.full) = (other.table, other.full);
    }

    /// What the table has at this time.
    #[must_use]
    pub fn wanted(&self, time: LocalTime) -> Brightness {
        let holds = self.table.iter().filter(|quiet| quiet.hours.hold(time));
        holds.fold(self.full, |least, quiet| {
            if quiet.brightness.share() < least.share() { quiet.brightness } else { least }
        })
    }

    /// The brightness `at` this time of any steady clock, when a clock on the wall reads `time`. The first
    /// call gives what is wanted at once.
    pub fn brightness(&mut self, at: Duration, time: LocalTime) -> Brightness {
        let brightness = self.wanted(time);
        let wanted = lightness(brightness.share());
        let now = match self.now {
            None => wanted,
            Some((before, then)) => {
                let since = at.saturating_sub(then).as_secs_f32();
                let most = LIGHTEST * since / ALL_THE_WAY.as_secs_f32();
                before + (wanted - before).clamp(-most, most)
            }
        };
        self.now = Some((now, at.max(self.now.map_or(at, |(_, then)| then))));
        // Where it has come to, it is what was asked for and not nearly so.
        if now == wanted {
            brightness
        } else {
            Brightness::new(luminance(now)).unwrap_or(brightness)
        }
    }
}

/// L* of a relative luminance of 0 to 1 (CIE 15: 116 Y^(1/3) - 16, and 903.3 Y in the dark).
fn lightness(share: f32) -> f32 {
    if share > (6.0f32 / 29.0).powi(3) {
        116.0 * share.cbrt() - 16.0
    } else {
        share * (29.0f32 / 3.0).powi(3)
    }
}

/// The relative luminance of an L*: the way back.
fn luminance(lightness: f32) -> f32 {
    let share = if lightness > 8.0 {
        ((lightness + 16.0) / 116.0).powi(3)
    } else {
        lightness / (29.0f32 / 3.0).powi(3)
    };
    share.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(share: f32) -> Brightness {
        Brightness::new(share).unwrap()
    }

    fn table() -> Vec<QuietHours> {
        let quiet = |from, to, to_share| QuietHours {
            hours: Hours { from, to, days: [true; 7] },
            brightness: share(to_share),
        };
        vec![quiet(22 * 60, 7 * 60, 0.3), quiet(23 * 60, 6 * 60, 0.0), quiet(12 * 60, 13 * 60, 0.9)]
    }

    fn at(second: u32) -> LocalTime {
        LocalTime { weekday: 0, second: second % 86_400 }
    }

    /// L* of known luminances, from the tables of colour: 0.18 is 49.4961, 0.01 is 8.9914, 0.001 is 0.9033.
    #[test]
    fn lightness_is_that_of_the_tables() {
        for (y, l) in [(1.0, 100.0), (0.18, 49.4961), (0.01, 8.9914), (0.001, 0.9033), (0.0, 0.0)] {
            assert!((lightness(y) - l).abs() < 1e-3, "{y}");
            assert!((luminance(l) - y).abs() < 1e-5, "{l}");
        }
    }

    #[test]
    fn the_lowest_line_counts_and_none_is_brighter_than_the_show() {
        let dimmer = Dimmer::new(table(), share(0.8));
        let wanted = |hour: u32| dimmer.wanted(at(hour * 3600)).share();
        assert_eq!(
            [12, 21, 22, 23, 0, 5, 6, 7].map(wanted),
            [0.8, 0.8, 0.3, 0.0, 0.0, 0.0, 0.3, 0.8]
        );
    }

    /// From 21:59 to 07:05, over midnight, at 25 frames a second: no frame differs by what could be seen.
    #[test]
    fn no_step_is_seen_all_night() {
        let mut dimmer = Dimmer::new(table(), share(0.8));
        let start = 21 * 3600 + 59 * 60;
        let mut before = dimmer.brightness(Duration::ZERO, at(start)).share();
        assert_eq!(before, 0.8);
        let mut seen = Vec::new();
        for frame in 1..=(9 * 3600 + 6 * 60) * 25u32 {
            let now = Duration::from_millis(u64::from(frame) * 40);
            let next = dimmer.brightness(now, at(start + frame / 25)).share();
            let step = (lightness(next) - lightness(before)).abs();
            assert!(step < 0.08, "{step} at frame {frame}");
            before = next;
            if seen.last() != Some(&next) && dimmer.wanted(at(start + frame / 25)).share() == next {
                seen.push(next);
            }
        }
        assert_eq!(seen, [0.8, 0.3, 0.0, 0.3, 0.8]);
    }

    #[test]
    fn a_show_that_begins_in_quiet_hours_begins_dim() {
        let mut dimmer = Dimmer::new(table(), share(0.8));
        assert_eq!(dimmer.brightness(Duration::from_secs(9), at(2 * 3600)), Brightness::DARK);
    }

    /// The computer's clock is set, or summer time begins, in quiet hours: no step either.
    #[test]
    fn a_clock_that_jumps_moves_the_light_slowly() {
        let mut dimmer = Dimmer::new(table(), share(0.8));
        dimmer.brightness(Duration::ZERO, at(6 * 3600 + 59 * 60));
        let next = dimmer.brightness(Duration::from_millis(40), at(8 * 3600)).share();
        assert!((0.3..0.302).contains(&next), "{next}");
        let later = dimmer.brightness(Duration::from_secs(60), at(8 * 3600 + 60)).share();
        assert_eq!(later, 0.8);
    }
}
