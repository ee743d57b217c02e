//! What the strips are glued to.

use glowloom_units::{KilogramsPerSquareMetre, Metres, Pascals};

use super::{Figure, figure};

/// What a board is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Body {
    /// Paper: it softens when damp, and a screw tears out of it.
    Paper,
    /// Wood: as stiff at any thickness.
    Wood,
    /// Metal skins on a core: a conductor, and of another stiffness at each thickness.
    MetalSkins,
}

/// A board as catalogued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardPart {
    /// The material.
    pub key: &'static str,
    /// Mass for its area, of the thickness beside it.
    pub mass: Figure<KilogramsPerSquareMetre>,
    /// The thickness that the mass is for; other thicknesses in proportion.
    pub thickness: Metres,
    /// Whether it burns.
    pub burns: bool,
    /// What it is made of.
    pub body: Body,
    /// Young's modulus in bending, of the thickness beside it; where somebody knows it.
    pub stiffness: Option<Figure<Pascals>>,
}

/// Every board, in the order to offer them.
pub const ALL: &[BoardPart] = &[
    BoardPart {
        key: "corrugated-card",
        mass: figure(KilogramsPerSquareMetre(0.7), "from memory, 0.6 to 0.8; weigh one"),
        thickness: Metres(0.005),
        burns: true,
        body: Body::Paper,
        stiffness: None,
    },
    BoardPart {
        key: "foam-board",
        mass: figure(KilogramsPerSquareMetre(0.6), "from memory, 0.5 to 0.7; weigh one"),
        thickness: Metres(0.005),
        burns: true,
        body: Body::Paper,
        stiffness: None,
    },
    BoardPart {
        key: "plywood",
        mass: figure(KilogramsPerSquareMetre(3.9), "birch, 650 kg/m3, a trade association's table"),
        thickness: Metres(0.006),
        burns: true,
        body: Body::Wood,
        stiffness: Some(figure(Pascals(9e9), "birch, from memory; soft")),
    },
    BoardPart {
        key: "aluminium-composite",
        mass: figure(KilogramsPerSquareMetre(4.5), "a maker's sheet: 3 mm with skins of 0.5 mm"),
        thickness: Metres(0.003),
        burns: false,
        body: Body::MetalSkins,
        stiffness: Some(figure(
            Pascals(49e9),
            "calculated: 70 GPa (from memory) in two skins of 0.5 mm, 3 mm in all",
        )),
    },
];

/// The board of that key.
#[must_use]
pub fn find(key: &str) -> Option<&'static BoardPart> {
    ALL.iter().find(|part| part.key == key)
}
