//! What holds of every cut list: each piece once, nothing beyond a roll's end, joints counted right,
//! bounds on the right side, and on small orders the same as trying everything.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::collections::{BTreeMap, BTreeSet};

use glowloom_plan::cuts::{Order, Pieces, Solution, Steps, cut};
use proptest::prelude::*;

const STEPS: u64 = 40_000_000;

/// Everything that can be checked of a solution without solving it again.
fn sound(order: &Order, solution: &Solution) {
    // Parts of joined pieces, by piece.
    let mut joined: BTreeMap<u32, Vec<(u32, u32, u32)>> = BTreeMap::new();
    let mut found: BTreeMap<u32, u32> = BTreeMap::new();
    let mut shelf: BTreeMap<u32, u32> = order.shelf().iter().map(|p| (p.pixels, p.count)).collect();
    for cut in &solution.cuts {
        assert!(!cut.parts.is_empty(), "a roll of which nothing is cut");
        assert!(cut.parts.iter().map(|part| part.pixels).sum::<u32>() <= cut.roll);
        match cut.shelf {
            true => *shelf.get_mut(&cut.roll).unwrap() -= 1,
            false => assert_eq!(cut.roll, order.roll()),
        }
        for part in &cut.parts {
            let whole = order.pieces()[part.entry as usize].pixels;
            match part.joined {
                None => {
                    assert_eq!(part.pixels, whole);
                    *found.entry(whole).or_default() += 1;
                }
                Some(of) => {
                    assert!(order.splices() && part.pixels > 0);
                    joined.entry(of.piece).or_default().push((of.part, part.entry, part.pixels));
                }
            }
        }
    }
    let mut joints = 0;
    for mut parts in joined.into_values() {
        parts.sort_unstable();
        let numbers: Vec<u32> = parts.iter().map(|part| part.0).collect();
        assert_eq!(numbers, (0..parts.len() as u32).collect::<Vec<_>>());
        assert!(parts.len() > 1 && parts.iter().all(|part| part.1 == parts[0].1));
        let whole = order.pieces()[parts[0].1 as usize].pixels;
        assert_eq!(parts.iter().map(|part| part.2).sum::<u32>(), whole);
        *found.entry(whole).or_default() += 1;
        joints += parts.len() as u32 - 1;
    }
    assert_eq!(solution.joints(), joints);
    for Pieces { pixels, count } in &solution.too_long {
        assert!(!order.splices() && *pixels > order.roll());
        *found.entry(*pixels).or_default() += count;
    }
    let wanted: BTreeMap<u32, u32> = order.pieces().iter().map(|p| (p.pixels, p.count)).collect();
    assert_eq!(found, wanted, "each piece once");
    assert!(solution.least_joints <= joints);
    assert!(solution.left_over() <= solution.longest_left_over);
    if solution.too_long.is_empty() {
        assert!(solution.least_new_rolls <= solution.new_rolls());
        assert!(order.rolls_by_pixels() <= solution.least_new_rolls);
    }
    if order.splices() {
        assert_eq!(solution.new_rolls(), order.rolls_by_pixels());
    }
}

/// Room and whole length of each part roll, and room of each new one.
type State = (Vec<(u32, u32)>, Vec<u32>);

/// Fewest new rolls, and the longest left-over with them, by trying every way to put each piece
/// into a roll. No piece is longer than a roll.
fn by_trying(order: &Order) -> (u32, u32) {
    let pieces: Vec<u32> = order
        .pieces()
        .iter()
        .flat_map(|p| std::iter::repeat_n(p.pixels, p.count as usize))
        .collect();
    // States of the rolls begun: (room, part roll?) sorted, after each piece.
    let shelf: Vec<(u32, u32)> = order
        .shelf()
        .iter()
        .flat_map(|p| std::iter::repeat_n((p.pixels, p.pixels), p.count as usize))
        .collect();
    let mut states: BTreeSet<State> = BTreeSet::from([(shelf, vec![])]);
    for piece in pieces {
        let mut next = BTreeSet::new();
        for (shelf, new) in states {
            for i in 0..shelf.len() {
                if let Some(room) = shelf[i].0.checked_sub(piece) {
                    let mut shelf = shelf.clone();
                    shelf[i].0 = room;
                    shelf.sort_unstable();
                    next.insert((shelf, new.clone()));
                }
            }
            for i in 0..=new.len() {
                let mut new = new.clone();
                if i == new.len() {
                    new.push(order.roll());
                }
                if let Some(room) = new[i].checked_sub(piece) {
                    new[i] = room;
                    new.sort_unstable();
                    next.insert((shelf.clone(), new));
                }
            }
        }
        states = next;
    }
    let fewest = states.iter().map(|(_, new)| new.len()).min().unwrap();
    let mut least = states.iter().filter(|(_, new)| new.len() == fewest).collect::<Vec<_>>();
    // Then fewest part rolls, then the longest left-over of a roll that is begun.
    let begun = |shelf: &[(u32, u32)]| shelf.iter().filter(|(room, all)| room < all).count();
    let few = least.iter().map(|(shelf, _)| begun(shelf)).min().unwrap();
    least.retain(|(shelf, _)| begun(shelf) == few);
    let left = |(shelf, new): &State| {
        let shelf = shelf.iter().filter(|(room, all)| room < all).map(|(room, _)| *room);
        new.iter().copied().chain(shelf).max().unwrap_or(0)
    };
    let longest = least.iter().map(|state| left(state)).max().unwrap();
    (fewest as u32, longest)
}

