//! Whole orders, played with times that are handed in.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use super::*;
use crate::picture::PictureError;

/// What a source of the tests does at each of its own times.
type Act = Box<dyn Fn(Duration) -> Result<Option<u16>, SourceError> + Send>;

/// Fills the frame with the value of its time; draws only what is new, as the contract of sources has it.
struct Acting {
    act: Act,
    last: Option<u16>,
}

impl Source for Acting {
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        match (self.act)(at) {
            Ok(None) => Ok(Drawn::Same),
            Ok(Some(value)) if self.last == Some(value) && !into.is_blank() => Ok(Drawn::Same),
            Ok(Some(value)) => {
                self.last = Some(value);
                into.values_mut().fill(value);
                Ok(Drawn::New)
            }
            Err(error) => {
                into.values_mut().fill(self.last.unwrap_or(0));
                Err(error)
            }
        }
    }
}

fn open(
    act: impl Fn(Duration) -> Result<Option<u16>, SourceError> + Send + Clone + 'static,
) -> Opener {
    Box::new(move || Ok(Box::new(Acting { act: Box::new(act.clone()), last: None })))
}

fn plain(value: u16, seconds: u64) -> Scene {
    Scene::new(open(move |_| Ok(Some(value))), Duration::from_secs(seconds))
}

fn stalled() -> SourceError {
    SourceError::Frames("nothing comes".into())
}

fn hours(from: u32, to: u32) -> Hours {
    Hours { from: from * 60, to: to * 60, days: [true; 7] }
}

const NOON: LocalTime = LocalTime { weekday: 0, second: 12 * 3600 };

/// What is seen so many seconds after the beginning; every pixel must be alike.
fn seen_at(order: &mut Order, seconds: f64, time: LocalTime) -> (u16, bool) {
    // As the pipeline lends it: the frame before last, with anything in it, and not blank.
    let mut frame = LinearFrame::new(3, 2);
    let drawn = order.draw(Duration::from_secs_f64(seconds), time, &mut frame);
    let first = frame.values()[0];
    assert!(frame.values().iter().all(|&value| value == first), "{:?}", frame.values());
    (first, drawn.is_err())
}

/// The same through one frame that is lent again and again.
struct Wall {
    order: Order,
    frame: LinearFrame,
}

impl Wall {
    fn of(scenes: Vec<Scene>) -> Self {
        Self { order: Order::new(scenes, None), frame: LinearFrame::new(3, 2) }
    }

    fn at(&mut self, seconds: f64) -> u16 {
        self.at_time(seconds, NOON)
    }

    fn at_time(&mut self, seconds: f64, time: LocalTime) -> u16 {
        let _ = self.order.draw(Duration::from_secs_f64(seconds), time, &mut self.frame);
        self.frame.values()[0]
    }
}

#[test]
fn scenes_take_turns_for_ever() {
    let mut wall = Wall::of(vec![plain(1, 10), plain(2, 5)]);
    let seen = [0.0, 9.9, 10.0, 14.9, 15.0, 24.9, 25.1].map(|seconds| wall.at(seconds));
    assert_eq!(seen, [1, 1, 2, 2, 1, 1, 2]);
}

#[test]
fn turns_do_not_creep_and_are_not_made_up_for() {
    let mut wall = Wall::of(vec![plain(1, 10), plain(2, 10)]);
    assert_eq!([0.0, 13.0, 20.0].map(|seconds| wall.at(seconds)), [1, 2, 1]);
    // Asleep for an hour: the next turn comes, once, and lasts as long as any.
    assert_eq!([3600.0, 3609.9, 3610.0].map(|seconds| wall.at(seconds)), [2, 2, 1]);
}

#[test]
fn no_scenes_are_dark() {
    assert_eq!(seen_at(&mut Order::new(vec![], None), 0.0, NOON), (0, false));
}

