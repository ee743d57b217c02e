//! The cut list: which strip each piece becomes.
//!
//! Pieces of one length are alike, so the roll's own connector can be kept for the heads of data
//! lines: the first piece of a new roll has it. As many rolls as can be begin with such a piece (a
//! largest matching of rolls and heads by length). A part roll is taken to have lost its connector.

use std::collections::BTreeMap;

use serde::Serialize;

use super::solution::{Cut, Part, Solution};
use super::strips::{Label, Strips};

/// One roll and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Roll {
    /// Pixels of each piece, in the order to cut them.
    pub pieces: Vec<u32>,
    /// What is written on each.
    pub labels: Vec<Label>,
    /// Pixels left of the roll.
    pub left_over: u32,
    /// Pixels of the roll.
    pub pixels: u32,
    /// Whether it was on the shelf.
    pub shelf: bool,
    /// Whether its first piece starts a data line by the roll's own connector.
    pub connector: bool,
}

/// Which entries of the order a roll can begin with: those of which it holds a whole piece, or the
/// first part of one.
fn beginnings(cut: &Cut) -> Vec<usize> {
    let begins = |part: &&Part| part.joined.is_none_or(|joined| joined.part == 0);
    let mut entries: Vec<_> =
        cut.parts.iter().filter(begins).map(|part| part.entry as usize).collect();
    entries.sort_unstable();
    entries.dedup();
    entries
}

/// The list of a solution. `strips` holds the pieces of each entry of the order.
pub(super) fn list(solution: &Solution, mut strips: Vec<Strips>) -> Vec<Roll> {
    let firsts = firsts(solution, &strips);
    // The next of each entry, from the front.
    strips.iter_mut().for_each(|strips| {
        strips.starts.reverse();
        strips.others.reverse();
    });
    let mut joined: BTreeMap<u32, Label> = BTreeMap::new();
    let mut rolls: Vec<Roll> = Vec::with_capacity(solution.cuts.len());
    // Heads of data lines go to the rolls that begin with them before anything else is named.
    let mut heads: Vec<Option<Label>> = Vec::with_capacity(solution.cuts.len());
    for (cut, first) in solution.cuts.iter().zip(&firsts) {
        let head = first.and_then(|entry| strips.get_mut(entry)?.starts.pop());
        if let (Some(head), Some(part)) = (&head, first.and_then(|entry| beginning(cut, entry)))
            && let Some(of) = cut.parts[part].joined
        {
            joined.insert(of.piece, head.clone());
        }
        heads.push(head);
    }
    for ((cut, first), head) in solution.cuts.iter().zip(firsts).zip(heads) {
        let begin = first.filter(|_| head.is_some()).and_then(|entry| beginning(cut, entry));
        let order = begin.into_iter().chain((0..cut.parts.len()).filter(|i| Some(*i) != begin));
        let parts: Vec<&Part> = order.map(|i| &cut.parts[i]).collect();
        let mut head = head.filter(|_| begin.is_some());
        let connector = head.is_some();
        let labels = parts.iter().filter_map(|part| {
            let entry = part.entry as usize;
            let mut own = || {
                let strips = strips.get_mut(entry)?;
                strips.others.pop().or_else(|| strips.starts.pop())
            };
            let Some(of) = part.joined else { return head.take().or_else(own) };
            head.take();
            if let std::collections::btree_map::Entry::Vacant(new) = joined.entry(of.piece) {
                new.insert(own()?);
            }
            Some(Label { part: Some(of.part), ..joined.get(&of.piece)?.clone() })
        });
        rolls.push(Roll {
            labels: labels.collect(),
            pieces: parts.iter().map(|part| part.pixels).collect(),
            left_over: cut.left_over(),
            pixels: cut.roll,
            shelf: cut.shelf,
            connector,
        });
    }
    rolls
}

/// The part of a roll to begin with, of an entry: a whole piece rather than the part of one.
fn beginning(cut: &Cut, entry: usize) -> Option<usize> {
    let of = |part: &Part| part.entry as usize == entry;
    let whole = cut.parts.iter().position(|part| of(part) && part.joined.is_none());
    whole.or_else(|| {
        cut.parts.iter().position(|part| of(part) && part.joined.is_some_and(|j| j.part == 0))
    })
}

