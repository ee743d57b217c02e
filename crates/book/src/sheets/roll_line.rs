//! A roll's line below its bar: the strip that each piece becomes, below the piece where there is room,
//! else in words.

use glowloom_design::Wall;
use glowloom_plan::cuts::{Label, Roll};

use crate::draw::Drawing;
use crate::draw::text::{BOLD, PLAIN, is_legible, plain};
use crate::svg::Point;

/// Around its words, above and below.
pub const AIR: f64 = 0.7;
/// Between two labels side by side.
const APART: f64 = 2.2;
/// A panel's name in words is no wider than this.
const NAME_ROOM: f64 = 45.0;
/// More lines than this are left to the list.
const MOST_LINES: usize = 24;

/// What a roll's line says.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// Names of pieces, and where each begins.
    Below(Vec<(f64, Name)>),
    /// Lines of text.
    Words(Vec<String>),
}

/// The name of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// The panel's; empty where the name before has the same.
    pub panel: String,
    /// Where on it, with a star where the roll's connector is kept.
    pub place: String,
}

impl Name {
    fn of(label: &Label, starred: bool) -> Self {
        let panel = plain(&label.panel);
        let whole = plain(&label.to_string());
        let place = whole.strip_prefix(&panel).unwrap_or(&whole).trim_start();
        Self { place: format!("{place}{}", if starred { " *" } else { "" }), panel }
    }

    fn panel_room(&self) -> f64 {
        if self.panel.is_empty() {
            return 0.0;
        }
        PLAIN.width(&self.panel) + PLAIN.width(" ")
    }

    fn width(&self) -> f64 {
        self.panel_room() + BOLD.width(&self.place)
    }
}

fn names(roll: &Roll) -> Vec<Name> {
    let starred = |i: usize| i == 0 && roll.connector;
    roll.labels.iter().enumerate().map(|(i, label)| Name::of(label, starred(i))).collect()
}

impl Line {
    /// Each name below its piece, which lies between two of the edges, in full or with the panel only
    /// where it is another; none where a name would begin behind its piece or end beyond `right`, or cannot
    /// be read.
    pub fn below(roll: &Roll, edges: &[f64], right: f64, full: bool) -> Option<Self> {
        let mut free = edges.first().copied()?;
        let mut before: Option<String> = None;
        let mut placed = Vec::new();
        for (mut name, edge) in names(roll).into_iter().zip(edges.windows(2)) {
            let panel = name.panel.clone();
            if !full && before.as_ref() == Some(&panel) {
                name.panel.clear();
            }
            before = Some(panel);
            let [from, to] = edge else { return None };
            if !is_legible(&name.panel) {
                return None;
            }
            let width = name.width();
            let start = ((from + to - width) / 2.0).max(free);
            if start > to - 1.5 || start + width > right {
                return None;
            }
            free = start + width + APART;
            placed.push((start, name));
        }
        Some(Self::Below(placed))
    }

    /// `west: 1, 2, 3 + 2 spare; east: 4`, broken to a width. `list` is the file that has all.
    pub fn words(wall: &Wall, roll: &Roll, room: f64, list: &str) -> Self {
        let names: Vec<(&Label, Name)> = roll.labels.iter().zip(names(roll)).collect();
        let run = |run: &[(&Label, Name)]| {
            let panel = run.first().map_or("", |(label, _)| &*label.panel);
            let places: Vec<&str> = run.iter().map(|(_, name)| name.place.as_str()).collect();
            format!("{}: {}", short(wall, panel), places.join(", "))
        };
        let runs = names.chunk_by(|a, b| a.0.panel == b.0.panel).map(run);
        let mut lines = PLAIN.lines(&runs.collect::<Vec<_>>().join("; "), room);
        if lines.len() > MOST_LINES {
            lines.truncate(MOST_LINES - 1);
            lines.push(format!("and more: see {list}"));
        }
        Self::Words(lines)
    }

    /// mm.
    pub fn height(&self) -> f64 {
        let lines = match self {
            Self::Below(_) => 1,
            Self::Words(lines) => lines.len().max(1),
        };
        #[expect(clippy::cast_precision_loss, reason = "lines of a sheet")]
        let lines = lines as f64;
        PLAIN.size.line() * lines + 2.0 * AIR
    }

