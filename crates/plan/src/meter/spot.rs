//! Where a place on a panel is seen: by strip and edge, and from the front and the back as it hangs.

use glowloom_design::wall::{Direction, Edge, Panel, Turn};
use serde::{Serialize, Serializer};

use super::words::ordinal;
use crate::path::PanelPath;
use crate::power::figures::edge_key;
use crate::power::measure::Place;

/// A place on a panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spot {
    /// From 1.
    pub strip: u32,
    /// The strip's end, where it is one; else null.
    #[serde(serialize_with = "edge")]
    pub edge: Option<Edge>,
    /// From 0 where the strip's data comes in; null at a strip's end.
    pub pixel: Option<u32>,
    /// `strip 8, near end`.
    pub words: String,
    /// As it hangs, from where it is watched.
    pub front: String,
    /// As it hangs, from where it is wired.
    pub back: String,
}

fn edge<S: Serializer>(edge: &Option<Edge>, to: S) -> Result<S::Ok, S::Error> {
    edge.map(edge_key).serialize(to)
}

/// A side of a panel as it hangs, from the front; clockwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Top,
    Right,
    Bottom,
    Left,
}

impl Side {
    const CLOCKWISE: [Self; 4] = [Self::Top, Self::Right, Self::Bottom, Self::Left];

    fn turned(self, turn: Turn) -> Self {
        let quarters = match turn {
            Turn::None => 0,
            Turn::Quarter => 1,
            Turn::Half => 2,
            Turn::ThreeQuarters => 3,
        };
        Self::CLOCKWISE[(self as usize + quarters) % 4]
    }

    fn opposite(self) -> Self {
        Self::CLOCKWISE[(self as usize + 2) % 4]
    }

    /// The same side from behind.
    fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            other => other,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Right => "right",
            Self::Bottom => "bottom",
            Self::Left => "left",
        }
    }
}

/// The side of the near edge, and the side at which strip 1 lies.
fn sides(panel: &Panel) -> (Side, Side) {
    let upright = if panel.enter.is_top() { Side::Top } else { Side::Bottom };
    let across = if panel.enter.is_left() { Side::Left } else { Side::Right };
    let (near, first) = match panel.strips {
        Direction::Vertical => (upright, across),
        Direction::Horizontal => (across, upright),
    };
    (near.turned(panel.turn), first.turned(panel.turn))
}

/// The near edge of a panel as it hangs: from the front, from the back.
pub(crate) fn near_edge(panel: &Panel) -> [&'static str; 2] {
    let (near, _) = sides(panel);
    [near.word(), near.mirrored().word()]
}

/// Counts from whichever of two sides is closer: `3rd strip from the left`.
fn counted(from: Side, number: u32, of: u32, what: &str, mirrored: bool) -> String {
    let behind = of.saturating_sub(number) + 1;
    let (side, number) = if number <= behind { (from, number) } else { (from.opposite(), behind) };
    let side = if mirrored { side.mirrored() } else { side };
    format!("{} {what} from the {}", ordinal(number), side.word())
}

impl Spot {
    /// A place that the panel has.
    #[must_use]
    pub fn of(panel: &Panel, place: Place) -> Self {
        let (near, first) = sides(panel);
        let (strip, words, edge, pixel) = match place {
            Place::Pad { strip, edge } => {
                (strip, format!("strip {strip}, {} end", edge_key(edge)), Some(edge), None)
            }
            Place::Pixel { strip, pixel } => {
                (strip, format!("strip {strip}, pixel {pixel}"), None, Some(pixel))
            }
            Place::Mark { strip, pixel } => {
                (strip, format!("strip {strip}, behind pixel {pixel}"), None, Some(pixel))
            }
        };
        let seen = |mirrored: bool| {
            let strips = counted(first, strip, panel.strip_count(), "strip", mirrored);
            let along = match (edge, pixel) {
                (Some(edge), _) => {
                    let side = if edge == Edge::Near { near } else { near.opposite() };
                    let side = if mirrored { side.mirrored() } else { side };
                    format!("at its {} end", side.word())
                }
                (None, pixel) => {
                    let from_near = from_near(panel, strip, pixel.unwrap_or(0));
                    let of = panel.strip_pixels();
                    counted(near, from_near.saturating_add(1), of, "pixel", mirrored)
                }
            };
            format!("{strips}, {along}")
        };
        let (front, back) = (seen(false), seen(true));
        Self { strip, edge, pixel, words, front, back }
    }
}