/// Each round begins at the source's own beginning.
#[test]
fn a_scene_plays_its_rounds() {
    let counting = Scene {
        rounds: 3,
        ..Scene::new(open(|at| Ok(Some(100 + at.as_secs() as u16))), Duration::from_secs(2))
    };
    let mut wall = Wall::of(vec![counting, plain(7, 2)]);
    let seen: Vec<u16> = (0..10).map(|second| wall.at(f64::from(second))).collect();
    assert_eq!(seen, [100, 101, 100, 101, 100, 101, 7, 7, 100, 101]);
}

/// Half-way in time is half-way in linear light, and what fades goes on moving.
#[test]
fn fades_are_of_light() {
    let fading = Scene { fade: Duration::from_secs(2), ..plain(60_000, 10) };
    let mut wall = Wall::of(vec![plain(20_000, 10), fading]);
    wall.at(0.0);
    let seen = [9.0, 10.0, 10.5, 11.0, 12.0, 15.0, 20.0].map(|seconds| wall.at(seconds));
    assert_eq!(seen, [20_000, 20_000, 30_000, 40_000, 60_000, 60_000, 20_000]);
    let moving =
        Scene::new(open(|at| Ok(Some(at.as_secs() as u16 * 1000))), Duration::from_secs(10));
    let fading = Scene { fade: Duration::from_secs(4), ..plain(0, 10) };
    let mut wall = Wall::of(vec![moving, fading]);
    wall.at(0.0);
    wall.at(10.0);
    assert_eq!(wall.at(12.0), 6_000, "half of 12,000");
}

/// A turn that is given up in the middle of a fade: no step back to what was fading.
#[test]
fn a_fade_into_a_fade_goes_on_from_the_mixture() {
    let dusk = Scene { hours: hours(0, 18), fade: Duration::from_secs(4), ..plain(40_000, 10) };
    let night = Scene { hours: hours(18, 24), fade: Duration::from_secs(4), ..plain(60_000, 10) };
    let mut wall = Wall::of(vec![Scene { hours: hours(0, 18), ..plain(0, 2) }, dusk, night]);
    assert_eq!(wall.at(0.0), 0);
    assert_eq!([2.0, 4.0].map(|seconds| wall.at(seconds)), [0, 20_000]);
    let six = LocalTime { weekday: 0, second: 18 * 3600 };
    let seen = [4.0, 6.0, 8.0].map(|seconds| wall.at_time(seconds, six));
    assert_eq!(seen, [20_000, 40_000, 60_000]);
}

#[test]
fn hours_have_their_scenes_and_else_it_is_dark() {
    let day = Scene { hours: hours(8, 18), ..plain(1000, 10) };
    let evening = Scene { hours: hours(17, 23), ..plain(2000, 10) };
    let mut wall = Wall::of(vec![day, evening]);
    let mut at = |seconds: f64, hour: u32| {
        wall.at_time(seconds, LocalTime { weekday: 2, second: hour * 3600 })
    };
    assert_eq!(at(0.0, 7), 0);
    assert_eq!([at(1.0, 8), at(12.0, 9), at(23.0, 17), at(33.0, 17)], [1000, 1000, 2000, 1000]);
    // Six in the evening: the day's scene ends at once and not when its turn is over.
    assert_eq!([at(34.0, 18), at(44.0, 19)], [2000, 2000]);
    // Nothing is due: dark within a second.
    assert_eq!([at(50.0, 23), at(50.5, 23), at(51.0, 23), at(90.0, 2)], [2000, 1000, 0, 0]);
    assert_eq!(at(100.0, 8), 1000);
}