    /// Draws it; the first line of words stands there.
    pub fn draw(&self, drawing: &mut Drawing, at: Point) {
        match self {
            Self::Below(names) => {
                for (x, name) in names {
                    let at = Point::new(*x, at.y);
                    drawing.text(PLAIN, at, &name.panel);
                    drawing.text(BOLD, at.by(name.panel_room(), 0.0), &name.place);
                }
            }
            Self::Words(lines) => {
                let mut at = at;
                for line in lines {
                    drawing.text(PLAIN, at, line);
                    at = at.by(0.0, PLAIN.size.line());
                }
            }
        }
    }
}

/// A panel's name; of a long one its start, and its number in the file, as of one in letters that the font
/// has not.
fn short(wall: &Wall, panel: &str) -> String {
    let name = plain(panel);
    if PLAIN.width(&name) <= NAME_ROOM && is_legible(&name) {
        return name;
    }
    let number = wall.panels.iter().position(|known| known.name == panel);
    let number = number.map_or_else(String::new, |number| format!(" (panel {})", number + 1));
    format!("{}{number}", PLAIN.fitted(&name, NAME_ROOM))
}

#[cfg(test)]
mod tests {
    use glowloom_plan::cuts::Place;

    use super::*;

    fn roll(labels: &[(&str, Place)]) -> Roll {
        let label = |(panel, place): &(&str, Place)| Label {
            panel: (*panel).into(),
            place: *place,
            part: None,
        };
        Roll {
            pieces: vec![1; labels.len()],
            labels: labels.iter().map(label).collect(),
            left_over: 0,
            pixels: 9,
            shelf: false,
            connector: true,
        }
    }

    #[test]
    fn names_stand_below_their_pieces_or_in_words() {
        let of = [
            ("west 1", Place::WithSpare(1, 2)),
            ("west 1", Place::Strip(12)),
            ("b", Place::Strip(1)),
        ];
        let roll = roll(&of);
        let Some(Line::Below(names)) = Line::below(&roll, &[0.0, 40.0, 80.0, 90.0], 99.0, true)
        else {
            panic!("there is room")
        };
        let found: Vec<_> =
            names.iter().map(|(_, name)| (name.panel.as_str(), name.place.as_str())).collect();
        assert_eq!(found, [("west 1", "1 + 2 spare *"), ("west 1", "12"), ("b", "1")]);
        for ((x, name), middle) in names.iter().zip([20.0, 60.0, 85.0]) {
            assert!((x + name.width() / 2.0 - middle).abs() < 1e-9);
        }
        // The second has only its place.
        let edges = [0.0, 33.0, 39.0, 47.0];
        assert_eq!(Line::below(&roll, &edges, 47.0, true), None);
        let Some(Line::Below(names)) = Line::below(&roll, &edges, 47.0, false) else {
            panic!("there is room")
        };
        assert_eq!((names[1].1.panel.as_str(), names[1].1.place.as_str()), ("", "12"));
        // A name too many for its piece, and one too many for the sheet.
        assert_eq!(Line::below(&roll, &[0.0, 5.0, 10.0, 90.0], 99.0, true), None);
        assert_eq!(Line::below(&roll, &[0.0, 40.0, 80.0, 90.0], 85.5, true), None);
        let file = "format = 1\n[wall]\nname = \"W\"\ncolumns = 1\nrows = 1\n[strip]\npart = \"ws2812b-30\"\n\
                    [[panels]]\nname = \"west 1\"\nat = [0, 0]\ncolumns = 1\nrows = 1\n";
        let wall = glowloom_design::read(file.as_bytes()).unwrap();
        let words = Line::words(&wall, &roll, 200.0, "x");
        assert_eq!(words, Line::Words(vec!["west 1: 1 + 2 spare *, 12; b: 1".into()]));
        let strange = self::roll(&[("מזרח", Place::Strip(1))]);
        assert_eq!(Line::below(&strange, &[0.0, 90.0], 99.0, true), None);
        let file = file.replace("west 1", "מזרח");
        let wall = glowloom_design::read(file.as_bytes()).unwrap();
        let words = Line::words(&wall, &strange, 200.0, "x");
        assert_eq!(words, Line::Words(vec!["מזרח (panel 1): 1 *".into()]));
        let narrow = Line::words(&wall, &self::roll(&of.repeat(4)), 1.0, "x");
        assert!(matches!(&narrow, Line::Words(lines) if lines.len() == MOST_LINES));
        assert!(narrow.height() > 80.0);
    }
}
