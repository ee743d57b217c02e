//! The universe discovery packet: what a sender sends (E1.31-2018, Table 4-3, 8 and 9).

use super::layer::{self, FRAMING_DISCOVERY, ROOT_EXTENDED, u16_at};
use super::{Cid, Error, Layer, SourceName, Universe};

/// Where the universes begin; also the bytes of the header.
pub const UNIVERSES: usize = 120;

/// The most universes on one page.
pub const PAGE: usize = 512;

/// Where each field of a discovery packet lies.
pub mod field {
    use std::ops::Range;

    pub use super::super::layer::field::*;

    /// The sender's name, UTF-8, padded with NUL.
    pub const SOURCE_NAME: Range<usize> = 44..108;
    /// Four bytes sent as zero, not looked at on receipt (from memory).
    pub const RESERVED: Range<usize> = 108..112;
    /// Flags and length of the list.
    pub const LIST_LENGTH: Range<usize> = 112..114;
    /// What the list holds.
    pub const LIST_VECTOR: Range<usize> = 114..118;
    /// This page, counted from 0.
    pub const PAGE: usize = 118;
    /// The last page.
    pub const LAST_PAGE: usize = 119;
}

/// A list of universes, the only list that there is.
const LIST_UNIVERSES: u32 = 1;

/// A discovery packet over any bytes.
#[derive(Clone, Copy, Debug)]
pub struct Packet<T>(T);

impl<T: AsRef<[u8]>> Packet<T> {
    /// After `Ok`, no getter panics. Nothing but the size is looked at.
    ///
    /// # Errors
    /// [`Error::Short`] below 120 bytes, or below what the root layer states.
    pub fn new_checked(bytes: T) -> Result<Self, Error> {
        layer::check_size(bytes.as_ref(), UNIVERSES)?;
        Ok(Self(bytes))
    }

    /// The sender's identity.
    pub fn cid(&self) -> Cid {
        layer::cid(self.0.as_ref())
    }

    /// The sender's name.
    pub fn source_name(&self) -> SourceName {
        layer::source_name(self.0.as_ref())
    }

    /// This page, counted from 0.
    pub fn page(&self) -> u8 {
        self.0.as_ref()[field::PAGE]
    }

    /// The last page.
    pub fn last_page(&self) -> u8 {
        self.0.as_ref()[field::LAST_PAGE]
    }

    /// The universes as they stand there: 2 bytes each, high byte first.
    pub fn list(&self) -> &[u8] {
        &self.0.as_ref()[UNIVERSES..]
    }
}

/// All of a discovery packet but its universes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// The sender's identity.
    pub cid: Cid,
    /// The sender's name.
    pub source: SourceName,
    /// This page, counted from 0.
    pub page: u8,
    /// The last page; the same on every page.
    pub last_page: u8,
}

impl Header {
    /// Writes a packet that lists `universes`, and gives its size, 120 bytes and two for each.
    /// [`pages`] cuts a list of any length.
    ///
    /// # Errors
    /// [`Error::Page`] where the page is above the last; [`Error::Universes`] above 512;
    /// [`Error::Order`] where they do not ascend; [`Error::Buffer`] where `to` is too small.
    pub fn emit(&self, universes: &[Universe], to: &mut [u8]) -> Result<usize, Error> {
        check_page(self.page, self.last_page)?;
        check_count(universes.len())?;
        check_order(universes.iter().map(|universe| universe.get()))?;
        let size = UNIVERSES + 2 * universes.len();
        layer::check_buffer(to, size)?;
        layer::emit_root(to, size, ROOT_EXTENDED, FRAMING_DISCOVERY, self.cid);
        to[field::SOURCE_NAME].copy_from_slice(self.source.as_field());
        to[field::RESERVED].fill(0);
        layer::emit_length(to, size, field::LIST_LENGTH);
        to[field::LIST_VECTOR].copy_from_slice(&LIST_UNIVERSES.to_be_bytes());
        to[field::PAGE] = self.page;
        to[field::LAST_PAGE] = self.last_page;
        for (place, universe) in to[UNIVERSES..size].chunks_exact_mut(2).zip(universes) {
            place.copy_from_slice(&universe.get().to_be_bytes());
        }
        Ok(size)
    }
}

/// A discovery packet as it is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Discovery<'a> {
    /// All but the universes.
    pub header: Header,
    /// Two bytes to a universe, each checked.
    list: &'a [u8],
}

