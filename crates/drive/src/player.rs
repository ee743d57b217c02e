//! A show on the panels: one thread draws ahead, one sends; both end when told to.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use glowloom_wire::Patch;
use glowloom_wire::e131::TERMINATION_PACKETS;
use glowloom_wire::patch::{Address, Protocol};

use crate::easing::Easing;
use crate::health::Watch;
use crate::inquiry::Inquiry;
use crate::meter::Meter;
use crate::neighbours::{self, Lookout, Reach, Register, Waits, Wanted};
use crate::pacer::{Pacer, Step, Tempo};
use crate::record::Recorder;
use crate::ring::Ring;
use crate::{
    Calls, Change, DriveError, Frames, FramesPerSecond, Health, InStep, Rate, Sender, Settings,
    Spread,
};

/// How many ticks the source may be ahead: enough for one slow frame, and little enough that what
/// a person does is seen at once.
const AHEAD: u8 = 2;

/// Black frames at the end. UDP may lose one.
const BLACK_FRAMES: u8 = 3;

/// The shortest and the longest wait between the last frames: receivers need time to show one, and
/// the end must not take long.
const LAST_GAPS: (Duration, Duration) = (Duration::from_millis(5), Duration::from_millis(20));

/// How long the end waits for the source to finish its frame.
const PATIENCE: Duration = Duration::from_millis(20);

/// A show on the panels.
#[derive(Debug)]
pub struct Player {
    shared: Arc<Shared>,
    sending: Option<JoinHandle<Handover>>,
    drawing: Option<JoinHandle<()>>,
    asking: Option<Inquiry>,
    lookout: Option<Lookout>,
}

#[derive(Debug)]
struct Shared {
    ring: Ring,
    stop: Stop,
    /// Whether the end is not to be told to the panels, for another player goes on.
    silent: AtomicBool,
    /// Whether another show of this wall goes before this one.
    waits: Arc<Waits>,
    counts: Counts,
    source_error: Mutex<Option<String>>,
    watch: Arc<Watch>,
    /// When which tick is due.
    tempo: Mutex<Tempo>,
    lateness: Mutex<Spread>,
    easing: Mutex<Easing>,
    recorder: Mutex<Option<Recorder>>,
}

#[derive(Debug, Default)]
struct Counts {
    ticks: AtomicU64,
    sent: AtomicU64,
    skipped: AtomicU64,
    repeated: AtomicU64,
    held_bytes: AtomicU64,
    dimmed: AtomicU64,
    source_errors: AtomicU64,
    /// The bits of the rate; those of 0 before it is known.
    rate: AtomicU64,
}

fn lock<T>(what: &Mutex<T>) -> MutexGuard<'_, T> {
    what.lock().unwrap_or_else(PoisonError::into_inner)
}

fn add(count: &AtomicU64, more: u64) {
    count.fetch_add(more, Ordering::Relaxed);
}

impl Player {
    /// Begins to draw and to send. The show's clock starts when the source has answered for the
    /// first time; until its first frame nothing is sent.
    ///
    /// # Errors
    /// [`DriveError`] where the wall cannot be sent to at all. A receiver that is out of reach is
    /// no error: [`Player::health`] tells.
    pub fn start(
        patch: Arc<Patch>,
        settings: Settings,
        frames: Box<dyn Frames>,
    ) -> Result<Self, DriveError> {
        Self::start_after(None, patch, settings, frames)
    }

