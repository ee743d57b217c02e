//! What is said of parts, in the list and on the terminal.

use glowloom_plan::tiles::Tiles;
use glowloom_plan::tiles::calendar::Stretch;
use glowloom_plan::tiles::kinds::{TileKind, ends_word};
use glowloom_plan::tiles::partition::Run;

/// `5 x 6 cells, plain`: across by along the strips.
#[must_use]
pub fn kind(kind: &TileKind) -> String {
    format!("{} x {} cells, {}", kind.columns, kind.rows, ends_word(kind.ends))
}

/// A stretch of the calendar: `days 1 to 6: 7 x tile-5x6-plain a day`.
#[must_use]
pub fn stretch(stretch: &Stretch) -> String {
    let plates: Vec<String> = stretch
        .plates
        .iter()
        .map(|printed| format!("{} x {}", printed.plates, printed.part))
        .collect();
    let plates = plates.join(", ");
    let Stretch { first_day, last_day, days_each, .. } = stretch;
    if first_day == last_day {
        format!("day {first_day}: {plates}")
    } else if *days_each == 1 {
        format!("days {first_day} to {last_day}: {plates} a day")
    } else if last_day - first_day + 1 == *days_each {
        format!("days {first_day} to {last_day}: {plates}")
    } else {
        format!("days {first_day} to {last_day}: {plates} every {days_each} days")
    }
}

/// The calendar in a few words: `26 days at two plates a day`.
#[must_use]
pub fn days(tiles: &Tiles) -> String {
    let s = if tiles.days == 1 { "" } else { "s" };
    format!("{} day{s} {}", tiles.days, pace(tiles))
}

/// How many plates a day: `at two plates a day`; the last day may have fewer.
#[must_use]
pub fn pace(tiles: &Tiles) -> String {
    let each = |stretch: &Stretch| stretch.plates.iter().map(|p| p.plates).sum::<u64>();
    if tiles.calendar.iter().any(|stretch| stretch.days_each > 1) {
        return "with prints of more than a day".to_owned();
    }
    let most = tiles.calendar.iter().map(each).max().unwrap_or(0);
    let full = tiles.calendar.split_last().map_or(&[][..], |(_, full)| full);
    let up_to = if full.iter().all(|stretch| each(stretch) == most) { "" } else { "up to " };
    let plates = if most == 1 { "plate" } else { "plates" };
    format!("at {up_to}{} {plates} a day", number(most))
}

/// Small numbers as words.
fn number(n: u64) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        "eleven", "twelve",
    ];
    let word = usize::try_from(n).ok().and_then(|n| WORDS.get(n));
    word.map_or_else(|| n.to_string(), |word| (*word).to_owned())
}

/// `4, 6, 6, 6, 6, 4`; long ones shortened: `4, 6 (30 times), 4`.
pub(super) fn runs(runs: &[Run]) -> String {
    let of = |run: &Run| match run.parts {
        parts @ 1..=8 => vec![run.cells.to_string(); parts as usize].join(", "),
        parts => format!("{} ({parts} times)", run.cells),
    };
    runs.iter().map(of).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_plan::tiles::calendar::Printed;

    fn of(first_day: u64, last_day: u64, days_each: u64) -> String {
        let plates =
            vec![Printed { part: "a".into(), plates: 2 }, Printed { part: "b".into(), plates: 1 }];
        stretch(&Stretch { first_day, last_day, days_each, plates })
    }

    #[test]
    fn stretches() {
        assert_eq!(of(3, 3, 1), "day 3: 2 x a, 1 x b");
        assert_eq!(of(1, 6, 1), "days 1 to 6: 2 x a, 1 x b a day");
        assert_eq!(of(1, 2, 2), "days 1 to 2: 2 x a, 1 x b");
        assert_eq!(of(1, 6, 2), "days 1 to 6: 2 x a, 1 x b every 2 days");
    }

    #[test]
    fn parts_of_a_panel() {
        let run = |cells, parts| Run { cells, parts };
        assert_eq!(runs(&[run(4, 1), run(6, 4), run(4, 1)]), "4, 6, 6, 6, 6, 4");
        assert_eq!(runs(&[run(6, 30), run(2, 1)]), "6 (30 times), 2");
    }

    fn tiles(baffle: &str) -> Tiles {
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 24\nrows = 24\n[strip]\npart = \"ws2812b-30\"\n\
             [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 24\nrows = 24\n[baffle]\n{baffle}\n"
        );
        glowloom_plan::plan(&glowloom_design::read(text.as_bytes()).unwrap()).tiles.unwrap()
    }

    /// 16 tiles of 6 x 6 take 6.1 to 6.3 h each at 1.6 mm3/s.
    #[test]
    fn a_calendar_in_a_few_words() {
        let of = |hours: u32, flow: f64| {
            days(&tiles(&format!("flow = \"{flow} mm3/s\"\nhours_per_day = {hours}")))
        };
        assert_eq!(of(14, 1.6), "8 days at two plates a day");
        assert_eq!(of(8, 1.6), "16 days at one plate a day");
        // Five days of three and one of one.
        assert_eq!(of(20, 1.6), "6 days at three plates a day");
        assert_eq!(of(4, 1.6), "32 days with prints of more than a day");
        assert_eq!(of(24, 60.0), "1 day at 16 plates a day");
        // 16 of 6 x 5 at one a day, 4 of 6 x 4 at two.
        let uneven =
            tiles("bed = [\"220 mm\", \"170 mm\"]\nflow = \"1.2 mm3/s\"\nhours_per_day = 12");
        assert_eq!(days(&uneven), "18 days at up to two plates a day");
    }
}
