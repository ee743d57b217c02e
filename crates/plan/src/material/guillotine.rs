//! What can be cut from one sheet by cuts that go from edge to edge: every such pattern, exactly.
//!
//! A guillotine pattern is a tree: pieces beside or above each other, pairs of those again. For a
//! given set of pieces the least rectangles that hold one of its trees are kept, those that no other
//! one beats both ways; a set fits when one of them is no larger than the sheet. Sets are built up
//! from smaller ones that fit, so that the work ends where sheets are full.

use std::collections::BTreeMap;

/// Rectangles in whole hundredths of a millimetre, so that two halves make a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Size {
    /// Right.
    pub width: u64,
    /// Down.
    pub height: u64,
}

impl Size {
    /// Turned by a quarter.
    #[must_use]
    pub fn turned(self) -> Self {
        Self { width: self.height, height: self.width }
    }

    /// Its area.
    #[must_use]
    pub fn area(self) -> u128 {
        u128::from(self.width) * u128::from(self.height)
    }

    /// Whether it lies within another one as it is.
    #[must_use]
    pub fn within(self, other: Self) -> bool {
        self.width <= other.width && self.height <= other.height
    }
}

/// A piece on a sheet, from the sheet's top-left corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed {
    /// Which of the kinds, from 0.
    pub kind: usize,
    /// Right of the corner.
    pub x: u64,
    /// Below the corner.
    pub y: u64,
    /// As it lies there.
    pub size: Size,
}

/// How many of each kind.
pub type Counts = Vec<u32>;

/// Which set of pieces, in the order in which sets were found.
type Set = usize;

/// A rectangle that holds a set of pieces, and how.
#[derive(Clone, Copy, Debug)]
struct Hull {
    size: Size,
    how: How,
}

#[derive(Clone, Copy, Debug)]
enum How {
    /// One piece of that kind.
    Piece(usize),
    /// Two sets with their hulls, side by side or one above the other.
    Pair { first: (Set, usize), second: (Set, usize), beside: bool },
}

/// Every set of pieces that can be cut from one sheet.
#[derive(Clone, Debug)]
pub struct Patterns {
    counts: Vec<Counts>,
    hulls: Vec<Vec<Hull>>,
    known: BTreeMap<Counts, Set>,
    saw_cut: u64,
}

impl Patterns {
    /// All sets of `kinds`, no more of each than its count, that a sheet holds; pieces may be turned
    /// by a quarter; `saw_cut` is lost between two neighbours. `None` where that takes more steps
    /// than `most`.
    #[must_use]
    pub fn all(kinds: &[(Size, u32)], sheet: Size, saw_cut: u64, most: u64) -> Option<Self> {
        let mut found =
            Self { counts: Vec::new(), hulls: Vec::new(), known: BTreeMap::new(), saw_cut };
        for (kind, (size, count)) in kinds.iter().enumerate() {
            let mut hulls = Vec::new();
            for size in [*size, size.turned()] {
                add(&mut hulls, Hull { size, how: How::Piece(kind) }, sheet);
            }
            if *count > 0 && !hulls.is_empty() {
                let mut counts = vec![0; kinds.len()];
                counts[kind] = 1;
                found.insert(counts, hulls);
            }
        }
        // Sets by how many pieces they have: level[n] are those of n + 1.
        let mut levels: Vec<Vec<Set>> = vec![(0..found.counts.len()).collect()];
        let mut steps = 0u64;
        loop {
            let size = levels.len() + 1;
            let mut new: BTreeMap<Counts, Vec<Hull>> = BTreeMap::new();
            for smaller in 1..=size / 2 {
                for first in &levels[smaller - 1] {
                    for second in &levels[size - smaller - 1] {
                        steps += 1;
                        let Some(counts) = found.sum(*first, *second, kinds) else { continue };
                        let hulls = new.entry(counts).or_default();
                        steps += found.pair(*first, *second, sheet, hulls);
                        if steps > most {
                            return None;
                        }
                    }
                }
            }
            new.retain(|_, hulls| !hulls.is_empty());
            if new.is_empty() {
                return Some(found);
            }
            let sets = new.into_iter().map(|(counts, hulls)| found.insert(counts, hulls));
            levels.push(sets.collect());
        }
    }

    /// Those that no other pattern holds whole, the one with most pieces first.
    pub fn largest(&self) -> impl Iterator<Item = &Counts> {
        // Whatever holds it holds it with one piece more as well.
        let held = |set: &Counts| {
            (0..set.len()).any(|kind| {
                let mut more = set.clone();
                more[kind] += 1;
                self.known.contains_key(&more)
            })
        };
        self.counts.iter().rev().filter(move |set| !held(set))
    }

    /// Where the pieces of a set lie. `None` if it does not fit on a sheet.
    #[must_use]
    pub fn layout(&self, counts: &[u32]) -> Option<Vec<Placed>> {
        let set = *self.known.get(counts)?;
        let mut pieces = Vec::new();
        self.place((set, 0), (0, 0), &mut pieces);
        Some(pieces)
    }

    fn place(&self, (set, hull): (Set, usize), (x, y): (u64, u64), pieces: &mut Vec<Placed>) {
        let hull = &self.hulls[set][hull];
        match hull.how {
            How::Piece(kind) => pieces.push(Placed { kind, x, y, size: hull.size }),
            How::Pair { first, second, beside } => {
                let size = self.hulls[first.0][first.1].size;
                let at = if beside {
                    (x + size.width + self.saw_cut, y)
                } else {
                    (x, y + size.height + self.saw_cut)
                };
                self.place(first, (x, y), pieces);
                self.place(second, at, pieces);
            }
        }
    }

    fn insert(&mut self, counts: Counts, hulls: Vec<Hull>) -> Set {
        let set = self.counts.len();
        self.known.insert(counts.clone(), set);
        self.counts.push(counts);
        self.hulls.push(hulls);
        set
    }

    /// Both together, where no kind has more than there are.
    fn sum(&self, first: Set, second: Set, kinds: &[(Size, u32)]) -> Option<Counts> {
        let both = self.counts[first].iter().zip(&self.counts[second]);
        let sum: Counts = both.map(|(a, b)| a + b).collect();
        sum.iter().zip(kinds).all(|(sum, kind)| *sum <= kind.1).then_some(sum)
    }

    /// Adds every way to lay two sets beside or above each other; tells how many that were.
    fn pair(&self, first: Set, second: Set, sheet: Size, hulls: &mut Vec<Hull>) -> u64 {
        let (a, b) = (&self.hulls[first], &self.hulls[second]);
        for (i, one) in a.iter().enumerate() {
            for (j, other) in b.iter().enumerate() {
                for beside in [true, false] {
                    let (one, other) = (one.size, other.size);
                    let size = if beside {
                        Size {
                            width: one.width + self.saw_cut + other.width,
                            height: one.height.max(other.height),
                        }
                    } else {
                        Size {
                            width: one.width.max(other.width),
                            height: one.height + self.saw_cut + other.height,
                        }
                    };
                    let how = How::Pair { first: (first, i), second: (second, j), beside };
                    add(hulls, Hull { size, how }, sheet);
                }
            }
        }
        (a.len() * b.len()) as u64
    }
}

/// Keeps a hull that the sheet holds and no other one beats both ways.
fn add(hulls: &mut Vec<Hull>, hull: Hull, sheet: Size) {
    let beaten = hulls.iter().any(|other| other.size.within(hull.size));
    if hull.size.within(sheet) && !beaten {
        hulls.retain(|other| !hull.size.within(other.size));
        hulls.push(hull);
    }
}
