//! What is lit at first light, check by check: which pixels, and what a person must see.

use glowloom_design::Wall;
use glowloom_design::wall::Panel;
use glowloom_wire::Patch;
use glowloom_wire::patch::PanelPatch;

/// A test picture of first light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Check {
    /// How many pixels each strip has.
    Count,
    /// Where each strip begins and ends.
    Ends,
    /// Which colour is which.
    Colours,
    /// Whether the path turns as drawn.
    Turns,
    /// Whether each panel is where it belongs, the right way up.
    Neighbours,
    /// What a meter reads as the light rises.
    White,
}

/// One picture of it: pixels of the wall's picture with their colours, and how long it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Lit {
    /// Pixel, row by row from the top left, and colour, 0xRRGGBB.
    pub pixels: Vec<(u32, u32)>,
    /// Seconds.
    pub seconds: f64,
}

const RED: u32 = 0xff_00_00;
const GREEN: u32 = 0x00_ff_00;
const BLUE: u32 = 0x00_00_ff;
const WHITE: u32 = 0xff_ff_ff;
const DIM: u32 = 0x80_80_80;

/// Every so many pixels of a strip one is lit, to count by.
const COUNTED_BY: usize = 10;
/// A dot moves on so often: 10 pixels a second, which is no flash, for one pixel is a small part of a panel.
const DOT_SECONDS: f64 = 0.1;
/// Steps of the white ramp, in 255ths of an sRGB level.
const LEVELS: [u32; 5] = [64, 118, 160, 206, 255];

impl Check {
    /// All, in the order in which they are gone through.
    pub const ALL: [Self; 6] =
        [Self::Count, Self::Ends, Self::Colours, Self::Turns, Self::Neighbours, Self::White];

    /// The word by which it is asked for.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Count => "count",
            Self::Ends => "ends",
            Self::Colours => "colours",
            Self::Turns => "turns",
            Self::Neighbours => "neighbours",
            Self::White => "white",
        }
    }

    /// The check of that word.
    #[must_use]
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|check| check.key() == word)
    }

    /// What must be seen.
    #[must_use]
    pub const fn seen(self) -> &'static str {
        match self {
            Self::Count => {
                "Strip by strip, in order: its first pixel green, then every tenth white, its last red. A strip with \
                 too many or too few pixels ends early, or its red one is missing."
            }
            Self::Ends => {
                "All strips at once: green where each begins, red where it ends. Strip 1 begins in the corner \
                 that the drawing marks; in a serpentine every other strip has its red end beside the next green one."
            }
            Self::Colours => {
                "Every panel red, then green, then blue, three seconds each, then one white pixel in ten."
            }
            Self::Turns => {
                "On each panel one dot runs along the path, from the first strip to the last: it must climb one strip and \
                 come down the next (serpentine), or begin each at the same edge (progressive), and never jump."
            }
            Self::Neighbours => {
                "A frame around each panel, a green pixel at its top left as it hangs, and white lines that go across the \
                 whole wall. A line that breaks off or jumps shows a panel that is turned or exchanged."
            }
            Self::White => {
                "All white, in five steps of ten seconds, as far as the ceiling. Measure at the points that `glowloom plan \
                 WALL --meter` lists, at the terminals' covers' test holes or with the probes fixed before power."
            }
        }
    }

    /// Where to take care.
    #[must_use]
    pub const fn caution(self) -> Option<&'static str> {
        match self {
            Self::White => Some(
                "Full current flows: no tool, ring or loose wire near open terminals; one hand on one probe. Anything that \
                 smells, or a wire too warm to hold: mains plug out, then look.",
            ),
            _ => None,
        }
    }

    /// Its pictures in turn.
    #[must_use]
    pub fn lit(self, wall: &Wall, patch: &Patch) -> Vec<Lit> {
        match self {
            Self::Count => count(wall, patch),
            Self::Ends => vec![ends(wall, patch)],
            Self::Colours => colours(patch),
            Self::Turns => turns(patch),
            Self::Neighbours => vec![neighbours(patch)],
            Self::White => LEVELS
                .into_iter()
                .map(|level| every(patch, 1, level << 16 | level << 8 | level, 10.0))
                .collect(),
        }
    }
}

/// The pixels of each strip of a panel.
type Strips = Vec<Vec<u32>>;

