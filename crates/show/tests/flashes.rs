//! What leaves the pipeline never flashes more than three times in any one second: counted here on
//! the device bytes, by the rule's own words (WCAG 2.3.1), not by the way of the flash guard.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::time::Duration;

use glowloom_show::lettering::{Flow, Text, TextStyle};
use glowloom_show::made::made_by_code;
use glowloom_show::{
    Brightness, Channels, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError,
};
use glowloom_units::Chromaticity;
use proptest::prelude::*;

const COLUMNS: u32 = 8;
const ROWS: u32 = 8;
const SECOND: Duration = Duration::from_secs(1);

/// A pixel's place and the time, to linear light of 0 to 1.
type Look = Box<dyn Fn(u32, u32, f64) -> [f64; 3] + Send>;

struct Made(Look);

impl Source for Made {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let columns = into.columns();
        for (n, pixel) in (0u32..).zip(into.values_mut().as_chunks_mut::<3>().0) {
            let light = (self.0)(n % columns, n / columns, at.as_secs_f64());
            *pixel = light.map(|value| (value * 65_535.0).round() as u16);
        }
        Ok(Drawn::New)
    }
}

/// What left: for each frame its time, its bytes, and whether they are what the source asked for.
struct Played {
    frames: Vec<(Duration, Vec<u8>)>,
    held: u64,
}

fn play(look: Look, times: &[Duration]) -> Played {
    play_at(Brightness::FULL, look, times)
}

fn play_at(brightness: Brightness, look: Look, times: &[Duration]) -> Played {
    play_set(brightness, look, times, |_| ())
}

/// The same through a pipeline on which something has been set.
fn play_set(
    brightness: Brightness,
    look: Look,
    times: &[Duration],
    set: impl Fn(&mut Pipeline),
) -> Played {
    let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
    let mut pipeline = Pipeline::new(COLUMNS, ROWS, finish, brightness);
    set(&mut pipeline);
    let mut device = pipeline.device_frame();
    pipeline.show(Box::new(Made(look)), Duration::ZERO);
    let mut frames = Vec::new();
    for &now in times {
        pipeline.frame(now, &mut device).unwrap();
        frames.push((now, device.bytes().to_vec()));
    }
    Played { frames, held: pipeline.held() }
}

fn steady(fps: u32, seconds: u32) -> Vec<Duration> {
    (0..fps * seconds).map(|n| SECOND * n / fps).collect()
}

/// Mean linear light of some pixels, from the bytes.
fn mean(bytes: &[u8], inside: impl Fn(u32, u32) -> bool) -> [f64; 3] {
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    for (n, pixel) in (0u32..).zip(bytes.as_chunks::<3>().0) {
        if inside(n % COLUMNS, n / COLUMNS) {
            count += 1.0;
            for k in 0..3 {
                sum[k] += f64::from(pixel[k]) / 255.0;
            }
        }
    }
    sum.map(|sum| sum / count)
}

fn luminance(light: [f64; 3]) -> f64 {
    0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2]
}

/// The longest row of opposing changes in a stretch: every state may be where one change ends and
/// the next begins. `change(from, to)` is +1 for a change one way, -1 for the other, 0 for none.
fn opposing_changes<T>(states: &[T], change: impl Fn(&T, &T) -> i32) -> usize {
    // The longest rows that end in each state with a change up, and with one down.
    let (mut up, mut down) = (vec![0; states.len()], vec![0; states.len()]);
    for to in 0..states.len() {
        for from in 0..to {
            match change(&states[from], &states[to]) {
                1 => up[to] = up[to].max(down[from] + 1),
                -1 => down[to] = down[to].max(up[from] + 1),
                _ => {}
            }
        }
    }
    up.into_iter().chain(down).max().unwrap_or(0)
}

/// The most flashes, pairs of opposing changes, in any second, both of its ends included.
fn most_flashes<T>(states: &[(Duration, T)], change: impl Fn(&T, &T) -> i32) -> usize {
    (0..states.len())
        .map(|first| {
            let stretch: Vec<&T> = states[first..]
                .iter()
                .take_while(|(time, _)| *time <= states[first].0 + SECOND)
                .map(|(_, state)| state)
                .collect();
            opposing_changes(&stretch, |from, to| change(from, to)) / 2
        })
        .max()
        .unwrap_or(0)
}

