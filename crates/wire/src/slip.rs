//! SLIP (RFC 1055): packets on a serial line.
//!
//! A packet is sent between two END bytes; the one in front flushes what noise left on the line.
//! An END or ESC within the packet is sent as two bytes.

use std::fmt;

/// Ends a packet.
pub const END: u8 = 0xc0;
/// The first of two bytes that stand for one.
pub const ESC: u8 = 0xdb;
/// After ESC: an END within the packet.
pub const ESC_END: u8 = 0xdc;
/// After ESC: an ESC within the packet.
pub const ESC_ESC: u8 = 0xdd;

/// END bytes around a packet.
pub const ENDS: usize = 2;

/// The most bytes that a packet of `packet` bytes can take on the line: every one escaped.
#[must_use]
pub const fn longest(packet: usize) -> usize {
    ENDS + 2 * packet
}

/// The bytes that this packet takes on the line.
#[must_use]
pub fn encoded_len(packet: &[u8]) -> usize {
    let escaped = packet.iter().filter(|&&byte| matches!(byte, END | ESC)).count();
    ENDS + packet.len() + escaped
}

/// The buffer lent to [`encode`] is too small.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BufferTooSmall {
    /// Bytes that the packet takes on the line.
    pub wanted: usize,
    /// Bytes that were lent.
    pub found: usize,
}

impl fmt::Display for BufferTooSmall {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the packet takes {} bytes; the buffer has {}", self.wanted, self.found)
    }
}

impl std::error::Error for BufferTooSmall {}

/// Writes a packet between two ENDs and gives the bytes written.
///
/// # Errors
/// [`BufferTooSmall`]; then `to` is as it was. A buffer of [`longest`] bytes is never too small.
pub fn encode(packet: &[u8], to: &mut [u8]) -> Result<usize, BufferTooSmall> {
    let wanted = encoded_len(packet);
    let found = to.len();
    let to = to.get_mut(..wanted).ok_or(BufferTooSmall { wanted, found })?;
    let escaped = packet.iter().flat_map(|&byte| {
        let (first, second) = match byte {
            END => (ESC, Some(ESC_END)),
            ESC => (ESC, Some(ESC_ESC)),
            plain => (plain, None),
        };
        std::iter::once(first).chain(second)
    });
    let line = std::iter::once(END).chain(escaped).chain([END]);
    for (place, byte) in to.iter_mut().zip(line) {
        *place = byte;
    }
    Ok(wanted)
}

/// Why a packet on the line was dropped. The decoder goes on at the next END.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// ESC was followed by a byte that may not follow it.
    Escape(u8),
    /// The packet is longer than the buffer: too long, or its END was lost.
    Long {
        /// Bytes that a packet may have.
        most: usize,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Escape(found) => {
                write!(f, "byte {found:02x} after ESC; dc or dd is wanted: the line is disturbed")
            }
            Self::Long { most } => {
                write!(f, "no END within {most} bytes: the packet is too long, or its end was lost")
            }
        }
    }
}

impl std::error::Error for Error {}

/// What the next byte is to the decoder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// A byte of the packet, or its END.
    Packet,
    /// The second of two bytes.
    Escape,
    /// Nothing, until an END.
    Lost,
    /// The first byte after a packet that was handed out.
    Done,
}

/// Takes a line byte by byte and gives packets. Holds one packet, in storage that the caller
/// chooses: `Vec<u8>`, an array or a lent slice. RFC 1055 wants room for 1006 bytes at least.
///
/// A decoder that joins in the middle of a packet gives its end as one: what is inside must tell.
#[derive(Clone, Debug)]
pub struct Decoder<B> {
    buffer: B,
    length: usize,
    state: State,
}

impl<B: AsRef<[u8]> + AsMut<[u8]>> Decoder<B> {
    /// A decoder for packets as long as the buffer.
    pub const fn new(buffer: B) -> Self {
        Self { buffer, length: 0, state: State::Packet }
    }

    /// Takes one byte of the line. A packet is given with its last END, an error as soon as it
    /// shows; empty packets are passed over.
    pub fn push(&mut self, byte: u8) -> Option<Result<&[u8], Error>> {
        match (self.state, byte) {
            (State::Escape, END) => {
                // The END ends the broken packet, and the next one may begin.
                self.start();
                Some(Err(Error::Escape(END)))
            }
            (_, END) => self.end().map(Ok),
            (State::Lost, _) => None,
            (State::Escape, ESC_END) => self.store(END),
            (State::Escape, ESC_ESC) => self.store(ESC),
            (State::Escape, other) => self.lose(Error::Escape(other)),
            (State::Packet | State::Done, byte) => {
                if self.state == State::Done {
                    self.start();
                }
                if byte == ESC {
                    self.state = State::Escape;
                    None
                } else {
                    self.store(byte)
                }
            }
        }
    }

    /// Takes many bytes and hands each packet or error to `found`.
    pub fn feed(&mut self, line: &[u8], mut found: impl FnMut(Result<&[u8], Error>)) {
        for &byte in line {
            if let Some(result) = self.push(byte) {
                found(result);
            }
        }
    }

    fn start(&mut self) {
        self.length = 0;
        self.state = State::Packet;
    }

    fn end(&mut self) -> Option<&[u8]> {
        let whole = self.state == State::Packet && self.length > 0;
        if whole {
            self.state = State::Done;
            self.buffer.as_ref().get(..self.length)
        } else {
            self.start();
            None
        }
    }

