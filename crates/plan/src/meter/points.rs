//! What to measure on each kind of panel, and what to expect there.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_units::{Amps, OhmsPerMetre, Volts};
use serde::Serialize;

use super::bench::{BenchTest, bench_test};
use super::readings::learned;
use super::spot::{Spot, near_edge};
use super::words::{digits, milliamps, percent, percent_at_most};
use crate::power::figures::edge_key;
use crate::power::measure::{self, Expected, Place, Softness, Why, measurements};
use crate::power::{Binding, Network, Networks, UnsolvedPanel, WallPower, wall_power};

/// Everything that a meter should show on a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// Of full white: what the wall may show. The lower of `brightness_limit` and the highest safe one.
    pub ceiling: f64,
    /// What sets it: `brightness_limit`, or the limit that full white would break.
    pub ceiling_by: &'static str,
    /// The highest brightness of full white at which all limits hold.
    pub highest_safe_brightness: f64,
    /// What bands are made from.
    pub strip: Strip,
    /// Panels that are alike once, in the order of the file.
    pub kinds: Vec<Kind>,
    /// Before building.
    pub bench: BenchTest,
    /// An entry of the wall file for what was read at the first point of the first kind.
    pub entry: Option<String>,
    /// What else has to be said.
    pub notes: Vec<String>,
}

/// How well the strip is known.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strip {
    /// Whether the band comes from readings; if not, from how far strips of one name differ.
    pub measured: bool,
    /// One rail, one way: least, most.
    pub rail_ohms_per_metre: [OhmsPerMetre; 2],
    /// One colour, full on: least, most.
    pub channel_amps: [Amps; 2],
}

/// Panels that are alike, as wired and as hung.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Kind {
    /// Their names.
    pub panels: Vec<String>,
    /// Where the near edge is as hung, from the front.
    pub near_edge_front: &'static str,
    /// The same from the back.
    pub near_edge_back: &'static str,
    /// Of the whole panel, its receiver left out.
    pub amps: Vec<At<Amps>>,
    /// At most twelve.
    pub points: Vec<Point>,
}

/// A place, and what to expect there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Point {
    /// Where.
    #[serde(flatten)]
    pub spot: Spot,
    /// Why there.
    pub why: &'static str,
    /// Between plus and minus.
    pub volts: Vec<At<Volts>>,
    /// In the plus wire of the feed that lands there; none elsewhere.
    pub amps: Vec<At<Amps>>,
}

/// What is expected while the panel shows a white picture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct At<T> {
    /// Of the picture, 0 to 1.
    pub brightness: f64,
    /// With the strip as the wall file has it.
    pub expected: T,
    /// With the strip as it may be.
    pub least: T,
    /// With the strip as it may be.
    pub most: T,
}

fn at<T: Copy>(brightness: &[f64], expected: &[Expected<T>]) -> Vec<At<T>> {
    let pairs = brightness.iter().zip(expected);
    pairs
        .map(|(brightness, Expected { shown, least, most })| At {
            brightness: *brightness,
            expected: *shown,
            least: *least,
            most: *most,
        })
        .collect()
}

/// Where a meter goes on every kind of panel of a wall and what it should show, with the bench test.
///
/// # Errors
/// The first panel whose network has no answer.
pub fn sheet(wall: &Wall) -> Result<Sheet, UnsolvedPanel> {
    let power = wall_power(wall)?;
    let limit = wall.power.brightness_limit;
    let safe = power.highest_safe_brightness;
    // Cut to what can be written and set; to nothing only where nothing is safe.
    let cut = (safe * 100.0).floor() / 100.0;
    let safe_to_set = if cut > 0.0 { cut } else { safe };
    let (ceiling, by) =
        if limit <= safe { (limit, None) } else { (safe_to_set, Some(power.binding)) };
    let brightness: Vec<f64> = if ceiling < 1.0 { vec![ceiling, 1.0] } else { vec![1.0] };
    let learned = learned(wall);
    let measured = learned.is_some();
    let soft = learned.unwrap_or_else(|| Softness::unmeasured(&wall.strip));
    let networks = Networks::of(wall);
    let mut kinds: Vec<(usize, Vec<&Panel>)> = Vec::new();
    for (number, panel) in wall.panels.iter().enumerate() {
        let kind = networks.kind(number);
        let alike = |(known, panels): &&mut (usize, Vec<&Panel>)| {
            *known == kind && panels.first().is_some_and(|first| hang_alike(first, panel))
        };
        match kinds.iter_mut().find(alike) {
            Some((_, panels)) => panels.push(panel),
            None => kinds.push((kind, vec![panel])),
        }
    }
    let mut found = Vec::with_capacity(kinds.len());
    for (kind, panels) in kinds {
        let Some(first) = panels.first() else { continue };
        let failed = |unsolved| UnsolvedPanel { panel: first.name.clone(), unsolved };
        let network = &networks.all()[kind];
        let measured = measurements(network, &soft, &brightness).map_err(failed)?;
        let point = |point: &measure::Point| Point {
            spot: Spot::of(first, point.place),
            why: why(point.why),
            volts: at(&brightness, &point.volts),
            amps: at(&brightness, &point.amps),
        };
        let [near_edge_front, near_edge_back] = near_edge(first);
        found.push(Kind {
            panels: panels.iter().map(|panel| panel.name.clone()).collect(),
            near_edge_front,
            near_edge_back,
            amps: at(&brightness, &measured.amps),
            points: measured
                .points
                .iter()
                .filter(|point| !measured.points.iter().any(|pad| beside(network, point, pad)))
                .map(point)
                .collect(),
        });
    }
    Ok(Sheet {
        ceiling,
        ceiling_by: by.map_or("brightness_limit", Binding::key),
        highest_safe_brightness: safe,
        strip: Strip { measured, rail_ohms_per_metre: soft.rail, channel_amps: soft.channel },
        entry: entry(&found, ceiling),
        notes: notes(wall, &power, by, measured),
        bench: bench_test(wall, &soft)?,
        kinds: found,
    })
}

