//! The way to panels on a serial cable: DDP packets in SLIP (RFC 1055).
//!
//! A cable has a writer of its own, which waits for nobody else and is waited for by nobody. It holds
//! one frame that is being written and one that waits; a newer one takes the place of the one that
//! waits. So a cable that is too slow leaves out whole frames, its own only, and a frame that has
//! begun goes to its end.

use std::ops::Range;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use glowloom_wire::patch::Channels;
use glowloom_wire::{ColourBits, colour_bits, ddp, slip};

use crate::DriveError;
use crate::block::Block;
use crate::health::{Fault, LinkCounts};
use crate::serial::{Port, Wrote};

/// A port that cannot be opened is tried again after this long: a cable put back is lit at once.
const REOPEN: Duration = Duration::from_millis(250);
/// A port that takes nothing for this long is stuck, and its frame is given up.
const STUCK: Duration = Duration::from_secs(1);
/// How long the end of a show waits for the last frame to leave, as long as bytes move.
const GOODBYE: Duration = Duration::from_secs(5);
/// At the end a port that takes nothing for this long is not waited for.
const STUCK_AT_THE_END: Duration = Duration::from_millis(200);
/// A cable that has left out a frame counts as failing for this long, so that one that is a little too
/// slow is not called well again between two frames.
const RECOVERING: Duration = Duration::from_secs(2);
/// The longest that the writer waits before it looks whether it is to end.
const NAP: Duration = Duration::from_millis(50);

/// A cable and what goes over it.
#[derive(Debug)]
pub(crate) struct Cable {
    /// Those of its panels, in order.
    packets: Vec<Range<usize>>,
    channels: Channels,
    bits: ColourBits,
    /// One packet as it leaves, before SLIP.
    packet: Vec<u8>,
    shared: Arc<Shared>,
    writer: Option<JoinHandle<()>>,
}

/// A serial port by name and speed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PortName {
    pub path: String,
    pub baud: u32,
}

impl Cable {
    /// Begins to write to a port, whether it is there yet or not.
    ///
    /// # Errors
    /// [`DriveError::Thread`].
    pub fn start(
        port: PortName,
        bits: ColourBits,
        channels: Channels,
        block: &Block,
        packets: Vec<Range<usize>>,
        counts: Arc<LinkCounts>,
    ) -> Result<Self, DriveError> {
        let sizes = || packets.iter().cloned().flatten().map(|index| block.packet(index).len());
        let longest = sizes().map(slip::longest).sum();
        let count = packets.iter().map(ExactSizeIterator::len).sum();
        let spare = (0..3).map(|_| Line::of(longest, count)).collect();
        let shared = Arc::new(Shared {
            desk: Mutex::new(Desk { spare, waiting: None, left_out: None, closing: false }),
            changed: Condvar::new(),
            counts,
        });
        let packet = Vec::with_capacity(sizes().max().unwrap_or(0));
        let writer = {
            let shared = Arc::clone(&shared);
            thread::Builder::new()
                .name("cable".into())
                .spawn(move || shared.write_all(&port))
                .map_err(DriveError::Thread)?
        };
        Ok(Self { packets, channels, bits, packet, shared, writer: Some(writer) })
    }

    /// Hands the frame to the writer.
    pub fn send(&mut self, block: &Block) {
        let Some(mut line) = self.shared.lock().spare.pop() else { return };
        line.clear();
        for index in self.packets.iter().cloned().flatten() {
            pack(block.packet(index), self.channels, self.bits, &mut self.packet);
            line.push(&self.packet);
        }
        self.shared.put(line);
    }
}

impl Drop for Cable {
    fn drop(&mut self) {
        self.shared.lock().closing = true;
        self.shared.changed.notify_all();
        if let Some(writer) = self.writer.take() {
            // A panic there has been reported by its thread.
            let _ = writer.join();
        }
    }
}

/// A frame as it goes over the cable.
#[derive(Debug)]
struct Line {
    bytes: Vec<u8>,
    /// Where its packets begin, with their ENDs.
    starts: Vec<usize>,
}

impl Line {
    /// Room for so many bytes and packets.
    fn of(bytes: usize, packets: usize) -> Self {
        Self { bytes: Vec::with_capacity(bytes), starts: Vec::with_capacity(packets) }
    }

    fn clear(&mut self) {
        self.bytes.clear();
        self.starts.clear();
    }

    fn push(&mut self, packet: &[u8]) {
        let start = self.bytes.len();
        self.starts.push(start);
        self.bytes.resize(start + slip::encoded_len(packet), 0);
        // It has just the room that is wanted.
        let _ = slip::encode(packet, &mut self.bytes[start..]);
    }

    /// Numbers the packets. That is done last, so that frames which are left out leave no gap, and
    /// where it stands on the line: neither the flags before it nor the number are ever escaped.
    fn number(&mut self, sequence: &mut ddp::Sequence) {
        for start in &self.starts {
            *sequence = sequence.next();
            if let Some(byte) = self.bytes.get_mut(start + 1 + ddp::field::SEQUENCE) {
                *byte = sequence.get();
            }
        }
    }
}

