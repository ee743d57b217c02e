//! What may be typed.

use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, Parser, Subcommand, ValueEnum};
use glowloom_show::Sizing;

use crate::stopping;

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

/// When to end by itself.
#[derive(Args, Debug)]
pub struct End {
    /// End after this time, such as 5s, 10min or 1h
    #[arg(long = "for", value_name = "TIME", value_parser = stopping::duration)]
    pub after: Option<Duration>,
}

/// `glowloom serve`
#[derive(Args, Debug)]
#[command(after_help = "\
The page is for this computer alone unless --listen names another address. Then nobody is let in
without the link that is shown once. docs/security.md says what is kept from whom.

Examples:
  glowloom serve wall.toml
  glowloom serve wall.toml --play                   the running order plays, the phone changes it
  glowloom serve wall.toml --listen 0.0.0.0:4780    for phones of the home network")]
pub struct Serve {
    /// The wall file
    pub wall: PathBuf,
    /// Where browsers find the page
    #[arg(long, value_name = "ADDRESS:PORT", default_value_t = crate::page::USUAL)]
    pub listen: std::net::SocketAddr,
    /// Play the wall's running order as well
    #[arg(long)]
    pub play: bool,
    /// Do not look for receivers on the network
    #[arg(long, requires = "play")]
    pub no_discovery: bool,
    /// When to end
    #[command(flatten)]
    pub end: End,
}

/// `glowloom demo`
#[derive(Args, Debug)]
#[command(after_help = "\
A wall file or picture that is in tidewall/ already is used as it is.

Examples:
  glowloom demo
  glowloom demo --for 5s")]
pub struct Demo {
    /// When to end
    #[command(flatten)]
    pub end: End,
}

/// How a picture of other proportions is laid on the wall.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
pub enum SizeChoice {
    /// The wall is full; what does not fit is cut off
    #[default]
    Fill,
    /// The whole picture is seen, with black beside it
    Fit,
    /// The whole picture is seen and the wall is full; proportions are lost
    Stretch,
}

impl From<SizeChoice> for Sizing {
    fn from(choice: SizeChoice) -> Self {
        match choice {
            SizeChoice::Fill => Self::Fill,
            SizeChoice::Fit => Self::Fit,
            SizeChoice::Stretch => Self::Stretch,
        }
    }
}

/// How other senders number the wall's pixels.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
pub enum ArrangedChoice {
    /// Row by row from the top left, 170 pixels (128 of four channels) to a universe, or from byte 0
    #[default]
    Rows,
    /// Universe and slot as `glowloom map` has them; with DDP the panels one after the other
    Panels,
}

/// `glowloom show`
#[derive(Args, Debug)]
#[command(after_help = "\
A source is a picture (PNG, JPEG, GIF, APNG, WebP), - for one on standard input, or the
name of a picture made by code: tide, drift, count. Films, streams by URL, screen, window, camera and
test-picture are read by the program ffmpeg (docs/films.md). text:WORDS and clock show letters, data:ADDRESS WORDS
and album:ADDRESS POINTER what some JSON says, sound:FILE and microphone what is heard, frames (or - where no
picture comes) raw frames on standard input (docs/words.md), socket frames over a WebSocket (docs/frames.md). e1.31,
art-net or ddp shows what other senders send to this computer by that protocol (docs/protocols.md). With none, the
wall file's running order plays. Virtual panels that no other program holds are started.

Examples:
  glowloom show wall.toml harbour.png
  glowloom show wall.toml tide drift --seconds 60
  glowloom show wall.toml film,from=90s:regatta.mp4
  glowloom show wall.toml tide --record evening --for 1min
  glowloom show wall.toml recording:evening
  glowloom show wall.toml screen,at=0x0,size=640x360,rate=25
  cat photo.jpg | glowloom show wall.toml - --size fit
  glowloom show wall.toml count --brightness 0.2 --for 10min
  glowloom show wall.toml 'text,colour=ffcc00:Open until six'
  glowloom show wall.toml clock,hours=12,seconds=sweep,zone=Europe/Paris
  glowloom show wall.toml 'data,every=60:http://192.0.2.7/weather.json {/now/temperature} °C'
  program | glowloom show wall.toml frames,rate=25
  glowloom show wall.toml art-net --listen 192.0.2.9 --first-universe 10
  glowloom show wall.toml --unit > ~/.config/systemd/user/glowloom.service