/// Which entry each roll begins with, so that as many data lines as can be start at a new roll's
/// connector. Rolls alike are taken together; paths from rolls with none to heads without a roll
/// are searched until there are no more.
fn firsts(solution: &Solution, strips: &[Strips]) -> Vec<Option<usize>> {
    let mut kinds: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
    for (i, cut) in solution.cuts.iter().enumerate().filter(|(_, cut)| !cut.shelf) {
        let heads = |entry: &usize| strips.get(*entry).is_some_and(|s| !s.starts.is_empty());
        kinds.entry(beginnings(cut).into_iter().filter(heads).collect()).or_default().push(i);
    }
    let heads: Vec<usize> = strips.iter().map(|strips| strips.starts.len()).collect();
    let kinds: Vec<(Vec<usize>, Vec<usize>)> = kinds.into_iter().collect();
    let mut matching = Matching::new(&kinds, heads);
    for kind in 0..kinds.len() {
        while matching.add(kind) {}
    }
    let mut firsts = vec![None; solution.cuts.len()];
    for ((_, rolls), given) in kinds.iter().zip(&matching.given) {
        let entries = given.iter().flat_map(|(entry, n)| std::iter::repeat_n(*entry, *n));
        rolls.iter().zip(entries).for_each(|(roll, entry)| firsts[*roll] = Some(entry));
    }
    firsts
}

struct Matching<'k> {
    kinds: &'k [(Vec<usize>, Vec<usize>)],
    /// Heads without a roll, by entry.
    free: Vec<usize>,
    /// By kind: how many of its rolls begin with each entry.
    given: Vec<BTreeMap<usize, usize>>,
}

impl<'k> Matching<'k> {
    fn new(kinds: &'k [(Vec<usize>, Vec<usize>)], free: Vec<usize>) -> Self {
        Self { kinds, free, given: vec![BTreeMap::new(); kinds.len()] }
    }

    /// Gives rolls of a kind that have none a head: as many as one path carries.
    fn add(&mut self, kind: usize) -> bool {
        let used: usize = self.given[kind].values().sum();
        let spare = self.kinds[kind].1.len() - used;
        if spare == 0 {
            return false;
        }
        // Where each entry was reached from, and each kind.
        let mut from: Vec<Option<usize>> = vec![None; self.free.len()];
        let mut through: Vec<Option<usize>> = vec![None; self.kinds.len()];
        let mut queue = std::collections::VecDeque::from([kind]);
        while let Some(at) = queue.pop_front() {
            for entry in &self.kinds[at].0 {
                if from[*entry].is_some() {
                    continue;
                }
                from[*entry] = Some(at);
                if self.free[*entry] > 0 {
                    self.shift(kind, *entry, spare, &from, &through);
                    return true;
                }
                for (other, given) in self.given.iter().enumerate() {
                    let holds = given.get(entry).is_some_and(|n| *n > 0);
                    if holds && other != kind && through[other].is_none() {
                        through[other] = Some(*entry);
                        queue.push_back(other);
                    }
                }
            }
        }
        false
    }

    /// Moves heads along the path that ends at `last`.
    fn shift(
        &mut self,
        kind: usize,
        last: usize,
        spare: usize,
        from: &[Option<usize>],
        through: &[Option<usize>],
    ) {
        let mut steps = Vec::new();
        let (mut entry, mut most) = (last, spare.min(self.free[last]));
        while let Some(at) = from[entry] {
            steps.push((at, entry));
            if at == kind {
                break;
            }
            let Some(before) = through[at] else { break };
            most = most.min(self.given[at].get(&before).copied().unwrap_or(0));
            entry = before;
        }
        self.free[last] -= most;
        for (at, entry) in steps {
            *self.given[at].entry(entry).or_insert(0) += most;
            if at != kind
                && let Some(before) = through[at].and_then(|b| self.given[at].get_mut(&b))
            {
                *before -= most;
            }
        }
    }
}
