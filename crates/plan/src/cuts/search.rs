//! The search for whole numbers: how many times to take each column so that nothing is left over,
//! depth first, most promising column first.
//!
//! A column is one thing that can be done with what is left (a roll cut in some way, or a group of
//! rolls): it takes from each row of what is left so many. What columns there are, and when nothing
//! good can come any more, a [`Family`] says.

use std::collections::BTreeSet;

use super::steps::Steps;

/// Row of what is left, and how many it takes from there, by row.
pub(super) type Column = Vec<(usize, u32)>;
/// Columns with how many times each is taken.
pub(super) type Taken = Vec<(Column, u32)>;

/// What can be said of what is left.
pub(super) enum Judged {
    /// It cannot be done.
    Impossible,
    /// The steps ran out.
    Unknown,
    /// It can be done so.
    Done(Taken),
    /// Nobody knows yet.
    Open {
        /// Columns of the relaxation with how often it takes each.
        guide: Vec<(Column, f64)>,
        /// Columns of which one has to be taken next, the most promising first.
        next: Vec<Column>,
        /// Whether none is missing there.
        complete: bool,
    },
}

/// What a search comes to.
pub(super) enum Verdict {
    /// It can be done so.
    Found(Taken),
    /// It was proven that it cannot be done.
    Impossible,
    /// The steps ran out.
    Unknown,
}

/// Knows the columns.
pub(super) trait Family {
    /// What can be said of what is left.
    fn judge(&mut self, left: &[u32], steps: &mut Steps) -> Judged;
    /// How many columns it may take at most to use up what is left.
    fn depth(&self, left: &[u32]) -> u32;
}

/// Searches deeper than this are not begun.
const DEEPEST: u32 = 400;

/// Takes as much of the relaxation as whole numbers allow and searches the rest; then less of it;
/// at last nothing, which settles it.
pub(super) fn search(family: &mut impl Family, left: &[u32], steps: &mut Steps) -> Verdict {
    let guide = match family.judge(left, steps) {
        Judged::Impossible => return Verdict::Impossible,
        Judged::Unknown => return Verdict::Unknown,
        Judged::Done(taken) => return Verdict::Found(taken),
        Judged::Open { guide, .. } => guide,
    };
    let mut given_back = 0;
    loop {
        let mut rest = left.to_vec();
        let mut fixed = Vec::new();
        for (column, amount) in &guide {
            let times = (amount + 1e-6) as u32;
            let times = times.saturating_sub(given_back).min(how_often(column, &rest));
            if times > 0 {
                take(column, times, &mut rest);
                fixed.push((column.clone(), times));
            }
        }
        let whole = fixed.is_empty();
        if family.depth(&rest) > DEEPEST {
            return Verdict::Unknown;
        }
        let mut tree = Tree { failed: BTreeSet::new(), taken: Vec::new() };
        let part = if whole { 1 } else { 3 };
        match steps.with_part(part, |steps| tree.descend(family, &rest, steps)) {
            Verdict::Found(mut taken) => {
                taken.extend(fixed);
                return Verdict::Found(taken);
            }
            Verdict::Impossible if whole => return Verdict::Impossible,
            _ if whole || steps.left() == 0 => return Verdict::Unknown,
            _ => given_back = (2 * given_back).max(1),
        }
    }
}

/// How many times a column can be taken.
pub(super) fn how_often(column: &Column, left: &[u32]) -> u32 {
    column.iter().map(|(row, n)| left[*row] / n).min().unwrap_or(0)
}

/// Takes it so many times.
pub(super) fn take(column: &Column, times: u32, left: &mut [u32]) {
    column.iter().for_each(|(row, n)| left[*row] -= n * times);
}

struct Tree {
    /// What is left where it was proven that nothing good comes.
    failed: BTreeSet<Vec<u32>>,
    taken: Vec<Column>,
}

impl Tree {
    fn descend(&mut self, family: &mut impl Family, left: &[u32], steps: &mut Steps) -> Verdict {
        if self.failed.contains(left) {
            return Verdict::Impossible;
        }
        let (next, complete) = match family.judge(left, steps) {
            Judged::Impossible => {
                self.failed.insert(left.to_vec());
                return Verdict::Impossible;
            }
            Judged::Unknown => return Verdict::Unknown,
            Judged::Done(mut taken) => {
                taken.extend(self.taken.drain(..).map(|column| (column, 1)));
                return Verdict::Found(taken);
            }
            Judged::Open { next, complete, .. } => (next, complete),
        };
        let mut settled = complete;
        for column in next {
            if how_often(&column, left) == 0 {
                continue;
            }
            let mut rest = left.to_vec();
            take(&column, 1, &mut rest);
            self.taken.push(column);
            match self.descend(family, &rest, steps) {
                Verdict::Found(taken) => return Verdict::Found(taken),
                Verdict::Impossible => {}
                Verdict::Unknown => settled = false,
            }
            self.taken.pop();
            if !steps.spend(left.len()) {
                return Verdict::Unknown;
            }
        }
        if settled {
            self.failed.insert(left.to_vec());
            return Verdict::Impossible;
        }
        Verdict::Unknown
    }
}