/// Rounding to bytes moves a state by half a step at most, so that one of 0.80 may be sent as less.
const DARKER: f64 = 0.8 - 0.5 / 255.0;

fn general(from: &f64, to: &f64) -> i32 {
    match (to - from).abs() >= 0.1 && from.min(*to) < DARKER {
        true if to > from => 1,
        true => -1,
        false => 0,
    }
}

/// u', v' by way of x and y (CIE 1976), from linear light of the Rec. 709 primaries.
fn uv([r, g, b]: [f64; 3]) -> (f64, f64) {
    let x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
    let (x, y) = (x / (x + y + z), y / (x + y + z));
    let below = -2.0 * x + 12.0 * y + 3.0;
    (4.0 * x / below, 9.0 * y / below)
}

fn red(from: &[f64; 3], to: &[f64; 3]) -> i32 {
    let saturated = |c: &[f64; 3]| c[0] / c.iter().sum::<f64>() >= 0.8;
    let ((u, v), (s, t)) = (uv(*from), uv(*to));
    let far = (u - s).hypot(v - t) > 0.2;
    match (saturated(from), saturated(to)) {
        (false, true) if far => 1,
        (true, false) if far => -1,
        _ => 0,
    }
}

/// The parts in which light is counted here: the whole, quarters, halves, stripes.
const PARTS: [fn(u32, u32) -> bool; 9] = [
    |_, _| true,
    |c, r| c < 4 && r < 4,
    |c, r| c >= 4 && r < 4,
    |c, r| c < 4 && r >= 4,
    |c, r| c >= 4 && r >= 4,
    |c, r| (2..6).contains(&c) && (2..6).contains(&r),
    |c, _| c < 2,
    |_, r| (4..6).contains(&r),
    |c, r| (c / 2 + r / 2) % 2 == 0,
];

fn worst(played: &Played) -> usize {
    PARTS
        .iter()
        .map(|part| {
            let lights: Vec<_> = played
                .frames
                .iter()
                .map(|(time, bytes)| (*time, luminance(mean(bytes, part))))
                .collect();
            most_flashes(&lights, general)
        })
        .max()
        .unwrap_or(0)
}

/// Light of `low` and `high` in turn, `hertz` times a second.
fn square(hertz: f64, low: f64, high: f64) -> Look {
    Box::new(move |_, _, t| {
        let first_half = (t * hertz + 1e-9).fract() < 0.5;
        [if first_half { high } else { low }; 3]
    })
}

#[test]
fn slow_flashes_pass_untouched() {
    for hertz in [1.0, 2.0, 3.0] {
        let played = play(square(hertz, 0.0, 1.0), &steady(30, 6));
        assert_eq!(played.held, 0, "{hertz} Hz");
        for (time, bytes) in &played.frames {
            let wanted = if (time.as_secs_f64() * hertz + 1e-9).fract() < 0.5 { 255 } else { 0 };
            assert!(bytes.iter().all(|&byte| byte == wanted), "{hertz} Hz at {time:?}");
        }
    }
    let three = play(square(3.0, 0.0, 1.0), &steady(30, 6));
    assert_eq!(worst(&three), 3, "the count itself must see what passes");
}

#[test]
fn four_a_second_do_not_pass() {
    for fps in [24, 30, 60] {
        let played = play(square(4.0, 0.0, 1.0), &steady(fps, 6));
        assert!(played.held > 0);
        assert!(worst(&played) <= 3, "{} flashes at {fps} fps", worst(&played));
    }
}

#[test]
fn small_steps_pass_untouched() {
    let played = play(square(10.0, 0.40, 0.49), &steady(60, 4));
    assert_eq!(played.held, 0);
}

#[test]
fn bright_states_pass_untouched() {
    let played = play(square(10.0, 0.80, 1.0), &steady(60, 4));
    // From the dark wall to the first frame is one change; then all are above 0.80.
    assert_eq!(played.held, 0);
    let darker = play(square(10.0, 0.79, 1.0), &steady(60, 4));
    assert!(darker.held > 0);
}

