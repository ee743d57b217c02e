//! Packet numbers that leave out 0, as Art-Net and DDP count.

use glowloom_wire::sequence::Sequence;

use super::Counts;

/// How far a packet's number is ahead of the last; `None`: the packet is late. Counts those that are
/// missing between. A packet that is not more than `back` numbers behind the last is late; one further back has a sender that
/// started anew. Neither protocol says how far; a sender that does not count sends 0, and then
/// every packet is taken.
pub(super) fn numbered<const LAST: u8>(
    last: &mut Sequence<LAST>,
    new: Sequence<LAST>,
    back: u8,
    counts: &mut Counts,
) -> Option<u64> {
    let mut ahead_by = 1;
    if new != Sequence::UNUSED && *last != Sequence::UNUSED {
        let (from, to) = (u16::from(last.get()), u16::from(new.get()));
        let round = u16::from(LAST);
        let ahead = (to + round - from) % round;
        if ahead == 0 || ahead >= round - u16::from(back) {
            counts.late += 1;
            return None;
        }
        if ahead <= round / 2 {
            ahead_by = u64::from(ahead);
            counts.lost += ahead_by - 1;
        }
    }
    *last = new;
    Some(ahead_by)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand.
    #[test]
    fn zero_is_left_out() {
        let cases = [
            (0, 9, Some(1), 0),
            (9, 0, Some(1), 0),
            (9, 9, None, 0),
            (9, 10, Some(1), 0),
            (9, 12, Some(3), 2),
            (15, 1, Some(1), 0),
            (14, 2, Some(3), 2),
            (1, 15, None, 0),
            (1, 14, None, 0),
            (1, 13, Some(1), 0),
        ];
        for (last, new, ahead, lost) in cases {
            let mut counts = Counts::default();
            let mut number = Sequence::<15>::new(last).unwrap();
            let new = Sequence::new(new).unwrap();
            assert_eq!(numbered(&mut number, new, 2, &mut counts), ahead, "{new:?} after {last}");
            assert_eq!((counts.lost, counts.late), (lost, u64::from(ahead.is_none())), "{new:?}");
            assert_eq!(number.get(), if ahead.is_some() { new.get() } else { last });
        }
    }
}
