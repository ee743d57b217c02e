//! The running order of a wall file: from the file's words to scenes that play, and a small file that knows
//! how far it is, so that a show that is started again goes on there.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use etcetera::BaseStrategy;
use glowloom_design::wall::{OnFailure, QuietHours, Scene, Show};
use glowloom_drive::{Dimming, OrderRemote, Ordered, Zone};
use glowloom_show::made::made_by_code;
use glowloom_show::order::{self, Dimmer, Hours, Progress, Standing};
use glowloom_show::{Laying, Source};
use serde::{Deserialize, Serialize};

use crate::failure::Failure;
use crate::network::Network;
use crate::opened::Opened;
use crate::sources::Reader;
use crate::{files, output, running, stage};

/// How often it is written down how far the order is.
const EVERY: Duration = Duration::from_secs(5);

/// The largest file that is read.
const MOST_BYTES: usize = 4096;

/// A running order that plays, seen from outside.
pub struct Playing {
    remote: OrderRemote,
    dimming: Dimming,
    /// Of each scene: what it shows, and what stands in for it.
    names: Vec<(String, Option<String>)>,
    keeper: Keeper,
    told: Standing,
}

/// How far an order was, as it is written down.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Kept {
    /// Of this document.
    format: u32,
    /// Which order that was.
    order: String,
    scene: usize,
    round: u32,
    seconds: f64,
}

/// Opens the running order of a wall file and begins to play it where an earlier show left it.
pub fn play(
    opened: &Opened,
    laying: Laying,
    network: &mut Network<'_>,
) -> Result<(Box<dyn Source>, Playing), Failure> {
    let show = &opened.wall.show;
    let scenes = scenes(opened, laying, network)?;
    let zone = zone(show)?;
    let keeper = Keeper::of(&opened.path, &show.running_order);
    let from = keeper.read();
    let names = names(&show.running_order);
    if let Some(from) = &from {
        output::note(&format!(
            "note: the running order goes on where it was left: {}, {:.0} s in",
            numbered(&names, from.scene),
            from.since.as_secs_f64()
        ));
    }
    let dimming = Dimming::new(dimmer(show, None)?, zone.clone());
    let (ordered, remote) = Ordered::new(scenes, from, zone);
    let told = Standing { progress: Some(from.unwrap_or(BEGINNING)), stand_in: false };
    Ok((Box::new(ordered), Playing { remote, dimming, names, keeper, told }))
}

/// Where an order begins.
const BEGINNING: Progress = Progress { scene: 0, round: 0, since: Duration::ZERO };

/// The scenes of a wall file, each opened once.
pub fn scenes(
    opened: &Opened,
    laying: Laying,
    network: &mut Network<'_>,
) -> Result<Vec<order::Scene>, Failure> {
    let order = &opened.wall.show.running_order;
    if order.is_empty() {
        let names = made_by_code().iter().map(|made| made.name).collect::<Vec<_>>();
        return Err(Failure::other(
            format!("{} has no running order", crate::output::shown(&opened.path)),
            format!(
                "name a picture file, a protocol to listen to, or one made by code: {}",
                names.join(", ")
            ),
        ));
    }
    let mut reader = Reader::new(&opened.wall, opened.folder(), network);
    order.iter().map(|written| scene(written, &mut reader, laying)).collect()
}

fn scene(
    written: &Scene,
    reader: &mut Reader<'_, '_>,
    laying: Laying,
) -> Result<order::Scene, Failure> {
    let seconds = |seconds: f64| Duration::try_from_secs_f64(seconds).unwrap_or(Duration::MAX);
    let over = match &written.over {
        #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
        Some(over) => Some((reader.opener(&over.source, laying)?, over.strength as f32)),
        None => None,
    };
    Ok(order::Scene {
        open: reader.opener(&written.source, laying)?,
        length: seconds(written.seconds.0),
        rounds: written.repeats,
        hours: hours(written),
        fade: seconds(written.fade.0),
        over,
        on_failure: match &written.on_failure {
            OnFailure::Keep => order::OnFailure::Keep,
            OnFailure::Next => order::OnFailure::Next,
            OnFailure::Source(name) => order::OnFailure::StandIn(reader.opener(name, laying)?),
        },
    })
}

fn hours(written: &Scene) -> Hours {
    let mut days = [false; 7];
    for &day in &written.days {
        // Days are numbered from Monday, as these are.
        if let Some(on) = days.get_mut(day as usize) {
            *on = true;
        }
    }
    Hours { from: written.from, to: written.to, days }
}

/// The computer's zone. Where it is not known that is wrong only if anything goes by the clock.
fn zone(show: &Show) -> Result<Zone, Failure> {
    let timed = !show.quiet_hours.is_empty()
        || show.running_order.iter().any(|scene| hours(scene) != Hours::ALWAYS);
    match Zone::of_this_computer() {
        Err(_) if !timed => Ok(Zone::utc()),
        zone => zone.map_err(stage::drive_failure),
    }
}

/// The table of quiet hours; `full`: a brightness in place of the wall file's.
pub fn dimmer(show: &Show, full: Option<f32>) -> Result<Dimmer, Failure> {
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let share = |share: f64| stage::brightness(share as f32);
    let line = |quiet: &QuietHours| {
        Ok(order::QuietHours {
            hours: Hours { from: quiet.from, to: quiet.to, days: [true; 7] },
            brightness: share(quiet.brightness)?,
        })
    };
    let table = show.quiet_hours.iter().map(line).collect::<Result<_, Failure>>()?;
    let full = full.map_or_else(|| share(show.brightness), stage::brightness)?;
    Ok(Dimmer::new(table, full))
}

