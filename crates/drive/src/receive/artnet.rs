//! The rules of Art-Net 4 for a node.

use std::net::IpAddr;
use std::time::Duration;

use glowloom_wire::artnet::{Any, Error, SYNC_LOSS, Sequence, dmx::Dmx};
use glowloom_wire::patch::{Common, PanelPatch};

use super::canvas::Canvas;
use super::numbers::numbered;
use super::universes::Universes;
use super::{Counts, Verdict};

/// A sender that is silent for this long is gone: the time that a node holds one of two senders
/// that it merges (the specification's paragraph, as quoted alike in several sources). The protocol
/// has no other; and since unchanged slots need to come only every 4 s, it must be well above that.
const LOSS: Duration = Duration::from_secs(10);

/// How far behind a packet still counts as late: as in E1.31, for Art-Net does not say.
const LATE: u8 = 19;

#[derive(Debug)]
pub(super) struct Rules {
    universes: Universes<Sequence>,
    source: Option<IpAddr>,
    /// When the last ArtSync came; `None`: slots are shown at once.
    synced: Option<Duration>,
}

impl Rules {
    pub fn new(common: &Common, panel: &PanelPatch) -> Self {
        Self { universes: Universes::new(common, panel), source: None, synced: None }
    }

    pub fn packet(
        &mut self,
        now: Duration,
        from: IpAddr,
        bytes: &[u8],
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        let count = match Any::parse(bytes) {
            Ok(Any::Dmx(dmx)) => return self.dmx(now, from, &dmx, canvas, counts),
            // Ignored where its sender is not that of the slots (quoted alike in several sources).
            Ok(Any::Sync(_)) if self.source == Some(from) => {
                self.synced = Some(now);
                return self.universes.show_held(canvas);
            }
            Ok(Any::Sync(_)) if self.source.is_some() => &mut counts.strangers,
            // Whoever holds the socket answers it.
            Ok(Any::Poll(_)) => return Verdict::NotOurs,
            Ok(Any::Sync(_) | Any::Reply(_)) | Err(Error::OpCode(_)) => &mut counts.ignored,
            Err(_) => &mut counts.wrong,
        };
        *count += 1;
        Verdict::NotOurs
    }

    fn dmx(
        &mut self,
        now: Duration,
        from: IpAddr,
        dmx: &Dmx<'_>,
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        let Some(index) = self.universes.find(dmx.header.address.get()) else {
            counts.wrong += 1;
            return Verdict::NotOurs;
        };
        if *self.source.get_or_insert(from) != from {
            counts.strangers += 1;
            return Verdict::NotOurs;
        }
        let universe = self.universes.get_mut(index);
        let number = dmx.header.sequence;
        let Some(ahead) = numbered(&mut universe.sequence, number, LATE, counts) else {
            return Verdict::NotOurs;
        };
        universe.progress += ahead;
        universe.seen = Some(now);
        canvas.hold(universe.at.clone(), dmx.slots);
        if self.synced.is_some_and(|seen| now.saturating_sub(seen) < SYNC_LOSS) {
            self.universes.set_fresh(index, true);
            return Verdict::Taken;
        }
        self.synced = None;
        self.universes.show_at_once(index, canvas)
    }