/// Summer time begins: the clock goes from 01:59:59 to 03:00:00. What is due from two to three has no turn;
/// what is due from half past two on begins at three. It ends: from 02:59:59 back to 02:00:00, and what is
/// due then has its hours twice.
#[test]
fn days_of_23_and_25_hours() {
    let scenes = || {
        let two_to_three = Scene { hours: hours(2, 3), ..plain(2, 1) };
        let half_past =
            Scene { hours: Hours { from: 150, to: 240, days: [true; 7] }, ..plain(9, 1) };
        let mut before = plain(1, 1);
        before.hours = hours(0, 2);
        vec![before, two_to_three, half_past]
    };
    let seen = |wall: &mut Wall, clock: &mut dyn Iterator<Item = u32>| {
        let mut seen: Vec<u16> = (0..)
            .zip(clock)
            .map(|(nth, second)| {
                let time = LocalTime { weekday: 6, second };
                // A minute each, so that dark and light have come before the next.
                wall.at_time(f64::from(nth) * 60.0, time)
            })
            .collect();
        seen.dedup();
        seen
    };
    let mut spring = (90 * 60..120 * 60).chain(180 * 60..200 * 60).step_by(60);
    assert_eq!(seen(&mut Wall::of(scenes()), &mut spring), [1, 9]);
    let autumn = (115 * 60..180 * 60).chain(120 * 60..190 * 60).step_by(60);
    let all = seen(&mut Wall::of(scenes()), &mut autumn.clone());
    // From half past two the two of that hour take turns; at two again there is only one.
    let alone = |all: &[u16]| all.iter().filter(|&&value| value == 2).count();
    assert_eq!((all[0], all[1], all.last()), (1, 2, Some(&9)));
    assert!(alone(&all) > 20, "{all:?}");
}

#[test]
fn one_picture_lies_over_another() {
    let clock = Scene { over: Some((open(|_| Ok(Some(0))), 1.0)), ..plain(30_000, 10) };
    assert_eq!(Wall::of(vec![clock]).at(0.0), 30_000, "black covers nothing");
    let white = Scene { over: Some((open(|_| Ok(Some(65_535))), 0.25)), ..plain(20_000, 10) };
    let mut wall = Wall::of(vec![white]);
    assert_eq!(wall.at(0.0), 15_000 + 16_384);
    assert_eq!(wall.order.draw(Duration::from_secs(1), NOON, &mut wall.frame), Ok(Drawn::Same));
    // Either may move.
    let moving = open(|at| Ok(Some(at.as_secs() as u16 * 10_000)));
    let mut wall = Wall::of(vec![Scene { over: Some((moving, 1.0)), ..plain(0, 100) }]);
    assert_eq!([0.0, 1.0, 2.0].map(|seconds| wall.at(seconds)), [0, 10_000, 20_000]);
}

/// A source is well for two seconds, then stalls until its twelfth.
fn stalls() -> Opener {
    open(|at| match at.as_secs() {
        0 | 1 => Ok(Some(500)),
        2..12 => Err(stalled()),
        _ => Ok(Some(501)),
    })
}

#[test]
fn a_source_that_stalls_keeps_its_last_frame() {
    let mut wall = Wall::of(vec![Scene::new(stalls(), Duration::from_secs(20)), plain(7, 5)]);
    let seen = [0.0, 3.0, 11.0, 12.0, 20.0].map(|seconds| wall.at(seconds));
    assert_eq!(seen, [500, 500, 500, 501, 7]);
    // Trouble is told with every frame that is drawn in it.
    let mut order = Order::new(vec![Scene::new(stalls(), Duration::from_secs(20))], None);
    let told = [0.0, 3.0, 3.1, 11.0, 12.0].map(|seconds| seen_at(&mut order, seconds, NOON).1);
    assert_eq!(told, [false, true, true, true, false]);
}

#[test]
fn a_source_that_stalls_gives_its_turn_to_the_next() {
    let on = Scene { on_failure: OnFailure::Next, ..Scene::new(stalls(), Duration::from_secs(20)) };
    let mut wall = Wall::of(vec![on, plain(7, 5)]);
    let seen = [0.0, 3.0, 4.9, 5.0, 9.9, 10.0].map(|seconds| wall.at(seconds));
    // In trouble from the third second on, as it is seen; two seconds are waited for.
    assert_eq!(seen, [500, 500, 500, 7, 7, 500]);
}

