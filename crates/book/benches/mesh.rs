//! How fast solids become triangles, and triangles files. Prints the least, the median and the most
//! of several runs.

mod support;

use std::hint::black_box;

use glowloom_book::parts::{stl, tile};
use glowloom_plan::tiles::kinds::TileKind;

use support::{Counted, seconds};

const RUNS: usize = 31;

/// Kinds of a wall with tiles of 6 x 6 and of 60 x 60 cells, ends and a lip.
fn kinds() -> Vec<TileKind> {
    let wall = |cells: u32, bed: &str| {
        let text = format!(
            "format = 1\n[wall]\nname = \"Bench\"\ncolumns = {cells}\nrows = {cells}\n[strip]\npart = \
             \"ws2812b-30\"\n[[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = {cells}\nrows = {cells}\n\
             [baffle]\nbed = [\"{bed}\", \"{bed}\"]\nlip = [\"2 mm\", \"1 mm\"]\n"
        );
        glowloom_design::read(text.as_bytes()).expect("the bench's own wall file is sound")
    };
    let walls = [wall(6, "220 mm"), wall(60, "2 m")];
    walls.iter().filter_map(glowloom_plan::tiles::tiles).flat_map(|tiles| tiles.kinds).collect()
}

#[expect(clippy::print_stdout, reason = "a bench reports")]
fn main() {
    for kind in kinds() {
        let mesh = tile(&kind.shape);
        let triangles = f64::from(u32::try_from(mesh.triangles.len()).unwrap_or(u32::MAX)) / 1e6;
        let rate = |times: [f64; 3]| times.map(|s| format!("{:.2}", triangles / s)).join(" / ");
        let made = seconds(RUNS, || drop(black_box(tile(black_box(&kind.shape)))));
        let written = seconds(RUNS, || {
            let mut out = Counted(0);
            let _ = stl(black_box(&mesh), &kind.name, &mut out);
            black_box(out.0);
        });
        println!(
            "{:22} {triangles:.3} million triangles; million a second, most / median / least: mesh {}, \
             STL {}",
            kind.name,
            rate(made),
            rate(written)
        );
    }
}
