//! What may be typed.

mod running;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub use self::running::{ArrangedChoice, Demo, End, Panels, Serve, Show, SizeChoice, Status};

/// Plan, build and run a wall of LED strip from one file.
#[derive(Debug, Parser)]
#[command(
    name = "glowloom",
    version,
    about = "Plan, build and run a wall of LED strip from one file",
    after_help = EXAMPLES,
    arg_required_else_help = true,
    disable_help_subcommand = true,
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const EXAMPLES: &str = "\
Examples:
  glowloom demo                          see it work, with no hardware
  glowloom new wall.toml                 begin a wall of your own
  glowloom check wall.toml               is it sound?
  glowloom plan wall.toml                every figure
  glowloom book wall.toml -o book        everything to build from
  glowloom done wall.toml                how far is it built?
  glowloom show wall.toml harbour.png    play a picture on it
  glowloom serve wall.toml               see it, change it, build it, run it in a browser
  glowloom status wall.toml              how does it go?

Exit codes: 0 done; 1 `check` found a hazard or a fault, `--check` a difference, `status` no show that is well; 2 something given was wrong.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// See it work with no hardware: writes a demo wall into `tidewall/`, plans it and plays on it
    Demo(Demo),
    /// Write a new wall file with comments, from flags or a few questions
    New(New),
    /// Tell what is wrong with a wall: errors, hazards, faults, advice
    Check(WallFile),
    /// Work out every figure of a wall
    Plan(Plan),
    /// Write the build book of a wall: sheets, steps, lists, labels, parts to print, and every file to build from
    Book(Book),
    /// Write down what is done, or tell how far the wall has come and what is next
    Done(Done),
    /// List where each pixel of the picture is: data line, universe, slot, millimetres
    Map(Map),
    /// Play pictures, or the wall's running order, on the panels
    Show(Show),
    /// Be the panels: receive as real ones would, and show the wall here
    Panels(Panels),
    /// Open the wall's page in a browser: see it, change it, build it, run it
    Serve(Serve),
    /// First light: find boards, tell each which panel it is, and check the wall picture by picture
    Commission(Commission),
    /// Write the program of the wall's boards, ready to build
    Receiver(Receiver),
    /// Tell how a running show and its panels are
    Status(Status),
    /// Write completions for a shell to standard output
    Completions(Completions),
}

/// The file that all is worked out from.
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  glowloom check wall.toml

Exit codes: 0 neither hazard nor fault; 1 there is one; 2 the file has errors.")]
pub struct WallFile {
    /// The wall file
    pub wall: PathBuf,
}

/// `glowloom plan`
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  glowloom plan wall.toml
  glowloom plan wall.toml --json > plan.json
  glowloom plan wall.toml --picture harbour.png    power at a picture, not at full white
  glowloom plan wall.toml --meter        where to measure, and the bench test
  glowloom plan wall.toml --measured     what the readings in the file say

Exit codes: 0 whatever is found; 2 the file has errors, or its readings say nothing.")]
pub struct Plan {
    /// The wall file
    pub wall: PathBuf,
    /// Print the plan as one JSON document, in SI units
    #[arg(long)]
    pub json: bool,
    /// Work power out at this picture (its first, if it moves) in place of full white
    #[arg(long, value_name = "FILE", conflicts_with_all = ["meter", "measured"])]
    pub picture: Option<PathBuf>,
    /// How a picture of other proportions is laid on the wall
    #[arg(long, value_enum, default_value_t, requires = "picture")]
    pub size: SizeChoice,
    /// Print where a meter goes on each panel, the volts and amps to expect, and the bench test
    #[arg(long, conflicts_with = "measured")]
    pub meter: bool,
    /// Print what the meter readings in the file say of the strip, and which is unlike the others
    #[arg(long)]
    pub measured: bool,
}

/// `glowloom book`
#[derive(Args, Debug)]
#[command(after_help = "\
The folder is written whole or not at all. One that is there already is replaced if it is an
earlier book and holds nothing else. contents.json in it lists every file with its SHA-256.

Examples:
  glowloom book wall.toml -o book
  glowloom book wall.toml -o book --check

Exit codes: 0 whatever is found in the wall; 1 with --check, a folder that is not as it should be;
2 something given was wrong.")]
pub struct Book {
    /// The wall file
    pub wall: PathBuf,
    /// The folder to write
    #[arg(short, long, value_name = "DIR")]
    pub output: PathBuf,
    /// Write nothing; tell whether the folder is the book of this wall as it is now
    #[arg(long)]
    pub check: bool,
    /// Write only the sheets of that name or number, into a folder of their own
    #[arg(long, value_name = "NAME", conflicts_with = "check")]
    pub sheet: Option<String>,
    /// Write only the sheets of that panel, into a folder of their own
    #[arg(long, value_name = "NAME", conflicts_with = "check")]
    pub panel: Option<String>,
}

/// `glowloom done`
#[derive(Args, Debug)]
#[command(after_help = "\
WHAT is one of
  tile KIND COUNT, rim KIND COUNT    printed so many in all; +6 for six more
  strip PANEL STRIP                  joint PANEL:STRIP-NEXT
  supply PANEL SUPPLY                feed PANEL STRIP near|far
  receiver PANEL                     lead PANEL LINE
  panel PANEL STAGE                  board, ohms, volts, first-strip, lit, tiles, cloth, hung
  step ID                            a step of the whole wall
