//! The running order by the computer's clock: as a source, and what can be done about it from elsewhere.

use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, mpsc};
use std::time::Duration;

use glowloom_show::order::{Dimmer, LocalTime, Order, Progress, Scene, Standing};
use glowloom_show::{Brightness, Drawn, LinearFrame, Source, SourceError};

use crate::Zone;

struct Change {
    scenes: Vec<Scene>,
    from: Option<Progress>,
}

/// A running order as a source: reads the computer's clock whenever it draws.
pub struct Ordered {
    order: Order,
    zone: Zone,
    changes: mpsc::Receiver<Change>,
    standing: Arc<Mutex<Standing>>,
}

/// Looks after an [`Ordered`] that plays, from any thread and without waiting for it.
#[derive(Clone)]
pub struct OrderRemote {
    changes: mpsc::Sender<Change>,
    standing: Arc<Mutex<Standing>>,
}

impl Ordered {
    /// Scenes in this order, by the clock of this zone, from where they were left if that is told.
    #[must_use]
    pub fn new(scenes: Vec<Scene>, from: Option<Progress>, zone: Zone) -> (Self, OrderRemote) {
        let (sender, changes) = mpsc::channel();
        let standing = Arc::new(Mutex::new(Standing { progress: from, stand_in: false }));
        let remote = OrderRemote { changes: sender, standing: Arc::clone(&standing) };
        (Self { order: Order::new(scenes, from), zone, changes, standing }, remote)
    }
}

impl Source for Ordered {
    /// Frames are drawn up to three ticks ahead of their time; its clock is so much slow.
    fn draw(&mut self, at: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        if let Some(Change { scenes, from }) = self.changes.try_iter().last() {
            self.order.replace(scenes, from);
        }
        let drawn = self.order.draw(at, self.zone.local_time(), into);
        *self.standing.lock().unwrap_or_else(PoisonError::into_inner) = self.order.standing();
        drawn
    }
}

impl OrderRemote {
    /// Other scenes in place of those that play, from where they were left if that is told. What is on the
    /// wall stays there until the first of them is ready: no frame is black between. `false`: the show is
    /// over.
    pub fn replace(&self, scenes: Vec<Scene>, from: Option<Progress>) -> bool {
        self.changes.send(Change { scenes, from }).is_ok()
    }

    /// What the order is doing, as of its last frame.
    #[must_use]
    pub fn standing(&self) -> Standing {
        self.standing.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

/// Quiet hours by the computer's clock. Those that are cloned are one.
#[derive(Clone, Debug)]
pub struct Dimming {
    dimmer: Arc<Mutex<Dimmer>>,
    zone: Zone,
}

impl Dimming {
    /// A table of quiet hours, by the clock of this zone.
    #[must_use]
    pub fn new(dimmer: Dimmer, zone: Zone) -> Self {
        Self { dimmer: Arc::new(Mutex::new(dimmer)), zone }
    }

    /// Another table from now on: the brightness goes from where it is to where that has it.
    pub fn replace(&self, table: Dimmer) {
        self.dimmer().take_over(table);
    }

    /// The brightness so long after the show began, and now by the clock.
    pub(crate) fn brightness(&mut self, at: Duration) -> Brightness {
        let time = self.zone.local_time();
        self.dimmer().brightness(at, time)
    }

    /// What the table has now.
    #[must_use]
    pub fn wanted(&self) -> Brightness {
        self.dimmer().wanted(self.zone.local_time())
    }

    fn dimmer(&self) -> MutexGuard<'_, Dimmer> {
        self.dimmer.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Zone {
    /// The day of the week and the time of day here now.
    #[must_use]
    pub fn local_time(&self) -> LocalTime {
        LocalTime::of(&self.now())
    }
}

impl fmt::Debug for Ordered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Ordered").field("zone", &self.zone).finish_non_exhaustive()
    }
}

impl fmt::Debug for OrderRemote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("OrderRemote").field("standing", &self.standing()).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glowloom_show::made::made_by_code;
    use glowloom_show::order::{Hours, QuietHours};

    struct Plain(u16);

