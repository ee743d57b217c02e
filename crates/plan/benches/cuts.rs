//! How long the fewest rolls take to find and prove, beside an independent integer programme (PyPI:
//! highspy 1.16.0, by tests/outside/cutting.py: every maximal pattern, then branch and bound) on the
//! same 20 orders in the same run. Prints a line an order, and the ratio over all.
//!
//! Target: 2,000 pieces of 20 lengths in 2 s.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Instant;

use glowloom_plan::cuts::{Order, Steps, cut};
use serde_json::json;

const RUNS: usize = 5;
/// As many as the plan allows itself.
const STEPS: u64 = 600_000_000;

/// The same orders in every run: a linear congruential generator (Knuth's MMIX constants, from memory).
struct Chance(u64);

impl Chance {
    fn between(&mut self, first: u32, last: u32) -> u32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        first + u32::try_from(self.0 >> 33).unwrap() % (last - first + 1)
    }
}

/// Kinds of pieces, the most of each, and the shortest as a share of a roll of 150: from a wall of a few
/// panels up to thousands of strips.
const SIZES: [(u32, u32, u32); 20] = [
    (1, 60, 5),
    (1, 500, 5),
    (2, 40, 5),
    (2, 200, 6),
    (3, 40, 5),
    (3, 200, 6),
    (4, 40, 5),
    (4, 300, 6),
    (5, 30, 5),
    (5, 200, 6),
    (6, 30, 5),
    (6, 300, 6),
    (8, 30, 5),
    (8, 250, 5),
    (10, 40, 5),
    (10, 200, 5),
    (12, 60, 4),
    (14, 100, 4),
    (16, 120, 4),
    (20, 100, 4),
];

fn orders() -> Vec<Order> {
    let mut chance = Chance(7);
    let one = |(kinds, most, share): (u32, u32, u32)| {
        let pieces: Vec<_> = (0..kinds)
            .map(|_| (chance.between(150 / share, 140), chance.between(most / 2, most)))
            .collect();
        Order::new(pieces, 150, &[], false)
    };
    SIZES.map(one).into()
}

/// Seconds and rolls of each order, as the other solver has them; why not, where it is not there.
fn theirs(orders: &[Order]) -> Result<Vec<(f64, u32)>, String> {
    let python = std::env::var_os("GLOWLOOM_PYTHON").unwrap_or_else(|| "python3".into());
    let has = Command::new(&python).args(["-c", "import highspy"]).stderr(Stdio::null()).status();
    if !has.is_ok_and(|status| status.success()) {
        return Err(
            "no Python with highspy is here: pip install highspy==1.16.0, and name the Python \
                    in GLOWLOOM_PYTHON"
                .into(),
        );
    }
    let of = |order: &Order| {
        let pieces: Vec<_> = order.pieces().iter().map(|p| (p.pixels, p.count)).collect();
        json!({ "roll": 150, "pieces": pieces, "shelf": [] })
    };
    let text = serde_json::to_vec(&orders.iter().map(of).collect::<Vec<_>>()).unwrap();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/outside/cutting.py");
    let mut child = Command::new(&python)
        .args([script, "time", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|error| error.to_string())?;
    child.stdin.take().unwrap().write_all(&text).unwrap();
    let said = child.wait_with_output().unwrap();
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    let line = |line: &str| {
        let (seconds, rolls) = line.split_once(' ')?;
        Some((seconds.parse().ok()?, rolls.trim().parse().ok()?))
    };
    // The library names itself first.
    Ok(said.lines().filter_map(line).collect())
}

#[expect(clippy::print_stdout, reason = "a bench reports")]
fn main() {
    let orders = orders();
    let outside = theirs(&orders);
    if let Err(why) = &outside {
        println!("without the integer programme: {why}");
    }
    let (mut own, mut other) = (0.0, 0.0);
    for (i, order) in orders.iter().enumerate() {
        let mut times = Vec::new();
        let mut solution = cut(order, &mut Steps::new(STEPS));
        for _ in 0..RUNS {
            let start = Instant::now();
            solution = cut(order, &mut Steps::new(STEPS));
            times.push(start.elapsed().as_secs_f64());
        }
        times.sort_by(f64::total_cmp);
        let (kinds, pieces) =
            (order.pieces().len(), order.pieces().iter().map(|p| p.count).sum::<u32>());
        let (rolls, least) = (solution.new_rolls(), solution.least_new_rolls);
        let beside = match outside.as_ref().ok().and_then(|all| all.get(i)) {
            Some((seconds, found)) => {
                assert_eq!((rolls, least), (*found, *found), "the same rolls");
                own += times[RUNS / 2];
                other += seconds;
                format!(
                    "; integer programme {:.1} ms, {:.0} times as long",
                    seconds * 1e3,
                    seconds / times[RUNS / 2]
                )
            }
            None => String::new(),
        };
        println!(
            "{pieces} pieces of {kinds} lengths: {rolls} rolls, at least {least}: {:.2} / {:.2} / {:.2} ms{beside}",
            times[0] * 1e3,
            times[RUNS / 2] * 1e3,
            times[RUNS - 1] * 1e3
        );
    }
    if own > 0.0 {
        println!(
            "all: {:.1} ms, integer programme {:.1} ms, {:.0} times as long",
            own * 1e3,
            other * 1e3,
            other / own
        );
    }
}