impl<'a> Discovery<'a> {
    /// Judges a packet.
    ///
    /// # Errors
    /// What is wrong first, in the order of the bytes.
    pub fn parse(packet: &Packet<&'a [u8]>) -> Result<Self, Error> {
        let bytes = packet.0;
        layer::check_root(bytes, ROOT_EXTENDED, FRAMING_DISCOVERY)?;
        layer::check_length(bytes, Layer::List, field::LIST_LENGTH)?;
        let vector = layer::u32_at(&bytes[field::LIST_VECTOR]);
        layer::check_vector(Layer::List, vector, LIST_UNIVERSES)?;
        let header = Header {
            cid: packet.cid(),
            source: packet.source_name(),
            page: packet.page(),
            last_page: packet.last_page(),
        };
        check_page(header.page, header.last_page)?;
        let list = &bytes[UNIVERSES..];
        if !list.len().is_multiple_of(2) {
            return Err(Error::HalfUniverse);
        }
        check_count(list.len() / 2)?;
        for number in numbers(list) {
            Universe::new(number)?;
        }
        check_order(numbers(list))?;
        Ok(Self { header, list })
    }

    /// The universes on this page, ascending.
    pub fn universes(&self) -> impl Iterator<Item = Universe> + 'a {
        numbers(self.list).filter_map(|number| Universe::new(number).ok())
    }
}

/// Cuts all universes of a sender into pages: for each its number, the number of the last, and
/// what to list. A sender of none has one empty page.
///
/// # Errors
/// [`Error::Order`] where they do not ascend.
pub fn pages(universes: &[Universe]) -> Result<impl Iterator<Item = (u8, u8, &[Universe])>, Error> {
    check_order(universes.iter().map(|universe| universe.get()))?;
    // Ascending, so at most 63,999 of them: 125 pages.
    let last = universes.len().div_ceil(PAGE).saturating_sub(1);
    Ok((0..=last).map(move |page| {
        let end = universes.len().min((page + 1) * PAGE);
        (page as u8, last as u8, &universes[page * PAGE..end])
    }))
}

fn numbers(list: &[u8]) -> impl Iterator<Item = u16> {
    list.chunks_exact(2).map(u16_at)
}

fn check_page(page: u8, last: u8) -> Result<(), Error> {
    if page > last { Err(Error::Page { page, last }) } else { Ok(()) }
}

fn check_count(universes: usize) -> Result<(), Error> {
    if universes > PAGE { Err(Error::Universes(universes)) } else { Ok(()) }
}

