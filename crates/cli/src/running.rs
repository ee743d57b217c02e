//! What a running show tells others: one small file, written anew every second, from which `status`
//! reads. It is kept where the system keeps such things while one is logged in, else with the user's
//! data, and is gone when the show ends as it should.

use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use etcetera::BaseStrategy;
use glowloom_drive::receive::State;
use glowloom_drive::{Answering, Health, PanelHealth, VirtualHealth};
use serde::{Deserialize, Serialize};

use crate::failure::Failure;
use crate::{files, output, told};

/// How often the file is written.
pub const EVERY: Duration = Duration::from_secs(1);
/// A file older than this was left by a show that has ended without a word.
pub const STALE: Duration = Duration::from_secs(4);
/// The largest file that is read.
const MOST_BYTES: usize = 4 << 20;

/// A show as it was when the file was written.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Running {
    /// Of this document.
    pub format: u32,
    /// The wall's name.
    pub wall: String,
    /// The number of the process that shows.
    pub process: u32,
    /// Seconds since 1970 when it was written.
    pub written: f64,
    /// Seconds since the show began.
    pub seconds: f64,
    /// Frames that were sent.
    pub frames_sent: u64,
    /// A second, over the last second or so.
    pub frames_per_second: Option<f64>,
    /// The rate that is aimed at.
    #[serde(default)]
    pub frames_per_second_aimed: f64,
    /// Why it is lower than wanted.
    #[serde(default)]
    pub eased: Option<String>,
    /// Share of the Wi-Fi channel's air time that the show takes, retries not counted; absent on other links.
    #[serde(default)]
    pub airtime_share: Option<f64>,
    /// Half of all frames left no later than this after they were due, milliseconds.
    #[serde(default)]
    pub late_ms_median: f64,
    /// The same for 99 of 100.
    #[serde(default)]
    pub late_ms_99: f64,
    /// How far apart panels show their frames, by their answers, milliseconds; absent where fewer than two tell.
    #[serde(default)]
    pub apart_ms: Option<f64>,
    /// By how much that may be wrong, milliseconds.
    #[serde(default)]
    pub apart_doubt_ms: Option<f64>,
    /// Frames that this computer was too late for.
    pub frames_skipped: u64,
    /// Frames sent again because the source had no new one.
    pub frames_repeated: u64,
    /// Frames dimmed for the supplies' and the copper's sake.
    pub frames_dimmed: u64,
    /// Bytes held to the ceiling last; above zero something is wrong in this program.
    pub bytes_held: u64,
    /// What is wrong with the source.
    pub source_error: Option<String>,
    /// What was found on the network that a person may want to know.
    #[serde(default)]
    pub neighbours: Vec<String>,
    /// In the order of the wall file.
    pub panels: Vec<Panel>,
}

/// One panel of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Panel {
    /// Its name.
    pub name: String,
    /// Address and port, or the serial port; absent: not known, or multicast groups.
    pub at: Option<String>,
    /// Whether frames leave for it and it has not ceased to answer.
    pub well: bool,
    /// What went wrong last.
    pub error: Option<String>,
    /// Frames that left whole.
    pub frames_sent: u64,
    /// Frames that did not.
    pub frames_dropped: u64,
    /// Whether it answers when it is asked; absent: it is not asked, or has not answered yet.
    pub answers: Option<bool>,
    /// What it has received, where it is a virtual one of this show.
    pub received: Option<Received>,
    /// What its receiver says of itself, where it answers.
    #[serde(default)]
    pub told: Option<Told>,
}

/// What a receiver says of itself (docs/protocols.md).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// The board and the version of its program.
    pub receiver: Option<String>,
    /// Whether it was made for this panel as it is in the wall file now; absent: it does not say.
    pub fits: Option<bool>,
    /// Seconds since it started.
    pub up_seconds: Option<u64>,
    /// Frames shown.
    pub frames_shown: Option<u64>,
    /// Packets that never came.
    pub packets_lost: Option<u64>,
    /// Packets that came too late.
    pub packets_late: Option<u64>,
    /// From the question to the answer, milliseconds.
    pub round_trip_ms: f64,
    /// The address whose frames it shows.
    pub shows: Option<String>,
    /// Another sender whose frames come to it and are not shown.
    pub other_sender: Option<String>,
    /// Strength of the Wi-Fi signal, dBm.
    pub rssi: Option<f64>,
    /// Degrees Celsius of the board.
    pub celsius: Option<f64>,
    /// Volts at its input.
    pub volts: Option<f64>,
}

/// What a virtual panel has received.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Received {
    /// Whether frames come.
    pub live: bool,
    /// Frames shown.
    pub frames_shown: u64,
    /// Packets that never came.
    pub packets_lost: u64,
    /// Packets that came too late.
    pub packets_late: u64,
}

