//! What a node says of itself when an Art-Net sender asks who is there.

use std::net::Ipv4Addr;
use std::time::Duration;

use glowloom_wire::artnet::reply::{PORTS, Reply, SIZE, Style};
use glowloom_wire::artnet::{Kind, PortAddress, Text};
use glowloom_wire::patch::{Common, PanelPatch, Protocol};

/// Whoever asks more often than this is not answered each time: answers are longer than questions,
/// and must not be a way to flood somebody.
const AT_MOST_EVERY: Duration = Duration::from_millis(100);

/// Answers to one question at most. A wall that needs more takes its levels by a protocol that asks
/// for none.
const MOST: usize = 255;

/// The answers of one node: one for each four Port-Addresses of one sub-net.
#[derive(Debug)]
pub(crate) struct Answers {
    reply: Reply,
    outputs: Vec<[Option<PortAddress>; PORTS]>,
    /// Questions answered so far.
    count: u16,
    last: Option<Duration>,
}

impl Answers {
    /// Those of a panel; `None` where its protocol has no such questions.
    pub fn of(common: &Common, panel: &PanelPatch) -> Option<Self> {
        if common.protocol != Protocol::ArtNet {
            return None;
        }
        let universes = panel.universes(common.channels);
        let mut all: Vec<_> =
            universes.filter_map(|number| PortAddress::new(number).ok()).collect();
        all.sort_unstable();
        let outputs = all
            .chunk_by(|a, b| a.get() >> 4 == b.get() >> 4)
            .flat_map(|same_net| same_net.chunks(PORTS))
            .map(|four| std::array::from_fn(|nth| four.get(nth).copied()))
            .take(MOST)
            .collect();
        let long_name = format!("Glowloom virtual panel {}", panel.name);
        Some(Self::named(&panel.name, &long_name, outputs, Style::Node))
    }

    /// The same by another name, for a whole wall that listens.
    pub fn renamed(mut self, name: &str) -> Self {
        self.reply.long_name = Text::new(name);
        self
    }

    /// Those of a sender, which puts nothing out itself.
    pub fn of_sender(name: &str) -> Self {
        Self::named("Glowloom", name, vec![[None; PORTS]], Style::Controller)
    }

    fn named(
        short: &str,
        long: &str,
        outputs: Vec<[Option<PortAddress>; PORTS]>,
        style: Style,
    ) -> Self {
        let reply = Reply {
            ip: [0; 4],
            firmware: 0,
            short_name: Text::new(short),
            long_name: Text::new(long),
            report: Text::new(""),
            outputs: [None; PORTS],
            style,
            mac: [0; 6],
            bind_index: 0,
        };
        Self { reply, outputs, count: 0, last: None }
    }

    /// Hands what is to be sent to whoever asked to `send`, if these bytes are a question. `ip` tells
    /// this node's address as the other sees it, and is asked only then.
    pub fn answer(
        &mut self,
        now: Duration,
        ip: impl FnOnce() -> Ipv4Addr,
        bytes: &[u8],
        mut send: impl FnMut(&[u8]),
    ) {
        let soon = self.last.is_some_and(|last| now.saturating_sub(last) < AT_MOST_EVERY);
        if soon || !is_question(bytes) {
            return;
        }
        self.last = Some(now);
        self.count = self.count.wrapping_add(1) % 10_000;
        self.reply.ip = ip().octets();
        // Power-on tests passed, and how often this was said (the form is from memory).
        self.reply.report = Text::new(&format!("#0001 [{:04}] receiving", self.count));
        let mut packet = [0; SIZE];
        for (outputs, bind_index) in self.outputs.iter().zip(1..) {
            let reply = Reply { outputs: *outputs, bind_index, ..self.reply };
            // All of one sub-net, so nothing is refused.
            if reply.emit(&mut packet).is_ok() {
                send(&packet);
            }
        }
    }
}

fn is_question(bytes: &[u8]) -> bool {
    use glowloom_wire::artnet::poll;
    Kind::of(bytes) == Ok(Kind::Poll)
        && poll::Packet::new_checked(bytes).is_ok_and(|packet| poll::Poll::parse(&packet).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::receive::testing;
    use glowloom_wire::artnet::{poll, reply};
    use glowloom_wire::patch::Line;

    const HERE: Ipv4Addr = Ipv4Addr::new(192, 0, 2, 9);

    fn question() -> [u8; poll::SIZE] {
        let mut bytes = [0; poll::SIZE];
        poll::Poll::default().emit(&mut bytes).unwrap();
        bytes
    }

    fn asked(answers: &mut Answers, millis: u64, bytes: &[u8]) -> Vec<Reply> {
        let mut found = Vec::new();
        answers.answer(
            Duration::from_millis(millis),
            || HERE,
            bytes,
            |bytes| {
                let packet = reply::Packet::new_checked(bytes).unwrap();
                found.push(Reply::parse(&packet).unwrap());
            },
        );
        found
    }

    #[test]
    fn every_port_address_is_told_once_four_at_a_time() {
        let mut panel = testing::panel();
        // Universes 13 to 20 and 40: two sub-nets, one of them with five.
        let line = |first_universe, byte_offset, pixels: usize| Line {
            first_universe,
            byte_offset,
            pixels: vec![None; pixels],
        };
        panel.lines = vec![line(13, 0, 8 * 170), line(40, 8 * 510, 1)];
        let mut answers = Answers::of(&testing::common(Protocol::ArtNet), &panel).unwrap();
        let replies = asked(&mut answers, 0, &question());
        let numbers = |reply: &Reply| {
            reply.outputs.iter().flatten().map(|port| port.get()).collect::<Vec<_>>()
        };
        let told: Vec<_> = replies.iter().map(numbers).collect();
        assert_eq!(told, [vec![13, 14, 15], vec![16, 17, 18, 19], vec![20], vec![40]]);
        assert_eq!(replies.iter().map(|r| r.bind_index).collect::<Vec<_>>(), [1, 2, 3, 4]);
        let first = replies[0];
        assert_eq!((first.ip, first.short_name.as_str()), (HERE.octets(), "west"));
        assert_eq!((first.style, first.report.as_str()), (Style::Node, "#0001 [0001] receiving"));
    }

    #[test]
    fn only_questions_are_answered_and_not_too_often() {
        let mut answers = Answers::of_sender("Glowloom Tidewall");
        let question = question();
        assert_eq!(asked(&mut answers, 0, &question[..13]).len(), 0);
        let mut old = question;
        old[11] = 13;
        assert_eq!(asked(&mut answers, 0, &old).len(), 0);
        let told = asked(&mut answers, 0, &question);
        assert_eq!((told[0].outputs, told[0].style), ([None; 4], Style::Controller));
        assert_eq!(asked(&mut answers, 99, &question).len(), 0);
        assert_eq!(asked(&mut answers, 100, &question).len(), 1);
        for protocol in [Protocol::E131, Protocol::Ddp] {
            assert!(Answers::of(&testing::common(protocol), &testing::panel()).is_none());
        }
    }
}
