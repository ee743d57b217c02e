//! The computer's clock, read in a time zone by the system's time zone database.

use std::time::{Duration, SystemTime};

use glowloom_show::lettering::{ClockPicture, Reading};
use glowloom_show::{Drawn, LinearFrame, Source, SourceError};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::DriveError;

/// A time zone, with its rules for summer time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zone(TimeZone);

impl Zone {
    /// The zone with this name in the time zone database, such as "Europe/Paris"; capitals do not count.
    ///
    /// # Errors
    /// [`DriveError::NoZone`].
    pub fn named(name: &str) -> Result<Self, DriveError> {
        let wrong = |error: jiff::Error| DriveError::NoZone {
            name: name.chars().take(60).collect(),
            reason: error.to_string(),
        };
        TimeZone::get(name).map(Self).map_err(wrong)
    }

    /// Coordinated universal time, which needs no rules.
    #[must_use]
    pub fn utc() -> Self {
        Self(TimeZone::UTC)
    }

    /// The zone that this computer is in.
    ///
    /// # Errors
    /// [`DriveError::NoLocalZone`]: nothing is guessed.
    pub fn of_this_computer() -> Result<Self, DriveError> {
        let wrong = |error: jiff::Error| DriveError::NoLocalZone { reason: error.to_string() };
        TimeZone::try_system().map(Self).map_err(wrong)
    }

    /// What a clock reads here, as many seconds and nanoseconds (0 to 999,999,999) after the beginning of
    /// 1970 in UTC, leap seconds left out (POSIX). The years 1 to 9998 are told; before and after, their
    /// beginning and end.
    #[must_use]
    pub fn reading(&self, seconds: i64, nanoseconds: u32) -> Reading {
        let second = seconds.clamp(FIRST, LAST);
        let nanosecond = i32::try_from(nanoseconds.min(999_999_999)).unwrap_or_default();
        // Within the limits there is always such a moment.
        let moment = Timestamp::new(second, nanosecond).unwrap_or_default();
        let local = self.0.to_datetime(moment);
        let small = |value: i8| u8::try_from(value).unwrap_or_default();
        Reading {
            year: u16::try_from(local.year()).unwrap_or_default(),
            month: small(local.month()),
            day: small(local.day()),
            hour: small(local.hour()),
            minute: small(local.minute()),
            second: small(local.second()),
            nanosecond: nanoseconds.min(999_999_999),
        }
    }

    /// What a clock reads here now.
    #[must_use]
    pub fn now(&self) -> Reading {
        // A computer whose clock stands before 1970 shows its first moment.
        let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        self.reading(i64::try_from(since.as_secs()).unwrap_or(LAST), since.subsec_nanos())
    }
}

/// 2 January of the year 1 and 30 December of 9998, in UTC: a day within the years that can be told, so
/// that no zone leaves them.
const FIRST: i64 = -62_135_510_400;
const LAST: i64 = 253_370_678_399;

/// A clock as a source: reads the computer's clock whenever it draws.
#[derive(Debug)]
pub struct Timepiece {
    picture: ClockPicture,
    zone: Zone,
}

impl Timepiece {
    /// Shows this clock with the time of this zone.
    #[must_use]
    pub fn new(picture: ClockPicture, zone: Zone) -> Self {
        Self { picture, zone }
    }
}

impl Source for Timepiece {
    /// Frames are drawn up to three ticks ahead of their time; a clock is so much slow.
    fn draw(&mut self, _at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        Ok(self.picture.draw(&self.zone.now(), into))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_show::lettering::{ClockStyle, Seconds};

    fn told(reading: Reading) -> String {
        let Reading { year, month, day, hour, minute, second, .. } = reading;
        format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}")
    }

    #[test]
    fn utc_needs_no_rules() {
        let utc = Zone::named("UTC").unwrap();
        // Worked out by hand: 1,000,000,000 s is known as 9 September 2001, 01:46:40.
        assert_eq!(told(utc.reading(1_000_000_000, 7)), "2001-09-09 01:46:40");
        assert_eq!(utc.reading(1_000_000_000, 7).nanosecond, 7);
        assert_eq!(told(utc.reading(-1, 0)), "1969-12-31 23:59:59");
        assert_eq!(told(utc.reading(i64::MIN, u32::MAX)), "0001-01-02 00:00:00");
        assert_eq!(told(utc.reading(i64::MAX, 0)), "9998-12-30 23:59:59");
    }

    #[test]
    fn the_ends_of_time_are_no_trap_in_any_zone() {
        for name in ["Pacific/Kiritimati", "Pacific/Pago_Pago", "America/New_York"] {
            let zone = Zone::named(name).unwrap();
            assert_eq!(zone.reading(i64::MIN, 0).year, 1, "{name}");
            assert_eq!(zone.reading(i64::MAX, 0).year, 9998, "{name}");
        }
    }

    #[test]
    fn a_zone_that_is_none_is_told() {
        for name in ["Europe/Atlantis", "", "/etc/passwd", "../../etc/passwd"] {
            let error = Zone::named(name).unwrap_err().to_string();
            assert!(error.starts_with(&format!("there is no time zone {name:?}")), "{error}");
            assert!(error.contains("Europe/Paris"), "{error}");
        }
    }

    /// The line of seconds of a clock that is drawn at two moments is where the computer's clock is.
    #[test]
    fn the_clock_goes() {
        let style = ClockStyle { seconds: Seconds::Sweep, ..ClockStyle::default() };
        let size = (600, 9);
        let zone = Zone::named("UTC").unwrap();
        let mut piece = Timepiece::new(ClockPicture::new(style, size).unwrap(), zone);
        let mut frame = LinearFrame::new(size.0, size.1);
        let mut lit = || {
            piece.draw(Duration::ZERO, &mut frame).unwrap();
            let foot = (0..size.0).map(|column| f64::from(frame.pixel(column, 8).unwrap()[0]));
            foot.sum::<f64>() / 65_535.0 / 10.0
        };
        let second = || {
            let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap();
            since.as_secs_f64() % 60.0
        };
        // Drawn between two readings; tried again over the turn of a minute.
        let all_between = (0..3).any(|_| {
            let (before, shown, after) = (second(), lit(), second());
            std::thread::sleep(Duration::from_millis(300));
            let (later, shown_later, end) = (second(), lit(), second());
            (before - 0.01..after + 0.01).contains(&shown)
                && (later - 0.01..end + 0.01).contains(&shown_later)
        });
        assert!(all_between);
    }
}
