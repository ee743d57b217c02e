//! Cut lists against an independent integer programme, on random orders.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use glowloom_plan::cuts::{Order, Steps, cut};
use glowloom_tests::checkers::{can, run};
use serde_json::{Value, json};

/// As many as the plan allows itself.
const STEPS: u64 = 600_000_000;

/// The same orders in every run: a linear congruential generator (Knuth's MMIX constants, from
/// memory).
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: u32) -> u32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u32::try_from(self.0 >> 33).unwrap() % end
    }

    fn between(&mut self, first: u32, last: u32) -> u32 {
        first + self.below(last - first + 1)
    }
}

fn order(roll: u32, pieces: &[(u32, u32)], shelf: &[u32]) -> Value {
    json!({ "roll": roll, "pieces": pieces, "shelf": shelf })
}

/// 200 orders of whole strips, every fifth with part rolls; without any, the longest left-over too.
fn whole(chance: &mut Chance) -> Vec<Value> {
    let one = |i: u32| {
        let roll = [100, 144, 150, 300][chance.below(4) as usize];
        let kinds = chance.between(1, 7);
        let most = [3, 12, 60][chance.below(3) as usize];
        let (short, long) = (roll / 6, roll * 19 / 20);
        let pieces: Vec<(u32, u32)> =
            (0..kinds).map(|_| (chance.between(short, long), chance.between(1, most))).collect();
        let shelf: Vec<u32> = match i % 5 {
            0 => (0..chance.between(1, 4)).map(|_| chance.between(short, roll)).collect(),
            _ => Vec::new(),
        };
        let own = Order::new(pieces, roll, &shelf, false);
        let pieces: Vec<_> = own.pieces().iter().map(|p| (p.pixels, p.count)).collect();
        let solution = cut(&own, &mut Steps::new(STEPS));
        let mut said = order(roll, &pieces, &shelf);
        said["rolls"] = json!(solution.new_rolls());
        said["least_rolls"] = json!(solution.least_new_rolls);
        if shelf.is_empty() {
            assert_eq!(solution.left_over(), solution.longest_left_over, "proven: {said}");
            said["left_over"] = json!(solution.left_over());
        }
        said
    };
    (0..200).map(one).collect()
}

/// 60 small orders of strips that may be joined, every third with part rolls.
fn joined(chance: &mut Chance) -> Vec<Value> {
    let one = |i: u32| {
        let roll = [60, 100, 150][chance.below(3) as usize];
        let pieces: Vec<(u32, u32)> = (0..chance.between(3, 6))
            .map(|_| (chance.between(roll / 5, roll * 5 / 4), 1))
            .collect();
        let shelf: Vec<u32> = match i % 3 {
            0 => (0..chance.between(1, 2)).map(|_| chance.between(roll / 5, roll)).collect(),
            _ => Vec::new(),
        };
        let solution = cut(&Order::new(pieces.clone(), roll, &shelf, true), &mut Steps::new(STEPS));
        let mut said = order(roll, &pieces, &shelf);
        said["joints"] = json!(solution.joints());
        said["least_joints"] = json!(solution.least_joints);
        said
    };
    (0..60).map(one).collect()
}

/// PyPI highspy 1.16.0: fewest rolls on 200 random orders, the longest left-over where nothing is on
/// the shelf, fewest joints on 60 more. Our proof has to hold as well: the bound is the answer.
#[test]
fn an_integer_programme_finds_no_better() {
    if !can("the integer programme", &["highspy"], &[]) {
        return;
    }
    let mut chance = Chance(2024);
    let mut orders = whole(&mut chance);
    orders.extend(joined(&mut chance));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("orders.json");
    std::fs::write(&file, serde_json::to_vec(&orders).unwrap()).unwrap();
    let said = run("cutting.py", &["check".into(), file]);
    // The library names itself first.
    assert_eq!(said.trim().lines().last(), Some("200 rolls, 160 left_over, 60 joints"));
}
