//! The one thing that planning hands to live output: where each pixel of the picture goes.
//!
//! Checked plain data. If a [`Patch`] exists, no two panels share a universe or a place on the
//! network, no source lies outside the picture, and no picture pixel is shown twice.

use std::collections::BTreeSet;

use crate::ColourBits;
use crate::balance::Balance;
use crate::evened::Evened;
use crate::guard::Guard;

/// How frames are put into packets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Protocol {
    /// ANSI E1.31, UDP port 5568.
    E131,
    /// Art-Net 4, UDP port 6454; a Port-Address is the universe's number.
    ArtNet,
    /// DDP version 1, UDP port 4048.
    Ddp,
}

impl Protocol {
    /// The UDP port that receivers listen on.
    #[must_use]
    pub const fn port(self) -> u16 {
        match self {
            Self::E131 => 5568,
            Self::ArtNet => 6454,
            Self::Ddp => 4048,
        }
    }
}

/// How many slots a pixel takes on the network: red, green, blue, and white on 4-channel strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channels {
    /// Red, green, blue.
    Three,
    /// Red, green, blue, white.
    Four,
}

impl Channels {
    /// Slots to a pixel.
    #[must_use]
    pub const fn count(self) -> usize {
        match self {
            Self::Three => 3,
            Self::Four => 4,
        }
    }

    /// Whole pixels to a universe of 512 slots: 170 or 128.
    #[must_use]
    pub const fn pixels_per_universe(self) -> usize {
        512 / self.count()
    }
}

/// Where a receiver is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Address {
    /// A host name or address, and a UDP port.
    Udp {
        /// As written in the wall file: `192.0.2.51`, `fe80::1` or `west.local`.
        host: String,
        /// UDP port.
        port: u16,
    },
    /// A virtual panel: this port on 127.0.0.1.
    Virtual {
        /// UDP port.
        port: u16,
    },
    /// A serial port of this computer.
    Serial {
        /// As the system names it; absent: not known yet.
        port: Option<String>,
        /// Bits a second.
        baud: u32,
        /// Bits of a pixel's red, green and blue.
        bits: ColourBits,
    },
}

/// One data line: a chain of pixels behind one pin of the receiver.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The universe that holds the line's first pixel; the rest follow without a gap.
    pub first_universe: u16,
    /// Where the line starts in the panel's bytes, for protocols that count bytes.
    pub byte_offset: u32,
    /// For each pixel of the chain, in order, the picture pixel (row-major) that it shows; `None`
    /// for a dark spare.
    pub pixels: Vec<Option<u32>>,
}

/// The patch of one panel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelPatch {
    /// The panel's name.
    pub name: String,
    /// Where its receiver is.
    pub address: Address,
    /// Its data lines, in order of the receiver's pins.
    pub lines: Vec<Line>,
}

impl PanelPatch {
    /// Pixels on all data lines, spares included.
    #[must_use]
    pub fn pixels(&self) -> usize {
        self.lines.iter().map(|line| line.pixels.len()).sum()
    }

    /// The picture pixels that it shows, line by line.
    pub fn lit(&self) -> impl Iterator<Item = u32> + '_ {
        self.lines.iter().flat_map(|line| &line.pixels).flatten().copied()
    }

    /// The universes of the panel, ascending within each line.
    pub fn universes(&self, channels: Channels) -> impl Iterator<Item = u16> + '_ {
        self.lines.iter().flat_map(move |line| {
            let count = line.pixels.len().div_ceil(channels.pixels_per_universe());
            (0..count).map(move |i| {
                line.first_universe.saturating_add(u16::try_from(i).unwrap_or(u16::MAX))
            })
        })
    }
}

/// What every panel of the wall has in common.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Common {
    /// Picture columns.
    pub columns: u32,
    /// Picture rows.
    pub rows: u32,
    /// Slots to a pixel.
    pub channels: Channels,
    /// How frames are put into packets.
    pub protocol: Protocol,
    /// The highest byte that may leave for any channel.
    pub ceiling: u8,
    /// The universe of synchronization packets (ANSI E1.31).
    pub sync_universe: u16,
}

/// Where each pixel of the picture goes: all that live output knows of a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    common: Common,
    panels: Vec<PanelPatch>,
    guard: Option<Guard>,
    /// Of each panel; empty where all keep all of their light.
    balances: Vec<Balance>,
    /// Of each panel's lit pixels in order; empty where none is dimmed for others.
    evened: Vec<Vec<Evened>>,
    /// The wall's name; empty where nobody said.
    wall: String,
}

