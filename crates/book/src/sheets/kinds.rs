//! Panels that are alike share their sheets.

use glowloom_design::Wall;
use glowloom_design::wall::{Address, Panel};

/// Panels that are built alike, wired alike and hang alike.
pub struct Kind<'w> {
    /// `A`, `B` and so on.
    pub letter: String,
    /// The first of them.
    pub first: &'w Panel,
    /// Their places in the wall file, from 0.
    pub panels: Vec<usize>,
}

/// A panel without what may differ among panels that are built alike.
fn likeness(panel: &Panel) -> Panel {
    Panel {
        name: String::new(),
        at: (0, 0),
        place: None,
        address: Address::Virtual { port: 0 },
        first_universe: 0,
        universes_end: 0,
        number: 0,
        ..panel.clone()
    }
}

/// The kinds of a wall's panels, in the order in which they first come up.
pub fn kinds(wall: &Wall) -> Vec<Kind<'_>> {
    let mut known: Vec<(Panel, Kind)> = Vec::new();
    for (number, panel) in wall.panels.iter().enumerate() {
        let like = likeness(panel);
        match known.iter_mut().find(|(other, _)| *other == like) {
            Some((_, kind)) => kind.panels.push(number),
            None => {
                let letter = letter(known.len());
                known.push((like, Kind { letter, first: panel, panels: vec![number] }));
            }
        }
    }
    known.into_iter().map(|(_, kind)| kind).collect()
}

/// A to Z, then AA and so on.
fn letter(number: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = number + 1;
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).unwrap_or(0);
        letters.insert(0, char::from(b'A' + digit));
        rest = (rest - 1) / 26;
    }
    letters.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on() {
        assert_eq!(
            [0, 1, 25, 26, 27, 701, 702].map(letter),
            ["A", "B", "Z", "AA", "AB", "ZZ", "AAA"]
        );
    }

    #[test]
    fn panels_alike_are_one_kind() {
        let text = "format = 1\n[wall]\nname = \"W\"\ncolumns = 8\nrows = 2\n[strip]\npart = \
                    \"ws2812b-30\"\n[panel]\ncolumns = 2\nrows = 2\n\
                    [[panels]]\nname = \"a\"\nat = [0, 0]\n[[panels]]\nname = \"b\"\nat = [2, 0]\n\
                    turn = 180\n[[panels]]\nname = \"c\"\nat = [4, 0]\naddress = \"192.0.2.1\"\n";
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        let kinds = kinds(&wall);
        let found: Vec<_> =
            kinds.iter().map(|kind| (kind.letter.as_str(), kind.panels.as_slice())).collect();
        assert_eq!(found, [("A", &[0, 2][..]), ("B", &[1][..])]);
    }
}
