//! All virtual panels of a wall in step: which packets are read when, and when a frame is whole.
//!
//! Packets of one panel come in order, but nothing orders those of two panels, and this computer may
//! be late: then several frames wait in every socket. So that a whole frame never mixes two, a panel
//! that is about to show its next frame first lets the others read what they have waiting: whatever
//! belongs to this frame was sent before, and is there.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use super::gallery::Gallery;
use super::panel::Panel as Receiver;
use crate::receive::{Event, State};

/// How long every open panel is waited for, after frames begin to come.
const GATHERING: Duration = Duration::from_secs(1);

/// How many frames in a row panels are apart before that is taken for what it should be.
const PATIENCE: u32 = 3;

/// Packets that change pixels without making a frame whole, after which the other panels have their
/// turn and what has changed is hung, however many more wait.
const DRAWN_AT_MOST: usize = 4096;

/// Reads the next packet of a panel into a buffer; `None`: there is none. Gives its size and sender.
pub(super) trait Read {
    fn next(&mut self, panel: usize, buffer: &mut [u8]) -> Option<(usize, SocketAddr)>;
}

impl<F: FnMut(usize, &mut [u8]) -> Option<(usize, SocketAddr)>> Read for F {
    fn next(&mut self, panel: usize, buffer: &mut [u8]) -> Option<(usize, SocketAddr)> {
        self(panel, buffer)
    }
}

/// All virtual panels of a wall.
pub(super) struct Wall {
    panels: Vec<Panel>,
    gallery: Arc<Gallery>,
    /// When frames began to come.
    woke: Option<Duration>,
    /// How far each panel was behind the furthest, and how often so since the last whole frame.
    apart: (Vec<u64>, u32),
}

struct Panel {
    /// Its place in the list of health.
    place: usize,
    receiver: Receiver,
    /// Whether it shows the frame that the wall is to show.
    shown: bool,
    /// Frames since the last whole one, lost ones included.
    frames: u64,
    /// Whether it has read anything since its health was noted.
    touched: bool,
    /// Whether pixels have changed that are not hung yet.
    dirty: bool,
}

/// What a panel's turn came to.
#[derive(PartialEq)]
enum Turn {
    /// There is nothing to read.
    Empty,
    /// Some packets were read, and there are no more.
    Read,
    /// Some of its pixels changed, which are not hung yet.
    Draws,
    /// It shows a frame, which is not hung yet.
    Shows { frames: u64 },
}

impl Wall {
    pub fn new(receivers: Vec<(usize, Receiver)>, gallery: Arc<Gallery>) -> Self {
        let panel = |(place, receiver)| Panel {
            place,
            receiver,
            shown: false,
            frames: 0,
            touched: false,
            dirty: false,
        };
        let panels = receivers.into_iter().map(panel).collect();
        Self { panels, gallery, woke: None, apart: (Vec::new(), 0) }
    }

    /// Gives each panel one turn: up to one frame. `true` if there was anything to read.
    pub fn round(&mut self, now: Duration, buffer: &mut [u8], read: &mut impl Read) -> bool {
        let mut any = false;
        for index in 0..self.panels.len() {
            for _ in 0..DRAWN_AT_MOST {
                let turn = self.turn(index, now, buffer, read);
                any |= turn != Turn::Empty;
                if matches!(turn, Turn::Empty | Turn::Read) {
                    break;
                }
                if self.panels[index].shown {
                    self.let_others_read(index, now, buffer, read);
                }
                // A panel of many packets is hung once for all of them.
                let Turn::Shows { frames } = turn else {
                    self.panels[index].dirty = true;
                    continue;
                };
                self.hang(index, frames);
                // So that a panel that has just woken up counts, too.
                self.let_others_read(index, now, buffer, read);
                break;
            }
        }
        for index in 0..self.panels.len() {
            if self.panels[index].dirty {
                self.draw(index);
            }
        }
        for panel in self.panels.iter_mut().filter(|panel| panel.touched) {
            panel.touched = false;
            self.gallery.note(panel.place, &panel.receiver);
        }
        any
    }

    /// Reads packets of a panel up to the next thing to see.
    fn turn(
        &mut self,
        index: usize,
        now: Duration,
        buffer: &mut [u8],
        read: &mut impl Read,
    ) -> Turn {
        let mut turn = Turn::Empty;
        while let Some((size, from)) = read.next(index, buffer) {
            turn = Turn::Read;
            let asleep = self.panels.iter().all(|panel| panel.receiver.state() != State::Live);
            let panel = &mut self.panels[index];
            panel.touched = true;
            let event = panel.receiver.packet(now, from, &buffer[..size]);
            if asleep && panel.receiver.state() == State::Live {
                self.woke = Some(now);
            }
            match event {
                Event::Nothing => {}
                Event::Lost => self.draw(index),
                Event::Drawn => return Turn::Draws,
                Event::Shown { frames } => return Turn::Shows { frames },
            }
        }
        turn
    }