    fn store(&mut self, byte: u8) -> Option<Result<&[u8], Error>> {
        self.state = State::Packet;
        match self.buffer.as_mut().get_mut(self.length) {
            Some(place) => {
                *place = byte;
                self.length += 1;
                None
            }
            None => self.lose(Error::Long { most: self.length }),
        }
    }

    fn lose(&mut self, error: Error) -> Option<Result<&[u8], Error>> {
        self.state = State::Lost;
        Some(Err(error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    type Found = Vec<Result<Vec<u8>, Error>>;

    fn decode(room: usize, line: &[u8]) -> Found {
        let mut found = Found::new();
        Decoder::new(vec![0xa5; room]).feed(line, |result| found.push(result.map(<[u8]>::to_vec)));
        found
    }

    fn encoded(packet: &[u8]) -> Vec<u8> {
        let mut line = vec![0xa5; longest(packet.len())];
        let length = encode(packet, &mut line).unwrap();
        assert!(line[length..].iter().all(|&byte| byte == 0xa5));
        line.truncate(length);
        line
    }

    /// RFC 1055's bytes, put together by hand.
    #[test]
    fn there_and_back() {
        let packet = [0x01, 0xc0, 0x02, 0xdb, 0x03, 0xdb, 0xdc, 0xff];
        let line = [0xc0, 0x01, 0xdb, 0xdc, 0x02, 0xdb, 0xdd, 0x03, 0xdb, 0xdd, 0xdc, 0xff, 0xc0];
        assert_eq!(encoded(&packet), line);
        assert_eq!(decode(8, &line), [Ok(packet.to_vec())]);
    }

    #[test]
    fn an_empty_packet_is_two_ends_and_passed_over() {
        assert_eq!(encoded(&[]), [0xc0, 0xc0]);
        assert_eq!(decode(8, &[0xc0, 0xc0, 0xc0]), []);
    }

    #[test]
    fn every_byte_comes_through() {
        let all: Vec<u8> = (0..=255).collect();
        let line = encoded(&all);
        assert_eq!(line.len(), 260);
        assert_eq!(decode(256, &line), [Ok(all)]);
        assert_eq!(longest(256), 514);
        assert_eq!(encoded(&[END; 256]).len(), 514);
    }

    #[test]
    fn a_bad_escape_drops_the_packet() {
        let line = [0xc0, 1, 0xdb, 0x41, 2, 0xdb, 0x42, 0xc0, 3, 0xc0];
        assert_eq!(decode(8, &line), [Err(Error::Escape(0x41)), Ok(vec![3])]);
    }

    #[test]
    fn an_escaped_end_ends_all_the_same() {
        let line = [0xc0, 1, 0xdb, 0xc0, 2, 0xc0];
        assert_eq!(decode(8, &line), [Err(Error::Escape(0xc0)), Ok(vec![2])]);
    }

    #[test]
    fn without_an_end_nothing_is_given() {
        assert_eq!(decode(8, &[0xc0, 1, 2, 3]), []);
        // Where the END is lost, the packet outgrows the buffer, once, and the next END heals.
        let line = [0xc0, 1, 2, 3, 4, 5, 6, 7, 8, 0xc0, 9, 0xc0];
        assert_eq!(decode(4, &line), [Err(Error::Long { most: 4 }), Ok(vec![9])]);
        assert_eq!(decode(4, &[1, 2, 3, 0xdb, 0xdc, 0xc0]), [Ok(vec![1, 2, 3, 0xc0])]);
        assert_eq!(decode(0, &[1, 2, 0xc0]), [Err(Error::Long { most: 0 })]);
    }

    #[test]
    fn two_packets_may_share_one_end() {
        assert_eq!(decode(8, &[0xc0, 1, 0xc0, 2, 0xc0]), [Ok(vec![1]), Ok(vec![2])]);
    }

    #[test]
    fn a_small_buffer_is_refused_untouched() {
        let mut to = [0xa5; 4];
        let refused = encode(&[END, 1], &mut to);
        assert_eq!(refused, Err(BufferTooSmall { wanted: 5, found: 4 }));
        assert_eq!(to, [0xa5; 4]);
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(
            packets in prop::collection::vec(
                prop::collection::vec(prop_oneof![any::<u8>(), Just(END), Just(ESC)], 1..40),
                0..5,
            ),
            noise in prop::collection::vec(any::<u8>(), 0..10),
        ) {
            // Whatever stood on the line before, the END in front of a packet flushes it.
            let line: Vec<u8> =
                noise.into_iter().chain(packets.iter().flat_map(|packet| encoded(packet))).collect();
            let found = decode(40, &line);
            let tail: Vec<_> = packets.into_iter().map(Ok).collect();
            prop_assert!(found.ends_with(&tail));
        }

        #[test]
        fn no_line_panics_or_overflows(
            line in prop::collection::vec(
                prop_oneof![any::<u8>(), Just(END), Just(ESC), Just(ESC_END)],
                0..200,
            ),
            room in 0..20usize,
        ) {
            for packet in decode(room, &line).into_iter().flatten() {
                prop_assert!((1..=room).contains(&packet.len()));
            }
        }

        #[test]
        fn the_line_has_ends_only_at_its_ends(packet in prop::collection::vec(any::<u8>(), 0..99)) {
            let line = encoded(&packet);
            prop_assert_eq!(line.len(), encoded_len(&packet));
            prop_assert!(line.len() <= longest(packet.len()));
            let ends: Vec<_> = (0..line.len()).filter(|&at| line[at] == END).collect();
            prop_assert_eq!(ends, [0, line.len() - 1]);
        }
    }
}
