//! How far pixels near a feed are to be dimmed, so that they look like those far from one.
//!
//! Below its knee a colour's light falls with the voltage. Dimming what is bright also lifts the voltage of what is
//! dim, so the two are worked out in turns, at the wall's typical picture: all colours alike at `typical_level`, or at
//! the brightness limit where that is lower. At other pictures the copper drops more or less than that, and so
//! the light is a little uneven again.

use glowloom_design::Wall;
use glowloom_wire::Evened;

use crate::power::{Network, Networks, Sinks, Solver, UnsolvedPanel};

/// No pixel is dimmed further than this for the sake of others: those that have less light stay dimmer
/// (a choice).
const LEAST: f64 = 0.5;

/// Turns, at most, and the change that is too small for another.
const TURNS: usize = 30;
const SETTLED: f64 = 1e-4;

/// How much of its light each pixel keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct Evening {
    kinds: Vec<Vec<Evened>>,
    of_panel: Vec<usize>,
    /// How much of its light the dimmest colour of all pixels has at the typical picture, as it is: 0 to 1.
    pub dimmest_before: f64,
    /// The same with everything evened out: what all colours of all pixels then have, save those that have less
    /// than half.
    pub dimmest_after: f64,
}

impl Evening {
    /// Of the pixels of a panel, from 0 in the order of the wall file: in the order of its path.
    #[must_use]
    pub fn panel(&self, panel: usize) -> &[Evened] {
        self.of_panel.get(panel).and_then(|kind| self.kinds.get(*kind)).map_or(&[], Vec::as_slice)
    }

    /// Whether all colours of all pixels have the same share of their light then.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.dimmest_after >= LEAST
    }

    /// Whether no pixel is dimmed.
    #[must_use]
    pub fn is_even(&self) -> bool {
        self.kinds.iter().flatten().all(|kept| *kept == Evened::ALL)
    }
}

/// Works out how a wall is evened out.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn evening(wall: &Wall) -> Result<Evening, UnsolvedPanel> {
    let networks = Networks::of(wall);
    let level = wall.power.typical_level.min(wall.power.brightness_limit);
    let mut kinds: Vec<Kind> = networks.all().iter().map(Kind::new).collect();
    let mut before = None;
    for _ in 0..TURNS {
        for (number, kind) in kinds.iter_mut().enumerate() {
            kind.light(level).map_err(|unsolved| {
                let panel = wall.panels.get(networks.first(number));
                UnsolvedPanel {
                    panel: panel.map_or_else(String::new, |p| p.name.clone()),
                    unsolved,
                }
            })?;
        }
        let dimmest = dimmest(&kinds);
        before.get_or_insert(dimmest);
        let moved = kinds.iter_mut().map(|kind| kind.keep(dimmest.max(LEAST))).fold(0.0, f64::max);
        if moved < SETTLED {
            break;
        }
    }
    Ok(Evening {
        dimmest_before: before.unwrap_or(1.0),
        dimmest_after: dimmest(&kinds),
        of_panel: (0..wall.panels.len()).map(|panel| networks.kind(panel)).collect(),
        kinds: kinds.into_iter().map(|kind| kind.rounded()).collect(),
    })
}

/// Panels that are alike.
struct Kind<'n> {
    network: &'n Network,
    /// By pixel: what each colour keeps, and its light as a share of what it would be with volts enough.
    kept: Vec<[f64; 4]>,
    light: Vec<[f64; 4]>,
}

impl<'n> Kind<'n> {
    fn new(network: &'n Network) -> Self {
        let all = vec![[1.0; 4]; network.pixels()];
        Self { network, kept: all.clone(), light: all }
    }

