//! How long a plan takes, by pixels of the wall. Prints the least, the median and the most of
//! several runs. Targets: 2,400 pixels in 50 ms, 50,000 in 2 s; the tiles of the demo well under 20 ms.

use std::hint::black_box;
use std::time::{Duration, Instant};

const RUNS: usize = 31;

/// A wall of so many panels of 20 x 40 pixels side by side.
fn wall(panels: u32) -> glowloom_design::Wall {
    let mut text = format!(
        "format = 1\n[wall]\nname = \"Bench\"\ncolumns = {}\nrows = 40\n[strip]\npart = \
         \"ws2812b-30\"\n[panel]\ncolumns = 20\nrows = 40\n[power]\nfeeds = 8\n",
        20 * panels
    );
    for panel in 0..panels {
        text += &format!("[[panels]]\nname = \"p{panel}\"\nat = [{}, 0]\n", 20 * panel);
    }
    glowloom_design::read(text.as_bytes()).expect("the bench's own wall file is sound")
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn once(wall: &glowloom_design::Wall) -> Duration {
    let start = Instant::now();
    black_box(glowloom_plan::plan(black_box(wall)));
    start.elapsed()
}

/// Tidewall's panels, printed.
fn printed() -> glowloom_design::Wall {
    let text = include_str!("../../../examples/walls/tidewall.toml");
    glowloom_design::read(text.as_bytes()).expect("an example is sound")
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn once_tiles(wall: &glowloom_design::Wall) -> Duration {
    let start = Instant::now();
    black_box(glowloom_plan::tiles::tiles(black_box(wall)));
    start.elapsed()
}

#[expect(clippy::print_stdout, reason = "a bench reports")]
fn main() {
    let tidewall = printed();
    let mut times: Vec<_> = (0..RUNS).map(|_| once_tiles(&tidewall)).collect();
    times.sort_unstable();
    let [least, median, most] = [0, RUNS / 2, RUNS - 1].map(|i| times[i].as_secs_f64() * 1e3);
    println!("tiles of Tidewall: {least:.3} / {median:.3} / {most:.3} ms");
    for panels in [3, 63] {
        let wall = wall(panels);
        let mut times: Vec<_> = (0..RUNS).map(|_| once(&wall)).collect();
        times.sort_unstable();
        let [least, median, most] = [0, RUNS / 2, RUNS - 1].map(|i| times[i].as_secs_f64() * 1e3);
        println!("{:6} pixels: {least:.3} / {median:.3} / {most:.3} ms", 800 * panels);
    }
}