/// The strips of each panel: their pixels along the path, spares left out.
fn strips(wall: &Wall, patch: &Patch) -> Vec<Strips> {
    let of_panel = |(panel, drawn): (&PanelPatch, &Panel)| -> Strips {
        let long = drawn.strip_pixels() as usize;
        let lines = panel
            .lines
            .iter()
            .map(|line| line.pixels.iter().flatten().copied().collect::<Vec<_>>());
        lines
            .flat_map(|line| line.chunks(long.max(1)).map(<[u32]>::to_vec).collect::<Vec<_>>())
            .collect()
    };
    patch.panels().iter().zip(&wall.panels).map(of_panel).collect()
}

/// Strip by strip, the same strip of all panels together.
fn count(wall: &Wall, patch: &Patch) -> Vec<Lit> {
    let panels = strips(wall, patch);
    let most = panels.iter().map(Vec::len).max().unwrap_or(0);
    let marked = |strip: &Vec<u32>| {
        let last = strip.len() - 1;
        let colour = move |at: usize| match at {
            0 => Some(GREEN),
            at if at == last => Some(RED),
            at if (at + 1) % COUNTED_BY == 0 => Some(WHITE),
            _ => None,
        };
        let pixels = strip.iter().enumerate();
        pixels.filter_map(|(at, &pixel)| Some((pixel, colour(at)?))).collect::<Vec<_>>()
    };
    let nth = |nth: usize| {
        let strips =
            panels.iter().filter_map(|panel| panel.get(nth)).filter(|strip| !strip.is_empty());
        Lit { pixels: strips.flat_map(marked).collect(), seconds: 2.0 }
    };
    (0..most).map(nth).collect()
}

fn ends(wall: &Wall, patch: &Patch) -> Lit {
    let all = strips(wall, patch).into_iter().flatten();
    let marked = |strip: Vec<u32>| {
        let (first, last) = (strip.first().copied(), strip.last().copied());
        last.map(|pixel| (pixel, RED)).into_iter().chain(first.map(|pixel| (pixel, GREEN)))
    };
    Lit { pixels: all.flat_map(marked).collect(), seconds: 10.0 }
}

fn colours(patch: &Patch) -> Vec<Lit> {
    let mut all: Vec<_> = [RED, GREEN, BLUE].map(|colour| every(patch, 1, colour, 3.0)).into();
    all.push(every(patch, COUNTED_BY, WHITE, 3.0));
    all
}

/// Every so many pixels of every line.
fn every(patch: &Patch, step: usize, colour: u32, seconds: f64) -> Lit {
    let lines = patch.panels().iter().flat_map(|panel| &panel.lines);
    let pixels = lines.flat_map(|line| line.pixels.iter().flatten().step_by(step));
    Lit { pixels: pixels.map(|&pixel| (pixel, colour)).collect(), seconds }
}

/// A dot on each panel at the same time.
fn turns(patch: &Patch) -> Vec<Lit> {
    let paths: Vec<Vec<u32>> = patch
        .panels()
        .iter()
        .map(|panel| {
            panel.lines.iter().flat_map(|line| line.pixels.iter().flatten().copied()).collect()
        })
        .collect();
    let most = paths.iter().map(Vec::len).max().unwrap_or(0);
    let nth = |nth: usize| {
        let dots = paths.iter().filter_map(|path| path.get(nth));
        Lit { pixels: dots.map(|&pixel| (pixel, WHITE)).collect(), seconds: DOT_SECONDS }
    };
    (0..most).map(nth).collect()
}

/// Frames, top left corners, and lines across the wall.
fn neighbours(patch: &Patch) -> Lit {
    let columns = patch.common().columns.max(1);
    let mut pixels = Vec::new();
    for panel in patch.panels() {
        let all: Vec<u32> =
            panel.lines.iter().flat_map(|line| line.pixels.iter().flatten().copied()).collect();
        let place = |pixel: &u32| (pixel % columns, pixel / columns);
        let (xs, ys) = (all.iter().map(|p| place(p).0), all.iter().map(|p| place(p).1));
        let Some((left, right)) = xs.clone().min().zip(xs.max()) else { continue };
        let Some((top, bottom)) = ys.clone().min().zip(ys.max()) else { continue };
        for &pixel in &all {
            let (x, y) = place(&pixel);
            let colour = match (x, y) {
                (x, y) if (x, y) == (left, top) => Some(GREEN),
                (x, y) if x == left || x == right || y == top || y == bottom => Some(DIM),
                // A line for every eight rows of the whole wall.
                (_, y) if y % 8 == 4 => Some(WHITE),
                _ => None,
            };
            pixels.extend(colour.map(|colour| (pixel, colour)));
        }
    }
    Lit { pixels, seconds: 10.0 }
}