impl Running {
    /// How a show is.
    pub fn new(
        wall: &str,
        since_start: Duration,
        health: &Health,
        virtual_panels: &[VirtualHealth],
    ) -> Self {
        let panel = |panel: &PanelHealth| Panel {
            name: panel.name.clone(),
            at: panel.port.clone().or_else(|| panel.at.map(|at| at.to_string())),
            well: !panel.failing && panel.answering != Answering::Stopped,
            error: panel.error.clone(),
            frames_sent: panel.sent,
            frames_dropped: panel.dropped,
            answers: match panel.answering {
                Answering::Unasked | Answering::NotYet => None,
                Answering::Yes => Some(true),
                Answering::Stopped => Some(false),
            },
            received: virtual_panels
                .iter()
                .find(|here| here.name == panel.name && !here.held_elsewhere)
                .map(|here| Received {
                    live: here.state == State::Live,
                    frames_shown: here.counts.shown,
                    packets_lost: here.counts.lost,
                    packets_late: here.counts.late,
                }),
            told: panel.told.as_ref().map(|told| told::of(told, panel.print)),
        };
        Self {
            format: 1,
            wall: wall.into(),
            process: std::process::id(),
            written: now(),
            seconds: since_start.as_secs_f64(),
            frames_sent: health.sent,
            frames_per_second: health.rate.map(|rate| rate.0),
            frames_per_second_aimed: health.aim.0,
            eased: told::eased(health),
            airtime_share: None,
            apart_ms: health.in_step.map(|step| told::millis(step.apart)),
            apart_doubt_ms: health.in_step.map(|step| told::millis(step.doubt)),
            late_ms_median: told::millis(health.lateness.share(0.5)),
            late_ms_99: told::millis(health.lateness.share(0.99)),
            frames_skipped: health.skipped,
            frames_repeated: health.repeated,
            frames_dimmed: health.dimmed,
            bytes_held: health.held_bytes,
            source_error: health.source_error.clone(),
            neighbours: health
                .neighbours
                .iter()
                .map(|neighbour| told::harmless(&neighbour.to_string()))
                .collect(),
            panels: health.panels.iter().map(panel).collect(),
        }
    }

    /// Whether it was written just now.
    pub fn is_fresh(&self) -> bool {
        (now() - self.written).abs() < STALE.as_secs_f64()
    }

    /// Whether nothing is wrong.
    pub fn is_well(&self) -> bool {
        self.source_error.is_none() && self.panels.iter().all(|panel| panel.well)
    }
}

fn now() -> f64 {
    SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default().as_secs_f64()
}

/// Where the show of a wall file tells how it is.
pub fn place(wall: &Path) -> Option<PathBuf> {
    let base = etcetera::choose_base_strategy().ok()?;
    let folder = base.runtime_dir().unwrap_or_else(|| base.data_dir()).join("glowloom");
    let real = std::fs::canonicalize(wall).ok()?;
    let stem = real.file_stem()?.to_string_lossy().into_owned();
    // FNV-1a of 64 bits: two walls of one name in two folders are told apart.
    let hash =
        real.as_os_str().as_encoded_bytes().iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
        });
    Some(folder.join(format!("{stem}-{hash:016x}.json")))
}

/// What the show of a wall file tells; `None` where there is none that does.
pub fn read(wall: &Path) -> Result<Option<Running>, Failure> {
    let Some(path) = place(wall).filter(|path| path.exists()) else { return Ok(None) };
    let bytes = files::read_at_most(&path, MOST_BYTES)?;
    serde_json::from_slice(&bytes).map(Some).map_err(|error| {
        Failure::other(
            format!("{} is no report of a show: {error}", output::shown(&path)),
            "remove it; a running show writes it anew",
        )
    })
}

/// Tells how a show is, as long as it is there.
pub struct Teller {
    path: Option<PathBuf>,
    last: Option<SystemTime>,
}

impl Teller {
    /// Begins to tell; says so if it cannot be told.
    pub fn begin(wall: &Path) -> Self {
        let path = place(wall);
        let made = path.as_deref().and_then(Path::parent).map(std::fs::create_dir_all);
        match made {
            Some(Ok(())) => Self { path, last: None },
            Some(Err(error)) => {
                output::note(&format!("warning: `glowloom status` will know nothing: {error}"));
                Self { path: None, last: None }
            }
            None => Self { path: None, last: None },
        }
    }

    /// Writes how the show is, if it is time to.
    pub fn tell(&mut self, running: impl FnOnce() -> Running) {
        let Some(path) = &self.path else { return };
        let soon = |last: SystemTime| last.elapsed().is_ok_and(|since| since < EVERY);
        if self.last.is_some_and(soon) {
            return;
        }
        self.last = Some(SystemTime::now());
        let told =
            serde_json::to_vec_pretty(&running()).map_err(|error| error.to_string()).and_then(
                |bytes| files::write_one_of_many(path, &bytes).map_err(|failure| failure.message()),
            );
        if let Err(why) = told {
            output::note(&format!("warning: `glowloom status` will know nothing: {why}"));
            self.path = None;
        }
    }
}

impl Drop for Teller {
    fn drop(&mut self) {
        // One that another show has written since is left to it.
        let Some(path) = &self.path else { return };
        let ours = files::read_at_most(path, MOST_BYTES)
            .ok()
            .and_then(|bytes| serde_json::from_slice::<Running>(&bytes).ok())
            .is_some_and(|running| running.process == std::process::id());
        if ours {
            let _ = std::fs::remove_file(path);
        }
    }
}
