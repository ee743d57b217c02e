//! Asking receivers whether they are there, as Art-Net has it.
//!
//! Each receiver is asked by unicast at its own address: the standard's directed broadcast would
//! also reach those of other walls, which are none of ours to ask. A receiver that has never
//! answered may be one that does not know the question; one that has, and stops, is gone.

use std::net::{Ipv4Addr, SocketAddr, UdpSocket};
use std::time::Duration;

use glowloom_wire::artnet::{self, Any, POLL_INTERVAL, REPLY_WITHIN, poll};

use crate::health::Answering;
use crate::receive::Answers;

/// Packets that are read at one time. What comes faster is left to the system to drop.
const MOST: usize = 256;

/// Asks all receivers of a wall, and answers whoever asks it.
#[derive(Debug)]
pub(crate) struct Asking {
    /// `None`: it cannot be opened; tried again with the next question.
    socket: Option<UdpSocket>,
    /// Whether to listen where the protocol wants answers to go. Panels of this computer alone
    /// answer to any port, and that one may be theirs.
    own_port: bool,
    due: Duration,
    receivers: Vec<Receiver>,
    answers: Answers,
}

/// What is known of one receiver.
#[derive(Clone, Copy, Debug, Default)]
struct Receiver {
    answered: Option<Duration>,
}

impl Asking {
    /// Asks so many receivers.
    pub fn new(receivers: usize, own_port: bool, source_name: &str) -> Self {
        Self {
            socket: None,
            own_port,
            due: Duration::ZERO,
            receivers: vec![Receiver::default(); receivers],
            answers: Answers::of_sender(source_name),
        }
    }

    /// Asks if it is time to, hears what has come, and tells how each receiver is. `addresses` are
    /// those of the receivers, in order; `None`: not known.
    pub fn step(
        &mut self,
        now: Duration,
        addresses: impl Iterator<Item = Option<SocketAddr>> + Clone,
        mut tell: impl FnMut(usize, Answering),
    ) {
        self.hear(now, addresses.clone());
        // Before any address is known there is nobody to ask.
        if now >= self.due && addresses.clone().flatten().next().is_some() {
            self.due = now + POLL_INTERVAL;
            self.ask(addresses);
        }
        for (index, receiver) in self.receivers.iter().enumerate() {
            tell(
                index,
                match receiver.answered {
                    None => Answering::NotYet,
                    Some(at) if now.saturating_sub(at) <= POLL_INTERVAL + REPLY_WITHIN => {
                        Answering::Yes
                    }
                    Some(_) => Answering::Stopped,
                },
            );
        }
    }

    fn ask(&mut self, addresses: impl Iterator<Item = Option<SocketAddr>>) {
        if self.socket.is_none() {
            self.socket = open(self.own_port);
        }
        let Some(socket) = &self.socket else { return };
        let mut question = [0; poll::SIZE];
        // The buffer has the packet's size.
        let _ = poll::Poll::default().emit(&mut question);
        for at in addresses.flatten().filter(SocketAddr::is_ipv4) {
            // Whether it is out of reach shows with its data.
            let _ = socket.send_to(&question, at);
        }
    }

    fn hear(&mut self, now: Duration, addresses: impl Iterator<Item = Option<SocketAddr>> + Clone) {
        let Some(socket) = &self.socket else { return };
        let mut buffer = [0; 1500];
        for _ in 0..MOST {
            let (size, from) = match socket.recv_from(&mut buffer) {
                Ok(heard) => heard,
                // A receiver that nobody holds open any more: the next answer may wait behind it.
                Err(error) if error.kind() == std::io::ErrorKind::ConnectionRefused => continue,
                Err(_) => return,
            };
            match Any::parse(&buffer[..size]) {
                Ok(Any::Reply(_)) => {
                    if let Some(index) = whose(from, addresses.clone()) {
                        self.receivers[index].answered = Some(now);
                    }
                }
                Ok(Any::Poll(_)) => {
                    self.answers.answer(
                        now,
                        || seen_by(from),
                        &buffer[..size],
                        |reply| {
                            let _ = socket.send_to(reply, from);
                        },
                    );
                }
                _ => {}
            }
        }
    }
}

/// Opens the protocol's own port, or any where something else holds it: most receivers answer to the
/// port that asked.
fn open(own_port: bool) -> Option<UdpSocket> {
    let own = || UdpSocket::bind((Ipv4Addr::UNSPECIFIED, artnet::PORT));
    let any = || UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0));
    let socket = if own_port { own().or_else(|_| any()) } else { any() }.ok()?;
    socket.set_nonblocking(true).ok()?;
    Some(socket)
}

