//! The fewest sheets that give all pieces, each cut from edge to edge.
//!
//! Where all patterns of a sheet can be told, the fewest sheets follow exactly as long as the pieces
//! are few; of many, sheets that hold most are taken first and the rest is exact. Where there are
//! too many patterns, pieces are laid one after the other, and a bound says how far off that may be.

use super::guillotine::{Counts, Patterns, Placed, Size};

/// Steps that the patterns of one sheet may take: some milliseconds.
const MOST_STEPS: u64 = 100_000;
/// Steps that the exact search for sheets may take.
const MOST_CHOICES: usize = 50_000;

/// Sheets with what is cut from them.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets {
    /// How many.
    pub sheets: u32,
    /// No way needs fewer than this.
    pub at_least: u32,
    /// Equal sheets once, with how many of them there are.
    pub layouts: Vec<(u32, Vec<Placed>)>,
}

/// Cuts all pieces from sheets. Every piece must fit on a sheet, as it is or turned.
#[must_use]
pub fn cut(kinds: &[(Size, u32)], sheet: Size, saw_cut: u64) -> Sheets {
    match Patterns::all(kinds, sheet, saw_cut, MOST_STEPS) {
        Some(patterns) => by_patterns(kinds, sheet, &patterns),
        None => one_by_one(kinds, sheet, saw_cut),
    }
}

/// Rounded up.
fn ratio(a: u128, b: u128) -> u32 {
    u32::try_from(a.div_ceil(b.max(1))).unwrap_or(u32::MAX)
}

fn area(kinds: &[(Size, u32)], counts: &[u32]) -> u128 {
    kinds.iter().zip(counts).map(|(kind, count)| kind.0.area() * u128::from(*count)).sum()
}

fn by_patterns(kinds: &[(Size, u32)], sheet: Size, patterns: &Patterns) -> Sheets {
    let largest: Vec<&Counts> = patterns.largest().collect();
    let mut wanted: Counts = kinds.iter().map(|kind| kind.1).collect();
    let at_least = bound(kinds, sheet, &largest);
    let mut used: Vec<(u32, Counts)> = Vec::new();
    let mut exact = true;
    while choices(&wanted, largest.len()).is_none() {
        exact = false;
        let times = |pattern: &Counts| {
            let whole = pattern.iter().zip(&wanted).filter(|(of, _)| **of > 0);
            whole.map(|(of, wanted)| wanted / of).min().unwrap_or(0)
        };
        let best = largest
            .iter()
            .filter(|pattern| times(pattern) > 0)
            .max_by_key(|pattern| area(kinds, pattern));
        // Where no largest pattern is used up, one that is left over in part has to do.
        let (count, pattern) = match best {
            Some(pattern) => (times(pattern), (*pattern).clone()),
            None => {
                match largest.iter().map(|p| least(p, &wanted)).max_by_key(|p| area(kinds, p)) {
                    Some(part) => (1, part),
                    None => break,
                }
            }
        };
        for (wanted, of) in wanted.iter_mut().zip(&pattern) {
            *wanted -= of * count;
        }
        used.push((count, pattern));
    }
    for pattern in fewest(&wanted, &largest) {
        match used.iter_mut().find(|(_, counts)| *counts == pattern) {
            Some((count, _)) => *count += 1,
            None => used.push((1, pattern)),
        }
    }
    let sheets = used.iter().map(|(count, _)| count).sum();
    let layouts = used
        .into_iter()
        .filter_map(|(count, pattern)| Some((count, patterns.layout(&pattern)?)))
        .collect();
    Sheets { sheets, at_least: if exact { sheets } else { at_least }, layouts }
}

/// The part of a pattern that is wanted.
fn least(pattern: &[u32], wanted: &[u32]) -> Counts {
    pattern.iter().zip(wanted).map(|(of, wanted)| *of.min(wanted)).collect()
}

/// No way needs fewer sheets: by the area that the best pattern covers, and by each kind alone.
fn bound(kinds: &[(Size, u32)], sheet: Size, largest: &[&Counts]) -> u32 {
    let wanted: Counts = kinds.iter().map(|kind| kind.1).collect();
    let covered = largest.iter().map(|pattern| area(kinds, pattern)).max().unwrap_or(sheet.area());
    let by_area = ratio(area(kinds, &wanted), covered);
    let alone = |kind: usize| {
        let most = largest.iter().map(|pattern| pattern[kind]).max().unwrap_or(1);
        wanted[kind].div_ceil(most.max(1))
    };
    (0..kinds.len()).map(alone).max().unwrap_or(0).max(by_area)
}

/// How many ways there are to have some of what is wanted, times the patterns; `None` if that is
/// more than the exact search takes on.
fn choices(wanted: &[u32], patterns: usize) -> Option<usize> {
    let mut all = patterns.max(1);
    for count in wanted {
        all = all.checked_mul(*count as usize + 1).filter(|all| *all <= MOST_CHOICES)?;
    }
    Some(all)
}