/// Of a dimmed wall's light nothing is above 0.80 of the full light, so nothing is forgiven.
#[test]
fn bright_states_of_a_dimmed_wall_are_held() {
    let dimmed = Brightness::new(0.8).unwrap();
    let played = play_at(dimmed, square(5.0, 0.81, 1.0), &steady(60, 4));
    assert!(played.held > 0);
    let lights: Vec<(Duration, f64)> = (played.frames.iter())
        .map(|(now, bytes)| (*now, luminance(mean(bytes, |_, _| true))))
        .collect();
    let flashes = most_flashes(&lights, |from, to| {
        let counts = (from - to).abs() >= 0.1 && from.min(*to) < DARKER;
        if counts { (to - from).signum() as i32 } else { 0 }
    });
    assert!(flashes <= 3, "{flashes}");
}

#[test]
fn halves_in_turn_do_not_cancel_out() {
    let splits: [fn(u32, u32) -> bool; 4] =
        [|c, _| c < 4, |_, r| r < 4, |c, _| c / 2 % 2 == 0, |c, r| (c / 2 + r / 2) % 2 == 0];
    for (n, split) in splits.into_iter().enumerate() {
        let look: Look = Box::new(move |c, r, t| {
            let first_half = (t * 6.0).fract() < 0.5;
            [if split(c, r) == first_half { 1.0 } else { 0.0 }; 3]
        });
        let played = play(look, &steady(60, 4));
        assert!(played.held > 0, "split {n}");
        assert!(worst(&played) <= 3, "split {n}: {}", worst(&played));
    }
}

#[test]
fn red_flashes_are_counted_though_the_light_hardly_changes() {
    // Red and a grey of nearly the same luminance.
    let look: Look =
        Box::new(|_, _, t| if (t * 5.0).fract() < 0.5 { [0.4, 0.0, 0.0] } else { [0.1, 0.1, 0.1] });
    let played = play(look, &steady(60, 4));
    assert!(played.held > 0);
    let colours: Vec<_> =
        played.frames.iter().map(|(time, bytes)| (*time, mean(bytes, |_, _| true))).collect();
    assert!(most_flashes(&colours, red) <= 3);
}

/// Saturation makes a red of what was none: the guard judges what comes out.
#[test]
fn red_flashes_made_by_saturation_are_held() {
    let look = || -> Look {
        Box::new(
            |_, _, t| {
                if (t * 5.0).fract() < 0.5 { [0.4, 0.06, 0.06] } else { [0.15, 0.15, 0.15] }
            },
        )
    };
    assert_eq!(play(look(), &steady(60, 4)).held, 0);
    let saturated = glowloom_show::Look::new(1.9, Chromaticity::D65).unwrap();
    let played =
        play_set(Brightness::FULL, look(), &steady(60, 4), |pipeline| pipeline.set_look(saturated));
    assert!(played.held > 0);
    let colours: Vec<_> =
        played.frames.iter().map(|(time, bytes)| (*time, mean(bytes, |_, _| true))).collect();
    assert!(most_flashes(&colours, red) <= 3);
}

#[test]
fn after_a_strobe_the_picture_comes_through() {
    let look: Look = Box::new(|c, r, t| {
        let strobe = if (t * 12.0).fract() < 0.5 { 1.0 } else { 0.0 };
        [if t < 2.0 { strobe } else { f64::from(c * ROWS + r) / 64.0 }; 3]
    });
    let played = play(look, &steady(60, 4));
    let last = &played.frames.last().unwrap().1;
    for (n, pixel) in (0u32..).zip(last.as_chunks::<3>().0) {
        let wanted = f64::from(n % COLUMNS * ROWS + n / COLUMNS) / 64.0 * 255.0;
        assert!((f64::from(pixel[0]) - wanted).abs() <= 0.51);
    }
}

/// What is calm passes to the last bit: the pictures made by code, on walls of any size, on those as well that reach beyond
/// a viewer's field.
#[test]
fn calm_pictures_pass_untouched() {
    for made in made_by_code() {
        for (columns, rows) in [(60, 32), (8, 8), (2, 2), (1, 1), (90, 1)] {
            for field in [0.0, 21.0] {
                passes_untouched(&|| made.source(), (columns, rows), field, made.name);
            }
        }
    }
}

/// So does a text that runs, on the wall of the demo seen from where its people stand.
#[test]
fn texts_that_run_pass_untouched() {
    for text in ["Smoked mackerel", "I I I I I I"] {
        let style = TextStyle { flow: Flow::Scroll, ..TextStyle::default() };
        let open = || Box::new(Text::new(text, style, (60, 32)).unwrap()) as Box<dyn Source>;
        passes_untouched(&open, (60, 32), 21.0, text);
    }
}