    /// Whether the last of the universes has just been silent for 10 s.
    pub fn silent(&mut self, now: Duration) -> bool {
        self.universes.give_up_silent(now, LOSS);
        let silent = self.source.is_some() && !self.universes.any_seen();
        if silent {
            (self.source, self.synced) = (None, None);
            self.universes.forget();
        }
        silent
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::receive::testing::{Bench, SHOWN};
    use crate::receive::{Event, OnLoss, State};
    use glowloom_wire::artnet::{PortAddress, dmx, poll, sync};
    use glowloom_wire::patch::Protocol;

    fn dmx(number: u16, sequence: u8, slots: usize, level: u8) -> Vec<u8> {
        let header = dmx::Header {
            sequence: Sequence::new(sequence).unwrap(),
            physical: 0,
            address: PortAddress::new(number).unwrap(),
        };
        let mut bytes = vec![0; dmx::DATA + slots];
        Dmx { header, slots: &vec![level; slots] }.emit(&mut bytes).unwrap();
        bytes
    }

    fn sync() -> Vec<u8> {
        let mut bytes = vec![0; sync::SIZE];
        sync::Sync.emit(&mut bytes).unwrap();
        bytes
    }

    fn bench() -> Bench {
        Bench::new(Protocol::ArtNet, OnLoss::Black)
    }

    fn hear_frame(bench: &mut Bench, sequence: u8, level: u8) -> [Event; 3] {
        [(1, 510), (2, 6), (5, 6)]
            .map(|(number, slots)| bench.hear(&dmx(number, sequence, slots, level)))
    }

    #[test]
    fn slots_wait_from_the_first_sync_on() {
        let mut bench = bench();
        assert_eq!(hear_frame(&mut bench, 1, 10), [Event::Drawn, Event::Drawn, SHOWN]);
        assert_eq!(bench.hear(&sync()), Event::Nothing);
        assert_eq!(hear_frame(&mut bench, 2, 20), [Event::Nothing; 3]);
        assert_eq!(bench.picture()[..3], [10; 3]);
        assert_eq!(bench.hear(&sync()), SHOWN);
        assert_eq!((bench.picture()[0], bench.picture()[513]), (20, 20));
        // 4 s without one: at once again.
        bench.wait(3999);
        assert_eq!(bench.hear(&dmx(5, 3, 6, 30)), Event::Nothing);
        bench.wait(1);
        assert_eq!(bench.hear(&dmx(5, 4, 6, 40)), Event::Drawn);
        assert_eq!(bench.pixel(173), [40; 3]);
    }

    #[test]
    fn numbers_go_round_without_zero() {
        let mut bench = bench();
        let levels: Vec<u8> = [(254, 1), (1, 2), (255, 3), (1, 4), (4, 5), (0, 6), (9, 7)]
            .into_iter()
            .map(|(sequence, level)| {
                bench.hear(&dmx(5, sequence, 6, level));
                bench.pixel(173)[0]
            })
            .collect();
        assert_eq!(levels, [1, 2, 2, 2, 5, 6, 7]);
        let counts = bench.receiver.counts();
        assert_eq!((counts.lost, counts.late), (3, 2));
    }

    #[test]
    fn only_one_sender_is_shown() {
        let mut bench = bench();
        bench.hear(&dmx(5, 1, 6, 10));
        bench.hear(&sync());
        let stranger = [192, 0, 2, 8];
        assert_eq!(bench.hear_from(stranger, &dmx(5, 1, 6, 90)), Event::Nothing);
        bench.hear(&dmx(5, 2, 6, 20));
        assert_eq!(bench.hear_from(stranger, &sync()), Event::Nothing);
        assert_eq!((bench.pixel(173), bench.receiver.counts().strangers), ([10; 3], 2));
        bench.wait(10_000);
        assert_eq!(bench.receiver.state(), State::Lost);
        assert_eq!(bench.hear_from(stranger, &dmx(5, 1, 6, 90)), Event::Drawn);
        assert_eq!(bench.pixel(173), [90; 3]);
    }

    #[test]
    fn silence_is_loss_but_not_before_unchanged_slots_may_come() {
        let mut bench = bench();
        hear_frame(&mut bench, 1, 10);
        assert_eq!(bench.wait(9999), Event::Nothing);
        assert_eq!((bench.wait(1), bench.pixel(3)), (Event::Lost, [0; 3]));
    }

    #[test]
    fn what_is_not_light_is_left_alone() {
        let mut bench = bench();
        let mut poll = [0; 14];
        poll::Poll { flags: poll::Poll::ON_CHANGE, priority: 0 }.emit(&mut poll).unwrap();
        bench.hear(&poll);
        bench.hear(&sync());
        let mut unknown = sync();
        unknown[9] = 0x99;
        bench.hear(&unknown);
        assert_eq!(bench.receiver.counts().ignored, 2);
        bench.hear(&dmx(3, 1, 6, 9));
        bench.hear(b"Art-Nix");
        bench.hear(&dmx(5, 1, 6, 9)[..20]);
        assert_eq!(bench.receiver.counts().wrong, 3);
        assert_eq!(bench.receiver.state(), State::Waiting);
    }
}