/// Fewest joints for as few new rolls as the pixels need and no shelf: all ways to share the pieces
/// out among groups, each of as many rolls as it needs; a group of n rolls takes n - 1 joints.
fn joints_by_trying(order: &Order) -> u32 {
    let pieces: Vec<u32> = order
        .pieces()
        .iter()
        .flat_map(|p| std::iter::repeat_n(p.pixels, p.count as usize))
        .collect();
    let mut states: BTreeSet<Vec<u32>> = BTreeSet::from([vec![]]);
    for piece in pieces {
        let mut next = BTreeSet::new();
        for groups in states {
            for i in 0..=groups.len() {
                let mut groups = groups.clone();
                if i == groups.len() {
                    groups.push(0);
                }
                groups[i] += piece;
                groups.sort_unstable();
                next.insert(groups);
            }
        }
        states = next;
    }
    let rolls = |groups: &[u32]| groups.iter().map(|g| g.div_ceil(order.roll())).sum::<u32>();
    let enough = order.rolls_by_pixels();
    let fits = states.iter().filter(|groups| rolls(groups) <= enough);
    fits.map(|groups| rolls(groups) - groups.len() as u32).min().unwrap()
}

fn pieces(longest: u32, kinds: usize, most: u32) -> impl Strategy<Value = Vec<(u32, u32)>> {
    proptest::collection::vec((1..=longest, 1..=most), 1..=kinds)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn every_list_is_sound(
        pieces in pieces(220, 8, 40),
        roll in prop_oneof![Just(150u32), 1..=40u32, 100..=300u32],
        shelf in proptest::collection::vec(1..=250u32, 0..=5),
        splices: bool,
        steps in prop_oneof![Just(STEPS), Just(0u64), 1..=100_000u64],
    ) {
        let order = Order::new(pieces, roll, &shelf, splices);
        let solution = cut(&order, &mut Steps::new(steps));
        sound(&order, &solution);
        prop_assert_eq!(&solution, &cut(&order, &mut Steps::new(steps)), "the same each time");
    }

    /// The fewest, and the longest left-over with them, are those of trying everything; and both
    /// are proven.
    #[test]
    fn as_good_as_trying_everything(
        lengths in proptest::collection::vec(2..=20u32, 1..=8),
        shelf in proptest::collection::vec(1..=24u32, 0..=2),
    ) {
        let order = Order::new(lengths.into_iter().map(|l| (l, 1)), 20, &shelf, false);
        let solution = cut(&order, &mut Steps::new(STEPS));
        sound(&order, &solution);
        let (fewest, longest) = by_trying(&order);
        prop_assert_eq!((solution.new_rolls(), solution.least_new_rolls), (fewest, fewest));
        prop_assert!(solution.left_over() <= longest, "the trying missed something");
        if shelf.is_empty() {
            prop_assert_eq!((solution.left_over(), solution.longest_left_over), (longest, longest));
        }
    }

    #[test]
    fn joints_as_few_as_by_trying_everything(
        lengths in proptest::collection::vec(2..=45u32, 1..=8),
    ) {
        let order = Order::new(lengths.into_iter().map(|l| (l, 1)), 20, &[], true);
        let solution = cut(&order, &mut Steps::new(STEPS));
        sound(&order, &solution);
        let fewest = joints_by_trying(&order);
        prop_assert_eq!((solution.joints(), solution.least_joints), (fewest, fewest));
    }

    /// Joints with part rolls: never fewer than the bound, and proven on small orders: by putting
    /// every group of rolls together with every group of pieces.
    #[test]
    fn joints_with_a_shelf(
        lengths in proptest::collection::vec(2..=30u32, 1..=5),
        shelf in proptest::collection::vec(3..=25u32, 1..=3),
    ) {
        let order = Order::new(lengths.into_iter().map(|l| (l, 1)), 20, &shelf, true);
        let solution = cut(&order, &mut Steps::new(STEPS));
        sound(&order, &solution);
        let fewest = joints_with_shelf_by_trying(&order);
        prop_assert_eq!((solution.joints(), solution.least_joints), (fewest, fewest));
    }
}

/// Fewest joints with part rolls: every way to share pieces and part rolls out among groups, each
/// with as many new rolls as it needs. A group without pieces uses no roll.
fn joints_with_shelf_by_trying(order: &Order) -> u32 {
    let every = |list: &[Pieces]| -> Vec<u32> {
        list.iter().flat_map(|p| std::iter::repeat_n(p.pixels, p.count as usize)).collect()
    };
    // Groups: pixels of pieces, pixels of part rolls, number of part rolls.
    let mut states: BTreeSet<Vec<(u32, u32, u32)>> = BTreeSet::from([vec![]]);
    let things = every(order.pieces()).into_iter().map(|pixels| (pixels, 0, 0));
    let rolls = every(order.shelf()).into_iter().map(|pixels| (0, pixels, 1));
    for (pieces, part, count) in things.chain(rolls) {
        let mut next = BTreeSet::new();
        for groups in states {
            for i in 0..=groups.len() {
                let mut groups: Vec<(u32, u32, u32)> = groups.clone();
                if i == groups.len() {
                    groups.push((0, 0, 0));
                }
                groups[i] = (groups[i].0 + pieces, groups[i].1 + part, groups[i].2 + count);
                groups.sort_unstable();
                next.insert(groups);
            }
        }
        states = next;
    }
    let enough = order.rolls_by_pixels();
    let judged = states.iter().filter_map(|groups| {
        let (mut new, mut joints) = (0, 0);
        for (pieces, shelf, count) in groups.iter().filter(|group| group.0 > 0) {
            let own = pieces.saturating_sub(*shelf).div_ceil(order.roll());
            new += own;
            joints += own + count - 1;
        }
        (new <= enough).then_some(joints)
    });
    judged.min().unwrap()
}
