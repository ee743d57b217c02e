//! Which day what is printed, at so many hours a day.
//!
//! Plates are printed in the order of the list. One that does not fit into what is left of a day
//! starts the next morning; one that is longer than a day's hours takes as many days as it needs.

use glowloom_units::Hours;
use serde::Serialize;

use super::plates::Plate;

/// Days of the same work, one after the other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch {
    /// From 1.
    pub first_day: u64,
    /// From `first_day`.
    pub last_day: u64,
    /// Of each turn; above 1 only where a plate is longer than a day's hours.
    pub days_each: u64,
    /// Printed on each turn.
    pub plates: Vec<Printed>,
}

/// Plates of one part printed in one turn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Printed {
    /// The name of the part.
    pub part: String,
    /// How many.
    pub plates: u64,
}

/// One day's work: plates by their place in the list, and how many days it takes.
#[derive(PartialEq)]
struct Turn {
    plates: Vec<(usize, u64)>,
    days: u64,
}

/// Rounding of sums must not push a plate into the next day.
const SLACK: f64 = 1e-9;

/// The calendar of these plates, with `between` from one to the next.
pub(super) fn calendar(plates: &[Plate], between: Hours, day: Hours) -> Vec<Stretch> {
    let mut days = Days { plates, stretches: Vec::new(), turns: Vec::new(), next_day: 1 };
    let mut used = Hours(0.0);
    let mut today = Turn { plates: Vec::new(), days: 1 };
    for (i, plate) in plates.iter().enumerate() {
        for _ in 0..plate.times {
            let free = today.plates.is_empty();
            let after = if free { plate.hours_each } else { used + between + plate.hours_each };
            if !free && after.0 > day.0 + SLACK {
                days.add(std::mem::replace(&mut today, Turn { plates: Vec::new(), days: 1 }));
                used = plate.hours_each;
            } else {
                used = after;
            }
            match today.plates.last_mut() {
                Some(last) if last.0 == i => last.1 += 1,
                _ => today.plates.push((i, 1)),
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "saturates"
            )]
            let needed = ((used / day - SLACK).ceil() as u64).max(1);
            today.days = needed;
        }
    }
    if !today.plates.is_empty() {
        days.add(today);
    }
    days.stretches
}

/// Joins equal days as they come.
struct Days<'p> {
    plates: &'p [Plate],
    stretches: Vec<Stretch>,
    turns: Vec<Turn>,
    next_day: u64,
}

impl Days<'_> {
    fn add(&mut self, turn: Turn) {
        let last_day = self.next_day + turn.days - 1;
        match (self.turns.last(), self.stretches.last_mut()) {
            (Some(before), Some(stretch)) if *before == turn => stretch.last_day = last_day,
            _ => {
                self.stretches.push(Stretch {
                    first_day: self.next_day,
                    last_day,
                    days_each: turn.days,
                    plates: self.named(&turn),
                });
                self.turns.push(turn);
            }
        }
        self.next_day = last_day + 1;
    }

    fn named(&self, turn: &Turn) -> Vec<Printed> {
        let name = |(i, plates): &(usize, u64)| {
            let part = self.plates.get(*i)?.part.clone();
            Some(Printed { part, plates: *plates })
        };
        turn.plates.iter().filter_map(name).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tiles::grains::Grains;
    use crate::tiles::plates::Lay;

    fn plate(part: &str, times: u64, hours: f64) -> Plate {
        let lay = Lay { abreast: 1, turned: false, step: (Grains(1), Grains(1)) };
        Plate { part: part.into(), copies: 1, times, hours_each: Hours(hours), lay }
    }

    /// First day, last day, days each, plates.
    fn said(plates: &[Plate], between: f64, day: f64) -> Vec<(u64, u64, u64, String)> {
        let words = |stretch: Stretch| {
            let plates: Vec<_> =
                stretch.plates.iter().map(|p| format!("{} {}", p.plates, p.part)).collect();
            (stretch.first_day, stretch.last_day, stretch.days_each, plates.join(" + "))
        };
        calendar(plates, Hours(between), Hours(day)).into_iter().map(words).collect()
    }

    #[test]
    fn days_at_two_plates_a_day() {
        assert_eq!(said(&[plate("a", 52, 5.5)], 0.5, 12.0), [(1, 26, 1, "2 a".into())]);
        // A quarter of an hour more between them, and two no longer fit.
        assert_eq!(said(&[plate("a", 52, 5.5)], 1.1, 12.0), [(1, 52, 1, "1 a".into())]);
        // Nothing is between the last of a day and the first of the next.
        assert_eq!(said(&[plate("a", 4, 6.0)], 0.0, 12.0), [(1, 2, 1, "2 a".into())]);
    }

    #[test]
    fn what_is_left_of_a_day_is_used() {
        let plates = [plate("a", 3, 5.0), plate("b", 3, 3.0)];
        assert_eq!(
            said(&plates, 0.0, 12.0),
            [(1, 1, 1, "2 a".into()), (2, 2, 1, "1 a + 2 b".into()), (3, 3, 1, "1 b".into()),]
        );
    }

    #[test]
    fn a_plate_longer_than_a_day_takes_several() {
        let plates = [plate("a", 3, 20.0), plate("b", 1, 2.0)];
        assert_eq!(said(&plates, 0.25, 8.0), [(1, 9, 3, "1 a".into()), (10, 10, 1, "1 b".into())]);
        assert_eq!(said(&[], 0.25, 8.0), []);
    }
}