/// The fewest patterns that give at least what is wanted, each cut down to what is still wanted when
/// its turn comes. Whoever has the first kind that is still wanted is on some sheet: so only patterns
/// with that kind are tried.
fn fewest(wanted: &[u32], largest: &[&Counts]) -> Vec<Counts> {
    let places: Vec<usize> = wanted
        .iter()
        .scan(1usize, |place, count| {
            let own = *place;
            *place *= *count as usize + 1;
            Some(own)
        })
        .collect();
    let number = |counts: &[u32]| -> usize {
        counts.iter().zip(&places).map(|(count, place)| *count as usize * place).sum()
    };
    // best[n]: sheets for the counts that n stands for, and the pattern to take first.
    let all = number(wanted) + 1;
    let mut best: Vec<(u32, usize)> = vec![(0, 0); all];
    let mut counts = vec![0u32; wanted.len()];
    for n in 1..all {
        // The next counts, as an odometer turns.
        for (count, most) in counts.iter_mut().zip(wanted) {
            if *count < *most {
                *count += 1;
                break;
            }
            *count = 0;
        }
        let first = counts.iter().position(|count| *count > 0).unwrap_or(0);
        let tries = largest.iter().enumerate().filter(|(_, pattern)| pattern[first] > 0);
        best[n] = tries
            .map(|(i, pattern)| {
                let both = pattern.iter().zip(&counts).zip(&places);
                let taken: usize =
                    both.map(|((of, have), place)| *of.min(have) as usize * place).sum();
                (best[n - taken].0.saturating_add(1), i)
            })
            .min()
            .unwrap_or((u32::MAX, 0));
    }
    let mut patterns = Vec::new();
    let mut rest = wanted.to_vec();
    while let (1.., Some(pattern)) = (number(&rest), largest.get(best[number(&rest)].1)) {
        let part = least(pattern, &rest);
        for (rest, of) in rest.iter_mut().zip(&part) {
            *rest -= of;
        }
        patterns.push(part);
    }
    patterns
}

/// A rectangle of a sheet that is still free.
#[derive(Clone, Copy)]
struct Free {
    sheet: usize,
    x: u64,
    y: u64,
    size: Size,
}

/// Lays pieces one after the other where they leave least, large ones first; the better of two
/// orders and two ways to cut what is left.
fn one_by_one(kinds: &[(Size, u32)], sheet: Size, saw_cut: u64) -> Sheets {
    let wanted: Counts = kinds.iter().map(|kind| kind.1).collect();
    let at_least = ratio(area(kinds, &wanted), sheet.area());
    let mut by_area: Vec<usize> = (0..kinds.len()).collect();
    let mut by_side = by_area.clone();
    by_area.sort_by_key(|kind| std::cmp::Reverse(kinds[*kind].0.area()));
    by_side.sort_by_key(|kind| {
        let size = kinds[*kind].0;
        std::cmp::Reverse((size.width.max(size.height), size.width.min(size.height)))
    });
    let laid = [(&by_area, true), (&by_area, false), (&by_side, true), (&by_side, false)]
        .map(|(order, short)| lay(kinds, order, sheet, saw_cut, short));
    let best = laid.into_iter().min_by_key(Vec::len).unwrap_or_default();
    let mut layouts: Vec<(u32, Vec<Placed>)> = Vec::new();
    for sheet in best {
        match layouts.iter_mut().find(|(_, same)| *same == sheet) {
            Some((count, _)) => *count += 1,
            None => layouts.push((1, sheet)),
        }
    }
    let sheets = layouts.iter().map(|(count, _)| count).sum();
    Sheets { sheets, at_least, layouts }
}

/// The pieces of each sheet, pieces in that order of kinds. `short`: what is left of a rectangle is
/// first cut along its shorter side.
fn lay(
    kinds: &[(Size, u32)],
    order: &[usize],
    sheet: Size,
    saw_cut: u64,
    short: bool,
) -> Vec<Vec<Placed>> {
    let mut sheets: Vec<Vec<Placed>> = Vec::new();
    let mut free: Vec<Free> = Vec::new();
    for kind in order.iter().copied().flat_map(|k| std::iter::repeat_n(k, kinds[k].1 as usize)) {
        let ways = [kinds[kind].0, kinds[kind].0.turned()];
        let best = |free: &[Free]| {
            let fits = free.iter().enumerate().flat_map(|(i, free)| {
                let waste = move |size: Size| (free.size.area() - size.area(), i, size);
                ways.into_iter().filter(|size| size.within(free.size)).map(waste)
            });
            fits.min()
        };
        if best(&free).is_none() {
            free.push(Free { sheet: sheets.len(), x: 0, y: 0, size: sheet });
            sheets.push(Vec::new());
        }
        let Some((_, i, size)) = best(&free) else { continue };
        let Free { sheet, x, y, size: whole } = free.swap_remove(i);
        sheets[sheet].push(Placed { kind, x, y, size });
        let right = whole.width.saturating_sub(size.width + saw_cut);
        let below = whole.height.saturating_sub(size.height + saw_cut);
        // The long cut goes all the way; the other one ends at the piece.
        let (beside, under) = if (right < below) == short {
            (size.height, whole.width)
        } else {
            (whole.height, size.width)
        };
        let parts = [
            (x + size.width + saw_cut, y, Size { width: right, height: beside }),
            (x, y + size.height + saw_cut, Size { width: under, height: below }),
        ];
        for (x, y, size) in parts {
            if size.area() > 0 {
                free.push(Free { sheet, x, y, size });
            }
        }
    }
    sheets
}