fn check_order(numbers: impl Iterator<Item = u16>) -> Result<(), Error> {
    let mut before = 0;
    for after in numbers {
        if after <= before {
            return Err(Error::Order { before, after });
        }
        before = after;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::e131::golden;
    use proptest::prelude::*;

    fn parse(bytes: &[u8]) -> Result<Discovery<'_>, Error> {
        Discovery::parse(&Packet::new_checked(bytes)?)
    }

    fn universes(numbers: impl IntoIterator<Item = u16>) -> Vec<Universe> {
        numbers.into_iter().map(|number| Universe::new(number).unwrap()).collect()
    }

    fn header() -> Header {
        let source = SourceName::new("Glowloom");
        Header { cid: golden::CID, source, page: 0, last_page: 0 }
    }

    #[test]
    fn there_and_back() {
        let mut bytes = [0xa5; 127];
        assert_eq!(header().emit(&universes([1, 2, 7]), &mut bytes), Ok(126));
        assert_eq!(bytes[..126], golden::DISCOVERY);
        assert_eq!(bytes[126], 0xa5);
        let discovery = parse(&golden::DISCOVERY).unwrap();
        assert_eq!(discovery.header, header());
        assert_eq!(discovery.universes().collect::<Vec<_>>(), universes([1, 2, 7]));
    }

    #[test]
    fn a_full_page_has_1144_bytes() {
        let mut bytes = [0xa5; 1146];
        let full = universes(1..=512);
        assert_eq!(header().emit(&full, &mut bytes), Ok(1144));
        assert_eq!(parse(&bytes[..1144]).unwrap().universes().collect::<Vec<_>>(), full);
        assert_eq!(header().emit(&universes(1..=513), &mut bytes), Err(Error::Universes(513)));
        for at in [field::ROOT_LENGTH, field::FRAMING_LENGTH, field::LIST_LENGTH] {
            layer::emit_length(&mut bytes, 1146, at);
        }
        assert_eq!(parse(&bytes), Err(Error::Universes(513)));
    }

    #[test]
    fn every_part_of_a_packet_is_refused() {
        for size in 0..golden::DISCOVERY.len() {
            let wanted = if size < 18 { 120 } else { 126 };
            let found = parse(&golden::DISCOVERY[..size]);
            assert_eq!(found, Err(Error::Short { wanted, found: size }));
        }
        let small = header().emit(&universes([1, 2, 7]), &mut [0; 125]);
        assert_eq!(small, Err(Error::Buffer { wanted: 126, found: 125 }));
    }

    #[test]
    fn every_wrong_byte_shows() {
        let golden = parse(&golden::DISCOVERY).unwrap();
        // Once the name has ended, nothing in its field counts.
        let name = field::SOURCE_NAME.start + "Glowloom".len()..field::SOURCE_NAME.end;
        let ignored = |at: &usize| name.contains(at) || field::RESERVED.contains(at);
        for at in (0..golden::DISCOVERY.len()).filter(|at| !ignored(at)) {
            for wrong in 1..=u8::MAX {
                let mut packet = golden::DISCOVERY;
                packet[at] ^= wrong;
                assert_ne!(parse(&packet), Ok(golden), "{at} {wrong}");
            }
        }
    }

    #[test]
    fn every_broken_field_is_named() {
        let broken = |at: usize, bytes: &[u8]| {
            let mut packet = golden::DISCOVERY;
            packet[at..at + bytes.len()].copy_from_slice(bytes);
            parse(&packet).unwrap_err()
        };
        assert_eq!(broken(118, &[1]), Error::Page { page: 1, last: 0 });
        assert_eq!(broken(120, &[0, 0]), Error::Universe(0));
        assert_eq!(broken(124, &[0xfa, 0x00]), Error::Universe(64_000));
        assert_eq!(broken(122, &[0, 1]), Error::Order { before: 1, after: 1 });
        assert_eq!(broken(117, &[2]), Error::Vector { layer: Layer::List, found: 2 });
        let length = Error::Length { layer: Layer::List, stated: 0x0c, found: 0x0e };
        assert_eq!(broken(113, &[0x0c]), length);
        let mut half = [0; 127];
        half[..126].copy_from_slice(&golden::DISCOVERY);
        for at in [field::ROOT_LENGTH, field::FRAMING_LENGTH, field::LIST_LENGTH] {
            layer::emit_length(&mut half, 127, at);
        }
        assert_eq!(parse(&half), Err(Error::HalfUniverse));
        let unordered = header().emit(&universes([2, 1]), &mut [0; 200]);
        assert_eq!(unordered, Err(Error::Order { before: 2, after: 1 }));
        let late = Header { page: 3, last_page: 2, ..header() };
        assert_eq!(late.emit(&[], &mut [0; 200]), Err(Error::Page { page: 3, last: 2 }));
    }

    #[test]
    fn a_long_list_is_cut_into_pages() {
        let all = universes(1..=1025);
        let cut: Vec<_> = pages(&all).unwrap().collect();
        let wanted = [(0, 2, &all[..512]), (1, 2, &all[512..1024]), (2, 2, &all[1024..])];
        assert_eq!(cut, wanted);
        assert_eq!(pages(&all[..512]).unwrap().count(), 1);
        assert_eq!(pages(&[]).unwrap().collect::<Vec<_>>(), [(0, 0, &[][..])]);
        assert_eq!(pages(&universes(1..=63_999)).unwrap().last().unwrap().0, 124);
        assert!(pages(&universes([3, 3])).is_err());
    }

    proptest! {
        #[test]
        fn what_is_sent_arrives(
            cid: [u8; 16],
            name in "\\PC{0,70}",
            page: u8,
            more: u8,
            numbers in prop::collection::btree_set(1..=63_999u16, 0..=512),
            dirt: u8,
        ) {
            let last_page = page.saturating_add(more);
            let source = SourceName::new(&name);
            let header = Header { cid: Cid(cid), source, page, last_page };
            let list = universes(numbers);
            let mut bytes = [dirt; 1144];
            let size = header.emit(&list, &mut bytes).unwrap();
            let back = parse(&bytes[..size]).unwrap();
            prop_assert_eq!(back.header, header);
            prop_assert_eq!(back.universes().collect::<Vec<_>>(), list);
        }

        #[test]
        fn no_bytes_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..200),
            start in 0..=golden::DISCOVERY.len(),
        ) {
            let bytes: Vec<u8> = golden::DISCOVERY[..start].iter().copied().chain(bytes).collect();
            if let Ok(packet) = Packet::new_checked(&bytes[..]) {
                let _ = (packet.cid(), packet.source_name(), packet.page(), packet.last_page());
                prop_assert_eq!(packet.list().len() + UNIVERSES, bytes.len());
                let _ = Discovery::parse(&packet);
            }
        }
    }
}