/// Why a patch would not be safe to send by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PatchError {
    /// Two panels, or two lines, on one universe.
    UniverseTwice(u16),
    /// A universe outside 1 to 63,999 (E1.31-2018, 9.1.1), or the synchronization universe used for data.
    Universe(u16),
    /// A source outside the picture.
    OutsidePicture(u32),
    /// A picture pixel shown by two light pixels.
    ShownTwice(u32),
    /// Two panels at one address and port.
    AddressTwice(Address),
    /// Lines of a panel that overlap in its bytes.
    OffsetsOverlap(String),
    /// The guard's rows are of another wall.
    GuardOfOther,
    /// Balances of another number of panels.
    BalanceOfOther,
    /// What pixels keep of their light is said of other pixels.
    EvenedOfOther,
}

impl std::fmt::Display for PatchError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::UniverseTwice(u) => write!(f, "universe {u} is used twice"),
            Self::Universe(u) => write!(f, "universe {u} cannot carry data"),
            Self::OutsidePicture(p) => write!(f, "picture pixel {p} is outside the picture"),
            Self::ShownTwice(p) => write!(f, "picture pixel {p} is shown twice"),
            Self::AddressTwice(a) => write!(f, "two panels at {a:?}"),
            Self::OffsetsOverlap(name) => write!(f, "data lines of panel {name} overlap"),
            Self::GuardOfOther => write!(f, "the guard's rows are of another wall"),
            Self::BalanceOfOther => write!(f, "the panels' balances are of another wall"),
            Self::EvenedOfOther => write!(f, "what pixels keep of their light is of another wall"),
        }
    }
}

impl std::error::Error for PatchError {}

impl Patch {
    /// The only way to a patch.
    ///
    /// # Errors
    /// The first [`PatchError`] found, in the order of the panels.
    pub fn new(common: Common, panels: Vec<PanelPatch>) -> Result<Self, PatchError> {
        let size = common.columns as usize * common.rows as usize;
        let mut shown = vec![false; size];
        let mut universes = BTreeSet::new();
        let mut addresses = BTreeSet::new();
        for panel in &panels {
            // Any number of panels may hang on one serial cable or have none named yet.
            let alone = !matches!(panel.address, Address::Serial { .. });
            if alone && !addresses.insert(&panel.address) {
                return Err(PatchError::AddressTwice(panel.address.clone()));
            }
            for universe in panel.universes(common.channels) {
                if !(1..=63_999).contains(&universe) || universe == common.sync_universe {
                    return Err(PatchError::Universe(universe));
                }
                if !universes.insert(universe) {
                    return Err(PatchError::UniverseTwice(universe));
                }
            }
            offsets_rise(panel, common.channels)?;
            for source in panel.lines.iter().flat_map(|line| &line.pixels).flatten() {
                match shown.get_mut(*source as usize) {
                    None => return Err(PatchError::OutsidePicture(*source)),
                    Some(true) => return Err(PatchError::ShownTwice(*source)),
                    Some(seen) => *seen = true,
                }
            }
        }
        Ok(Self {
            common,
            panels,
            guard: None,
            balances: Vec::new(),
            evened: Vec::new(),
            wall: String::new(),
        })
    }

    /// The same with limits that every frame is to be held to.
    ///
    /// # Errors
    /// [`PatchError::GuardOfOther`] where it speaks of another number of panels, or of more pixels than a
    /// panel has.
    pub fn with_guard(self, guard: Guard) -> Result<Self, PatchError> {
        let fits = |(number, panel): (usize, &PanelPatch)| {
            let lit = panel.lines.iter().flat_map(|line| &line.pixels).flatten().count();
            guard.rows(number).iter().all(|row| row.first.saturating_add(row.weights.len()) <= lit)
        };
        if guard.panels() != self.panels.len() || !self.panels.iter().enumerate().all(fits) {
            return Err(PatchError::GuardOfOther);
        }
        Ok(Self { guard: Some(guard), ..self })
    }

    /// The same with panels that keep only part of their light, in the order of the panels.
    ///
    /// # Errors
    /// [`PatchError::BalanceOfOther`] where they are of another number of panels.
    pub fn with_balances(self, balances: Vec<Balance>) -> Result<Self, PatchError> {
        if balances.len() != self.panels.len() {
            return Err(PatchError::BalanceOfOther);
        }
        Ok(Self { balances, ..self })
    }

    /// The same with pixels that keep only part of their light: of each panel its lit pixels, line by line.
    ///
    /// # Errors
    /// [`PatchError::EvenedOfOther`] where they are of other panels.
    pub fn with_evened(self, evened: Vec<Vec<Evened>>) -> Result<Self, PatchError> {
        let fits =
            |(panel, evened): (&PanelPatch, &Vec<Evened>)| panel.lit().count() == evened.len();
        if evened.len() != self.panels.len() || !self.panels.iter().zip(&evened).all(fits) {
            return Err(PatchError::EvenedOfOther);
        }
        Ok(Self { evened, ..self })
    }

    /// How much of its light each lit pixel of a panel keeps, besides the panel's balance; empty where all keep
    /// all of it.
    #[must_use]
    pub fn evened(&self, panel: usize) -> &[Evened] {
        self.evened.get(panel).map_or(&[], Vec::as_slice)
    }