as steps.txt of the book has them. With none it shows how far the wall has come. The journal is
wall.journal beside wall.toml: plain text, a line for each thing.

Examples:
  glowloom done wall.toml
  glowloom done wall.toml tile 5x6-plain 12
  glowloom done wall.toml joint west:4-5
  glowloom done wall.toml panel west hung
  glowloom done wall.toml feed west 7 near --undo")]
pub struct Done {
    /// The wall file
    pub wall: PathBuf,
    /// What is done
    #[arg(value_name = "WHAT")]
    pub what: Vec<String>,
    /// Take it out of the journal again
    #[arg(long)]
    pub undo: bool,
}

/// `glowloom commission`
#[derive(Args, Debug)]
#[command(after_help = "\
CHECK is one of
  count       strip by strip: first pixel, every tenth, last
  ends        where each strip begins and ends
  colours     red, green, blue
  turns       a dot that runs along the path
  neighbours  frames and lines across all panels
  white       white in five steps, for the meter
With none it leads through all of it: finds boards, asks which panel each is, shows check after check and
asks what you see. Where the wall is not as the file says it offers a change to the file and shows it first.
When all is well it writes into the journal that the panels are lit.

Examples:
  glowloom commission wall.toml
  glowloom commission wall.toml turns --for 1min

Exit codes: 0 all is as it should be; 1 it is not, or the talk was ended; 2 something given was wrong.")]
pub struct Commission {
    /// The wall file
    pub wall: PathBuf,
    /// Show the picture of this check alone
    #[arg(value_name = "CHECK")]
    pub check: Option<String>,
    /// When to end
    #[command(flatten)]
    pub end: End,
}

/// `glowloom receiver`
#[derive(Args, Debug)]
#[command(after_help = "\
The program is the same for every board of the wall; glowloom commission tells each which panel it is.
The wall's key is made on first use and kept in your own folder for user data; the project holds it, too.

Examples:
  glowloom receiver wall.toml -o receiver")]
pub struct Receiver {
    /// The wall file
    pub wall: PathBuf,
    /// The folder to write
    #[arg(short, long, value_name = "DIR")]
    pub output: PathBuf,
}

/// `glowloom map`
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  glowloom map wall.toml --csv > map.csv
  glowloom map wall.toml --svg > map.svg")]
pub struct Map {
    /// The wall file
    pub wall: PathBuf,
    /// How to print it
    #[command(flatten)]
    pub form: MapForm,
}

/// One of three.
#[derive(Args, Debug)]
#[group(required = true, multiple = false)]
pub struct MapForm {
    /// A line for each pixel, values between commas
    #[arg(long)]
    pub csv: bool,
    /// One JSON document
    #[arg(long)]
    pub json: bool,
    /// A drawing to scale, seen from the front
    #[arg(long)]
    pub svg: bool,
}

/// `glowloom new`
#[derive(Args, Debug)]
#[command(after_help = "\
On a terminal, what no flag says is asked. Elsewhere it takes the default.

Examples:
  glowloom new
  glowloom new window.toml --name Window --columns 48 --rows 27 --panels 3
  glowloom new attic.toml --strip sk6812-rgbw-60 --board esp32 --mains us --figures imperial")]
pub struct New {
    /// The file to write
    #[arg(default_value = "wall.toml")]
    pub file: PathBuf,
    /// What you call the wall
    #[arg(long)]
    pub name: Option<String>,
    /// Pixels across the picture
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=65_535))]
    pub columns: Option<u32>,
    /// Pixels down the picture
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=65_535))]
    pub rows: Option<u32>,
    /// Panels side by side
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub panels: Option<u32>,
    /// Rows of panels one above the other
    #[arg(long, value_name = "COUNT", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub panel_rows: u32,
    /// LED strip, by chip and pixels a metre
    #[arg(long, value_name = "PART")]
    pub strip: Option<String>,
    /// Network board on each panel
    #[arg(long, value_name = "BOARD")]
    pub board: Option<String>,
    /// How pictures reach the boards
    #[arg(long)]
    pub link: Option<LinkChoice>,
    /// Colours of the mains conductors where it will hang
    #[arg(long)]
    pub mains: Option<MainsChoice>,
    /// Units that results are printed in
    #[arg(long)]
    pub figures: Option<FiguresChoice>,
    /// Replace a file that is there
    #[arg(long)]
    pub force: bool,
}

/// How pictures reach the boards.
#[derive(Clone, Copy, Debug, ValueEnum)]
#[allow(missing_docs)] // the word says it
pub enum LinkChoice {
    Ethernet,
    Wifi,
    Usb,
}

/// Which convention the mains conductors follow.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum MainsChoice {
    /// Brown line, blue neutral, green-and-yellow earth; 230 V, 50 Hz
    Iec,
    /// Black line, white neutral, green ground; 120 V, 60 Hz
    Us,
}

/// Units that results are printed in.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum FiguresChoice {
    /// Metres, kilograms
    Metric,
    /// Feet, pounds
    Imperial,
}

/// `glowloom completions`
#[derive(Args, Debug)]
#[command(after_help = "\
Examples:
  glowloom completions bash > ~/.local/share/bash-completion/completions/glowloom
  glowloom completions fish > ~/.config/fish/completions/glowloom.fish")]
pub struct Completions {
    /// The shell
    pub shell: clap_complete::Shell,
}
