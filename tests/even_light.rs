//! Light that is evened out, end to end: frames as they would be sent, solved in full. The typical picture is
//! even, no pixel is brighter than without, and the supply guard holds all the same.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::time::Duration;

use glowloom_design::{Wall, read};
use glowloom_drive::{Frames, Live};
use glowloom_plan::path::{Cell, PanelPath};
use glowloom_plan::power::{Limits, Networks, Showing, wall_power_showing};
use glowloom_plan::{evening, guard, patch};
use glowloom_show::{
    Brightness, Channels, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError,
};
use glowloom_wire::Patch;

/// One grey, 0 to 1 in linear light.
struct Grey(f64);

impl Source for Grey {
    fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        into.values_mut().fill((self.0 * 65_535.0) as u16);
        Ok(Drawn::New)
    }
}

const COLUMNS: u32 = 32;

/// A wall whose first panel has few feeds and whose second, turned one has many.
fn wall(power: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"W\"\ncolumns = {COLUMNS}\nrows = 36\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 16\nrows = 36\n[[panels]]\nname = \"a\"\nat = [0, 0]\nfeeds = 2\n\
         [[panels]]\nname = \"b\"\nat = [16, 0]\nturn = 180\nfeeds = 16\nbrightness = 0.95\n\
         [power]\ntypical_level = 0.4\n{power}\n"
    );
    read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn evened(wall: &Wall) -> Patch {
    let evening = evening(wall).unwrap();
    let panels = (0..wall.panels.len()).map(|panel| evening.panel(panel).to_vec()).collect();
    patch(wall).unwrap().with_evened(panels).unwrap()
}

/// The mean of 256 frames of a grey, dithered: bytes, unrounded.
fn sent(patch: &Patch, level: f64) -> Vec<f64> {
    let finish = Finish { channels: Channels::Rgb, ceiling: patch.common().ceiling };
    let mut pipeline = Pipeline::new(COLUMNS, 36, finish, Brightness::FULL);
    pipeline.set_dither(true);
    pipeline.show(Box::new(Grey(level)), Duration::ZERO);
    let (mut live, _remote) = Live::new(pipeline, patch).unwrap();
    let mut bytes = vec![0; patch.frame_bytes()];
    let mut mean = vec![0.0; bytes.len()];
    for frame in 0..256 {
        live.frame(Duration::from_secs(10 * frame), &mut bytes).unwrap();
        for (mean, byte) in mean.iter_mut().zip(&bytes) {
            *mean += f64::from(*byte) / 256.0;
        }
    }
    mean
}

/// The light of each colour of each pixel, in full ones: what is sent, as the solved copper lets it shine.
/// Panel b is from a brighter roll.
fn light(wall: &Wall, sent: &[f64]) -> Vec<f64> {
    let start = |cell: Cell| 3 * (cell.row * COLUMNS + cell.column) as usize;
    let level = |cell: Cell| {
        let of = |i: usize| sent[start(cell) + i] / 255.0;
        [of(0), of(1), of(2), 0.0]
    };
    let networks = Networks::of(wall);
    let shining = networks
        .each_panel(wall, Showing::Picture(&level), 1.0, |panel, solution| {
            let law = solution.network().law();
            let roll = 1.0 / wall.panels[panel].shares[0];
            let pixels = PanelPath::of(&wall.panels[panel]);
            let pixels = pixels.lines().flat_map(|line| line.path()).zip(solution.all_volts());
            pixels
                .flat_map(|(pixel, volts)| {
                    let (level, share) = (level(pixel.picture), law.light(volts));
                    [0, 1, 2].map(|k| roll * level[k] * share[k])
                })
                .collect::<Vec<_>>()
        })
        .unwrap();
    shining.concat()
}

/// How far apart the dimmest and the brightest are, as a share of the brightest.
fn spread(light: &[f64]) -> f64 {
    let (least, most) = light.iter().fold((f64::MAX, 0.0f64), |(a, b), x| (a.min(*x), b.max(*x)));
    (most - least) / most
}

#[test]
fn the_typical_picture_is_even() {
    let wall = wall("");
    let (plain, even) = (patch(&wall).unwrap(), evened(&wall));
    let without = light(&wall, &sent(&plain, 0.4));
    let with = light(&wall, &sent(&even, 0.4));
    assert!(spread(&without) > 0.15, "{}", spread(&without));
    assert!(spread(&with) < 0.02, "{}", spread(&with));
    // A brighter picture is more even than without (0.11, not 0.28); one so dim that no volts lack is as uneven as
    // the typical one was dimmed for.
    let at = |patch: &Patch, level: f64| spread(&light(&wall, &sent(patch, level)));
    assert!(at(&even, 0.5) < 0.5 * at(&plain, 0.5));
    assert!(at(&plain, 0.2) < 0.01 && at(&even, 0.2) < 0.16, "{}", at(&even, 0.2));
}

/// Nothing is raised: every byte is at most what it was, and the ceiling's at full white.
#[test]
fn nothing_is_raised() {
    let wall = wall("brightness_limit = 0.7");
    let (plain, even) = (patch(&wall).unwrap(), evened(&wall));
    for level in [0.01, 0.4, 1.0] {
        let (before, after) = (sent(&plain, level), sent(&even, level));
        assert!(before.iter().zip(&after).all(|(before, after)| after <= before), "{level}");
        assert!(after.iter().all(|byte| *byte <= 178.0));
    }
}

/// The supply guard adds up what is really sent: it holds full white of an evened wall within every limit.
#[test]
fn the_supply_guard_holds_all_the_same() {
    let power = "supply = \"5v-20a\"\nleast_volts = 0";
    let wall = wall(power);
    let even = evened(&wall).with_guard(guard(&wall).unwrap()).unwrap();
    let bytes = sent(&even, 1.0);
    let start = |cell: Cell| 3 * (cell.row * COLUMNS + cell.column) as usize;
    let level = |cell: Cell| {
        let of = |i: usize| bytes[start(cell) + i] / 255.0;
        [of(0), of(1), of(2), 0.0]
    };
    let solved = wall_power_showing(&wall, Showing::Picture(&level), 1.0).unwrap();
    let limits = Limits::of(&wall);
    for panel in &solved.panels {
        assert!(panel.supply_share <= wall.power.supply_load + 1e-6, "{}", panel.supply_share);
        for feed in &panel.feeds {
            let may = limits.fused(feed.wire_ampacity).unwrap().min(feed.wire_ampacity.unwrap());
            assert!(feed.amps.max(feed.minus_amps) <= may, "{:?} of {may:?}", feed.amps);
        }
    }
    // The guard was needed: what the evened wall would draw without it passes a limit.
    let unguarded = sent(&evened(&wall), 1.0);
    assert!(unguarded.iter().sum::<f64>() > 1.1 * bytes.iter().sum::<f64>());
}