    /// The same, going on where another player was told to hand over: with its packet numbers, so that no
    /// receiver takes what comes for late.
    ///
    /// # Errors
    /// As [`Player::start`].
    pub fn start_after(
        before: Option<&Handover>,
        patch: Arc<Patch>,
        settings: Settings,
        mut frames: Box<dyn Frames>,
    ) -> Result<Self, DriveError> {
        let mut sender = Sender::new(&patch, &settings, Calls::Many)?;
        if let Some(before) = before {
            sender.go_on_from(&before.sender);
        }
        let shared = Arc::new(Shared {
            ring: Ring::new(AHEAD, patch.frame_bytes()),
            stop: Stop::default(),
            silent: AtomicBool::new(false),
            waits: Arc::default(),
            counts: Counts::default(),
            source_error: Mutex::new(None),
            tempo: Mutex::new(Tempo::new(settings.rate)),
            lateness: Mutex::default(),
            recorder: Mutex::default(),
            easing: Mutex::new(Easing::new(patch.panels().len())),
            watch: sender.watch(),
        });
        let mut player = Self { shared, sending: None, drawing: None, asking: None, lookout: None };
        let shared = Arc::clone(&player.shared);
        let (ask, look_out, cid) = (settings.ask, settings.look_out, settings.cid);
        player.drawing = Some(spawn("drawing", move || shared.draw(&mut *frames))?);
        let shared = Arc::clone(&player.shared);
        let protocol = patch.common().protocol;
        player.sending = Some(spawn("sending", move || shared.send(sender, &settings, protocol))?);
        if ask {
            let watch = Arc::clone(&player.shared.watch);
            let shared = Arc::clone(&player.shared);
            player.asking = Some(Inquiry::start(watch, move |now, watch| {
                lock(&shared.easing).step(now, watch.looks(now));
            })?);
        }
        player.lookout =
            look_out.and_then(|reach| look_out_for(&patch, &player.shared, reach, cid));
        Ok(player)
    }

    /// How the show is doing.
    #[must_use]
    pub fn health(&self) -> Health {
        let Shared { counts, ring, watch, source_error, tempo, lateness, easing, .. } =
            &*self.shared;
        let get = |count: &AtomicU64| count.load(Ordering::Relaxed);
        let rate = f64::from_bits(get(&counts.rate));
        let (panels, aim) = (watch.panels(), lock(tempo).rate());
        let told = panels.iter().filter_map(|panel| panel.told.as_ref());
        let in_step = InStep::of(told, aim.period());
        Health {
            ticks: get(&counts.ticks),
            sent: get(&counts.sent),
            skipped: get(&counts.skipped),
            repeated: get(&counts.repeated),
            overtaken: ring.dropped(),
            held_bytes: get(&counts.held_bytes),
            dimmed: get(&counts.dimmed),
            rate: (rate > 0.0).then_some(FramesPerSecond(rate)),
            aim: aim.get(),
            in_step,
            eased: lock(easing).eased(),
            lateness: lock(lateness).clone(),
            source_error: lock(source_error).clone(),
            source_errors: get(&counts.source_errors),
            discovery_failures: get(&watch.discovery_failures),
            broken: self.sending.as_ref().is_some_and(JoinHandle::is_finished),
            neighbours: self.lookout.as_ref().map(Lookout::odd).unwrap_or_default(),
            panels,
        }
    }

    /// Hands all frames that are sent from now on to a recorder, whatever became of them on their way to the
    /// panels.
    pub fn record(&self, recorder: Recorder) {
        *lock(&self.shared.recorder) = Some(recorder);
    }

    /// Ends the show: black, unless it is to be left lit, and the end of the stream by the
    /// protocol's rule. Takes less than 200 ms, even if the source is stuck in a frame; its thread
    /// then ends when it comes back. A serial cable takes as much longer as it needs for what waits, at most 5 s.
    /// Gives the last health.
    pub fn stop(mut self) -> Health {
        drop(self.end());
        self.health()
    }

    /// Stops without a word to the panels, which keep their picture until the next player sends to them.
    /// `None`: sending has broken down.
    pub fn hand_over(mut self) -> Option<Handover> {
        self.shared.silent.store(true, Ordering::Relaxed);
        let mut handover = self.end()?;
        handover.sender.let_go_of_cables();
        Some(handover)
    }

    fn end(&mut self) -> Option<Handover> {
        self.shared.ring.close();
        self.shared.stop.set();
        let (asking, lookout) = (self.asking.take(), self.lookout.take());
        // A panic there has been reported by its thread.
        let ended = self.sending.take().and_then(|sending| sending.join().ok());
        if let Some(drawing) = self.drawing.take() {
            let until = Instant::now() + PATIENCE;
            while !drawing.is_finished() && Instant::now() < until {
                thread::sleep(Duration::from_millis(1));
            }
            if drawing.is_finished() {
                let _ = drawing.join();
            }
        }
        drop((asking, lookout));
        ended
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        drop(self.end());
    }
}