fn names(order: &[Scene]) -> Vec<(String, Option<String>)> {
    let stand_in = |scene: &Scene| match &scene.on_failure {
        OnFailure::Source(name) => Some(name.clone()),
        OnFailure::Keep | OnFailure::Next => None,
    };
    order.iter().map(|scene| (scene.source.clone(), stand_in(scene))).collect()
}

fn numbered(names: &[(String, Option<String>)], scene: usize) -> String {
    let name = names.get(scene).map(|(name, _)| name.as_str()).unwrap_or_default();
    format!("{} of {}, {}", scene + 1, names.len(), output::shown(Path::new(name)))
}

impl Playing {
    /// Quiet hours, under this brightness if one is given in place of the wall file's.
    pub fn dimming(&self, show: &Show, full: Option<f32>) -> Result<Dimming, Failure> {
        self.dimming.replace(dimmer(show, full)?);
        Ok(self.dimming.clone())
    }

    /// Plays the order that the wall file has now in place of the one that plays. What is on the wall stays
    /// until the new one is ready. Where a source cannot be opened, all stays as it was.
    pub fn replace(
        &mut self,
        opened: &Opened,
        laying: Laying,
        network: &mut Network<'_>,
        full: Option<f32>,
    ) -> Result<(), Failure> {
        let show = &opened.wall.show;
        let scenes = scenes(opened, laying, network)?;
        let dimmer = dimmer(show, full)?;
        // Known since the show began; where it is not, hours cannot be kept.
        zone(show)?;
        let keeper = Keeper::of(&opened.path, &show.running_order);
        let same = keeper.order == self.keeper.order;
        let from = self.remote.standing().progress.filter(|_| same);
        if !self.remote.replace(scenes, from) {
            return Err(Failure::other("the show is over", "start it again"));
        }
        self.dimming.replace(dimmer);
        (self.names, self.keeper) = (names(&show.running_order), keeper);
        Ok(())
    }

    /// Writes down how far it is, if it is time to.
    pub fn keep(&mut self) {
        self.keeper.keep(self.remote.standing().progress);
    }

    /// What has changed since it was asked last.
    pub fn news(&mut self) -> Vec<String> {
        let now = self.remote.standing();
        let mut news = Vec::new();
        if now.progress.is_none() && self.told.progress.is_some() {
            news.push("nothing of the running order is due now: the wall is dark".into());
        }
        if let Some(scene) = now.progress.map(|progress| progress.scene) {
            if self.told.progress.is_none() {
                news.push(format!("running order: {}", numbered(&self.names, scene)));
            }
            let stand_in = self.names.get(scene).and_then(|(_, stand_in)| stand_in.as_deref());
            if let (true, false, Some(name)) = (now.stand_in, self.told.stand_in, stand_in) {
                let name = output::shown(Path::new(name));
                news.push(format!("{name} stands in for {}", numbered(&self.names, scene)));
            }
        }
        self.told = now;
        news
    }
}

impl Drop for Playing {
    fn drop(&mut self) {
        self.keeper.last = None;
        self.keep();
    }
}

/// Writes down how far an order is, in the user's data folder.
struct Keeper {
    path: Option<PathBuf>,
    order: String,
    last: Option<Instant>,
}

impl Keeper {
    fn of(wall: &Path, order: &[Scene]) -> Self {
        Self { path: place(wall), order: fingerprint(order), last: None }
    }

    /// How far this very order was; `None` if that is not known, or another order was written down.
    fn read(&self) -> Option<Progress> {
        let path = self.path.as_deref().filter(|path| path.exists())?;
        let kept: Kept =
            serde_json::from_slice(&files::read_at_most(path, MOST_BYTES).ok()?).ok()?;
        let same = kept.format == 1 && kept.order == self.order;
        let since = Duration::try_from_secs_f64(kept.seconds).ok()?;
        same.then_some(Progress { scene: kept.scene, round: kept.round, since })
    }

    fn keep(&mut self, progress: Option<Progress>) {
        if self.last.is_some_and(|last| last.elapsed() < EVERY) {
            return;
        }
        self.last = Some(Instant::now());
        let (Some(path), Some(Progress { scene, round, since })) = (&self.path, progress) else {
            return;
        };
        let order = self.order.clone();
        let kept = Kept { format: 1, order, scene, round, seconds: since.as_secs_f64() };
        let written = serde_json::to_vec(&kept)
            .map_err(|error| error.to_string())
            .and_then(|bytes| {
                let folder = path.parent().map_or(Ok(()), std::fs::create_dir_all);
                folder.map(|()| bytes).map_err(|error| error.to_string())
            })
            .and_then(|bytes| files::write_one_of_many(path, &bytes).map_err(|why| why.message()));
        if let Err(why) = written {
            output::note(&format!("warning: the running order will begin anew next time: {why}"));
            self.path = None;
        }
    }
}

fn place(wall: &Path) -> Option<PathBuf> {
    let base = etcetera::choose_base_strategy().ok()?;
    let name = running::place(wall)?.file_name()?.to_owned();
    Some(base.data_dir().join("glowloom").join("orders").join(name))
}

/// Tells one order from another (FNV-1a of 64 bits).
fn fingerprint(order: &[Scene]) -> String {
    let hash = format!("{order:?}").bytes().fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    format!("{hash:016x}")
}
