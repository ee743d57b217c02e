//! How long the network of a panel takes to solve at full white, beside ngspice on the same panel in
//! the same run where it is installed (its whole process: start, read, solve, write). Prints the
//! least, the median and the most of several runs, and their ratio.
//!
//! Targets: 2,400 pixels in 1 ms, 50,000 in 20 ms, 100 times ngspice.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the rule is the plan's, not its tests'"
)]

#[path = "../tests/circuits/mod.rs"]
mod circuits;

use std::hint::black_box;
use std::time::{Duration, Instant};

use circuits::deck::deck;
use circuits::{panel, read};
use glowloom_design::Wall;
use glowloom_plan::power::{Network, Sinks, Solver, wall_power};

const RUNS: usize = 31;
/// ngspice takes half a minute for the largest panel.
const OUTSIDE_RUNS: usize = 3;

/// A panel as makers build it: a feed for every fifth strip, 2.5 mm2 wires.
fn wall(strips: u32, pixels: u32, supplies: u32) -> Wall {
    let feeds = strips.div_ceil(5).max(supplies);
    read(&panel(
        strips,
        pixels,
        "",
        "",
        &format!(
            "feeds = {feeds}\nsupplies_per_panel = {supplies}\nfeed_wire = {{ gauge = \"2.5 mm2\", \
             length = \"1.2 m\" }}\n"
        ),
    ))
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn timed(what: impl FnOnce()) -> Duration {
    let start = Instant::now();
    what();
    start.elapsed()
}

fn spread(mut times: Vec<Duration>) -> [f64; 3] {
    times.sort_unstable();
    [0, times.len() / 2, times.len() - 1].map(|i| times[i].as_secs_f64() * 1e3)
}

#[expect(clippy::print_stdout, reason = "a bench reports")]
fn main() {
    // Given to every bench by cargo; a name picks nothing here.
    let outside = !std::env::args().any(|arg| arg == "--ours");
    for (strips, pixels, supplies) in
        [(16, 36, 1), (60, 40, 1), (60, 40, 3), (250, 200, 1), (250, 200, 3), (1000, 1000, 1)]
    {
        let wall = wall(strips, pixels, supplies);
        let network = Network::of(&wall, &wall.panels[0]);
        let white = Sinks::white(network.law(), 1.0);
        let mut solver = Solver::new(&network);
        let mut steps = 0;
        let mut solve = || steps = solver.solve(black_box(&white)).expect("solved").iterations();
        let runs = if strips < 1000 { RUNS } else { 5 };
        let [least, median, most] = spread((0..runs).map(|_| timed(&mut solve)).collect());
        println!(
            "{:8} pixels, {supplies} supplies: {least:.3} / {median:.3} / {most:.3} ms, {steps} steps",
            strips * pixels
        );
        if !outside || strips > 250 || (strips == 250 && supplies > 1) {
            continue;
        }
        let deck = deck(&wall, &wall.panels[0], |_, _| [1.0; 4], 1.0);
        let times: Option<Vec<Duration>> = (0..OUTSIDE_RUNS)
            .map(|run| deck.judge(&format!("bench {strips} {run}")).map(|(_, took)| took))
            .collect();
        let Some(times) = times else {
            println!("{:8} ngspice is not installed", "");
            continue;
        };
        let [low, middle, high] = spread(times);
        println!(
            "{:8} ngspice: {low:.0} / {middle:.0} / {high:.0} ms, {:.0} times as long",
            "",
            middle / median
        );
    }
    many_panels();
}

/// A wall of panels of 2,400 pixels side by side, all alike or no two alike.
fn panels_of_2400(panels: u32, alike: bool) -> Wall {
    let mut text = format!(
        "format = 1\n[wall]\nname = \"Bench\"\ncolumns = {}\nrows = 40\n[strip]\npart = \
         \"ws2812b-30\"\n[panel]\ncolumns = 60\nrows = 40\n[power]\nfeeds = 12\nfeed_wire = {{ gauge \
         = \"2.5 mm2\", length = \"1.2 m\" }}\n",
        60 * panels
    );
    for panel in 0..panels {
        text += &format!("[[panels]]\nname = \"p{panel}\"\nat = [{}, 0]\n", 60 * panel);
        if !alike {
            let feeds: Vec<String> = (0..12)
                .map(|i| {
                    let length = 1000 + panel;
                    let wire = format!("{{ gauge = \"2.5 mm2\", length = \"{length} mm\" }}");
                    format!("{{ strip = {}, wire = {wire} }}", 5 * i + 3)
                })
                .collect();
            text += &format!("feeds = [{}]\n", feeds.join(", "));
        }
    }
    read(&text)
}

/// A million pixels in panels of 2,400: networks, solutions, figures and ceilings of them all.
#[expect(clippy::print_stdout, reason = "a bench reports")]
fn many_panels() {
    for (panels, alike) in [(104, false), (416, false), (416, true)] {
        let wall = panels_of_2400(panels, alike);
        let plan = || {
            black_box(wall_power(black_box(&wall)).expect("solved"));
        };
        let [least, median, most] = spread((0..5).map(|_| timed(plan)).collect());
        println!(
            "{:8} pixels in {panels} panels, {}: {least:.1} / {median:.1} / {most:.1} ms",
            panels * 2400,
            if alike { "all alike" } else { "no two alike" }
        );
    }
}
