//! Hours of the day and days of the week, as a clock on the wall reads them.

use crate::lettering::Reading;

/// Minutes of a day.
const DAY: u32 = 24 * 60;

/// What counts of the time of day: the day of the week and the second of the day, as a clock reads them.
///
/// Where summer time begins, an hour of the clock is left out; where it ends, one comes twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LocalTime {
    /// Monday 0 to Sunday 6.
    pub weekday: u8,
    /// Whole seconds since the clock read midnight, 0 to 86,399; 86,400 in a leap second.
    pub second: u32,
}

impl LocalTime {
    /// What counts of a reading (Gregorian calendar).
    #[must_use]
    pub fn of(reading: &Reading) -> Self {
        let hours = u32::from(reading.hour) * 3600;
        let second = hours + u32::from(reading.minute) * 60 + u32::from(reading.second);
        Self { weekday: weekday(reading.year, reading.month, reading.day), second }
    }

    fn minute(self) -> u32 {
        self.second / 60
    }
}

/// Monday 0 to Sunday 6. Counts days from 1 March of the year 0, a Wednesday (proleptic Gregorian
/// calendar), so that a leap day is the last of its year.
fn weekday(year: u16, month: u8, day: u8) -> u8 {
    let month = u32::from(month.clamp(1, 12));
    let (year, month) = if month > 2 {
        (u32::from(year), month - 3)
    } else {
        ((u32::from(year) + 399) % 400, month + 9)
    };
    let days = 365 * year + year / 4 - year / 100 + year / 400;
    // Months from March on: 31, 30, 31, 30, 31, and again.
    let days = days + (153 * month + 2) / 5 + u32::from(day.max(1)) - 1;
    ((days + 2) % 7) as u8
}

/// When something is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hours {
    /// Minute of the day from which on it is due, 0 to 1439.
    pub from: u32,
    /// Minute of the day until which it is due, this one no more, up to 1440; at or before `from`: the next
    /// morning.
    pub to: u32,
    /// Days on which the hours begin, Monday first.
    pub days: [bool; 7],
}

impl Hours {
    /// Always.
    pub const ALWAYS: Self = Self { from: 0, to: DAY, days: [true; 7] };

    /// Whether it is due at this time.
    #[must_use]
    pub fn hold(&self, time: LocalTime) -> bool {
        let minute = time.minute().min(DAY - 1);
        let on = |weekday: u8| self.days.get(usize::from(weekday)).copied().unwrap_or(false);
        let today = on(time.weekday % 7);
        if self.from < self.to {
            return today && (self.from..self.to).contains(&minute);
        }
        let yesterday = on((time.weekday + 6) % 7);
        (today && minute >= self.from) || (yesterday && minute < self.to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(weekday: u8, hour: u32, minute: u32) -> LocalTime {
        LocalTime { weekday, second: hour * 3600 + minute * 60 }
    }

    fn reading(year: u16, month: u8, day: u8) -> Reading {
        Reading { year, month, day, hour: 13, minute: 5, second: 9, nanosecond: 0 }
    }

    /// Known days: 1 January 2000 was a Saturday, 29 February 2024 a Thursday, 1 January 1970 a Thursday,
    /// 1 March 1900 a Thursday (calendars of those years, from memory).
    #[test]
    fn days_of_the_week() {
        for (date, weekday) in [
            ((2000, 1, 1), 5),
            ((2024, 2, 29), 3),
            ((2024, 3, 1), 4),
            ((1970, 1, 1), 3),
            ((1900, 3, 1), 3),
            ((2026, 11, 30), 0),
            ((2100, 2, 28), 6),
            ((2100, 3, 1), 0),
        ] {
            let time = LocalTime::of(&reading(date.0, date.1, date.2));
            assert_eq!((time.weekday, time.second), (weekday, 47_109), "{date:?}");
        }
    }

    /// Over 400 years no day of the week is left out or comes twice.
    #[test]
    fn weeks_go_on_over_every_end_of_a_month() {
        let mut wanted = weekday(1999, 12, 31);
        for year in 2000..2400u16 {
            let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
            for (month, days) in
                (1..).zip([31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
            {
                for day in 1..=days {
                    wanted = (wanted + 1) % 7;
                    assert_eq!(weekday(year, month, day), wanted, "{year}-{month}-{day}");
                }
            }
        }
        assert_eq!(wanted, weekday(1999, 12, 31), "400 years are whole weeks");
        assert_eq!(weekday(0, 3, 1), 2);
        assert_eq!(weekday(0, 2, 29), 1);
    }

    #[test]
    fn hours_hold_from_their_first_minute_to_before_their_last() {
        let hours = Hours { from: 8 * 60, to: 17 * 60 + 30, days: [true; 7] };
        let hold = |hour, minute| hours.hold(at(2, hour, minute));
        assert_eq!(
            [hold(7, 59), hold(8, 0), hold(17, 29), hold(17, 30)],
            [false, true, true, false]
        );
        assert!(Hours::ALWAYS.hold(at(6, 0, 0)) && Hours::ALWAYS.hold(at(6, 23, 59)));
        assert!(Hours::ALWAYS.hold(LocalTime { weekday: 6, second: 86_400 }), "a leap second");
    }

    #[test]
    fn hours_over_midnight_belong_to_the_day_on_which_they_begin() {
        let friday = Hours { from: 22 * 60, to: 2 * 60, days: std::array::from_fn(|day| day == 4) };
        assert!(friday.hold(at(4, 22, 0)) && friday.hold(at(4, 23, 59)));
        assert!(friday.hold(at(5, 0, 0)) && friday.hold(at(5, 1, 59)));
        assert!(
            !friday.hold(at(5, 2, 0)) && !friday.hold(at(5, 22, 0)) && !friday.hold(at(4, 1, 0))
        );
        let sunday = Hours { days: std::array::from_fn(|day| day == 6), ..friday };
        assert!(sunday.hold(at(0, 1, 0)), "Monday's small hours");
    }
}