/// How far from the near edge a pixel of a strip lies, from 0.
fn from_near(panel: &Panel, strip: u32, pixel: u32) -> u32 {
    let lines = PanelPath::of(panel);
    let mut runs = lines.lines().flat_map(|line| line.runs());
    let run = runs.find(|run| run.first.strip == strip);
    match run {
        Some(run) if !run.starts_near => panel.strip_pixels().saturating_sub(pixel + 1),
        _ => pixel,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panel(lines: &str) -> Panel {
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = 20\nrows = 20\n\
             [strip]\npart = \"ws2812b-30\"\n\
             [[panels]]\nname = \"a\"\nat = [0, 0]\n{lines}"
        );
        let wall = glowloom_design::read(text.as_bytes());
        wall.unwrap_or_else(|wrong| panic!("{wrong:#?}")).panels[0].clone()
    }

    /// Every pixel's words lead to the pixel that the path has there; every turn and corner.
    #[test]
    fn words_lead_to_the_pixel() {
        for strips in ["vertical", "horizontal"] {
            for enter in ["top-left", "top-right", "bottom-left", "bottom-right"] {
                for turn in [0, 90, 180, 270] {
                    let panel = panel(&format!(
                        "columns = 7\nrows = 5\nstrips = \"{strips}\"\nenter = \"{enter}\"\nturn = {turn}\n"
                    ));
                    for pixel in PanelPath::of(&panel).lines().flat_map(|line| line.path()) {
                        let along = pixel.index % panel.strip_pixels();
                        let place = Place::Pixel { strip: pixel.strip, pixel: along };
                        let spot = Spot::of(&panel, place);
                        let (columns, rows) = panel.hung();
                        let at = |words: &str, mirrored: bool| {
                            let (mut column, mut row) = (None, None);
                            for part in words.split(", ") {
                                let digits: String =
                                    part.chars().take_while(char::is_ascii_digit).collect();
                                let n: u32 = digits.parse().unwrap();
                                let side = part.rsplit(' ').next().unwrap();
                                match (side, mirrored) {
                                    ("top", _) => row = Some(n - 1),
                                    ("bottom", _) => row = Some(rows - n),
                                    ("left", false) | ("right", true) => column = Some(n - 1),
                                    ("right", false) | ("left", true) => column = Some(columns - n),
                                    _ => panic!("{words}"),
                                }
                            }
                            (column.unwrap(), row.unwrap())
                        };
                        let hung = (pixel.hung.column, pixel.hung.row);
                        assert_eq!(
                            at(&spot.front, false),
                            hung,
                            "{spot:?} {strips} {enter} {turn}"
                        );
                        assert_eq!(at(&spot.back, true), hung, "{spot:?} {strips} {enter} {turn}");
                    }
                }
            }
        }
    }

    #[test]
    fn strip_ends() {
        let upright = panel("columns = 7\nrows = 5\n");
        let spot = Spot::of(&upright, Place::Pad { strip: 6, edge: Edge::Near });
        assert_eq!(spot.words, "strip 6, near end");
        assert_eq!(spot.front, "2nd strip from the right, at its bottom end");
        assert_eq!(spot.back, "2nd strip from the left, at its bottom end");
        let lying =
            panel("columns = 7\nrows = 5\nstrips = \"horizontal\"\nenter = \"top-right\"\n");
        let spot = Spot::of(&lying, Place::Pad { strip: 2, edge: Edge::Far });
        assert_eq!(spot.front, "2nd strip from the top, at its left end");
        assert_eq!(spot.back, "2nd strip from the top, at its right end");
        assert_eq!(near_edge(&lying), ["right", "left"]);
        // Turned clockwise by a quarter what was at the right is below.
        let turned = panel(
            "columns = 7\nrows = 5\nstrips = \"horizontal\"\nenter = \"top-right\"\nturn = 90\n",
        );
        assert_eq!(near_edge(&turned), ["bottom", "bottom"]);
        let spot = Spot::of(&turned, Place::Pad { strip: 1, edge: Edge::Near });
        assert_eq!(spot.front, "1st strip from the right, at its bottom end");
    }
}
