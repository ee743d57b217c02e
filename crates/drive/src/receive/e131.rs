//! The rules of ANSI E1.31-2018 for a receiver.

use std::time::Duration;

use glowloom_wire::e131::{self, Any, Arrival, Cid, DATA_LOSS, Options, Priority, Sequence};
use glowloom_wire::patch::{Common, PanelPatch};

use super::canvas::Canvas;
use super::universes::Universes;
use super::{Counts, Verdict};

#[derive(Debug)]
pub(super) struct Rules {
    universes: Universes<Sequence>,
    source: Option<Source>,
    /// The universe of the synchronization packets that the last data asked for.
    wanted: Option<e131::Universe>,
    sync: Option<Sync>,
    /// Whether data is shown when synchronization is lost (6.2.6).
    force: bool,
}

/// The sender that is shown.
#[derive(Clone, Copy, Debug)]
struct Source {
    cid: Cid,
    priority: Priority,
}

/// Synchronization packets have arrived: from now on data waits for them.
#[derive(Debug)]
struct Sync {
    address: e131::Universe,
    sequence: Sequence,
    seen: Duration,
}

impl Rules {
    pub fn new(common: &Common, panel: &PanelPatch) -> Self {
        let universes = Universes::new(common, panel);
        Self { universes, source: None, wanted: None, sync: None, force: false }
    }

    pub fn packet(
        &mut self,
        now: Duration,
        bytes: &[u8],
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        match Any::parse(bytes) {
            Ok(Any::Data(data)) => self.data(now, &data, canvas, counts),
            Ok(Any::Sync(sync)) => self.sync(now, sync, canvas, counts),
            Ok(Any::Discovery(_)) => not_ours(&mut counts.ignored),
            Err(_) => not_ours(&mut counts.wrong),
        }
    }

    fn data(
        &mut self,
        now: Duration,
        data: &e131::data::Data<'_>,
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        let header = &data.header;
        if header.start_code != 0 || header.options.preview {
            return not_ours(&mut counts.ignored);
        }
        let Some(index) = self.universes.find(header.universe.get()) else {
            return not_ours(&mut counts.wrong);
        };
        if header.options.terminated && self.source.is_none() {
            // The second and third of the packets that end a stream.
            return Verdict::NotOurs;
        }
        if !self.admits(header.cid, header.priority, header.options) {
            return not_ours(&mut counts.strangers);
        }
        let universe = self.universes.get_mut(index);
        let Some(ahead) = numbered(&mut universe.sequence, header.sequence, counts) else {
            return Verdict::NotOurs;
        };
        universe.progress += ahead;
        if header.options.terminated {
            return self.end(index);
        }
        universe.seen = Some(now);
        canvas.hold(universe.at.clone(), data.slots);
        (self.wanted, self.force) = (header.sync, header.options.force_synchronization);
        if self.holds(now) {
            self.universes.set_fresh(index, true);
            return Verdict::Taken;
        }
        self.universes.show_at_once(index, canvas)
    }

    /// Whether a packet's sender is shown: the one that is, or one of higher priority, or any where
    /// there is none. Of two with one priority the first stays.
    fn admits(&mut self, cid: Cid, priority: Priority, options: Options) -> bool {
        match &mut self.source {
            Some(source) if source.cid == cid => {
                source.priority = priority;
                true
            }
            Some(source) if priority <= source.priority => false,
            // A stream that ends takes nothing over.
            _ if options.terminated => false,
            _ => {
                self.forget();
                self.source = Some(Source { cid, priority });
                true
            }
        }
    }

    fn forget(&mut self) {
        (self.source, self.wanted, self.sync) = (None, None, None);
        self.universes.forget();
    }

    /// Whether data waits: it has an address that synchronization packets have come for. Until the
    /// first one it is shown at once (11.1, from memory). Once they have been missing for 2.5 s,
    /// [`Options::force_synchronization`] says whether it is shown at once again (6.2.6).
    fn holds(&self, now: Duration) -> bool {
        let Some(sync) = self.sync.as_ref().filter(|sync| Some(sync.address) == self.wanted) else {
            return false;
        };
        !self.force || now.saturating_sub(sync.seen) < DATA_LOSS
    }

    fn sync(
        &mut self,
        now: Duration,
        packet: e131::sync::Sync,
        canvas: &mut Canvas,
        counts: &mut Counts,
    ) -> Verdict {
        match self.source {
            None => return not_ours(&mut counts.ignored),
            Some(source) if source.cid != packet.cid => return not_ours(&mut counts.strangers),
            Some(_) => {}
        }
        if self.wanted != Some(packet.address) {
            return not_ours(&mut counts.wrong);
        }
        match &mut self.sync {
            Some(sync) if sync.address == packet.address => {
                if numbered(&mut sync.sequence, packet.sequence, counts).is_none() {
                    return Verdict::NotOurs;
                }
                sync.seen = now;
            }
            other => {
                let mut sequence = Sequence::default();
                sequence.step(packet.sequence);
                *other = Some(Sync { address: packet.address, sequence, seen: now });
            }
        }
        self.universes.show_held(canvas)
    }

    fn end(&mut self, index: usize) -> Verdict {
        let universe = self.universes.get_mut(index);
        let was_live = universe.seen.take().is_some();
        self.universes.set_fresh(index, false);
        if !was_live || self.universes.any_seen() {
            return Verdict::Taken;
        }
        self.forget();
        Verdict::Ended
    }

    /// Whether the last of the universes has just been silent for 2.5 s (6.7.1, Appendix A).
    pub fn silent(&mut self, now: Duration) -> bool {
        self.universes.give_up_silent(now, DATA_LOSS);
        let silent = self.source.is_some() && !self.universes.any_seen();
        if silent {
            self.forget();
        }
        silent
    }
}

/// How far a packet's number is ahead of the last; `None`: the packet is late. Counts those that are
/// missing between.
fn numbered(sequence: &mut Sequence, number: u8, counts: &mut Counts) -> Option<u64> {
    match sequence.step(number) {
        Arrival::First | Arrival::Restarted => Some(1),
        Arrival::Next { missed } => {
            counts.lost += u64::from(missed);
            Some(u64::from(missed) + 1)
        }
        Arrival::Discarded => {
            counts.late += 1;
            None
        }
    }
}

fn not_ours(count: &mut u64) -> Verdict {
    *count += 1;
    Verdict::NotOurs
}

#[cfg(test)]
mod tests;