/// Begins to look for the receivers of a wall; `None` where none has an address that may change.
fn look_out_for(patch: &Patch, shared: &Shared, reach: Reach, cid: [u8; 16]) -> Option<Lookout> {
    let watch = &shared.watch;
    let mut wanted: Vec<_> = patch
        .panels()
        .iter()
        .zip(&watch.links)
        .filter_map(|(panel, link)| match (&panel.address, &link.host) {
            (Address::Udp { port, .. }, Some((place, host))) => {
                let (panel, host) = (panel.name.clone(), host.clone());
                Some((*place, Wanted { panel, host, port: *port }))
            }
            _ => None,
        })
        .collect();
    wanted.sort_by_key(|(place, _)| *place);
    let places: Vec<_> = wanted.iter().map(|(place, _)| *place).collect();
    let wanted: Vec<_> = wanted.into_iter().map(|(_, wanted)| wanted).collect();
    if wanted.is_empty() {
        return None;
    }
    let all = patch.panels().iter().map(|panel| panel.name.clone()).collect();
    let protocol = neighbours::word(patch.common().protocol);
    let register = Register::new(patch.wall(), protocol, wanted, all);
    let resolver = Arc::clone(&watch.resolver);
    let waits = Arc::clone(&shared.waits);
    Some(Lookout::start(register, reach, cid, waits, move |index, at| {
        if let Some(place) = places.get(index) {
            resolver.find(*place, at);
        }
    }))
}

/// A player that stopped without a word.
#[derive(Debug)]
pub struct Handover {
    sender: Sender,
    /// When the show's clock began; `None`: nothing was sent.
    start: Option<Instant>,
}

impl Handover {
    /// Says goodbye, as at the end of a show, to those panels that nobody goes on with; `kept` tells of the
    /// others, by their place in the patch.
    pub fn dismiss(
        mut self,
        settings: &Settings,
        protocol: Protocol,
        kept: impl Fn(usize) -> bool,
    ) {
        self.sender.leave(kept);
        if let Some(start) = self.start.filter(|_| self.sender.has_links()) {
            let settings = Settings { leave_lit: false, ..settings.clone() };
            say_goodbye(&mut self.sender, &settings, protocol, start);
        }
    }
}

fn spawn<T: Send + 'static>(
    name: &str,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<JoinHandle<T>, DriveError> {
    thread::Builder::new().name(name.into()).spawn(work).map_err(DriveError::Thread)
}

impl Shared {
    /// Draws frames ahead of their ticks until the ring closes.
    fn draw(&self, frames: &mut dyn Frames) {
        let (mut next, mut last) = (0, None);
        let mut tempo = *lock(&self.tempo);
        while let Some(mut frame) = self.ring.take(next) {
            next = frame.tick.saturating_add(1);
            let now = *lock(&self.tempo);
            if now.rate() != tempo.rate() {
                frames.paced(now.rate());
            }
            tempo = now;
            // Times rise, even where a faster rate begins.
            let due = tempo.time_of(frame.tick);
            let at = last.map_or(due, |last: Duration| due.max(last + Duration::from_nanos(1)));
            last = Some(at);
            let drawn = catch_unwind(AssertUnwindSafe(|| frames.frame(at, &mut frame.bytes)));
            self.counts.dimmed.store(frames.dimmed(), Ordering::Relaxed);
            match drawn {
                Ok(Ok(change)) => {
                    frame.new = change != Change::Same;
                    match change {
                        Change::Marred(error) => self.note_source_error(error.0),
                        Change::New | Change::Same => self.note_source_well(),
                    }
                    self.ring.put(frame);
                }
                Ok(Err(error)) => {
                    self.note_source_error(error.0);
                    self.ring.give_back(frame);
                }
                // Its state is not to be trusted any more.
                Err(_) => {
                    self.note_source_error("the source broke down and draws no more".into());
                    self.ring.give_back(frame);
                    return;
                }
            }
        }
    }

    fn note_source_well(&self) {
        *lock(&self.source_error) = None;
    }