    impl Source for Plain {
        fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
            if !into.is_blank() {
                return Ok(Drawn::Same);
            }
            into.values_mut().fill(self.0);
            Ok(Drawn::New)
        }
    }

    fn plain(value: u16) -> Scene {
        Scene::new(Box::new(move || Ok(Box::new(Plain(value)))), Duration::from_secs(10))
    }

    fn utc() -> Zone {
        Zone::named("UTC").unwrap()
    }

    #[test]
    fn another_order_is_handed_over_while_one_plays() {
        let (mut ordered, remote) = Ordered::new(vec![plain(1), plain(2)], None, utc());
        let mut frame = LinearFrame::new(2, 2);
        let mut at = |ordered: &mut Ordered, second| {
            ordered.draw(Duration::from_secs(second), &mut frame).unwrap();
            frame.values()[0]
        };
        assert_eq!([at(&mut ordered, 0), at(&mut ordered, 11)], [1, 2]);
        let progress = remote.standing().progress.unwrap();
        assert_eq!((progress.scene, progress.since), (1, Duration::from_secs(1)));
        // From another thread, and the last one counts.
        let other = remote.clone();
        std::thread::spawn(move || {
            assert!(other.replace(vec![plain(3)], None));
            assert!(
                other.replace(vec![plain(4), plain(5)], Some(Progress { scene: 1, ..progress }))
            );
        })
        .join()
        .unwrap();
        assert_eq!([at(&mut ordered, 12), at(&mut ordered, 22)], [5, 4]);
        drop(ordered);
        assert!(!remote.replace(vec![plain(6)], None));
    }

    /// What a zone's clock reads on the days when summer time begins and ends, through to what is due: the
    /// transitions of Europe/Paris in 2026, 29 March and 25 October at 01:00 UTC (EU rule).
    #[test]
    fn the_hours_of_a_zone_are_those_of_its_clocks() {
        let paris = Zone::named("Europe/Paris").unwrap();
        let two_to_three = Hours { from: 120, to: 180, days: std::array::from_fn(|day| day == 6) };
        let minutes = |midnight: i64| {
            (0..26 * 60)
                .map(|minute| LocalTime::of(&paris.reading(midnight + 60 * minute, 0)))
                .filter(|time| two_to_three.hold(*time))
                .count()
        };
        // 23:00 UTC on the evening before is the zone's midnight; in summer 22:00.
        assert_eq!(minutes(1_774_738_800), 0, "the hour is left out");
        assert_eq!(minutes(1_792_879_200), 120, "it comes twice");
        assert_eq!(minutes(1_774_738_800 + 7 * 86_400 - 3600), 60);
        assert_eq!(minutes(1_774_738_800 + 86_400 - 3600), 0, "a Monday");
    }

    #[test]
    fn quiet_hours_go_by_the_clock() {
        let half = Brightness::new(0.5).unwrap();
        let always = QuietHours { hours: Hours::ALWAYS, brightness: half };
        let mut dimming = Dimming::new(Dimmer::new(vec![always], Brightness::FULL), utc());
        assert_eq!((dimming.wanted(), dimming.brightness(Duration::ZERO)), (half, half));
        dimming.clone().replace(Dimmer::new(Vec::new(), Brightness::FULL));
        let later = dimming.brightness(Duration::from_secs(1));
        assert!(later > half && later < Brightness::FULL, "{later:?}");
        let never = QuietHours { hours: Hours { days: [false; 7], ..Hours::ALWAYS }, ..always };
        let dimming = Dimming::new(Dimmer::new(vec![never], Brightness::FULL), utc());
        assert_eq!(dimming.wanted(), Brightness::FULL);
    }

    /// Once its scenes are open, a frame takes no memory, a fade and a picture on top included.
    #[test]
    fn no_frame_takes_memory() {
        let made = made_by_code();
        let open = |nth: usize| {
            let made = made.get(nth).unwrap();
            Box::new(move || Ok(made.source())) as glowloom_show::Opener
        };
        let scene = |nth| Scene {
            fade: Duration::from_secs(1000),
            over: Some((open(0), 0.5)),
            ..Scene::new(open(nth), Duration::from_secs(1000))
        };
        let (mut ordered, _remote) = Ordered::new(vec![scene(0), scene(1)], None, utc());
        let mut frame = LinearFrame::new(40, 20);
        let mut at = 999.0;
        ordered.draw(Duration::ZERO, &mut frame).unwrap();
        for _ in 0..3 {
            at += 1.0;
            ordered.draw(Duration::from_secs_f64(at), &mut frame).unwrap();
        }
        let counted = allocation_counter::measure(|| {
            for _ in 0..100 {
                at += 0.02;
                ordered.draw(Duration::from_secs_f64(at), &mut frame).unwrap();
            }
        });
        assert_eq!(counted.count_total, 0);
    }
}
