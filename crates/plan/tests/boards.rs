//! Boards out of sheets, against searches of another kind and counts by hand.

mod support;

use std::collections::BTreeMap;

use glowloom_plan::cuts::cuts;
use glowloom_plan::material::boards::Boards;
use glowloom_plan::material::guillotine::{Placed, Size};
use glowloom_plan::material::made::Made;
use glowloom_plan::material::parts::{Sources, list};
use glowloom_plan::material::sheets::cut;
use glowloom_plan::material::{Material, material};
use support::Chance;

fn of(text: &str) -> Material {
    let wall = support::read(text);
    material(&wall, &Made::of(&cuts(&wall), None), None)
}

fn size(width: u64, height: u64) -> Size {
    Size { width, height }
}

/// Whether a rectangle gives all pieces by cuts from edge to edge: every cut at every whole place, every
/// way to share the pieces out, nothing clever.
fn gives(sheet: Size, pieces: &[Size], known: &mut BTreeMap<(Size, Vec<Size>), bool>) -> bool {
    match pieces {
        [] => return true,
        [one] => return one.within(sheet) || one.turned().within(sheet),
        _ => {}
    }
    let area: u128 = pieces.iter().map(|piece| piece.area()).sum();
    if area > sheet.area() {
        return false;
    }
    let key = (sheet, pieces.to_vec());
    if let Some(known) = known.get(&key) {
        return *known;
    }
    let mut found = false;
    'cuts: for share in 1..(1u32 << pieces.len()) - 1 {
        let of = |side: bool| -> Vec<Size> {
            let chosen = |i: usize| (share >> i & 1 == 1) == side;
            (0..pieces.len()).filter(|i| chosen(*i)).map(|i| pieces[i]).collect()
        };
        let (one, other) = (of(true), of(false));
        for x in 1..sheet.width {
            let (left, right) = (size(x, sheet.height), size(sheet.width - x, sheet.height));
            if gives(left, &one, known) && gives(right, &other, known) {
                found = true;
                break 'cuts;
            }
        }
        for y in 1..sheet.height {
            let (top, bottom) = (size(sheet.width, y), size(sheet.width, sheet.height - y));
            if gives(top, &one, known) && gives(bottom, &other, known) {
                found = true;
                break 'cuts;
            }
        }
    }
    known.insert(key, found);
    found
}

/// The fewest sheets by trying every way to share pieces out among sheets.
fn fewest(sheet: Size, pieces: &[Size]) -> u32 {
    fn put(
        i: usize,
        sheet: Size,
        pieces: &[Size],
        sheets: &mut Vec<Vec<Size>>,
        best: &mut usize,
        known: &mut BTreeMap<(Size, Vec<Size>), bool>,
    ) {
        if sheets.len() >= *best {
            return;
        }
        if i == pieces.len() {
            if sheets.iter().all(|pieces| gives(sheet, pieces, known)) {
                *best = sheets.len();
            }
            return;
        }
        for at in 0..=sheets.len() {
            if at == sheets.len() {
                sheets.push(Vec::new());
            }
            sheets[at].push(pieces[i]);
            put(i + 1, sheet, pieces, sheets, best, known);
            sheets[at].pop();
            if sheets[at].is_empty() {
                sheets.pop();
            }
        }
    }
    let mut best = pieces.len() + 1;
    put(0, sheet, pieces, &mut Vec::new(), &mut best, &mut BTreeMap::new());
    u32::try_from(best).expect("a few")
}

/// Whether pieces that lie on a rectangle can be cut out by cuts from edge to edge.
fn can_be_cut(pieces: &[Placed], saw_cut: u64) -> bool {
    if pieces.len() < 2 {
        return true;
    }
    for across in [true, false] {
        let (from, to): (Vec<u64>, Vec<u64>) = pieces
            .iter()
            .map(|p| if across { (p.x, p.x + p.size.width) } else { (p.y, p.y + p.size.height) })
            .unzip();
        for end in &to {
            let (before, after): (Vec<usize>, Vec<usize>) =
                (0..pieces.len()).partition(|i| to[*i] <= *end);
            if after.is_empty() || !after.iter().all(|i| from[*i] >= end + saw_cut) {
                continue;
            }
            let of = |which: Vec<usize>| which.into_iter().map(|i| pieces[i]).collect::<Vec<_>>();
            return can_be_cut(&of(before), saw_cut) && can_be_cut(&of(after), saw_cut);
        }
    }
    false
}

/// What is drawn is what was asked for: every piece once, on the sheet, and it can be cut so.
fn holds(kinds: &[(Size, u32)], sheet: Size, saw_cut: u64) -> (u32, u32) {
    let found = cut(kinds, sheet, saw_cut);
    let mut laid = vec![0; kinds.len()];
    for (count, pieces) in &found.layouts {
        for placed in pieces {
            let wanted = kinds[placed.kind].0;
            assert!(placed.size == wanted || placed.size == wanted.turned());
            assert!(placed.x + placed.size.width <= sheet.width, "{placed:?}");
            assert!(placed.y + placed.size.height <= sheet.height, "{placed:?}");
            laid[placed.kind] += count;
        }
        assert!(can_be_cut(pieces, saw_cut), "{pieces:?}");
    }
    assert_eq!(laid, kinds.iter().map(|kind| kind.1).collect::<Vec<_>>());
    assert_eq!(found.layouts.iter().map(|layout| layout.0).sum::<u32>(), found.sheets);
    assert!(found.at_least <= found.sheets);
    (found.sheets, found.at_least)
}