/// Which receiver has answered: the one at that address and port, else the only one at that address.
pub(crate) fn whose(
    from: SocketAddr,
    addresses: impl Iterator<Item = Option<SocketAddr>> + Clone,
) -> Option<usize> {
    let mut all = addresses.clone();
    if let Some(index) = all.position(|at| at == Some(from)) {
        return Some(index);
    }
    let mut same = (addresses.enumerate())
        .filter(|(_, at)| at.is_some_and(|at| at.ip() == from.ip()))
        .map(|(index, _)| index);
    same.next().filter(|_| same.next().is_none())
}

/// This computer's address on the way to another; nothing is sent for that.
pub(crate) fn seen_by(other: SocketAddr) -> Ipv4Addr {
    let local = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        socket.connect(other)?;
        socket.local_addr()
    });
    match local {
        Ok(SocketAddr::V4(at)) => *at.ip(),
        _ => Ipv4Addr::UNSPECIFIED,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(host: u8, port: u16) -> Option<SocketAddr> {
        Some(SocketAddr::from(([127, 0, 0, host], port)))
    }

    #[test]
    fn an_answer_is_told_by_address_and_port_or_by_an_address_of_one_alone() {
        let all = [at(1, 7), at(1, 8), None, at(2, 9)];
        let whose = |from: Option<SocketAddr>| super::whose(from.unwrap(), all.iter().copied());
        assert_eq!(
            [whose(at(1, 7)), whose(at(1, 8)), whose(at(2, 9))],
            [Some(0), Some(1), Some(3)]
        );
        // Two at one address, neither of that port; one at one address; none.
        assert_eq!(
            [whose(at(1, 6454)), whose(at(2, 6454)), whose(at(3, 9))],
            [None, Some(3), None]
        );
    }

    #[test]
    fn the_next_question_comes_in_the_standard_s_time() {
        let receiver = UdpSocket::bind("127.0.0.1:0").unwrap();
        receiver.set_read_timeout(Some(Duration::from_millis(300))).unwrap();
        let to = receiver.local_addr().unwrap();
        let mut asking = Asking::new(1, false, "test");
        let mut times = Vec::new();
        for millis in (0..6000).step_by(100) {
            let mut told = Vec::new();
            asking.step(Duration::from_millis(millis), std::iter::once(Some(to)), |index, how| {
                told.push((index, how));
            });
            assert_eq!(told, [(0, Answering::NotYet)]);
            receiver.set_nonblocking(true).unwrap();
            let mut bytes = [0; 20];
            while let Ok(size) = receiver.recv(&mut bytes) {
                assert!(matches!(Any::parse(&bytes[..size]), Ok(Any::Poll(_))));
                times.push(millis);
            }
        }
        assert_eq!(times, [0, 2800, 5600]);
    }

    /// The node is another socket; the sender's own answer is looked at as well.
    #[test]
    fn who_answers_and_stops_is_told_and_who_asks_is_answered() {
        use glowloom_wire::artnet::reply::{self, Reply, Style};
        let node = UdpSocket::bind("127.0.0.1:0").unwrap();
        node.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let to = node.local_addr().unwrap();
        let mut asking = Asking::new(1, false, "Glowloom Tidewall");
        let mut step = |millis| {
            let mut how = Answering::Unasked;
            let now = Duration::from_millis(millis);
            asking.step(now, std::iter::once(Some(to)), |_, told| how = told);
            how
        };
        assert_eq!(step(0), Answering::NotYet);
        let mut bytes = [0; 600];
        let (size, from) = node.recv_from(&mut bytes).unwrap();
        assert_eq!(size, poll::SIZE);
        let mut node_answers = Answers::of_sender("node");
        node_answers.answer(
            Duration::ZERO,
            || Ipv4Addr::LOCALHOST,
            &bytes[..size],
            |reply| {
                node.send_to(reply, from).unwrap();
            },
        );
        let question = bytes[..size].to_vec();
        node.send_to(&question, ("127.0.0.1", from.port())).unwrap();
        let mut now = 1;
        while step(now) != Answering::Yes {
            std::thread::sleep(Duration::from_millis(1));
            assert!(now < 2000, "never heard");
            now += 1;
        }
        let (size, _) = node.recv_from(&mut bytes).unwrap();
        let reply = Reply::parse(&reply::Packet::new_checked(&bytes[..size]).unwrap()).unwrap();
        assert_eq!((reply.style, reply.ip), (Style::Controller, [127, 0, 0, 1]));
        assert_eq!(reply.long_name.as_str(), "Glowloom Tidewall");
        // Asked again and silent for 2.8 s and 3 s.
        assert_eq!(step(5700), Answering::Yes);
        assert_eq!(step(9000), Answering::Stopped);
    }
}