    /// How much of its light a panel keeps, counted from 0.
    #[must_use]
    pub fn balance(&self, panel: usize) -> Balance {
        self.balances.get(panel).copied().unwrap_or(Balance::EVEN)
    }

    /// The same for a wall of this name, by which receivers and senders know it on the network.
    #[must_use]
    pub fn of_wall(self, name: &str) -> Self {
        Self { wall: name.into(), ..self }
    }

    /// The wall's name; empty where nobody said.
    #[must_use]
    pub fn wall(&self) -> &str {
        &self.wall
    }

    /// Limits that every frame is to be held to; absent: the ceiling alone holds.
    #[must_use]
    pub fn guard(&self) -> Option<&Guard> {
        self.guard.as_ref()
    }

    /// What every panel has in common.
    #[must_use]
    pub fn common(&self) -> &Common {
        &self.common
    }

    /// The panels, in the order of the wall file.
    #[must_use]
    pub fn panels(&self) -> &[PanelPatch] {
        &self.panels
    }

    /// Bytes of one frame as sources hand it over: row-major, slots of a pixel together.
    #[must_use]
    pub fn frame_bytes(&self) -> usize {
        self.common.columns as usize * self.common.rows as usize * self.common.channels.count()
    }
}

/// Each line of a panel starts at or after the end of the one before.
fn offsets_rise(panel: &PanelPatch, channels: Channels) -> Result<(), PatchError> {
    let mut end = 0;
    for line in &panel.lines {
        if (line.byte_offset as usize) < end {
            return Err(PatchError::OffsetsOverlap(panel.name.clone()));
        }
        end = line.byte_offset as usize + line.pixels.len() * channels.count();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn common() -> Common {
        Common {
            columns: 2,
            rows: 2,
            channels: Channels::Three,
            protocol: Protocol::E131,
            ceiling: 255,
            sync_universe: 9,
        }
    }

    fn panel(port: u16, first_universe: u16, pixels: &[Option<u32>]) -> PanelPatch {
        PanelPatch {
            name: format!("p{port}"),
            address: Address::Virtual { port },
            lines: vec![Line { first_universe, byte_offset: 0, pixels: pixels.to_vec() }],
        }
    }

    #[test]
    fn refuses_what_must_not_be_sent() {
        let refused = |panels: Vec<PanelPatch>| Patch::new(common(), panels).unwrap_err();
        let one = || panel(1, 1, &[Some(0), None, Some(1)]);
        assert!(Patch::new(common(), vec![one(), panel(2, 2, &[Some(2), Some(3)])]).is_ok());
        assert_eq!(refused(vec![one(), panel(2, 1, &[Some(2)])]), PatchError::UniverseTwice(1));
        assert_eq!(refused(vec![one(), panel(2, 2, &[Some(0)])]), PatchError::ShownTwice(0));
        assert_eq!(refused(vec![panel(1, 1, &[Some(4)])]), PatchError::OutsidePicture(4));
        assert_eq!(refused(vec![panel(1, 0, &[Some(0)])]), PatchError::Universe(0));
        assert_eq!(refused(vec![panel(1, 9, &[Some(0)])]), PatchError::Universe(9));
        let same = Address::Virtual { port: 1 };
        assert_eq!(refused(vec![one(), panel(1, 2, &[Some(2)])]), PatchError::AddressTwice(same));
    }

    #[test]
    fn lines_of_a_panel_do_not_overlap() {
        let mut two = panel(1, 1, &[Some(0), Some(1)]);
        two.lines.push(Line { first_universe: 2, byte_offset: 5, pixels: vec![Some(2)] });
        let refused = Patch::new(common(), vec![two]);
        assert_eq!(refused, Err(PatchError::OffsetsOverlap("p1".into())));
    }

    #[test]
    fn panels_keep_all_their_light_unless_told() {
        let two = || vec![panel(1, 1, &[Some(0)]), panel(2, 2, &[Some(1)])];
        let dim = Balance::new([0.9, 1.0, 0.8, 1.0]).unwrap();
        let patch = Patch::new(common(), two()).unwrap();
        assert_eq!(patch.balance(1), Balance::EVEN);
        let patch = patch.with_balances(vec![Balance::EVEN, dim]).unwrap();
        assert_eq!((patch.balance(0), patch.balance(1)), (Balance::EVEN, dim));
        assert_eq!(patch.with_balances(vec![dim]), Err(PatchError::BalanceOfOther));
    }

    #[test]
    fn a_universe_holds_whole_pixels() {
        assert_eq!(Channels::Three.pixels_per_universe(), 170);
        assert_eq!(Channels::Four.pixels_per_universe(), 128);
        let panel = panel(1, 5, &[None; 171]);
        assert_eq!(panel.universes(Channels::Three).collect::<Vec<_>>(), [5, 6]);
    }
}
