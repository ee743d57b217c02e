//! The outside judge: ngspice on a deck written from the wall file alone.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use glowloom_design::Wall;
use glowloom_design::wall::Panel;

use super::parts::{Node, Parts, Place, ohms, parts_of};

/// Voltage between the rails by strip and pixel along its data, both from 0; 0 where dead.
pub type Volts = BTreeMap<(u32, u32), f64>;

/// A panel as a list of parts.
pub struct Deck {
    pub text: String,
    /// Live pixels: strip, pixel.
    live: BTreeSet<(u32, u32)>,
    pixels: Vec<(u32, u32)>,
}

fn name(rail: char, (strip, place): Node) -> String {
    match place {
        Place::In => format!("{rail}{strip}in"),
        Place::Pixel(i) => format!("{rail}{strip}x{i}"),
        Place::Out => format!("{rail}{strip}out"),
    }
}

/// Writes the deck of a panel; `level` gives red, green, blue and white of a pixel by strip and place
/// along its data, `brightness` scales them.
pub fn deck(
    wall: &Wall,
    panel: &Panel,
    level: impl Fn(u32, u32) -> [f64; 4],
    brightness: f64,
) -> Deck {
    let (strips, pixels) = (panel.strip_count(), panel.strip_pixels());
    let Parts { plus, minus, feeds, hot, cold } = parts_of(wall, panel);
    let mut text = String::from("A panel of light\n");
    let mut line = |part: std::fmt::Arguments| writeln!(text, "{part}").unwrap();
    line(format_args!("Vs s 0 {:?}", wall.power.trim_volts.0));
    let inside = wall.power.supply_ohms.0;
    for supply in 0..wall.power.supplies_per_panel {
        if inside > 0.0 {
            line(format_args!("Rs{supply} s t{supply} {:?}", ohms(inside)));
        } else {
            line(format_args!("Vt{supply} s t{supply} 0"));
        }
    }
    for (i, (pad, supply, ohms)) in feeds.iter().enumerate() {
        line(format_args!("Rfp{i} t{supply} {} {ohms:?}", name('p', *pad)));
        line(format_args!("Rfm{i} 0 {} {ohms:?}", name('m', *pad)));
    }
    for (rail, parts, alive) in [('p', &plus, &hot), ('m', &minus, &cold)] {
        let alive = parts.iter().filter(|part| alive.contains(&part.0));
        for (i, (from, to, ohms)) in alive.enumerate() {
            line(format_args!("R{rail}{i} {} {} {ohms:?}", name(rail, *from), name(rail, *to)));
        }
    }
    let strip = &wall.strip;
    let mut live = BTreeSet::new();
    let all: Vec<(u32, u32)> =
        (0..strips).flat_map(|strip| (0..pixels).map(move |pixel| (strip, pixel))).collect();
    for (s, x) in &all {
        let node = (*s, Place::Pixel(*x));
        if !hot.contains(&node) {
            continue;
        }
        live.insert((*s, *x));
        let (p, m) = (name('p', node), name('m', node));
        let term = |amps: f64, knee: f64| format!("{amps:?}*min(1,max(0,v({p},{m})/{knee:?}))");
        let mut terms = Vec::new();
        for (level, knee) in level(*s, *x).iter().zip(strip.knee_volts).take(strip.channels()) {
            let amps = level * brightness * strip.channel_amps.0;
            if amps > 0.0 {
                terms.push(term(amps, knee.0));
            }
        }
        if strip.idle_amps.0 > 0.0 {
            terms.push(term(strip.idle_amps.0, strip.idle_knee_volts.0));
        }
        if !terms.is_empty() {
            line(format_args!("B{s}x{x} {p} {m} I={}", terms.join("+")));
        }
    }
    text += ".options reltol=1e-9 abstol=1e-14 vntol=1e-12 gmin=1e-18 itl1=2000\n";
    Deck { text, live, pixels: all }
}

impl Deck {
    /// What ngspice makes of it: voltages, and how long the whole process took. `None` where there
    /// is no ngspice.
    ///
    /// # Panics
    /// Where ngspice is there and does not solve the deck.
    pub fn judge(&self, called: &str) -> Option<(Volts, std::time::Duration)> {
        let folder = Folder::new(called);
        let (deck, raw) = (folder.0.join("panel.cir"), folder.0.join("panel.raw"));
        let control = format!(".control\nop\nwrite {}\nquit\n.endc\n.end\n", raw.display());
        std::fs::write(&deck, format!("{}{control}", self.text)).unwrap();
        let start = std::time::Instant::now();
        let done = Command::new("ngspice").arg("-b").arg(&deck).current_dir(&folder.0).output();
        let took = start.elapsed();
        let done = match done {
            Ok(done) => done,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return None,
            Err(error) => panic!("ngspice cannot be started: {error}"),
        };
        assert!(raw.exists(), "{called}: {}", String::from_utf8_lossy(&done.stderr));
        let values = read_raw(&raw);
        if self.live.is_empty() {
            assert!(self.pixels.iter().all(|at| !self.live.contains(at)));
        }
        let potential = |rail: char, s: u32, x: u32| {
            let node = name(rail, (s, Place::Pixel(x)));
            *values.get(&node).unwrap_or_else(|| panic!("{called}: no node {node} in the answer"))
        };
        let volts = self.pixels.iter().map(|(s, x)| {
            let live = self.live.contains(&(*s, *x));
            ((*s, *x), if live { potential('p', *s, *x) - potential('m', *s, *x) } else { 0.0 })
        });
        Some((volts.collect(), took))
    }
}

/// A folder that goes when the test ends.
struct Folder(PathBuf);

impl Folder {
    fn new(called: &str) -> Self {
        let plain: String =
            called.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        let name = format!("glowloom-{}-{plain}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A raw file: text up to `Binary:`, then one little-endian double for each variable in the order
/// listed, names in lower case.
fn read_raw(path: &Path) -> BTreeMap<String, f64> {
    let bytes = std::fs::read(path).unwrap();
    let mark = b"Binary:\n";
    let at = bytes.windows(mark.len()).position(|w| w == mark).expect("a binary raw file");
    let head = String::from_utf8_lossy(&bytes[..at]);
    let listed = head.split_once("Variables:\n").expect("a list of variables").1;
    let names = listed.lines().filter_map(|line| line.split_whitespace().nth(1));
    let values = bytes[at + mark.len()..].chunks_exact(8);
    let values = values.map(|b| f64::from_le_bytes(b.try_into().unwrap()));
    let plain = |name: &str| {
        name.strip_prefix("v(").and_then(|n| n.strip_suffix(')')).unwrap_or(name).to_owned()
    };
    names.map(plain).zip(values).collect()
}