#[test]
fn another_source_stands_in_until_the_first_is_well() {
    let stand_in = OnFailure::StandIn(open(|_| Ok(Some(40))));
    for over in [false, true] {
        let over = over.then(|| (open(|_| Ok(Some(0))), 1.0));
        let stand_in = match &stand_in {
            OnFailure::StandIn(_) => OnFailure::StandIn(open(|_| Ok(Some(40)))),
            OnFailure::Keep | OnFailure::Next => unreachable!(),
        };
        let length = Duration::from_secs(30);
        let scene = Scene { over, on_failure: stand_in, ..Scene::new(stalls(), length) };
        let mut wall = Wall::of(vec![scene]);
        let seen = [0.0, 2.0, 3.9, 4.0, 8.0, 11.9, 12.0, 13.0].map(|seconds| wall.at(seconds));
        assert_eq!(seen, [500, 500, 500, 40, 40, 40, 501, 501]);
    }
}

#[test]
fn a_scene_that_cannot_be_opened() {
    let broken = |on_failure| Scene {
        on_failure,
        ..Scene::new(Box::new(|| Err(PictureError::Empty.into())), Duration::from_secs(10))
    };
    let seen = |on_failure| {
        let mut wall = Wall::of(vec![plain(1, 10), broken(on_failure), plain(3, 10)]);
        [0.0, 10.0, 15.0, 20.0, 30.0].map(|seconds| wall.at(seconds))
    };
    assert_eq!(seen(OnFailure::Keep), [1, 1, 1, 3, 1], "the scene before it stays");
    assert_eq!(seen(OnFailure::Next), [1, 3, 3, 1, 3]);
    assert_eq!(seen(OnFailure::StandIn(open(|_| Ok(Some(5))))), [1, 5, 5, 3, 1]);
    let mut order = Order::new(vec![plain(1, 10), broken(OnFailure::Keep)], None);
    assert_eq!(seen_at(&mut order, 0.0, NOON), (1, false));
    assert_eq!(seen_at(&mut order, 10.0, NOON), (1, true), "it is told, and the old one drawn");
}

/// Where nothing at all can be opened, that is not tried over and over in every frame.
#[test]
fn an_order_of_broken_scenes_does_not_spin() {
    let tries = Arc::new(AtomicUsize::new(0));
    let broken = || {
        let tries = Arc::clone(&tries);
        let open: Opener = Box::new(move || {
            tries.fetch_add(1, Ordering::Relaxed);
            Err(stalled())
        });
        Scene { on_failure: OnFailure::Next, ..Scene::new(open, Duration::from_secs(10)) }
    };
    let mut wall = Wall::of(vec![broken(), broken(), broken()]);
    for tenth in 0..300 {
        wall.at(f64::from(tenth) / 10.0);
    }
    let tries = tries.load(Ordering::Relaxed);
    assert!(tries <= 4 * 3, "{tries}");
    // The same for one that plays first and then breaks, and for what cannot stand in.
    let opened = Arc::new(AtomicUsize::new(0));
    let count = Arc::clone(&opened);
    let open_once: Opener = Box::new(move || {
        count.fetch_add(1, Ordering::Relaxed);
        Err(stalled())
    });
    let scene = Scene {
        on_failure: OnFailure::StandIn(open_once),
        ..Scene::new(stalls(), Duration::from_secs(20))
    };
    let mut wall = Wall::of(vec![scene]);
    for tenth in 0..110 {
        assert_eq!(wall.at(f64::from(tenth) / 10.0), 500);
    }
    assert_eq!(opened.load(Ordering::Relaxed), 1);
}

/// A source whose first frame takes a while, as that of a film does: what was there before stays.
#[test]
fn nothing_is_black_between_two_turns() {
    let slow = || open(|at| Ok((at >= Duration::from_millis(1500)).then_some(900)));
    let late =
        Scene { fade: Duration::from_secs(2), ..Scene::new(slow(), Duration::from_secs(10)) };
    let mut wall = Wall::of(vec![plain(100, 10), late]);
    for tenth in 0..=500 {
        let value = wall.at(f64::from(tenth) / 10.0);
        assert!((100..=900).contains(&value), "{value} at {tenth}");
    }
    assert_eq!(
        [50.0, 51.4, 51.5, 52.5, 53.5].map(|seconds| wall.at(seconds)),
        [100, 100, 100, 500, 900]
    );
}

