//! Whole pieces: fewest new rolls, then fewest part rolls and short ones, then the longest single
//! left-over.

use super::left_over::{Rolls, lengthen};
use super::order::{Order, Pieces};
use super::plain::fewest;
use super::problem::{common, roll_of};
use super::search::Taken;
use super::shelf::{Shelf, fewer, placed, problem};
use super::solution::{Cut, Part, Solution};
use super::steps::Steps;

/// Cuts an order without joints.
pub(super) fn whole(order: &Order, steps: &mut Steps) -> Solution {
    let (roll, pieces) = (order.roll(), order.pieces());
    let long = pieces.partition_point(|p| p.pixels > roll);
    let short = &pieces[long..];
    let (shelf, too_long) = placed(order);
    let packed = steps.with_part(2, |steps| fewest(&problem(short, roll, &shelf), None, steps));
    let least_new_rolls = match long {
        0 => packed.bound,
        // Where the long pieces go was not searched: the bound is that of a whole shelf.
        _ => steps.with_part(3, |steps| {
            let shelf: Vec<Pieces> = order.shelf().to_vec();
            let free = super::problem::Problem::new(short, roll, &shelf);
            fewest(&free, None, steps).bound.max(order.rolls_by_pixels())
        }),
    };
    let (shelf, packed) = steps.with_part(2, |steps| fewer(short, roll, shelf, packed, steps));
    let rolls = Rolls {
        pixels: shelf.iter().map(|(part, _)| part.free).chain([roll]).collect(),
        unit: short.iter().fold(0, |unit, p| common(unit, p.pixels)).max(1),
    };
    let best = lengthen(&problem(short, roll, &shelf), &rolls, packed.packing, steps);
    let cuts = cuts(order, long, &shelf, &best.packing);
    let own = cuts.iter().map(Cut::left_over).max().unwrap_or(0);
    let longest_left_over = best.longest.max(own);
    Solution { cuts, least_new_rolls, least_joints: 0, longest_left_over, too_long }
}

/// The rolls of a packing, part rolls first.
fn cuts(order: &Order, long: usize, shelf: &Shelf, packing: &Taken) -> Vec<Cut> {
    let pieces = order.pieces();
    let items = pieces.len() - long;
    let part = |entry: usize| Part {
        entry: u32::try_from(entry).unwrap_or(u32::MAX),
        pixels: pieces[entry].pixels,
        joined: None,
    };
    let mut cuts = Vec::new();
    // How many of each kind of part roll were not cut further.
    let mut uncut: Vec<u32> = shelf.iter().map(|(_, count)| *count).collect();
    let mut columns: Vec<_> = packing.iter().collect();
    columns.sort_by_key(|(column, _)| roll_of(column));
    for (column, times) in columns {
        let kind = roll_of(column) - items;
        let on_it = shelf.get(kind).map(|(roll, _)| roll);
        let held = on_it.map(|roll| roll.holds.as_slice()).unwrap_or_default();
        let held = held.iter().map(|entry| part(*entry as usize));
        let cut_now = column.iter().filter(|(row, _)| *row < items);
        let cut_now =
            cut_now.flat_map(|(row, n)| std::iter::repeat_n(part(long + row), *n as usize));
        let roll = on_it.map_or(order.roll(), |roll| roll.pixels);
        let cut = Cut { roll, shelf: on_it.is_some(), parts: held.chain(cut_now).collect() };
        cuts.extend(std::iter::repeat_n(cut, *times as usize));
        uncut.get_mut(kind).into_iter().for_each(|count| *count -= times);
    }
    for ((roll, _), count) in shelf.iter().zip(uncut) {
        let parts: Vec<Part> = roll.holds.iter().map(|entry| part(*entry as usize)).collect();
        if !parts.is_empty() {
            let cut = Cut { roll: roll.pixels, shelf: true, parts };
            cuts.extend(std::iter::repeat_n(cut, count as usize));
        }
    }
    cuts.sort_by_key(|cut| !cut.shelf);
    cuts
}