/// The order that the strip really has, from the colours that were seen when red, green and blue were sent by the
/// order that it was taken to have. `None` where each of the three was not seen once.
///
/// What was meant for a place went there whatever that place's colour is: so the colour at a place is the one that was seen
/// when its own was sent.
#[must_use]
pub fn order_seen(taken: &str, seen: &str) -> Option<String> {
    let mut sorted: Vec<char> = seen.chars().collect();
    sorted.sort_unstable();
    if sorted != ['b', 'g', 'r'] {
        return None;
    }
    let now = |letter: char| match letter {
        'r' => seen.chars().next(),
        'g' => seen.chars().nth(1),
        'b' => seen.chars().nth(2),
        other => Some(other),
    };
    taken.chars().map(now).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two panels of two strips of three, the second hung upside down.
    fn wall() -> Wall {
        let text = "format = 1\n[wall]\nname = \"x\"\ncolumns = 4\nrows = 3\n[strip]\npart = \"ws2812b-30\"\n\
            [panel]\ncolumns = 2\nrows = 3\nspare_pixels = 1\n[[panels]]\nname = \"a\"\nat = [0, 0]\n\
            [[panels]]\nname = \"b\"\nat = [2, 0]\nturn = 180\n";
        glowloom_design::read(text.as_bytes()).unwrap()
    }

    fn lit(check: Check) -> Vec<Lit> {
        let wall = wall();
        check.lit(&wall, &crate::patch(&wall).unwrap())
    }

    /// By hand: strips enter at the bottom left and run up; the second runs down. On the turned panel all is
    /// seen from its other end.
    #[test]
    fn ends_and_turns_are_where_the_path_has_them() {
        let mut ends = lit(Check::Ends)[0].pixels.clone();
        ends.sort_unstable();
        let wanted = [
            (0, RED),
            (1, GREEN),
            (2, RED),
            (3, GREEN),
            (8, GREEN),
            (9, RED),
            (10, GREEN),
            (11, RED),
        ];
        assert_eq!(ends, wanted);
        let dots: Vec<_> = lit(Check::Turns).iter().map(|lit| lit.pixels[0].0).collect();
        assert_eq!(dots, [8, 4, 0, 1, 5, 9]);
        let dots: Vec<_> = lit(Check::Turns).iter().map(|lit| lit.pixels[1].0).collect();
        assert_eq!(dots, [3, 7, 11, 10, 6, 2]);
    }

    /// A strip of order rgb that is taken for grb: red is put second, where green is.
    #[test]
    fn the_order_follows_from_what_is_seen() {
        assert_eq!(order_seen("grb", "grb").as_deref(), Some("rgb"));
        assert_eq!(order_seen("grb", "rgb").as_deref(), Some("grb"));
        assert_eq!(order_seen("rgb", "gbr").as_deref(), Some("gbr"));
        assert_eq!(order_seen("grbw", "rbg").as_deref(), Some("brgw"));
        for wrong in ["", "rg", "rrb", "rgbw", "xyz"] {
            assert_eq!(order_seen("grb", wrong), None);
        }
    }

    #[test]
    fn every_check_lights_something_within_the_picture() {
        for check in Check::ALL {
            assert_eq!(Check::find(check.key()), Some(check));
            for lit in lit(check) {
                assert!(!lit.pixels.is_empty() && lit.seconds > 0.0, "{check:?}");
                assert!(lit.pixels.iter().all(|(pixel, _)| *pixel < 12), "{check:?}");
            }
        }
        assert_eq!(lit(Check::Count).len(), 2);
        assert_eq!(lit(Check::Colours)[1].pixels.len(), 12);
        assert_eq!(Check::find("pixels"), None);
    }

    #[test]
    fn each_panel_has_its_top_left_as_it_hangs() {
        let lit = &lit(Check::Neighbours)[0];
        let green: Vec<_> =
            lit.pixels.iter().filter(|(_, colour)| *colour == GREEN).map(|(p, _)| *p).collect();
        assert_eq!(green, [0, 2]);
    }
}
