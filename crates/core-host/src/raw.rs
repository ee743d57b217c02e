//! The functions of `interface.cpp`, each behind one that is safe to call.
//!
//! What makes them safe: [`Memory`] owns every byte that the core is given, on the heap, where it stays when a
//! `Memory` is moved; nothing else refers to it while the core runs, and the core refers to nothing else.
#![allow(unsafe_code, reason = "calls of another language; each says why it is sound")]

use std::ffi::c_void;

#[repr(C)]
pub(crate) struct Line {
    pub first_universe: u32,
    pub byte_offset: u32,
    pub pixels: u32,
    pub spares: u32,
}

/// What a panel is.
pub(crate) struct Panel {
    pub protocol: u32,
    pub channels: u32,
    pub ceiling: u8,
    pub on_loss: u32,
    pub lines: Vec<Line>,
}

#[repr(C)]
struct Setup {
    protocol: u32,
    channels: u32,
    ceiling: u32,
    on_loss: u32,
    packed: u32,
    lines: *const c_void,
    line_count: usize,
    held: *mut u8,
    lit: *mut u8,
    shown: *mut u8,
    bytes: usize,
    universes: *mut c_void,
    universe_room: usize,
}

#[repr(C)]
#[derive(Clone, Copy, Default)]
pub(crate) struct Counts {
    pub packets: u64,
    pub lost: u64,
    pub late: u64,
    pub wrong: u64,
    pub ignored: u64,
    pub strangers: u64,
    pub shown: u64,
    pub frames: u64,
    pub held_bytes: u64,
    pub held_flashes: u64,
}

unsafe extern "C" {
    // SAFETY: these four only give numbers.
    safe fn glowloom_host_size() -> usize;
    safe fn glowloom_line_size() -> usize;
    safe fn glowloom_universe_size() -> usize;
    safe fn glowloom_most_aligned() -> usize;
    fn glowloom_set_line(lines: *mut c_void, nth: usize, line: *const Line);
    fn glowloom_begin(at: *mut c_void, setup: *const Setup) -> u8;
    fn glowloom_packet(
        at: *mut c_void,
        now: u32,
        ip: *const u8,
        bytes: *const u8,
        size: usize,
    ) -> u8;
    fn glowloom_wait(at: *mut c_void, now: u32) -> u8;
    fn glowloom_pass(at: *mut c_void, now: u32) -> u8;
    fn glowloom_state(at: *const c_void) -> u8;
    fn glowloom_count(at: *const c_void, to: *mut Counts);
}

/// Memory on the heap that the core may write. Held as a pointer, not as a box: a box would promise that nobody
/// else does.
struct Owned<T> {
    at: *mut [T],
}

// SAFETY: an `Owned` owns what is there as a box does, and there are but numbers.
unsafe impl<T: Send> Send for Owned<T> {}

impl<T: Clone + Default> Owned<T> {
    fn new(size: usize) -> Self {
        Self { at: Box::into_raw(vec![T::default(); size].into_boxed_slice()) }
    }
}

impl<T> Owned<T> {
    fn start<U>(&self) -> *mut U {
        self.at.cast()
    }
}

impl<T> Drop for Owned<T> {
    fn drop(&mut self) {
        // SAFETY: it came from a box in `new`, and is given back once.
        drop(unsafe { Box::from_raw(self.at) });
    }
}

/// Memory for things of the core's own, aligned as a 64-bit number is.
fn room(bytes: usize) -> Owned<u64> {
    Owned::new(bytes.div_ceil(size_of::<u64>()))
}

/// A core and all of its memory. It has no state outside of that, so it may be handed to another thread.
pub(crate) struct Memory {
    host: Owned<u64>,
    lines: Owned<u64>,
    universes: Owned<u64>,
    held: Owned<u8>,
    lit: Owned<u8>,
    shown: Owned<u8>,
}

impl Memory {
    /// A core that has heard nothing; `None` where there is nothing to light.
    pub fn begin(panel: &Panel) -> Option<Self> {
        // That is what `room` gives.
        if glowloom_most_aligned() > align_of::<u64>() {
            return None;
        }
        let slots: usize = panel.lines.iter().map(|line| line.pixels as usize).sum();
        let bytes = slots * panel.channels as usize;
        let whole = (512 / panel.channels).max(1);
        let universes: usize =
            panel.lines.iter().map(|line| line.pixels.div_ceil(whole) as usize).sum();
        let lines = room(glowloom_line_size() * panel.lines.len());
        for (nth, line) in panel.lines.iter().enumerate() {
            // SAFETY: `lines` has room for as many lines as there are, aligned as one is.
            unsafe { glowloom_set_line(lines.start(), nth, line) };
        }
        let memory = Self {
            host: room(glowloom_host_size()),
            lines,
            universes: room(glowloom_universe_size() * universes),
            held: Owned::new(bytes),
            lit: Owned::new(bytes),
            shown: Owned::new(bytes),
        };
        let setup = Setup {
            protocol: panel.protocol,
            channels: panel.channels,
            ceiling: panel.ceiling.into(),
            on_loss: panel.on_loss,
            packed: 0,
            lines: memory.lines.start(),
            line_count: panel.lines.len(),
            held: memory.held.start(),
            lit: memory.lit.start(),
            shown: memory.shown.start(),
            bytes,
            universes: memory.universes.start(),
            universe_room: universes,
        };
        // SAFETY: `host` has room for a `Host`, aligned as one is; every pointer of `setup` is to as many bytes as
        // it states, which stay where they are as long as `memory` lives. Protocol, channels and loss are of the
        // core's own numbers, as `core.rs` makes them.
        let begun = unsafe { glowloom_begin(memory.host.start(), &raw const setup) };
        (begun != 0).then_some(memory)
    }

    pub fn packet(&mut self, now: u32, ip: &[u8; 16], bytes: &[u8]) -> u8 {
        let (size, at) = (bytes.len(), self.host.start());
        // SAFETY: `begin` made a `Host` there; 16 bytes of an address, and `size` bytes to read.
        unsafe { glowloom_packet(at, now, ip.as_ptr(), bytes.as_ptr(), size) }
    }

    pub fn wait(&mut self, now: u32) -> u8 {
        // SAFETY: `begin` made a `Host` there.
        unsafe { glowloom_wait(self.host.start(), now) }
    }

    pub fn pass(&mut self, now: u32) -> bool {
        // SAFETY: `begin` made a `Host` there.
        unsafe { glowloom_pass(self.host.start(), now) != 0 }
    }

    pub fn state(&self) -> u8 {
        // SAFETY: `begin` made a `Host` there, which is only read.
        unsafe { glowloom_state(self.host.start()) }
    }

    pub fn counts(&self) -> Counts {
        let mut counts = Counts::default();
        // SAFETY: `begin` made a `Host` there, which is only read; `counts` is laid out as the core's.
        unsafe { glowloom_count(self.host.start(), &raw mut counts) };
        counts
    }

    /// What the guard let through.
    pub fn shown(&self) -> &[u8] {
        // SAFETY: the bytes live as long as `self`; the core writes them only in calls that take `self` mutably.
        unsafe { &*self.shown.at }
    }

    /// What is lit before the guard.
    pub fn lit(&self) -> &[u8] {
        // SAFETY: as for `shown`.
        unsafe { &*self.lit.at }
    }
}
