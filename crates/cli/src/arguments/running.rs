//! The arguments of the commands that run a wall.

use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, ValueEnum};
use glowloom_show::Sizing;

use crate::stopping;

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