One show plays a wall at a time: a second one waits until the first ends.

Signals: SIGTERM or SIGINT (Ctrl-C) ends the show, a second one at once. SIGHUP reads the wall file again
and plays on by it; if it is broken, the errors are told and the show goes on as it was.

Exit codes: 0 the show has ended; 2 something given was wrong, or it cannot play; 130 or 143 ended at once.")]
pub struct Show {
    /// The wall file
    pub wall: PathBuf,
    /// What to play
    #[arg(value_name = "SOURCE")]
    pub sources: Vec<PathBuf>,
    /// How a picture of other proportions is laid on the wall
    #[arg(long, value_enum, default_value_t)]
    pub size: SizeChoice,
    /// How long each of several sources plays
    #[arg(long, value_name = "TIME", default_value = "20s", value_parser = stopping::length)]
    pub seconds: Duration,
    /// Where to hear other senders [default: every address of this computer, the protocol's port]
    #[arg(long, value_name = "ADDRESS[:PORT]")]
    pub listen: Option<String>,
    /// How other senders number the wall's pixels
    #[arg(long, value_enum, default_value_t)]
    pub arranged: ArrangedChoice,
    /// Where the rows begin in what other senders send
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..))]
    pub first_universe: u16,
    /// Share of the wall's ceiling, 0 to 1 [default: the wall file's]
    #[arg(long, value_name = "SHARE")]
    pub brightness: Option<f32>,
    /// Send to the multicast groups of the universes (E1.31); slower over Wi-Fi
    #[arg(long)]
    pub multicast: bool,
    /// Play up to the wall file's ceiling though the plan finds it unsafe: wires may overheat
    #[arg(long)]
    pub above_safe: bool,
    /// Keep each frame that is sent in this folder, as PNG; `recording:DIR` as source sends the same bytes again
    #[arg(long, value_name = "DIR")]
    pub record: Option<PathBuf>,
    /// Send no black at the end: boards with on_loss = "keep" then keep the last picture
    #[arg(long)]
    pub leave_lit: bool,
    /// Print a unit for systemd that runs this show, and end
    #[arg(long)]
    pub unit: bool,
    /// Send to the wall file's addresses alone: look for no receivers on the network (DNS-SD)
    #[arg(long)]
    pub no_discovery: bool,
    /// When to end
    #[command(flatten)]
    pub end: End,
}

/// `glowloom panels`
#[derive(Args, Debug)]
#[command(after_help = "\
Opens the wall's virtual panels, and those at a loopback address such as 127.0.0.2. On a
terminal it draws the wall; elsewhere it writes a log.

Examples:
  glowloom panels wall.toml
  glowloom panels wall.toml --save frames --for 10s")]
pub struct Panels {
    /// The wall file
    pub wall: PathBuf,
    /// Save whole frames as PNG pictures in this folder; a slow disk leaves some out
    #[arg(long, value_name = "DIR")]
    pub save: Option<PathBuf>,
    /// Listen to the multicast groups of the universes as well (E1.31)
    #[arg(long)]
    pub multicast: bool,
    /// Do not say on this computer that the panels are there (DNS-SD)
    #[arg(long)]
    pub no_discovery: bool,
    /// When to end
    #[command(flatten)]
    pub end: End,
}

/// `glowloom status`
#[derive(Args, Debug)]
#[command(after_help = "\
A running `glowloom show` writes how it is every second; this reads it.

Examples:
  glowloom status wall.toml
  glowloom status wall.toml --live
  glowloom status wall.toml --metrics > glowloom.prom

Exit codes: 0 a show plays and all is well; 1 none plays, or something is wrong; 2 something given was wrong.")]
pub struct Status {
    /// The wall file
    pub wall: PathBuf,
    /// Print one JSON document; null where nothing plays
    #[arg(long)]
    pub json: bool,
    /// Print OpenMetrics text
    #[arg(long, conflicts_with = "json")]
    pub metrics: bool,
    /// Go on telling, every second
    #[arg(long, conflicts_with_all = ["json", "metrics"])]
    pub live: bool,
    /// When to end
    #[command(flatten)]
    pub end: End,
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
