//! The bench test: a roll of the strip before anything is built, fed at its start, some of its pixels
//! white. Volts at both ends of these and amps give the strip's two soft figures.

use glowloom_design::Wall;
use glowloom_design::wall::Lit;
use glowloom_units::{Amps, Volts};

use super::measure::{Expected, Place, Softness};
use super::network::Network;
use super::sinks::Sinks;
use super::solve::{Solver, Unsolved};

/// A roll on the bench: so many pixels show a white picture, fed at the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// How many pixels to light.
    pub pixels: u32,
    /// How many hang on behind them and stay dark.
    pub dark_pixels: u32,
    /// What the supply is set to at the strip's start: `trim_volts`, unless the strip does not withstand it.
    pub volts_at_start: Volts,
    /// At the mark behind the last lit pixel.
    pub volts_at_end: Expected<Volts>,
    /// Into the strip.
    pub amps: Expected<Amps>,
}

/// What a roll is fed with: `trim_volts`, unless that would destroy it.
fn start_volts(wall: &Wall) -> Volts {
    let (trim, strip) = (wall.power.trim_volts, &wall.strip);
    if trim <= strip.max_volts { trim } else { strip.volts.min(strip.max_volts) }
}

/// How many pixels of a roll to light on the bench: so many that the drop is plain to see, and so few
/// that no pixel falls below a knee and the rail is not overloaded, even with the worst strip of that
/// name. 1 at least.
#[must_use]
pub fn bench_pixels(wall: &Wall, soft: &Softness) -> u32 {
    let network = Network::bench(wall, 1, start_volts(wall));
    let law = network.law();
    let colours: f64 = Lit::White.levels(law.channels()).iter().sum();
    let pixel = soft.channel[1] * colours + law.idle_amps();
    // Both rails; the drop along a strip that is fed at one end is r i n^2 / 2 for each.
    let step = soft.rail[1] * wall.pitch() * 2.0;
    let room = (start_volts(wall) - law.top_knee()).max(Volts(0.0));
    let by_drop = (2.0 * room.0 / (step.0 * pixel.0)).sqrt();
    let by_rail = wall.strip.rail_amps / pixel;
    let most = by_drop.min(by_rail).floor();
    let roll = f64::from(wall.strip.roll_pixels);
    // Not a number where nothing drops and nothing is drawn: then the whole roll.
    let most = if most.is_nan() { roll } else { most.clamp(1.0, roll) };
    (1..=wall.strip.roll_pixels).take_while(|n| f64::from(*n) <= most).last().unwrap_or(1)
}

/// What a meter should show on the bench.
///
/// # Errors
/// [`Unsolved`] where the strip's network is.
pub fn bench(
    wall: &Wall,
    soft: &Softness,
    pixels: u32,
    dark_pixels: u32,
) -> Result<Bench, Unsolved> {
    let volts_at_start = start_volts(wall);
    let pixels = pixels.max(1);
    let network = Network::bench(wall, pixels.saturating_add(dark_pixels), volts_at_start);
    let end = Place::Mark { strip: 1, pixel: pixels - 1 };
    let white = |network: &Network| -> Result<(Volts, Amps), Unsolved> {
        let levels = Lit::White.levels(network.law().channels());
        let sinks = Sinks::first(network.law(), pixels as usize, network.pixels(), levels, 1.0);
        let solution = Solver::new(network).solve(&sinks)?;
        Ok((end.volts(&solution).unwrap_or_default(), solution.amps()))
    };
    let (volts, amps) = white(&network)?;
    let (mut volts_at_end, mut amps) = (Expected::new(volts), Expected::new(amps));
    for variant in soft.variants(&network) {
        let (volts, drawn) = white(&variant)?;
        volts_at_end.widen(volts);
        amps.widen(drawn);
    }
    Ok(Bench { pixels, dark_pixels, volts_at_start, volts_at_end, amps })
}