    /// Colours that count: dead strips are dark whatever is done.
    fn colours(&self) -> impl Iterator<Item = f64> + '_ {
        let (channels, per_strip) = (self.network.law().channels(), self.network.strip_pixels());
        let strips = self.light.chunks(per_strip.max(1)).enumerate();
        let live = strips.filter(|(strip, _)| self.network.is_live(*strip));
        live.flat_map(|(_, pixels)| pixels).flat_map(move |pixel| pixel[..channels].iter().copied())
    }

    /// Solves the network with what is kept.
    fn light(&mut self, level: f64) -> Result<(), crate::power::Unsolved> {
        let law = self.network.law();
        let levels: Vec<_> = self.kept.iter().map(|kept| kept.map(|share| share * level)).collect();
        let sinks = Sinks::by_pixel(law, levels, 1.0);
        let solution = Solver::new(self.network).solve(&sinks)?;
        for (light, volts) in self.light.iter_mut().zip(solution.all_volts()) {
            *light = law.light(volts);
        }
        Ok(())
    }

    /// Goes half the way to where all have this much light; how far the furthest went.
    fn keep(&mut self, wanted: f64) -> f64 {
        let mut furthest = 0.0f64;
        for (kept, light) in self.kept.iter_mut().zip(&self.light) {
            for (kept, light) in kept.iter_mut().zip(light) {
                let to = if *light > wanted { wanted / light } else { 1.0 };
                let step = (to - *kept) / 2.0;
                *kept += step;
                furthest = furthest.max(step.abs());
            }
        }
        furthest
    }

    fn rounded(self) -> Vec<Evened> {
        self.kept.into_iter().map(Evened::nearest).collect()
    }
}

fn dimmest(kinds: &[Kind<'_>]) -> f64 {
    kinds.iter().flat_map(Kind::colours).fold(1.0, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(part: &str, power: &str) -> Wall {
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 24\nrows = 40\n[strip]\npart = \"{part}\"\n\
             [panel]\ncolumns = 12\nrows = 40\n[[panels]]\nname = \"a\"\nat = [0, 0]\n\
             [[panels]]\nname = \"b\"\nat = [12, 0]\nfeeds = 12\n[power]\n{power}\n"
        );
        glowloom_design::read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
    }

    /// Volts enough everywhere: nothing is dimmed.
    #[test]
    fn an_even_wall_stays_as_it_is() {
        let even = evening(&wall("ws2812b-30", "feeds = 12\ntypical_level = 0.05")).unwrap();
        assert!(even.is_even());
        assert_eq!((even.dimmest_before, even.dimmest_after), (1.0, 1.0));
        assert_eq!(even.panel(0), vec![Evened::ALL; 480]);
        assert!(even.panel(2).is_empty());
    }

    /// The pixel that has least keeps all it has, and nothing else keeps more light than that.
    #[test]
    fn the_dimmest_pixel_keeps_all_of_its_light() {
        for part in ["ws2812b-30", "sk6812-rgbw-30"] {
            let wall = wall(part, "feeds = 2\ntypical_level = 0.4");
            let even = evening(&wall).unwrap();
            assert!(even.dimmest_before < 0.9, "{}", even.dimmest_before);
            assert!(even.dimmest_after > even.dimmest_before, "dimming the others lifts it");
            let colours = wall.strip.channels();
            let all = |panel: usize| {
                even.panel(panel)
                    .iter()
                    .flat_map(move |kept| kept.shares().into_iter().take(colours))
            };
            assert!(all(0).chain(all(1)).any(|share| share == 1.0));
            // The well-fed panel is dimmed to what the other one can give.
            let most = all(1).fold(0.0, f32::max);
            assert!(
                (f64::from(most) - even.dimmest_after).abs() < 0.08,
                "{most} {}",
                even.dimmest_after
            );
        }
    }

    /// Where hardly anything is left, others are not dimmed below half for it.
    #[test]
    fn nothing_is_dimmed_below_half() {
        let wire = "feed_wire = { gauge = \"22 AWG\", length = \"8 m\" }";
        let power = format!("feeds = 1\ntypical_level = 1\n{wire}");
        let even = evening(&wall("ws2812b-30", &power)).unwrap();
        let least = even.panel(1).iter().flat_map(|kept| kept.shares()).fold(1.0, f32::min);
        assert!((0.49..0.55).contains(&least), "{least}");
        assert!(even.dimmest_after < LEAST && !even.is_whole(), "{}", even.dimmest_after);
    }
}