#[test]
fn small_cases_against_exhaustive_search() {
    let mut chance = Chance(3);
    let mut several = 0;
    for case in 0..150 {
        let sheet = size(3 + chance.below(5), 3 + chance.below(5));
        let kinds: Vec<(Size, u32)> = (0..1 + chance.below(3))
            .map(|_| {
                let side = |most: u64, chance: &mut Chance| 1 + chance.below(most);
                let size = size(side(sheet.width, &mut chance), side(sheet.height, &mut chance));
                (size, 1 + chance.below(2) as u32)
            })
            .collect();
        let pieces: Vec<Size> =
            kinds.iter().flat_map(|k| std::iter::repeat_n(k.0, k.1 as usize)).collect();
        let wanted = fewest(sheet, &pieces);
        let (found, at_least) = holds(&kinds, sheet, 0);
        assert_eq!((found, at_least), (wanted, wanted), "case {case}: {kinds:?} on {sheet:?}");
        several += u32::from(wanted > 1 && wanted < pieces.len() as u32);
    }
    assert!(several > 20, "cases where it matters how pieces are shared out: {several}");
}

/// Four pieces of 2 x 3 around a hole fill a sheet of 5 x 5, as a pinwheel; but no cut goes from edge
/// to edge between them, so two sheets are wanted.
#[test]
fn a_pinwheel_cannot_be_cut() {
    assert_eq!(holds(&[(size(2, 3), 4)], size(5, 5), 0), (2, 2));
    // With room to spare it can.
    assert_eq!(holds(&[(size(2, 3), 4)], size(6, 5), 0), (1, 1));
}

#[test]
fn a_saw_takes_its_share() {
    assert_eq!(holds(&[(size(50, 50), 4)], size(100, 100), 0), (1, 1));
    assert_eq!(holds(&[(size(50, 50), 4)], size(100, 100), 1), (4, 4));
    assert_eq!(holds(&[(size(50, 50), 4)], size(101, 101), 1), (1, 1));
}

/// Many pieces, and many kinds: still drawn right, and no better than the bound.
#[test]
fn many_pieces() {
    assert_eq!(holds(&[(size(30, 20), 1000)], size(100, 80), 0), (77, 77), "13 fill a sheet");
    let mut chance = Chance(5);
    for count in [30, 200] {
        let kinds: Vec<(Size, u32)> =
            (0..count).map(|_| (size(5 + chance.below(60), 5 + chance.below(60)), 1)).collect();
        let (sheets, at_least) = holds(&kinds, size(100, 80), 1);
        assert!(f64::from(sheets) < 1.35 * f64::from(at_least) + 1.0, "{sheets}, {at_least}");
    }
    let kinds = [(size(45, 30), 200), (size(60, 25), 170), (size(20, 20), 333)];
    let (sheets, at_least) = holds(&kinds, size(100, 80), 0);
    assert!(f64::from(sheets) < 1.1 * f64::from(at_least) + 1.0, "{sheets}, {at_least}");
}

/// A panel of the demo is 666.7 x 1066.7 mm: one from a sheet of 0.8 x 1.2 m, turned.
#[test]
fn boards_of_the_demo() {
    let text = format!("{}[board]\nsheet = [\"1.2 m\", \"0.8 m\"]\n", support::tidewall());
    let boards = of(&text).boards.expect("boards");
    assert_eq!(
        (boards.sheets, boards.sheets_at_least, boards.proven_least),
        (Some(3), Some(3), true)
    );
    assert_eq!(boards.layouts.len(), 1);
    let laid = &boards.layouts[0].boards[0];
    assert!((laid.width_m.0 - 1.06667).abs() < 1e-9 && (laid.height_m.0 - 0.66667).abs() < 1e-9);
    let waste = 1.0 - 3.0 * 0.66667 * 1.06667 / (3.0 * 0.96);
    assert!((boards.waste_share.expect("known") - waste).abs() < 1e-6);
    // What to buy says whether fewer would do.
    let note = |boards: &Boards| {
        let made = &Made::default();
        let from = Sources {
            made,
            wires: &[],
            spools: &[],
            boards: Some(boards),
            cloth: None,
            power: None,
        };
        let items = list(&support::read(&text), &from).into_iter();
        let board = items.filter(|item| item.unit == "sheet").map(|item| item.note);
        board.collect::<Vec<_>>()
    };
    assert_eq!(note(&boards), ["1.20 m x 800 mm; the fewest, proven"]);
    let open = Boards { sheets_at_least: Some(2), proven_least: false, ..boards.clone() };
    assert_eq!(note(&open), ["1.20 m x 800 mm; the best found; no way takes fewer than 2"]);
    // A sheet that is too small, or of no known size, gives no number.
    for sheet in ["sheet = [\"1 m\", \"1 m\"]\n", ""] {
        let boards =
            of(&format!("{}[board]\n{sheet}", support::tidewall())).boards.expect("boards");
        assert_eq!((boards.sheets, boards.proven_least), (None, false));
        assert_eq!(boards.too_large.len(), if sheet.is_empty() { 0 } else { 3 });
    }
}