    /// Lets every other panel that does not show this frame yet read up to it.
    fn let_others_read(
        &mut self,
        but: usize,
        now: Duration,
        buffer: &mut [u8],
        read: &mut impl Read,
    ) {
        loop {
            let mut hung = false;
            for index in (0..self.panels.len()).filter(|&index| index != but) {
                while !self.panels[index].shown {
                    match self.turn(index, now, buffer, read) {
                        Turn::Empty | Turn::Read => break,
                        Turn::Draws => self.panels[index].dirty = true,
                        Turn::Shows { frames } => {
                            self.hang(index, frames);
                            hung = true;
                        }
                    }
                }
            }
            // Those that are found to be behind may have more to read.
            if self.judge(now) || !hung {
                return;
            }
        }
    }

    /// Hangs the frame of a panel.
    fn hang(&mut self, index: usize, frames: u64) {
        let panel = &mut self.panels[index];
        panel.shown = true;
        panel.frames += frames;
        panel.dirty = false;
        self.gallery.hang(panel.place, &panel.receiver);
    }

    fn draw(&mut self, index: usize) {
        let panel = &mut self.panels[index];
        panel.dirty = false;
        self.gallery.draw(panel.place, &panel.receiver);
    }

    /// Says so if the frame is whole, and gives `true` then. Panels that show an older frame than
    /// others have to show another.
    fn judge(&mut self, now: Duration) -> bool {
        let gathering = self.woke.is_some_and(|woke| now.saturating_sub(woke) < GATHERING);
        let waited_for = |panel: &Panel| gathering || panel.receiver.state() == State::Live;
        if self.panels.iter().any(|panel| !panel.shown && waited_for(panel)) {
            return false;
        }
        let shown = || self.panels.iter().filter(|panel| panel.shown);
        let Some(furthest) = shown().map(|panel| panel.frames).max() else { return false };
        if shown().any(|panel| panel.frames < furthest) && !self.stays_apart(furthest) {
            for panel in &mut self.panels {
                panel.shown &= panel.frames == furthest;
            }
            return false;
        }
        let shown = self.panels.iter().filter(|panel| panel.shown);
        self.gallery.complete(shown.map(|panel| panel.place));
        for panel in &mut self.panels {
            (panel.shown, panel.frames) = (false, 0);
        }
        self.apart.1 = 0;
        true
    }

    /// Whether the panels have been apart by the same numbers of frames for some time. Then they
    /// show the same frame, and some sender left out one for some of them.
    fn stays_apart(&mut self, furthest: u64) -> bool {
        let (last, times) = &mut self.apart;
        let behind = || self.panels.iter().map(|panel| furthest.saturating_sub(panel.frames));
        if *times > 0 && last.iter().copied().eq(behind()) {
            *times += 1;
        } else {
            last.clear();
            last.extend(behind());
            *times = 1;
        }
        *times >= PATIENCE
    }

    /// Lets time go by.
    pub fn wait(&mut self, now: Duration) {
        for panel in &mut self.panels {
            if panel.receiver.wait(now) != Event::Nothing {
                self.gallery.draw(panel.place, &panel.receiver);
            }
        }
    }