    fn note_source_error(&self, error: String) {
        add(&self.counts.source_errors, 1);
        *lock(&self.source_error) = Some(error);
    }

    /// Sends a frame for every tick until told to stop, and then the last ones.
    fn send(&self, mut sender: Sender, settings: &Settings, protocol: Protocol) -> Handover {
        while !self.stop.is_set() && !self.ring.wait_for_first(Duration::from_secs(1)) {}
        let start = Instant::now();
        let mut pacer = Pacer::new(settings.rate);
        let mut meter = Meter::new();
        let mut begun = false;
        let mut share = 1.0;
        while !self.stop.is_set() {
            self.ease(&mut pacer, settings.rate, &mut share);
            let (tick, skipped) = match pacer.step(start.elapsed()) {
                Step::Send { tick, skipped } => (tick, skipped),
                Step::Wait(wait) => {
                    self.stop.wait(wait);
                    continue;
                }
            };
            add(&self.counts.ticks, 1);
            add(&self.counts.skipped, skipped);
            begun |= self.load(tick, &mut sender, begun);
            if begun && !self.waits.now() {
                let due = lock(&self.tempo).time_of(tick);
                lock(&self.lateness).add(start.elapsed().saturating_sub(due));
                sender.send(start.elapsed());
                add(&self.counts.sent, 1);
                if let Some(rate) = meter.count(start.elapsed()) {
                    self.counts.rate.store(rate.0.to_bits(), Ordering::Relaxed);
                }
            }
        }
        // What another show has lit is not ours to make black.
        if begun && !self.silent.load(Ordering::Relaxed) && !self.waits.now() {
            say_goodbye(&mut sender, settings, protocol, start);
        }
        Handover { sender, start: begun.then_some(start) }
    }

    /// Lowers the rate, or raises it again, where that was decided.
    fn ease(&self, pacer: &mut Pacer, wanted: Rate, share: &mut f64) {
        let now = lock(&self.easing).eased().map_or(1.0, |eased| eased.share);
        if now == *share {
            return;
        }
        *share = now;
        let lowest = Rate::LOWEST.0;
        if let Ok(rate) = Rate::new(FramesPerSecond((wanted.get().0 * now).max(lowest))) {
            *lock(&self.tempo) = pacer.change(rate);
        }
    }

    /// Puts the frame for a tick into the packets, if there is a new one. `true` if there is.
    fn load(&self, tick: u64, sender: &mut Sender, begun: bool) -> bool {
        let Some(frame) = self.ring.latest(tick) else {
            add(&self.counts.repeated, u64::from(begun));
            return false;
        };
        if frame.new {
            match sender.draw(&frame.bytes) {
                Ok(held) => {
                    add(&self.counts.held_bytes, held);
                    if let Some(recorder) = &*lock(&self.recorder) {
                        recorder.sent(lock(&self.tempo).time_of(frame.tick), &frame.bytes);
                    }
                }
                Err(error) => self.note_source_error(error.to_string()),
            }
        }
        self.ring.give_back(frame);
        true
    }
}

/// The last frames.
fn say_goodbye(sender: &mut Sender, settings: &Settings, protocol: Protocol, start: Instant) {
    let gap = settings.rate.period().clamp(LAST_GAPS.0, LAST_GAPS.1);
    let send = |sender: &mut Sender, times: u8| {
        for _ in 0..times {
            thread::sleep(gap);
            sender.send(start.elapsed());
        }
    };
    if !settings.leave_lit {
        sender.blacken();
        send(sender, BLACK_FRAMES);
    }
    if protocol == Protocol::E131 {
        sender.terminate();
        send(sender, TERMINATION_PACKETS);
    }
}

/// Tells a thread to stop, and wakes it up for that.
#[derive(Debug, Default)]
struct Stop {
    set: Mutex<bool>,
    changed: Condvar,
}

impl Stop {
    fn set(&self) {
        *self.set.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.changed.notify_all();
    }

    fn is_set(&self) -> bool {
        *self.set.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits so long, or until told to stop.
    fn wait(&self, most: Duration) {
        let set = self.set.lock().unwrap_or_else(PoisonError::into_inner);
        drop(self.changed.wait_timeout_while(set, most, |set| !*set));
    }
}
