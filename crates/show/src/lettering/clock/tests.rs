//! Clocks drawn, as letters of dots.

use super::super::art;
use super::*;

const EVENING: Reading =
    Reading { year: 2026, month: 3, day: 9, hour: 17, minute: 8, second: 45, nanosecond: 0 };

fn drawn(style: ClockStyle, now: Reading, wall: (u32, u32)) -> String {
    let mut frame = LinearFrame::new(wall.0, wall.1);
    ClockPicture::new(style, wall).unwrap().draw(&now, &mut frame);
    art::drawn(&frame)
}

fn styles() -> impl Iterator<Item = ClockStyle> {
    let dates = [None, Some(DateOrder::YearMonthDay), Some(DateOrder::MonthDayYear)];
    let seconds = [Seconds::None, Seconds::Digits, Seconds::Sweep];
    let faces = [None, Some(Face::Fixed), Some(Face::Broad)];
    let hours = [Hours::TwentyFour, Hours::Twelve];
    dates.into_iter().flat_map(move |date| {
        seconds.into_iter().flat_map(move |seconds| {
            faces.into_iter().flat_map(move |face| {
                hours.map(|hours| ClockStyle {
                    date,
                    seconds,
                    face,
                    hours,
                    ..ClockStyle::default()
                })
            })
        })
    })
}

#[test]
fn the_smallest_clock_takes_five_rows() {
    assert_eq!(
        drawn(ClockStyle::default(), EVENING, (19, 5)),
        "\
.#..###......#...##
##....#..#..#.#.#.#
.#...#......###..#.
.#..#.......#.#.#.#
###.#....#...#..##.
"
    );
}

#[test]
fn time_date_and_seconds_share_a_small_wall() {
    let style = ClockStyle {
        hours: Hours::Twelve,
        seconds: Seconds::Sweep,
        date: Some(DateOrder::DayMonthYear),
        ..ClockStyle::default()
    };
    assert_eq!(
        drawn(style, EVENING, (24, 14)),
        "\
.....####........#...##.
.....#.....##...#.#.#..#
.....###...##...#.#..##.
........#.......#.#.#..#
.....#..#..##...#.#.#..#
......##...##....#...##.
........................
...#...#.......#..###...
..#.#.#.#.....#.#...#...
..###..##.....###..#....
..#.#...#.....#.#...#...
...#..##...#...#..##....
........................
##################......
"
    );
}

/// From the least wall that is named upwards it fits, and on one that is smaller in either way it does
/// not. On every wall that it fits no digit is cut off: each minute shows as many lit pixels as on a
/// wall with room to spare, in the same size.
#[test]
fn it_says_when_the_wall_is_too_small() {
    for style in styles() {
        let Err(LetteringError::WallTooSmall { least, wall, .. }) =
            ClockPicture::new(style, (1, 1))
        else {
            panic!("{style:?} fits a single pixel");
        };
        assert_eq!(wall, (1, 1));
        assert!(ClockPicture::new(style, least).is_ok(), "{style:?} {least:?}");
        for smaller in [(least.0 - 1, least.1 + 9), (least.0 + 99, least.1 - 1), (0, 9), (9, 0)] {
            assert!(ClockPicture::new(style, smaller).is_err(), "{style:?} {smaller:?}");
        }
    }
    let text = ClockPicture::new(ClockStyle::default(), (18, 4)).unwrap_err().to_string();
    assert!(
        text.starts_with("the wall is 18 x 4 pixels and a clock takes 19 x 5 at least"),
        "{text}"
    );
}