    pub fn close(&self) {
        self.gallery.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::OnLoss;
    use glowloom_wire::ddp::{Body, DataType, Header, Message, Sequence};
    use glowloom_wire::patch::{Address, Channels, Common, Line, PanelPatch, Protocol};
    use std::cell::RefCell;
    use std::collections::VecDeque;

    /// Two panels of one pixel each, and what waits in their sockets: pictures by their level.
    struct Bench {
        wall: Wall,
        gallery: Arc<Gallery>,
        waiting: RefCell<[VecDeque<u8>; 2]>,
        now: Duration,
    }

    impl Bench {
        fn new() -> Self {
            let common = Common {
                columns: 2,
                rows: 1,
                channels: Channels::Three,
                protocol: Protocol::Ddp,
                ceiling: 255,
                sync_universe: 9,
            };
            let receivers = [0, 1].map(|pixel| {
                let panel = PanelPatch {
                    name: format!("p{pixel}"),
                    address: Address::Virtual { port: 1 },
                    lines: vec![Line {
                        first_universe: 1,
                        byte_offset: 0,
                        pixels: vec![Some(pixel)],
                    }],
                };
                (pixel as usize, Receiver::new(&common, &panel, OnLoss::Black))
            });
            let gallery = Arc::new(Gallery::new(6, Vec::new()));
            let wall = Wall::new(receivers.into(), Arc::clone(&gallery));
            Self { wall, gallery, waiting: RefCell::default(), now: Duration::from_secs(50) }
        }

        fn arrive(&self, panel: usize, levels: &[u8]) {
            self.waiting.borrow_mut()[panel].extend(levels);
        }

        /// A round. `meanwhile`: when the first panel's packet of the first level is read, one of
        /// the second level arrives for the second panel.
        fn round(&mut self, meanwhile: Option<(u8, u8)>) -> bool {
            let waiting = &self.waiting;
            let mut read = |panel: usize, buffer: &mut [u8]| {
                let level = waiting.borrow_mut()[panel].pop_front()?;
                if let Some((first, second)) = meanwhile
                    && (panel, level) == (0, first)
                {
                    waiting.borrow_mut()[1].push_back(second);
                }
                // Levels count frames, and so do the packets' numbers.
                let sequence = Sequence::new((level - 1) % 15 + 1)?;
                let header = Header { sequence, ..Header::new(DataType::RGB, 0, true) };
                let size = Message { header, body: Body::Data(&[level; 3]) }.emit(buffer).ok()?;
                Some((size, SocketAddr::from(([127, 0, 0, 1], 9))))
            };
            self.wall.round(self.now, &mut [0; 20], &mut read)
        }

        fn rounds(&mut self) {
            while self.round(None) {}
        }

        /// The whole frames since the last call: one level for each panel.
        fn frames(&self) -> Vec<[u8; 2]> {
            let mut frame = Vec::new();
            let next = || {
                self.gallery.wait_for_frame(Duration::ZERO, &mut frame)?;
                Some([frame[0], frame[3]])
            };
            std::iter::from_fn(next).collect()
        }
    }

    #[test]
    fn frames_that_pile_up_are_not_mixed() {
        let mut bench = Bench::new();
        let levels: Vec<u8> = (1..=20).collect();
        bench.arrive(0, &levels);
        bench.arrive(1, &levels[..15]);
        bench.rounds();
        let whole: Vec<_> = (1..=15).map(|level| [level; 2]).collect();
        assert_eq!(bench.frames(), whole);
        // The first panel shows the 20th frame by now, and the second catches up with it.
        bench.arrive(1, &levels[15..]);
        bench.arrive(0, &[21]);
        bench.rounds();
        bench.arrive(1, &[21]);
        bench.rounds();
        assert_eq!(bench.frames(), [[20, 20], [21, 21]]);
    }

    #[test]
    fn a_frame_that_arrives_while_the_next_is_read_is_not_mixed() {
        let mut bench = Bench::new();
        bench.arrive(0, &[1]);
        bench.arrive(1, &[1]);
        bench.rounds();
        bench.arrive(0, &[2]);
        bench.rounds();
        assert_eq!(bench.frames(), [[1, 1]]);
        // The sender goes on: 2 to the second panel, 3 to the first. This computer sees the 3 first.
        bench.arrive(0, &[3]);
        bench.round(Some((3, 2)));
        assert_eq!(bench.frames(), [[2, 2]]);
        bench.arrive(1, &[3]);
        bench.rounds();
        assert_eq!(bench.frames(), [[3, 3]]);
    }

    #[test]
    fn a_frame_that_one_panel_lost_is_given_up() {
        let mut bench = Bench::new();
        for (west, east) in [(1, Some(1)), (2, None), (3, Some(3)), (4, Some(4))] {
            bench.arrive(0, &[west]);
            bench.arrive(1, east.as_slice());
            bench.rounds();
        }
        assert_eq!(bench.frames(), [[1, 1], [3, 3], [4, 4]]);
    }

    #[test]
    fn frames_that_were_never_sent_to_one_panel_are_found_out() {
        let mut bench = Bench::new();
        // The sender left the second out for one frame, and goes on with the number that it had.
        for (west, east) in [(1, Some(1)), (2, None), (3, Some(2)), (4, Some(3)), (5, Some(4))] {
            bench.arrive(0, &[west]);
            bench.rounds();
            bench.arrive(1, east.as_slice());
            bench.rounds();
        }
        assert_eq!(bench.frames(), [[1, 1], [5, 4]]);
        bench.arrive(0, &[6]);
        bench.arrive(1, &[5]);
        bench.rounds();
        assert_eq!(bench.frames(), [[6, 5]]);
    }

    #[test]
    fn a_panel_that_gets_nothing_is_waited_for_at_first_only() {
        let mut bench = Bench::new();
        bench.arrive(0, &[1]);
        bench.rounds();
        assert_eq!(bench.frames(), [[0; 2]; 0]);
        bench.now += Duration::from_millis(999);
        bench.arrive(0, &[2]);
        bench.rounds();
        assert_eq!(bench.frames(), [[0; 2]; 0]);
        bench.now += Duration::from_millis(1);
        bench.arrive(0, &[3]);
        bench.rounds();
        assert_eq!(bench.frames(), [[2, 0], [3, 0]]);
        // Once it gets frames it counts; once it is lost it does not.
        bench.arrive(0, &[4]);
        bench.arrive(1, &[4]);
        bench.rounds();
        assert_eq!(bench.frames(), [[4, 4]]);
        bench.now += Duration::from_secs(2);
        bench.arrive(0, &[5]);
        bench.rounds();
        bench.now += Duration::from_millis(600);
        bench.wall.wait(bench.now);
        bench.arrive(0, &[6]);
        bench.rounds();
        assert_eq!(bench.frames(), [[5, 0], [6, 0]]);
    }
}