fn passes_untouched(
    open: &dyn Fn() -> Box<dyn Source>,
    (columns, rows): (u32, u32),
    field: f64,
    name: &str,
) {
    let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
    let mut pipeline = Pipeline::new(columns, rows, finish, Brightness::FULL);
    pipeline.set_field(field, field);
    let mut device = pipeline.device_frame();
    pipeline.show(open(), Duration::ZERO);
    let (mut alone, mut wanted) = (open(), LinearFrame::new(columns, rows));
    for now in steady(30, 40) {
        pipeline.frame(now, &mut device).unwrap();
        alone.draw(now, &mut wanted).unwrap();
        assert_eq!(pipeline.shown().values(), wanted.values(), "{name} {now:?}");
    }
    assert_eq!(pipeline.held(), 0, "{name} on {columns} x {rows}");
}

fn frame_times() -> impl Strategy<Value = Vec<Duration>> {
    let step = prop_oneof![
        6 => Just(16_666u64),
        3 => Just(33_333),
        2 => 1_000u64..120_000,
        1 => Just(0),
        1 => 400_000u64..1_500_000,
    ];
    prop_oneof![
        (10u32..=60).prop_map(|fps| steady(fps, 3)),
        prop::collection::vec(step, 20..150).prop_map(|steps| {
            let mut now = Duration::ZERO;
            steps
                .into_iter()
                .map(|us| {
                    now += Duration::from_micros(us);
                    now
                })
                .collect()
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..Default::default() })]

    #[test]
    fn no_strobe_gets_through(
        times in frame_times(),
        hertz in 0.3f64..40.0,
        duty in 0.02f64..0.98,
        (low, high) in (0.0f64..1.0, 0.0f64..1.0),
        tint in prop::array::uniform3(0.0f64..1.0),
        pattern in 0usize..PARTS.len(),
        turn in any::<bool>(),
        dithers in any::<bool>(),
    ) {
        let part = PARTS[pattern];
        let look: Look = Box::new(move |c, r, t| {
            let on = (t * hertz).fract() < duty;
            let lit = if part(c, r) { on } else { turn && !on };
            let light = if lit { high } else { low };
            tint.map(|share| light * share.sqrt())
        });
        let played = play_set(Brightness::FULL, look, &times, |p| p.set_dither(dithers));
        prop_assert!(worst(&played) <= 3, "{} flashes", worst(&played));
    }

    #[test]
    fn no_noise_gets_through(
        times in frame_times(),
        levels in prop::collection::vec(prop::array::uniform4(0.0f64..1.0), 150),
    ) {
        let levels_by_time = levels.clone();
        let look: Look = Box::new(move |c, r, t| {
            let level = levels_by_time[(t * 17.0) as usize % levels_by_time.len()];
            [level[(c / 4 + r / 4 * 2) as usize]; 3]
        });
        let played = play(look, &times);
        prop_assert!(worst(&played) <= 3, "{} flashes", worst(&played));
    }

    #[test]
    fn no_red_flashes_get_through(
        times in frame_times(),
        hertz in 2.0f64..30.0,
        colours in prop::collection::vec(
            prop_oneof![
                Just([0.9, 0.0, 0.0]), Just([0.3, 0.02, 0.02]), Just([0.15, 0.15, 0.15]),
                Just([0.0, 0.0, 0.9]), Just([0.1, 0.3, 0.1]), Just([0.6, 0.1, 0.05]),
            ], 2..6),
        saturation in 0.5f64..2.0,
        dithers in any::<bool>(),
    ) {
        let look: Look =
            Box::new(move |_, _, t| colours[(t * hertz) as usize % colours.len()]);
        let saturated = glowloom_show::Look::new(saturation, Chromaticity::D65).unwrap();
        let played = play_set(Brightness::FULL, look, &times, |pipeline| {
            pipeline.set_look(saturated);
            pipeline.set_dither(dithers);
        });
        let states: Vec<_> =
            played.frames.iter().map(|(time, bytes)| (*time, mean(bytes, |_, _| true))).collect();
        let most = most_flashes(&states, red);
        prop_assert!(most <= 3, "{} flashes", most);
    }
}
