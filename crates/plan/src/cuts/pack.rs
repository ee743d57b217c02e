//! Quick ways to pack whole pieces, one roll after the other.

use super::knapsack::Knapsack;
use super::problem::Problem;
use super::search::{Taken, how_often, take};
use super::steps::Steps;

/// Each roll takes the longest piece that still fits, again and again: the same rolls as when each
/// piece, longest first, goes into the first roll that has room. `None`: too few rolls are left.
pub(super) fn longest_first(problem: &Problem, left: &[u32], steps: &mut Steps) -> Option<Taken> {
    one_by_one(problem, left, steps, |left, pixels, steps| {
        steps.spend(problem.items());
        let mut room = pixels;
        let pieces = problem.lengths.iter().zip(left).map(|(length, count)| {
            let n = (room / length).min(*count);
            room -= n * length;
            n
        });
        Some(pieces.collect())
    })
}

/// Each roll is filled as far as it can be, with long pieces where there is a choice.
pub(super) fn fullest(problem: &Problem, left: &[u32], steps: &mut Steps) -> Option<Taken> {
    one_by_one(problem, left, steps, |left, pixels, steps| {
        if steps.left() == 0 {
            return None;
        }
        let weights = problem.lengths.iter().map(|length| long_ones(*length)).collect();
        let limits = &left[..problem.items()];
        let (tables, took) = Knapsack::new(&problem.lengths, limits, weights, pixels);
        steps.spend(took);
        Some(tables.filling(pixels))
    })
}

/// Pixels first, then how unevenly they are shared out.
fn long_ones(length: u32) -> i64 {
    let length = i64::from(length);
    (length << 24) + length * length.min(1 << 12)
}

/// Fills roll after roll as `fill` says, the part rolls first, shortest first; it is told what is
/// left and the roll's pixels.
fn one_by_one(
    problem: &Problem,
    left: &[u32],
    steps: &mut Steps,
    mut fill: impl FnMut(&[u32], u32, &mut Steps) -> Option<Vec<u32>>,
) -> Option<Taken> {
    let mut left = left.to_vec();
    let mut packing = Taken::new();
    let mut rolls: Vec<_> = problem.rolls(&left).collect();
    let new = problem.new_row();
    rolls.sort_by_key(|(row, pixels)| (*row == new, *pixels));
    for (row, pixels) in rolls {
        while left[row] > 0 {
            if left[..problem.items()].iter().all(|count| *count == 0) {
                return Some(packing);
            }
            let pieces = fill(&left, pixels, steps)?;
            let column = problem.column(pieces.into_iter().enumerate(), row);
            if column.len() == 1 {
                break;
            }
            // The same again as often as the pieces last.
            let times = how_often(&column, &left);
            take(&column, times, &mut left);
            packing.push((column, times));
        }
    }
    left[..problem.items()].iter().all(|count| *count == 0).then_some(packing)
}