/// A packet of the block as it goes over the cable: with 16 colour bits each pixel's red, green and
/// blue take two bytes.
fn pack(packet: &[u8], channels: Channels, bits: ColourBits, into: &mut Vec<u8>) {
    into.clear();
    match bits {
        ColourBits::TwentyFour => into.extend_from_slice(packet),
        ColourBits::Sixteen => {
            let (header, pixels) = packet.split_at(ddp::HEADER.min(packet.len()));
            into.extend_from_slice(header);
            for pixel in pixels.chunks_exact(channels.count()) {
                into.extend_from_slice(&colour_bits::pack([pixel[0], pixel[1], pixel[2]]));
                into.extend_from_slice(&pixel[3..]);
            }
        }
    }
}

/// What sender and writer share.
#[derive(Debug)]
struct Shared {
    desk: Mutex<Desk>,
    changed: Condvar,
    counts: Arc<LinkCounts>,
}

#[derive(Debug)]
struct Desk {
    spare: Vec<Line>,
    waiting: Option<Line>,
    /// When a frame was last left out.
    left_out: Option<Instant>,
    closing: bool,
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Lets a frame wait for the writer. One that waits already is left out.
    fn put(&self, line: Line) {
        let mut desk = self.lock();
        if let Some(older) = desk.waiting.replace(line) {
            desk.spare.push(older);
            desk.left_out = Some(Instant::now());
            drop(desk);
            self.counts.note_fault(Fault::Behind);
            self.counts.note_dropped();
        }
        self.changed.notify_all();
    }

    /// The next frame, and whether one was left out not long before; `None`: the show is over.
    fn next(&self) -> Option<(Line, bool)> {
        let mut desk = self.lock();
        loop {
            if let Some(line) = desk.waiting.take() {
                let left_out = desk.left_out.is_some_and(|at| at.elapsed() < RECOVERING);
                return Some((line, left_out));
            }
            if desk.closing {
                return None;
            }
            desk = self.changed.wait(desk).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Writes frames until the show is over.
    fn write_all(&self, name: &PortName) {
        let mut port = None;
        let mut reopen = Instant::now();
        let (mut closing, mut sequence) = (None, ddp::Sequence::UNUSED);
        while let Some((mut line, left_out)) = self.next() {
            let opened = open(name, &mut port, &mut reopen);
            let written = opened.and_then(|()| {
                line.number(&mut sequence);
                self.write(&mut port, &mut closing, &line.bytes)
            });
            match written {
                Ok(()) => self.counts.note_sent(left_out),
                Err(fault) => {
                    if let Some(fault) = fault {
                        self.counts.note_fault(fault);
                    }
                    self.counts.note_dropped();
                }
            }
            self.lock().spare.push(line);
        }
    }

    /// Writes one frame.
    fn write(
        &self,
        port: &mut Option<Port>,
        closing: &mut Option<Instant>,
        line: &[u8],
    ) -> Result<(), Option<Fault>> {
        let Some(open) = port else { return Err(None) };
        let mut left = line;
        let mut moved = Instant::now();
        while !left.is_empty() {
            match open.write(left) {
                Ok(Wrote::Some(count)) => {
                    left = left.get(count..).unwrap_or_default();
                    moved = Instant::now();
                }
                Ok(Wrote::Full) if self.gives_up(moved, closing) => {
                    // The next frame begins with an END, so half a one does no harm.
                    open.flush();
                    return Err(Some(Fault::Stuck));
                }
                Ok(Wrote::Full) => {
                    if let Err(fault) = open.wait(NAP) {
                        *port = None;
                        return Err(Some(fault));
                    }
                }
                Err(fault) => {
                    *port = None;
                    return Err(Some(fault));
                }
            }
        }
        // Whatever the board says is read, even while the cable is never full.
        if open.wait(Duration::ZERO).is_err() {
            *port = None;
        }
        Ok(())
    }

    /// Whether a frame has been waiting for too long.
    fn gives_up(&self, moved: Instant, closing: &mut Option<Instant>) -> bool {
        if self.lock().closing {
            let since = closing.get_or_insert_with(Instant::now);
            return since.elapsed() >= GOODBYE || moved.elapsed() >= STUCK_AT_THE_END;
        }
        moved.elapsed() >= STUCK
    }
}

/// Opens a port that is not open, if it is time to. An error without a fault has that of the frame
/// before.
fn open(
    name: &PortName,
    port: &mut Option<Port>,
    reopen: &mut Instant,
) -> Result<(), Option<Fault>> {
    if port.is_some() {
        return Ok(());
    }
    if Instant::now() < *reopen {
        return Err(None);
    }
    *reopen = Instant::now() + REOPEN;
    *port = Some(Port::open(&name.path, name.baud).map_err(Some)?);
    Ok(())
}
