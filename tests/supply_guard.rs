//! The supply guard end to end: frames as they would be sent, solved in full. None passes a limit of the
//! plan, and little light is given away.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::time::Duration;

use glowloom_design::{Wall, read};
use glowloom_drive::{Frames, Live};
use glowloom_plan::path::Cell;
use glowloom_plan::power::{Limits, Showing, WallPower, wall_power_showing};
use glowloom_plan::{guard, patch};
use glowloom_show::{
    Brightness, Channels, DeviceFrame, Drawn, Finish, LinearFrame, Pipeline, Source, SourceError,
};

/// Frames of every kind, one after the other: noise, stripes, one lit strip, a slope, plain colours.
struct Wild(u64);

impl Wild {
    /// 0 to 1 (a linear congruential generator; from memory, Knuth's constants).
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

impl Source for Wild {
    fn draw(&mut self, _: Duration, into: &mut LinearFrame) -> Result<Drawn, SourceError> {
        let columns = into.columns() as usize;
        let kind = (self.share() * 6.0) as u32;
        let (period, one) =
            (1 + (self.share() * 8.0) as usize, (self.share() * columns as f64) as usize);
        let colour = [self.share(), self.share(), self.share()];
        let count = into.values().len() / 3;
        for i in 0..count {
            let (row, column) = (i / columns, i % columns);
            let level = match kind {
                0 => [self.share(), self.share(), self.share()],
                1 => [f64::from(u8::from((column / period).is_multiple_of(2))); 3],
                2 => [f64::from(u8::from((row / period).is_multiple_of(2))); 3],
                3 => [f64::from(u8::from(column == one)); 3],
                4 => colour.map(|c| c * i as f64 / count as f64),
                _ => [1.0; 3],
            };
            for (to, level) in into.values_mut()[3 * i..].iter_mut().zip(level) {
                *to = (level * 65_535.0) as u16;
            }
        }
        Ok(Drawn::New)
    }
}

fn wall(power: &str) -> Wall {
    let text = format!(
        "format = 1\n[wall]\nname = \"W\"\ncolumns = 32\nrows = 36\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 16\nrows = 36\n[[panels]]\nname = \"a\"\nat = [0, 0]\n\
         [[panels]]\nname = \"b\"\nat = [16, 0]\nturn = 180\n[power]\n{power}\n"
    );
    read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

/// The share of its limit that is used most, 1 at a limit.
fn used(wall: &Wall, power: &WallPower) -> f64 {
    let limits = Limits::of(wall);
    let mut most = power.mains.circuit_share / wall.power.circuit_load;
    for panel in &power.panels {
        most = most.max(panel.supply_share / wall.power.supply_load);
        for feed in &panel.feeds {
            let may = limits.fused(feed.wire_ampacity).unwrap().min(feed.wire_ampacity.unwrap());
            most = most.max(feed.amps.max(feed.minus_amps) / may);
        }
        let jumper = panel.worst_jumper.map_or(0.0, |w| w.amps / limits.jumper.unwrap());
        let rail = panel.worst_rail.map_or(0.0, |w| w.amps / limits.rail);
        let trim = wall.power.trim_volts;
        let drop = (trim - panel.least_volts) / (trim - limits.least_volts);
        most = most.max(jumper).max(rail).max(drop);
    }
    most
}

/// Of how many dimmed frames of each wall it is worked out what is given away.
const MEASURED: usize = 30;

/// The share of its limit that is used most by these bytes, scaled.
fn used_by(wall: &Wall, bytes: &[u8], scale: f64) -> f64 {
    let level = |cell: Cell| {
        let start = 3 * (cell.row as usize * 32 + cell.column as usize);
        let of = |i: usize| f64::from(bytes[start + i]) / 255.0 * scale;
        [of(0), of(1), of(2), 0.0]
    };
    used(wall, &wall_power_showing(wall, Showing::Picture(&level), 1.0).unwrap())
}

/// The same frames with nothing that holds them.
struct Unguarded {
    pipeline: Pipeline,
    frame: DeviceFrame,
}

impl Unguarded {
    fn new() -> Self {
        let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
        let mut pipeline = Pipeline::new(32, 36, finish, Brightness::FULL);
        pipeline.show(Box::new(Wild(7)), Duration::ZERO);
        let frame = pipeline.device_frame();
        Self { pipeline, frame }
    }

    fn frame(&mut self, number: u64) -> &[u8] {
        self.pipeline.frame(Duration::from_secs(10 * number), &mut self.frame).unwrap();
        self.frame.bytes()
    }
}

/// How much of the light is given away against the best scaling of the whole frame that keeps every limit, 0
/// to 1. The best is found by halving, by solving the network again and again.
fn given_away(wall: &Wall, sent: &[u8], whole: &[u8]) -> f64 {
    let (mut keeps, mut passes) = (0.0, 1.0);
    for _ in 0..12 {
        let middle = f64::midpoint(keeps, passes);
        if used_by(wall, whole, middle) <= 1.0 { keeps = middle } else { passes = middle }
    }
    let sum = |bytes: &[u8]| bytes.iter().map(|byte| f64::from(*byte)).sum::<f64>();
    1.0 - sum(sent) / (sum(whole) * keeps)
}

#[test]
fn no_frame_passes_a_limit() {
    for (power, bound) in [
        // The lowest pixel, then feeds and fuses, the supply, the circuit.
        ("feeds = 3\nfeed_wire = { gauge = \"16 AWG\", length = \"4 ft\" }", 0.97),
        ("feeds = 3\nfeed_wire = { gauge = \"16 AWG\", length = \"4 ft\" }\nleast_volts = 0", 0.9),
        ("feeds = 16\nsupply = \"5v-20a\"", 0.97),
        ("feeds = 16\nmains = { circuit_amps = 1 }", 0.97),
    ] {
        let wall = wall(power);
        let patch = patch(&wall).unwrap().with_guard(guard(&wall).unwrap()).unwrap();
        let finish = Finish { channels: Channels::Rgb, ceiling: 255 };
        let mut pipeline = Pipeline::new(32, 36, finish, Brightness::FULL);
        pipeline.show(Box::new(Wild(7)), Duration::ZERO);
        let (mut live, _remote) = Live::new(pipeline, &patch).unwrap();
        let mut bytes = vec![0; patch.frame_bytes()];
        let mut unguarded = Unguarded::new();
        let (mut most, mut held, mut away) = (0.0f64, 0, Vec::new());
        for frame in 0..260 {
            // Seconds apart: neither the flash guard nor the light's slow return has a say.
            live.frame(Duration::from_secs(10 * frame), &mut bytes).unwrap();
            let used = used_by(&wall, &bytes, 1.0);
            assert!(used <= 1.0 + 1e-6, "{power}: frame {frame} uses {used} of a limit");
            most = most.max(used);
            let whole = unguarded.frame(frame);
            if live.dimmed() > held && away.len() < MEASURED {
                away.push(given_away(&wall, &bytes, whole));
            }
            held = live.dimmed();
        }
        away.sort_by(f64::total_cmp);
        let (median, worst) = (away[away.len() / 2], away[away.len() - 1]);
        // Written to the terminal itself: what a passing test prints is not shown.
        let said = format!(
            "supply guard, {power:?}: of the best scaling of a dimmed frame {:.1} % is given away (median), \
             {:.1} % at most, of {} frames\n",
            median * 100.0,
            worst * 100.0,
            away.len()
        );
        let _ = std::io::Write::write_all(&mut std::io::stderr(), said.as_bytes());
        assert!(away[0] > -0.01, "{power}: brighter than could be, {away:?}");
        assert!(held > 20, "{power}: {held} frames were dimmed");
        assert!(most > bound, "{power}: dimmer than it has to be, {most}");
    }
}