#[test]
fn another_order_takes_over_without_a_black_frame() {
    let ready = Arc::new(AtomicBool::new(false));
    let waits = {
        let ready = Arc::clone(&ready);
        open(move |_| Ok(ready.load(Ordering::Relaxed).then_some(300)))
    };
    let mut wall = Wall::of(vec![plain(100, 10), plain(200, 10)]);
    assert_eq!(wall.at(0.0), 100);
    wall.order.replace(vec![Scene::new(waits, Duration::from_secs(60)), plain(400, 10)], None);
    // The old picture stays, and its turn is over: the new order's own time counts.
    assert_eq!([1.0, 5.0, 15.0].map(|seconds| wall.at(seconds)), [100; 3]);
    ready.store(true, Ordering::Relaxed);
    assert_eq!([16.0, 60.9, 61.0].map(|seconds| wall.at(seconds)), [300, 300, 400]);
    // None that is due, and then none at all.
    wall.order.replace(vec![Scene { hours: hours(1, 2), ..plain(5, 5) }], None);
    assert_eq!([62.0, 62.5, 63.0].map(|seconds| wall.at(seconds)), [400, 200, 0]);
    wall.order.replace(vec![], None);
    assert_eq!(wall.at(64.0), 0);
}

#[test]
fn an_order_goes_on_where_it_was_left() {
    let scenes = || {
        let counting = |base: u16, seconds| {
            Scene::new(
                open(move |at| Ok(Some(base + at.as_secs() as u16))),
                Duration::from_secs(seconds),
            )
        };
        vec![counting(100, 10), Scene { rounds: 2, ..counting(200, 20) }, counting(300, 10)]
    };
    let mut first = Wall::of(scenes());
    assert_eq!([0.0, 10.0, 30.0, 37.0].map(|seconds| first.at(seconds)), [100, 200, 200, 207]);
    let left = first.order.standing().progress.unwrap();
    assert_eq!(left, Progress { scene: 1, round: 1, since: Duration::from_secs(7) });
    let on = |left, seconds: f64| seen_at(&mut Order::new(scenes(), Some(left)), seconds, NOON).0;
    assert_eq!(on(left, 0.0), 207);
    let mut second =
        Wall { order: Order::new(scenes(), Some(left)), frame: LinearFrame::new(3, 2) };
    assert_eq!([0.0, 12.0, 13.0].map(|seconds| second.at(seconds)), [207, 219, 300]);
    // What cannot be: a scene that is not there, one that was over, one that is not due.
    assert_eq!(on(Progress { scene: 9, ..left }, 0.0), 100);
    assert_eq!(on(Progress { since: Duration::from_secs(20), ..left }, 0.0), 300);
    let mut not_due = scenes();
    not_due[1].hours = hours(1, 2);
    assert_eq!(seen_at(&mut Order::new(not_due, Some(left)), 0.0, NOON).0, 300);
}

#[test]
fn what_it_does_is_told() {
    let opened = Arc::new(Mutex::new(()));
    let held = opened.lock().unwrap();
    let scene = Scene {
        on_failure: OnFailure::StandIn(open(|_| Ok(Some(40)))),
        hours: hours(8, 13),
        ..Scene::new(stalls(), Duration::from_secs(20))
    };
    let mut wall = Wall::of(vec![scene]);
    assert_eq!(wall.order.standing(), Standing::default());
    wall.at(0.0);
    assert!(!wall.order.standing().stand_in);
    wall.at(2.5);
    wall.at(6.0);
    let standing = wall.order.standing();
    assert!(standing.stand_in && standing.progress.is_some_and(|progress| progress.scene == 0));
    wall.at_time(7.0, LocalTime { weekday: 0, second: 23 * 3600 });
    assert_eq!(wall.order.standing(), Standing::default());
    drop(held);
}