#[test]
fn no_digit_is_cut_off() {
    for style in styles() {
        for wall in [(60, 32), (41, 23), (40, 14), (128, 64), (200, 17)] {
            let Ok(mut tight) = ClockPicture::new(style, wall) else { continue };
            // The same layout drawn on a frame with a margin on the right and below: nothing there.
            for minute in 0..60 {
                let now = Reading { hour: 20, minute, second: 0, day: minute % 28 + 1, ..EVENING };
                let mut frame = LinearFrame::new(wall.0 + 20, wall.1 + 20);
                tight.draw(&now, &mut frame);
                let beyond = (0..frame.rows()).any(|row| {
                    (0..frame.columns()).any(|column| {
                        (column >= wall.0 || row >= wall.1)
                            && frame.pixel(column, row) != Some([0; 3])
                    })
                });
                assert!(!beyond, "{style:?} {wall:?} {minute}");
                assert!([Some(&tight.time), tight.date.as_ref()].into_iter().flatten().all(
                    |line| {
                        let cut = line.size.cut;
                        let ink = cut.ink('0'..='9').unwrap();
                        let scale = i64::from(line.size.scale);
                        line.left + i64::from(ink.left) * scale >= 0
                            && line.top + i64::from(ink.top) * scale >= 0
                    }
                ));
            }
        }
    }
}

#[test]
fn a_larger_wall_has_larger_digits() {
    let height = |wall| ClockPicture::new(ClockStyle::default(), wall).unwrap().time.size.height();
    let heights = [(19, 5), (24, 8), (60, 32), (120, 64), (400, 200)].map(height);
    assert_eq!(heights, [6, 8, 20, 40, 160]);
}

#[test]
fn hours_are_told_both_ways() {
    let told = |hours, hour, mark| {
        let style = ClockStyle { hours, seconds: Seconds::Digits, ..ClockStyle::default() };
        time_text(style, mark, Reading { hour, ..EVENING }).letters().collect::<String>()
    };
    let day = Hours::TwentyFour;
    assert_eq!(
        [0, 9, 12, 23].map(|hour| told(day, hour, false)),
        ["00:08:45", "09:08:45", "12:08:45", "23:08:45"]
    );
    let half = Hours::Twelve;
    assert_eq!(
        [0, 1, 11, 12, 13, 23].map(|hour| told(half, hour, true)),
        ["12:08:45 am", " 1:08:45 am", "11:08:45 am", "12:08:45 pm", " 1:08:45 pm", "11:08:45 pm"]
    );
    assert_eq!(told(half, 13, false), " 1:08:45");
}

#[test]
fn dates_are_told_in_three_orders() {
    let told = |order, year| date_text(order, year, EVENING).letters().collect::<String>();
    assert_eq!(told(DateOrder::YearMonthDay, true), "2026-03-09");
    assert_eq!(told(DateOrder::DayMonthYear, true), "09.03.2026");
    assert_eq!(told(DateOrder::MonthDayYear, true), "03/09/2026");
    assert_eq!(told(DateOrder::MonthDayYear, false), "03/09");
}

/// After 45 s three quarters of the line are lit; its last pixel by as much as it is covered.
#[test]
fn seconds_sweep_smoothly() {
    let style = ClockStyle { seconds: Seconds::Sweep, ..ClockStyle::default() };
    let mut picture = ClockPicture::new(style, (30, 9)).unwrap();
    let mut frame = LinearFrame::new(30, 9);
    let mut line = |second, nanosecond| {
        picture.draw(&Reading { second, nanosecond, ..EVENING }, &mut frame);
        (0..30).map(|column| u32::from(frame.pixel(column, 8).unwrap()[1])).sum::<u32>()
    };
    assert_eq!(line(0, 0), 0);
    assert_eq!(line(45, 0), 22 * 65_535 + 32_768);
    assert_eq!(line(45, 500_000_000), 22 * 65_535 + 49_151);
    assert_eq!(line(60, 0), 30 * 65_535, "a leap second does not pass the end");
}

#[test]
fn what_has_not_changed_is_not_drawn_again() {
    let mut frame = LinearFrame::new(60, 32);
    let mut picture = ClockPicture::new(ClockStyle::default(), (60, 32)).unwrap();
    assert_eq!(picture.draw(&EVENING, &mut frame), Drawn::New);
    assert_eq!(picture.draw(&Reading { second: 46, ..EVENING }, &mut frame), Drawn::Same);
    assert_eq!(picture.draw(&Reading { minute: 9, ..EVENING }, &mut frame), Drawn::New);
    frame.clear();
    assert_eq!(picture.draw(&Reading { minute: 9, ..EVENING }, &mut frame), Drawn::New);
}
