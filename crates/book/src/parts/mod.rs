//! Parts to print: each kind as a solid, build plates with how often to print them, and a list.

mod archive;
mod list;
mod package;
mod solid;
mod stl;
mod tile;
pub mod words;

use std::io::{self, Write};

use glowloom_design::Wall;
use glowloom_plan::tiles::Tiles;
use glowloom_plan::tiles::grains::Grains;

use crate::document::Document;
use package::BuildPlate;
pub use solid::Mesh;
pub use stl::stl;
pub use tile::{rim, tile};

/// Where they go in the book's folder.
const FOLDER: &str = "parts";

/// The documents of a wall's parts; none where nothing is printed.
pub(crate) fn documents<'b>(wall: &'b Wall, tiles: Option<&'b Tiles>) -> Vec<Document<'b>> {
    let (Some(tiles), Some(baffle)) = (tiles, &wall.baffle) else { return Vec::new() };
    let mut all = vec![
        Document::new(format!("{FOLDER}/list.txt"), move |out| {
            list::text(wall, baffle, tiles, out)
        }),
        Document::new(format!("{FOLDER}/list.csv"), move |out| list::csv(tiles, out)),
    ];
    for name in names(tiles) {
        all.push(Document::new(format!("{FOLDER}/{}", solid_file(name)), move |out| {
            stl(&mesh(tiles, name), name, out)
        }));
    }
    let bed = (Grains::of(baffle.bed.0), Grains::of(baffle.bed.1));
    for number in 0..tiles.plates.len() {
        let path = format!("{FOLDER}/{}", plate_file(tiles, number));
        all.push(Document::new(path, move |out| plate(wall, tiles, number, bed, out)));
    }
    all
}

fn names(tiles: &Tiles) -> impl Iterator<Item = &str> {
    let of_tiles = tiles.kinds.iter().map(|kind| kind.name.as_str());
    of_tiles.chain(tiles.rim.iter().map(|kind| kind.name.as_str()))
}

fn solid_file(part: &str) -> String {
    format!("{part}.stl")
}

/// `tile-5x6-plain.3mf`; the second plate of a part, with the rest of it: `tile-5x6-plain-rest.3mf`.
fn plate_file(tiles: &Tiles, number: usize) -> String {
    let Some(plate) = tiles.plates.get(number) else { return String::new() };
    let earlier = tiles.plates.iter().take(number).any(|other| other.part == plate.part);
    format!("{}{}.3mf", plate.part, if earlier { "-rest" } else { "" })
}

/// The solid of a part; an empty one for a name that none has.
fn mesh(tiles: &Tiles, name: &str) -> Mesh {
    if let Some(kind) = tiles.kinds.iter().find(|kind| kind.name == name) {
        return tile(&kind.shape);
    }
    let strip = tiles.rim.iter().find(|kind| kind.name == name);
    strip.map(|kind| rim(&kind.shape)).unwrap_or_default()
}

fn plate(
    wall: &Wall,
    tiles: &Tiles,
    number: usize,
    bed: (Grains, Grains),
    out: &mut dyn Write,
) -> io::Result<()> {
    let Some(plate) = tiles.plates.get(number) else { return Ok(()) };
    let mesh = mesh(tiles, &plate.part);
    let far = |direction: usize| {
        let places = mesh.corners.iter().filter_map(|corner| corner.get(direction));
        places.copied().max().unwrap_or_default()
    };
    let times = match plate.times {
        1 => "print once".to_owned(),
        times => format!("print {times} times"),
    };
    let plate = BuildPlate {
        name: &plate.part,
        title: format!("{}: {}, {times}", wall.name, plate.part),
        mesh: &mesh,
        size: (far(0), far(1)),
        bed,
        copies: plate.copies,
        lay: plate.lay,
    };
    package::package(&plate, out)
}
