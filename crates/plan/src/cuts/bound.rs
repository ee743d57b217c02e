//! Bounds from below on the rolls that whole pieces take, for when the relaxation is too large.
//! Both from memory of the literature on bin packing.

use super::problem::Problem;

/// By pixels: the part rolls hold what they hold, new rolls the rest.
pub(super) fn by_pixels(problem: &Problem) -> u32 {
    let shelf: u64 = problem.shelf.iter().map(|(l, n)| u64::from(*l) * u64::from(*n)).sum();
    let rest = problem.pixels(&problem.counts).saturating_sub(shelf);
    u32::try_from(rest.div_ceil(u64::from(problem.roll.max(1)))).unwrap_or(u32::MAX)
}

/// By halves, where nothing is on the shelf. For each `a` up to half a roll: pieces longer than a
/// roll less `a` take one each, and none of at least `a` goes beside them; the others longer than
/// half a roll take one each, and lend what they leave to the pieces from `a` to a half.
pub(super) fn by_halves(problem: &Problem) -> u32 {
    if !problem.shelf.is_empty() {
        return 0;
    }
    let roll = u64::from(problem.roll);
    let pieces: Vec<(u64, u64)> = problem
        .lengths
        .iter()
        .zip(&problem.counts)
        .map(|(l, n)| (u64::from(*l), u64::from(*n)))
        .collect();
    let bound = |a: u64| {
        let (mut alone, mut large, mut room, mut small) = (0, 0, 0, 0);
        for (length, count) in &pieces {
            if *length > roll - a {
                alone += count;
            } else if 2 * length > roll {
                large += count;
                room += count * (roll - length);
            } else if *length >= a {
                small += count * length;
            }
        }
        alone + large + u64::saturating_sub(small, room).div_ceil(roll)
    };
    // Nothing changes between two lengths.
    let halves = pieces.iter().map(|(length, _)| *length).filter(|length| 2 * length <= roll);
    let best = halves.chain([0]).map(bound).max().unwrap_or(0);
    u32::try_from(best).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cuts::order::Order;
    use crate::cuts::pack;
    use crate::cuts::steps::Steps;

    /// Worked by hand and by three integer programmes outside the project: first bound, second
    /// bound, rolls by longest first.
    #[test]
    fn cases_worked_elsewhere() {
        type Case<'c> = (u32, &'c [(u32, u32)], [u32; 3]);
        let cases: &[Case] = &[
            (10, &[(6, 4)], [3, 4, 4]),
            (100, &[(60, 4), (30, 1), (20, 1), (10, 1)], [3, 4, 4]),
            (100, &[(70, 1), (60, 1), (50, 1), (33, 3), (11, 1), (7, 1), (3, 1)], [3, 4, 4]),
            (100, &[(51, 4), (27, 4), (26, 4)], [5, 5, 6]),
            (150, &[(80, 5), (40, 3), (35, 3)], [5, 5, 5]),
        ];
        for (roll, pieces, wanted) in cases {
            let order = Order::new(pieces.iter().copied(), *roll, &[], false);
            // Not divided by a common divisor: the bounds are of the lengths as they are.
            let problem = Problem {
                lengths: order.pieces().iter().map(|p| p.pixels).collect(),
                counts: order.pieces().iter().map(|p| p.count).collect(),
                roll: *roll,
                shelf: Vec::new(),
            };
            let left = problem.left(100);
            let packed = pack::longest_first(&problem, &left, &mut Steps::new(1000)).unwrap();
            let found = [by_pixels(&problem), by_halves(&problem), problem.new_rolls(&packed)];
            assert_eq!(found, *wanted, "{pieces:?} of {roll}");
        }
    }
}
