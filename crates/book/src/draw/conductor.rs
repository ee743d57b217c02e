//! Conductors as they are drawn: in the colour of the convention that the wall file names, and with a
//! dash of their own, so that they are told apart without colour.
//!
//! The colours' names are those of [`Conductor::colour`]; here they only get their shade. Light ones
//! stand between dark edges. Contrast to white by WCAG 2: brown 8.3, blue 7.0, green 5.5, red 6.5,
//! violet 9.9, orange 4.9, pink 5.5.

use glowloom_design::wall::MainsColours;
use glowloom_plan::material::conductors::Conductor;

use super::{Dash, Drawing, Ink, SOLID, Stroke, Width};
use crate::svg::Point;

/// The shade of a colour by its name; `None` for one that no drawing knows.
pub fn shade(name: &str) -> Option<(u8, u8, u8)> {
    Some(match name {
        "brown" => (0x7a, 0x3e, 0x00),
        "blue" => (0x00, 0x56, 0xb3),
        "green-and-yellow" | "green" => (0x00, 0x7a, 0x3d),
        "red" => (0xc0, 0x00, 0x00),
        "white" => (0xff, 0xff, 0xff),
        "black" => (0x11, 0x11, 0x11),
        "violet" => (0x5b, 0x2a, 0x86),
        "orange" => (0xb4, 0x50, 0x00),
        "pink" => (0xb8, 0x2a, 0x80),
        _ => return None,
    })
}

/// The second part of a colour of two.
const YELLOW: Ink = Ink::Colour(0xff, 0xd4, 0x00);

/// The stripe of that second part, mm: as much of one colour as of the other.
const STRIPE: Dash = &[2.0, 2.0];

/// The dash of a conductor, unlike those of the others on its sheet.
pub fn dash(conductor: Conductor) -> Dash {
    match conductor {
        Conductor::Line | Conductor::Plus | Conductor::Earth => SOLID,
        Conductor::Neutral | Conductor::Minus => &[4.0, 1.5],
        Conductor::Data => &[1.2, 0.8],
        Conductor::Clock => &[3.0, 0.8, 0.8, 0.8],
    }
}

/// The width of a conductor's own colour, mm: mains thick, DC less, data thin.
fn core(conductor: Conductor) -> f64 {
    match conductor {
        Conductor::Line | Conductor::Neutral | Conductor::Earth => 1.2,
        Conductor::Plus | Conductor::Minus => 0.7,
        Conductor::Data | Conductor::Clock => 0.35,
    }
}

/// Draws a conductor through places.
pub fn conductor(
    drawing: &mut Drawing,
    conductor: Conductor,
    convention: MainsColours,
    places: &[Point],
) {
    let name = conductor.colour(convention).name;
    // Between its edges white has room for the dash that tells it.
    let core = if name == "white" { core(conductor) * 1.5 } else { core(conductor) };
    let line =
        |width: f64, ink: Ink, dash: Dash| Stroke { width: Width::Conductor(width), ink, dash };
    let about = |layer: &str| {
        let label = conductor.label(convention);
        vec![
            ("conductor", label.to_owned()),
            ("colour", name.to_owned()),
            ("part", layer.to_owned()),
        ]
    };
    let steps = super::open(places);
    let (r, g, b) = shade(name).unwrap_or((0x11, 0x11, 0x11));
    let ink = Ink::Colour(r, g, b);
    if core > 0.5 {
        let edge =
            line(core + 2.0 * Width::Thin.millimetres(), Ink::Colour(0x11, 0x11, 0x11), SOLID);
        drawing.known(steps.clone(), Some(edge), None, about("edge"));
        let ground = line(core, Ink::Colour(0xff, 0xff, 0xff), SOLID);
        drawing.known(steps.clone(), Some(ground), None, about("ground"));
    }
    drawing.known(steps.clone(), Some(line(core, ink, dash(conductor))), None, about("core"));
    if name == "white" {
        // White dashes on white say nothing: the dash is drawn within.
        let width = Width::Thin.millimetres();
        let cue = line(width, Ink::Colour(0x11, 0x11, 0x11), dash(conductor));
        drawing.known(steps.clone(), Some(cue), None, about("cue"));
    }
    if name == "green-and-yellow" {
        drawing.known(steps, Some(line(core, YELLOW, STRIPE)), None, about("stripe"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Item;

    /// The inks of a conductor, outermost first.
    fn inks(of: Conductor, convention: MainsColours) -> Vec<(Ink, Dash)> {
        let mut drawing = Drawing::default();
        conductor(&mut drawing, of, convention, &[Point::new(0.0, 0.0), Point::new(9.0, 0.0)]);
        let stroke = |item: &Item| match item {
            Item::Path { stroke: Some(stroke), .. } => (stroke.ink, stroke.dash),
            other => panic!("{other:?}"),
        };
        drawing.items.iter().map(stroke).collect()
    }

    /// Its own colour: the third, after edge and ground.
    fn own(of: Conductor, convention: MainsColours) -> Ink {
        inks(of, convention)[2].0
    }

    /// IEC 60445 and the NEC, second-hand: brown line, blue neutral, green-and-yellow earth; black line,
    /// white neutral, green ground.
    #[test]
    fn shades_are_those_of_the_convention() {
        let iec = MainsColours::Iec;
        assert_eq!(own(Conductor::Line, iec), Ink::Colour(0x7a, 0x3e, 0x00));
        assert_eq!(own(Conductor::Neutral, iec), Ink::Colour(0x00, 0x56, 0xb3));
        let earth: Vec<_> = inks(Conductor::Earth, iec).into_iter().map(|(ink, _)| ink).collect();
        assert_eq!(earth[2..], [Ink::Colour(0x00, 0x7a, 0x3d), YELLOW]);
        let us = MainsColours::Us;
        assert_eq!(own(Conductor::Line, us), Ink::Colour(0x11, 0x11, 0x11));
        assert_eq!(own(Conductor::Neutral, us), Ink::Colour(0xff, 0xff, 0xff));
        assert_eq!(own(Conductor::Earth, us), Ink::Colour(0x00, 0x7a, 0x3d));
    }

    #[test]
    fn every_colour_has_a_shade_and_data_is_never_green() {
        for convention in [MainsColours::Iec, MainsColours::Us] {
            for of in Conductor::ALL {
                let name = of.colour(convention).name;
                let (r, g, b) = shade(name).unwrap_or_else(|| panic!("{name}"));
                if !of.is_mains() {
                    assert!(!(g > r && g > b), "{of:?} is green");
                }
            }
        }
    }

    #[test]
    fn no_two_of_a_sheet_look_alike_without_colour() {
        let mains = [Conductor::Line, Conductor::Neutral, Conductor::Earth];
        let dc = [Conductor::Plus, Conductor::Minus, Conductor::Data, Conductor::Clock];
        let of_both = [MainsColours::Iec, MainsColours::Us];
        let dashes = |of: &Conductor| -> Vec<Vec<Dash>> {
            let of = |convention| inks(*of, convention).into_iter().map(|(_, dash)| dash).collect();
            of_both.map(of).into()
        };
        for sheet in [&mains[..], &dc[..]] {
            for (i, one) in sheet.iter().enumerate() {
                let alike = sheet[..i].iter().find(|other| dashes(other) == dashes(one));
                assert_eq!(alike, None, "{one:?}");
            }
        }
    }
}