/// Whether the places of two panels with equal networks are seen in the same spots.
fn hang_alike(a: &Panel, b: &Panel) -> bool {
    (a.strips, a.enter, a.turn) == (b.strips, b.enter, b.turn)
}

/// Whether a pixel is half a step from a strip end that is on the list: it shows the same.
fn beside(network: &Network, point: &measure::Point, end: &measure::Point) -> bool {
    let (Place::Pixel { strip, pixel }, Place::Pad { strip: of, edge }) = (point.place, end.place)
    else {
        return false;
    };
    let starts = network.start_edge(of as usize - 1) == edge;
    strip == of && if starts { pixel == 0 } else { pixel as usize + 1 == network.strip_pixels() }
}

fn why(why: Why) -> &'static str {
    match why {
        Why::StrongestFeed => "the feed that carries most",
        Why::WeakestFeed => "the feed that carries least",
        Why::LowestEnd => "the strip end with the lowest voltage",
        Why::LowestPixel => "the pixel with the lowest voltage",
        Why::LastEnd => "the end of the path",
    }
}

/// The first point's entry of the wall file, its figures left open.
fn entry(kinds: &[Kind], ceiling: f64) -> Option<String> {
    let kind = kinds.first()?;
    let point = kind.points.first()?;
    let place = match (point.spot.edge, point.spot.pixel) {
        (Some(edge), _) => format!("edge = \"{}\"", edge_key(edge)),
        (None, pixel) => format!("pixel = {}", pixel?),
    };
    let amps = if point.amps.is_empty() { "" } else { "amps = ...\n" };
    let name = kind.panels.first()?.replace('\\', "\\\\").replace('"', "\\\"");
    Some(format!(
        "[[measured]]\npanel = \"{name}\"\nstrip = {}\n{place}\nbrightness = {}\nvolts = ...\n{amps}\
         volts_at_supply = ...\n",
        point.spot.strip,
        (ceiling * 1000.0).round() / 1000.0,
    ))
}

fn notes(wall: &Wall, power: &WallPower, by: Option<Binding>, measured: bool) -> Vec<String> {
    let mut notes = Vec::new();
    let safe = power.highest_safe_brightness;
    let limit = |by: Binding| by.key().replace('_', " ");
    let (trim, most) = (wall.power.trim_volts, wall.strip.max_volts);
    if trim > most {
        notes.push(format!(
            "Do not switch this wall on: trim_volts is {trim}, and the strip withstands {most}. The \
             figures below are for nothing until that is put right."
        ));
    }
    if let Some(by) = by {
        notes.push(format!(
            "brightness_limit is {}, and only {} is safe (by {}): light the wall no brighter, and set \
             brightness_limit first.",
            percent(wall.power.brightness_limit),
            percent_at_most(safe),
            limit(by),
        ));
    }
    if safe < 1.0 {
        notes.push(format!(
            "Full white at 100 % breaks a limit of this wall ({}, from {} on): its figures are for \
             comparing, not for lighting it so.",
            limit(power.binding),
            percent_at_most(safe),
        ));
    } else if wall.power.brightness_limit < 1.0 {
        notes.push(
            "The wall is held to its ceiling: 100 % needs brightness_limit = 1 in the file.".into(),
        );
    }
    if wall.strip.channels() == 4 {
        notes.push(
            "On a strip of four colours a white picture lights the white LEDs alone; these figures \
             are of that, not of all four colours at once."
                .into(),
        );
    }
    if !measured && !wall.measured.is_empty() {
        notes.push(
            "The readings in the file do not agree with [strip], or give no figures yet: plan \
             --measured says more. Until then the bands are those of an unmeasured strip."
                .into(),
        );
    }
    if measured {
        let strip = &wall.strip;
        notes.push(format!(
            "The strip was measured: {} ohm/m, {} a colour.",
            digits(strip.rail_ohms_per_metre.0, 3),
            milliamps(strip.channel_amps),
        ));
    }
    notes
}
