//! How long a whole book takes, beside the plan that it is drawn from in the same run, and how large its
//! PDF is. Prints the least, the median and the most of several runs.

mod support;

use std::hint::black_box;

use glowloom_book::{Book, documents};
use glowloom_plan::{meter, plan, steps};

use support::{Counted, seconds};

const RUNS: usize = 7;

/// The demo wall, and 96 x 64 pixels on 12 panels with everything a wall can have.
fn walls() -> Vec<(&'static str, String)> {
    let demo = include_str!("../../../examples/walls/tidewall.toml").to_owned();
    let mut twelve = String::from(
        "format = 1\n[wall]\nname = \"Twelve\"\ncolumns = 96\nrows = 64\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 24\nrows = 21\n[power]\nfeeds = 12\nbrightness_limit = 0.5\n[baffle]\n[board]\n\
         sheet = [\"2.5 m\", \"1.25 m\"]\n[diffuser]\n[hanging]\n",
    );
    for i in 0..12 {
        let (column, row) = (i % 4 * 24, i / 4 * 21);
        // The lowest ones are of another kind.
        let rows = if i / 4 == 2 { 22 } else { 21 };
        twelve += &format!("[[panels]]\nname = \"p{i}\"\nat = [{column}, {row}]\nrows = {rows}\n");
    }
    vec![("Tidewall", demo), ("12 panels, 96 x 64", twelve)]
}

/// Writes every file of the book; bytes of all, of the PDF, and how many files.
fn write(file: &str) -> (usize, usize, usize) {
    let wall = glowloom_design::read(file.as_bytes()).expect("the bench's own wall file is sound");
    let plan = plan(&wall);
    let sheet = meter::sheet(&wall).ok();
    let steps = steps::steps(&wall, &plan, sheet.as_ref());
    let book = Book {
        wall: &wall,
        file: file.as_bytes(),
        plan: &plan,
        sheet: sheet.as_ref(),
        steps: &steps,
    };
    let all = documents(&book);
    let (mut bytes, mut pdf) = (0, 0);
    for document in &all {
        let mut out = Counted(0);
        document.write(&mut out).expect("counting never fails");
        bytes += out.0;
        if document.path() == "book.pdf" {
            pdf = out.0;
        }
    }
    (bytes, pdf, all.len())
}

#[expect(clippy::print_stdout, reason = "a bench reports")]
fn main() {
    for (name, file) in walls() {
        let (bytes, pdf, files) = write(&file);
        let wall =
            glowloom_design::read(file.as_bytes()).expect("the bench's own wall file is sound");
        let planned = seconds(RUNS, || drop(black_box(plan(black_box(&wall)))));
        let written = seconds(RUNS, || {
            black_box(write(black_box(&file)));
        });
        let shown = |times: [f64; 3]| times.map(|s| format!("{:.0}", s * 1e3)).join(" / ");
        println!(
            "{name}: plan {} ms, plan and whole book {} ms: {:.1} times the plan; {files} files of {} kB, PDF \
             {} kB",
            shown(planned),
            shown(written),
            written[1] / planned[1],
            bytes / 1000,
            pdf / 1000
        );
    }
}
