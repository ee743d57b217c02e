//! Part rolls on the shelf, for whole pieces: those longer than a new roll go there or nowhere, and
//! of the rest as few rolls as can be are begun, short ones rather than long ones.

use std::collections::BTreeMap;

use super::order::{Order, Pieces};
use super::plain::{Packed, fewest};
use super::problem::Problem;
use super::steps::Steps;

/// Part rolls of one kind.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PartRoll {
    /// Still to be cut.
    pub(super) free: u32,
    /// As it lies on the shelf.
    pub(super) pixels: u32,
    /// Entries of the order that are on it already: pieces longer than a new roll.
    pub(super) holds: Vec<u32>,
}

/// Kinds of part rolls and how many there are: those that hold something, then the others, each
/// with the most free pixels first.
pub(super) type Shelf = Vec<(PartRoll, u32)>;

/// Above so many part rolls in use, none is exchanged for a shorter one.
const MOST_EXCHANGED: u32 = 12;

/// Places pieces longer than a new roll, the longest first, each on the part roll with the least
/// room for it. Gives the part rolls that are of use, and what fits nowhere.
pub(super) fn placed(order: &Order) -> (Shelf, Vec<Pieces>) {
    let kind =
        |p: &Pieces| (PartRoll { free: p.pixels, pixels: p.pixels, holds: Vec::new() }, p.count);
    let mut shelf: BTreeMap<PartRoll, u32> = order.shelf().iter().map(kind).collect();
    let mut nowhere = Vec::new();
    for (entry, pieces) in (0u32..).zip(order.pieces()).filter(|(_, p)| p.pixels > order.roll()) {
        for placed in 0..pieces.count {
            let fits = shelf.keys().filter(|part| part.free >= pieces.pixels);
            let Some(part) = fits.min_by_key(|part| part.free).cloned() else {
                nowhere.push(Pieces { count: pieces.count - placed, ..*pieces });
                break;
            };
            if let Some(count) = shelf.get_mut(&part) {
                *count -= 1;
            }
            shelf.retain(|_, count| *count > 0);
            let mut holds = part.holds;
            holds.push(entry);
            let after = PartRoll { free: part.free - pieces.pixels, holds, ..part };
            *shelf.entry(after).or_insert(0) += 1;
        }
    }
    let fits_new = order.pieces().iter().filter(|p| p.pixels <= order.roll());
    let shortest = fits_new.map(|p| p.pixels).min().unwrap_or(u32::MAX);
    shelf.retain(|part, _| !part.holds.is_empty() || part.free >= shortest);
    let mut shelf: Shelf = shelf.into_iter().collect();
    shelf.sort_by_key(|(part, _)| (part.holds.is_empty(), std::cmp::Reverse(part.free)));
    (shelf, nowhere)
}

/// Whole pieces that fit a new roll, with this shelf.
pub(super) fn problem(short: &[Pieces], roll: u32, shelf: &Shelf) -> Problem {
    let free = shelf.iter().map(|(part, count)| Pieces { pixels: part.free, count: *count });
    Problem::new(short, roll, &free.collect::<Vec<_>>())
}

/// Looks for smaller shelves that do.
struct Shrinking<'p> {
    short: &'p [Pieces],
    roll: u32,
    /// New rolls that must be enough.
    enough: u32,
    held: Shelf,
    /// The smallest so far that does, without what is held, and how.
    best: (Shelf, Packed),
}

/// The same new rolls from fewer part rolls: the longest do if any do. Then each of them makes way
/// for a shorter one if that also does.
pub(super) fn fewer(
    short: &[Pieces],
    roll: u32,
    shelf: Shelf,
    packed: Packed,
    steps: &mut Steps,
) -> (Shelf, Packed) {
    let (held, free): (Shelf, Shelf) =
        shelf.into_iter().partition(|(part, _)| !part.holds.is_empty());
    let all: u32 = free.iter().map(|(_, count)| count).sum();
    let (enough, bound) = (packed.new_rolls, packed.bound);
    let best = (free.clone(), packed);
    let mut shrinking = Shrinking { short, roll, enough, held, best };
    let (mut low, mut high) = (0, all);
    while low < high {
        let middle = low.midpoint(high);
        match shrinking.does(longest(&free, middle), steps) {
            true => high = middle,
            false => low = middle + 1,
        }
    }
    if high <= MOST_EXCHANGED {
        shrinking.exchange(&free, steps);
    }
    let Shrinking { held, best: (chosen, packed), .. } = shrinking;
    ([held, chosen].concat(), Packed { bound, ..packed })
}

impl Shrinking<'_> {
    fn does(&mut self, free: Shelf, steps: &mut Steps) -> bool {
        let shelf = [&self.held[..], &free[..]].concat();
        let problem = problem(self.short, self.roll, &shelf);
        let packed = steps.with_part(4, |steps| fewest(&problem, Some(self.enough), steps));
        let does = packed.new_rolls <= self.enough;
        if does {
            self.best = (free, packed);
        }
        does
    }

    /// Each part roll in use, longest first, makes way for the shortest that does.
    fn exchange(&mut self, free: &Shelf, steps: &mut Steps) {
        let mut kinds: Vec<PartRoll> = self.best.0.iter().map(|(part, _)| part.clone()).collect();
        kinds.dedup();
        for long in kinds {
            // Shortest first.
            for short in free.iter().rev().map(|(part, _)| part).filter(|p| p.free < long.free) {
                while self.can_exchange(free, &long, short) {
                    let mut chosen = self.best.0.clone();
                    add(&mut chosen, &long, -1);
                    add(&mut chosen, short, 1);
                    if !self.does(chosen, steps) {
                        break;
                    }
                }
            }
        }
    }

    fn can_exchange(&self, free: &Shelf, long: &PartRoll, short: &PartRoll) -> bool {
        let used = |part| count(&self.best.0, part);
        used(long) > 0 && used(short) < count(free, short)
    }
}

fn count(shelf: &Shelf, part: &PartRoll) -> u32 {
    shelf.iter().find(|(kind, _)| kind == part).map_or(0, |(_, count)| *count)
}

/// One more or one fewer of a kind; in order, and none without any.
fn add(shelf: &mut Shelf, part: &PartRoll, more: i32) {
    match shelf.iter_mut().find(|(kind, _)| kind == part) {
        Some((_, count)) => *count = count.saturating_add_signed(more),
        None => shelf.push((part.clone(), u32::from(more > 0))),
    }
    shelf.retain(|(_, count)| *count > 0);
    shelf.sort_by_key(|(part, _)| std::cmp::Reverse(part.free));
}

/// So many of the longest.
fn longest(shelf: &Shelf, mut rolls: u32) -> Shelf {
    let mut out = Shelf::new();
    for (part, count) in shelf {
        let taken = rolls.min(*count);
        rolls -= taken;
        if taken > 0 {
            out.push((part.clone(), taken));
        }
    }
    out
}
