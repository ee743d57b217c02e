//! The list of universes that a sender of ANSI E1.31 gives out while it plays.

use std::net::UdpSocket;
use std::time::Duration;

use glowloom_wire::e131::{self, discovery};

use crate::link::open_multicast;
use crate::{Multicast, Settings};

/// Sends the list every 10 s (E1.31-2018, Appendix A). Nobody needs it to see the picture, so a
/// list that cannot be sent is counted and no more.
#[derive(Debug)]
pub(crate) struct Discovery {
    pages: Vec<Vec<u8>>,
    multicast: Multicast,
    socket: Option<UdpSocket>,
    due: Duration,
}

impl Discovery {
    /// The list of these universes, in any order.
    pub fn new(settings: &Settings, universes: impl IntoIterator<Item = u16>) -> Self {
        let mut universes: Vec<_> =
            universes.into_iter().filter_map(|number| e131::Universe::new(number).ok()).collect();
        universes.sort_unstable();
        universes.dedup();
        // Sorted and each once, so neither step can fail.
        let pages = discovery::pages(&universes).into_iter().flatten().filter_map(
            |(page, last_page, universes)| {
                let header = discovery::Header {
                    cid: e131::Cid(settings.cid),
                    source: e131::SourceName::new(&settings.source_name),
                    page,
                    last_page,
                };
                let mut bytes = vec![0; discovery::UNIVERSES + 2 * universes.len()];
                header.emit(universes, &mut bytes).ok().map(|_| bytes)
            },
        );
        Self {
            pages: pages.collect(),
            multicast: settings.multicast.unwrap_or_default(),
            socket: None,
            due: Duration::ZERO,
        }
    }

    /// Sends the list if it is time to. Gives how many pages failed.
    pub fn step(&mut self, now: Duration) -> u64 {
        if now < self.due {
            return 0;
        }
        self.due = now + e131::DISCOVERY_INTERVAL;
        if self.socket.is_none() {
            self.socket = open_multicast(self.multicast).ok();
        }
        let Some(socket) = &self.socket else { return self.pages.len() as u64 };
        let to = (e131::DISCOVERY_ADDRESS, e131::PORT);
        let failed = self.pages.iter().filter(|page| socket.send_to(page, to).is_err()).count();
        if failed > 0 {
            self.socket = None;
        }
        failed as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FramesPerSecond;

    #[test]
    fn every_universe_is_listed_once_in_order() {
        let settings = Settings::new(FramesPerSecond(30.0), [7; 16]).unwrap();
        let discovery = Discovery::new(&settings, (1..=600).rev().chain([5, 9]));
        let mut listed = Vec::new();
        for (nth, page) in discovery.pages.iter().enumerate() {
            let packet = discovery::Packet::new_checked(&page[..]).unwrap();
            let read = discovery::Discovery::parse(&packet).unwrap();
            assert_eq!((read.header.page, read.header.last_page), (nth as u8, 1));
            assert_eq!(read.header.cid, e131::Cid([7; 16]));
            listed.extend(read.universes().map(e131::Universe::get));
        }
        assert_eq!(listed, (1..=600).collect::<Vec<u16>>());
    }

    #[test]
    fn the_list_goes_out_every_ten_seconds() {
        let mut settings = Settings::new(FramesPerSecond(30.0), [7; 16]).unwrap();
        settings.multicast =
            Some(Multicast { interface: Some([127, 0, 0, 1].into()), ..Multicast::default() });
        let mut discovery = Discovery::new(&settings, [1]);
        let mut due = |seconds| {
            discovery.step(Duration::from_secs(seconds));
            discovery.due.as_secs()
        };
        assert_eq!([0, 9, 10, 25].map(&mut due), [10, 10, 20, 35]);
    }
}
