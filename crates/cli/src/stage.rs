//! A wall being played: its patch, its virtual panels, its player.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use glowloom_design::Wall;
use glowloom_design::wall::{self, Link, OnLoss};
use glowloom_drive::block::Block;
use glowloom_drive::{
    Dimming, DriveError, Frames, FramesPerSecond, Health, Live, Player, Reach, Recorder, Remote,
    Replay, Settings, SupplyGuard, VirtualPanels, Which, may_dither,
};
use glowloom_plan::data::Data;
use glowloom_plan::{Kind, Plan};
use glowloom_show::{
    Brightness, Channels, Emitters, Filter, Finish, Laying, Look, Pipeline, Preview, Sizing,
    Source, Steps,
};
use glowloom_units::Hertz;
use glowloom_wire::Patch;
use glowloom_wire::patch;

use crate::failure::Failure;
use crate::identity;
use crate::recordings::Folder;
use crate::{output, report};

/// What a person may choose about a show.
pub struct Choices {
    /// Of the ceiling; absent: what the wall file says.
    pub brightness: Option<f32>,
    /// Whether data goes to multicast groups.
    pub multicast: bool,
    /// Whether the last picture stays at the end.
    pub leave_lit: bool,
    /// Quiet hours that are kept.
    pub dimming: Option<Dimming>,
    /// Whether receivers are looked for on the network.
    pub discovery: bool,
    /// The folder of a recording that is sent in place of the source.
    pub replay: Option<PathBuf>,
    /// Whether the file's ceiling holds though the plan knows a lower one to be safe.
    pub above_safe: bool,
}

/// A wall being played.
pub struct Stage {
    /// Where each pixel goes.
    pub patch: Arc<Patch>,
    /// Those on this computer that nobody else holds.
    pub panels: VirtualPanels,
    on_loss: glowloom_drive::OnLoss,
    /// What the links' air time is worked out from.
    air: (Data, Hertz),
    player: Player,
    remote: Remote,
}

/// All that a player needs, sound.
struct Ready {
    patch: Arc<Patch>,
    settings: Settings,
    frames: Box<dyn Frames>,
    remote: Remote,
}

impl Ready {
    fn new(
        wall: &Wall,
        plan: &Plan,
        source: Box<dyn Source>,
        choices: &Choices,
    ) -> Result<Self, Failure> {
        let patch = Arc::new(evened_out(wall, held(wall, plan, choices)?)?);
        let mut settings = settings(wall, plan, &patch, choices)?;
        settings.look_out = choices.discovery.then(|| Reach::of(&patch));
        let mut pipeline = pipeline(wall, &patch, choices)?;
        pipeline.set_dither(wall.show.dither && may_dither(settings.rate));
        pipeline.show(source, Duration::ZERO);
        let (mut live, remote) = Live::new(pipeline, &patch).map_err(drive_failure)?;
        if let Some(dimming) = &choices.dimming {
            live.set_dimming(dimming.clone());
        }
        // A recording is sent as it is: nothing can be told to what draws.
        let frames: Box<dyn Frames> = match &choices.replay {
            Some(folder) => {
                let reel = Box::new(Folder::open(folder)?);
                Box::new(Replay::new(reel, &patch).map_err(drive_failure)?)
            }
            None => Box::new(live),
        };
        Ok(Self { patch, settings, frames, remote })
    }
}

impl Stage {
    /// Opens virtual panels and begins to play on them and on all others.
    pub fn open(
        wall: &Wall,
        plan: &Plan,
        source: Box<dyn Source>,
        choices: &Choices,
    ) -> Result<Self, Failure> {
        let Ready { patch, settings, frames, remote } = Ready::new(wall, plan, source, choices)?;
        let on_loss = on_loss(wall);
        let panels = VirtualPanels::open(&patch, Which::Free, on_loss).map_err(drive_failure)?;
        let player = Player::start(Arc::clone(&patch), settings, frames).map_err(drive_failure)?;
        Ok(Self { patch, panels, on_loss, air: air(wall, plan), player, remote })
    }

    /// Plays on with another wall and source. Panels that stay keep their picture until the next frame;
    /// those that are no more are made black. Where the new wall cannot be played, all is as it was.
    pub fn replace(
        self,
        wall: &Wall,
        plan: &Plan,
        source: Box<dyn Source>,
        choices: &Choices,
    ) -> Result<Self, (Option<Box<Self>>, Failure)> {
        let ready = Ready::new(wall, plan, source, choices).and_then(|ready| {
            // What is wrong with it is found before anything ends.
            Block::new(&ready.patch, &ready.settings).map_err(drive_failure)?;
            Ok(ready)
        });
        let Ready { patch, settings, frames, remote } = match ready {
            Ok(ready) => ready,
            Err(failure) => return Err((Some(Box::new(self)), failure)),
        };
        let Self { patch: old_patch, panels, on_loss: old_on_loss, player, .. } = self;
        let on_loss = on_loss(wall);
        let Some(before) = player.hand_over() else { return Err((None, broken())) };
        let panels = if on_loss == old_on_loss && same_panels(&old_patch, &patch) {
            panels
        } else {
            // The new ones may be on their ports.
            drop(panels);
            let opened = VirtualPanels::open(&patch, Which::Free, on_loss);
            opened.map_err(|error| (None, drive_failure(error)))?
        };
        let started =
            Player::start_after(Some(&before), Arc::clone(&patch), settings.clone(), frames);
        let player = started.map_err(|error| (None, drive_failure(error)))?;
        let stays = |panel: usize| {
            let old = old_patch.panels().get(panel);
            old.is_some_and(|old| patch.panels().iter().any(|new| new.address == old.address))
        };
        let old = old_patch.common().protocol;
        before.dismiss(&settings, old, |panel| old == patch.common().protocol && stays(panel));
        Ok(Self { patch, panels, on_loss, air: air(wall, plan), player, remote })
    }

    /// Changes what is shown while it plays.
    pub fn remote(&self) -> Remote {
        self.remote.clone()
    }

    /// Share of a Wi-Fi channel's air time that the show takes now; `None` on other links.
    pub fn airtime_share(&self, health: &Health) -> Option<f64> {
        self.air.0.airtime_share_at(Hertz(health.aim.0), self.air.1)
    }

    /// How it goes.
    pub fn health(&self) -> Health {
        self.player.health()
    }

    /// Hands what is sent from now on to a recorder.
    pub fn record(&self, recorder: Recorder) {
        self.player.record(recorder);
    }

    /// Ends the show as it should be ended.
    pub fn close(self) -> Health {
        self.player.stop()
    }
}

/// What the links' air time is worked out from.
fn air(wall: &Wall, plan: &Plan) -> (Data, Hertz) {
    (plan.data.clone(), wall.receiver.frames_per_second)
}

/// Whether two patches are the same to panels: these know no ceiling.
fn same_panels(one: &Patch, other: &Patch) -> bool {
    let of = |patch: &Patch| patch::Common { ceiling: 0, ..patch.common().clone() };
    of(one) == of(other) && one.panels() == other.panels() && one.wall() == other.wall()
}

/// The patch with what keeps a show within the plan's limits: rows that hold each frame by what it draws;
/// where there are none, the lower of what the file and the plan allow for full white. All of it is told,
/// and so is going past it.
fn held(wall: &Wall, plan: &Plan, choices: &Choices) -> Result<Patch, Failure> {
    let (file, safe) = (wall.power.brightness_limit, plan.power.highest_safe_brightness);
    if safe >= file {
        return patch_of(wall, file);
    }
    let why = report::binding(wall, &plan.power);
    let (file_percent, safe_percent) = (report::percent(file), report::rounded_down(safe));
    if choices.above_safe {
        output::note(&format!(
            "hazard: playing up to {file_percent} % of full white, though only {safe_percent} % keeps every \
             limit; {why}. Wires, joints and supplies may overheat: stay with the wall and feel for warm \
             joints"
        ));
        return patch_of(wall, file);
    }
    let mend = "The findings say how to mend it; --above-safe lifts this limit all the same";
    if let Some(patch) = guarded(wall, file)? {
        output::note(&format!(
            "note: each frame is held to what supplies and copper carry: full white to {safe_percent} % in \
             place of the wall file's {file_percent} %; {why}. {mend}"
        ));
        return Ok(patch);
    }
    let dark = if safe > 0.0 { "" } else { ", so the wall stays dark" };
    output::note(&format!(
        "note: held to {safe_percent} % of full white{dark}, below the wall file's {file_percent} %; {why}. \
         {mend}"
    ));
    patch_of(wall, safe)
}

/// The patch with rows for the supply guard; `None` where it could not keep up with them.
fn guarded(wall: &Wall, ceiling: f64) -> Result<Option<Patch>, Failure> {
    let Some(guard) = glowloom_plan::guard(wall) else { return Ok(None) };
    let patch = patch_of(wall, ceiling)?.with_guard(guard).map_err(|error| {
        Failure::other(
            format!("the supply guard does not fit the wall: {error}"),
            "this is a fault of the program; please report it",
        )
    })?;
    Ok(SupplyGuard::of(&patch).is_some().then_some(patch))
}

/// The patch with pixels dimmed to match those that the copper's drop dims, where the wall file wants that;
/// what comes of it is told.
fn evened_out(wall: &Wall, patch: Patch) -> Result<Patch, Failure> {
    if !wall.show.even_out {
        return Ok(patch);
    }
    let evening = glowloom_plan::evening(wall).map_err(|error| {
        Failure::other(
            format!("the light cannot be evened out: {error}"),
            "leave out even_out, and please report it",
        )
    })?;
    if evening.is_even() {
        output::note("note: even_out changes nothing: at the typical picture no pixel lacks volts");
        return Ok(patch);
    }
    let [before, after] = [evening.dimmest_before, evening.dimmest_after].map(report::rounded_down);
    let rest = if evening.is_whole() {
        format!("all are evened out to {after} % of theirs")
    } else {
        format!("no other is dimmed below half for it, so that it stays dimmer, with {after} %")
    };
    output::note(&format!(
        "note: at the typical picture the dimmest colour of a pixel has {before} % of its light; {rest}"
    ));
    let panels = (0..wall.panels.len()).map(|panel| evening.panel(panel).to_vec()).collect();
    patch.with_evened(panels).map_err(|error| {
        Failure::other(
            format!("the evened light does not fit the wall: {error}"),
            "this is a fault of the program; please report it",
        )
    })
}

/// The patch of a wall under a ceiling of 0 to 1.
pub fn patch_of(wall: &Wall, ceiling: f64) -> Result<Patch, Failure> {
    glowloom_plan::patch_under(wall, ceiling).map_err(|error| {
        Failure::other(
            format!("the pixel map is wrong: {error}"),
            "this is a fault of the program; please report it",
        )
    })
}

/// How device bytes of a wall look on a screen.
pub fn preview(wall: &Wall, patch: &Patch) -> Result<Preview, Failure> {
    let common = patch.common();
    let preview = Preview::new(channels(common.channels), common.ceiling);
    Ok(preview.with_strip(common.ceiling, &emitters(wall)?))
}

/// What the wall file wants when frames stop.
pub fn on_loss(wall: &Wall) -> glowloom_drive::OnLoss {
    match wall.receiver.on_loss {
        OnLoss::Black => glowloom_drive::OnLoss::Black,
        OnLoss::Keep => glowloom_drive::OnLoss::Keep,
        OnLoss::Glow => glowloom_drive::OnLoss::Glow,
    }
}

/// What is said before a wall with hazards or faults is played: that it has them.
pub fn warn(plan: &Plan) {
    for finding in plan.findings.iter().filter(|finding| finding.kind != Kind::Advice) {
        let word = finding.kind.word();
        output::note(&format!(
            "{word} [{}]: {}. {}",
            finding.code.key(),
            finding.title,
            finding.remedy
        ));
    }
}

/// Ends the command when nothing is sent any more.
pub fn unbroken(health: &Health) -> Result<(), Failure> {
    if health.broken { Err(broken()) } else { Ok(()) }
}

fn broken() -> Failure {
    Failure::other("sending has broken down", "start again, and please report it")
}

/// A failure of live output in words; they say what to do.
pub fn drive_failure(error: DriveError) -> Failure {
    Failure::Other { message: error.to_string(), remedy: None }
}

fn channels(channels: patch::Channels) -> Channels {
    match channels {
        patch::Channels::Three => Channels::Rgb,
        patch::Channels::Four => Channels::Rgbw,
    }
}

fn settings(
    wall: &Wall,
    plan: &Plan,
    patch: &Patch,
    choices: &Choices,
) -> Result<Settings, Failure> {
    let wanted = wall.receiver.frames_per_second;
    let rate = plan.data.sending_rate(wanted);
    if rate < wanted {
        output::note(&format!(
            "sending {rate:.1} frames a second: the wall can show no more",
            rate = rate.0
        ));
    }
    let mut settings =
        Settings::new(FramesPerSecond(rate.0), identity::cid()).map_err(drive_failure)?;
    settings.source_name = format!("Glowloom {}", wall.name);
    settings.leave_lit = choices.leave_lit;
    settings.multicast = choices.multicast.then(Default::default);
    // Half of a frame: the other half is for what is late.
    let far = wall.receiver.link == Link::Wifi && Reach::of(patch) == Reach::NETWORK;
    settings.spread = far.then(|| settings.rate.period() / 2);
    Ok(settings)
}

fn pipeline(wall: &Wall, patch: &Patch, choices: &Choices) -> Result<Pipeline, Failure> {
    let common = patch.common();
    let finish = Finish { channels: channels(common.channels), ceiling: common.ceiling };
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let share = choices.brightness.unwrap_or(wall.show.brightness as f32);
    let full = brightness(share)?;
    // A show that begins in quiet hours begins dim.
    let brightness = choices.dimming.as_ref().map_or(full, Dimming::wanted);
    let mut pipeline = Pipeline::new(common.columns, common.rows, finish, brightness);
    pipeline.set_look(look(wall)?);
    let (across, down) = glowloom_plan::optics::field_pixels(wall);
    pipeline.set_field(across, down);
    let few = wall.receiver.link == Link::Usb && wall.receiver.colour_bits == 16;
    pipeline.set_strip(emitters(wall)?, if few { Steps::FiveSixFive } else { Steps::Eight });
    Ok(pipeline)
}

/// A share of the ceiling.
pub fn brightness(share: f32) -> Result<Brightness, Failure> {
    Brightness::new(share).ok_or_else(|| {
        Failure::other(format!("the brightness is {share}"), "give --brightness from 0 to 1")
    })
}

/// How pictures are laid on a wall.
pub fn laying(wall: &Wall, sizing: Sizing) -> Laying {
    let filter = match wall.show.filter {
        wall::Filter::Area => Filter::Area,
        wall::Filter::Sharp => Filter::Sharp,
    };
    Laying { sizing, filter }
}

/// How pictures are wanted to look on a wall.
pub fn look(wall: &Wall) -> Result<Look, Failure> {
    let show = &wall.show;
    Look::new(show.saturation, show.white_point).ok_or_else(|| unfit("saturation and white_point"))
}

/// What the light of a wall's strip is like.
pub fn emitters(wall: &Wall) -> Result<Emitters, Failure> {
    let light = &wall.strip.light;
    Emitters::new(light.primaries, light.white_point)
        .and_then(|emitters| emitters.with_gamma(light.gamma))
        .and_then(|emitters| emitters.with_white_light(light.white_light))
        .ok_or_else(|| unfit("primaries, white_point, gamma and white_light"))
}

/// Colour figures that the wall file may have and `show` does not take.
fn unfit(keys: &str) -> Failure {
    Failure::other(
        format!("{keys} of the wall file are sound, but no colours can be made of them"),
        "this is a fault of the program; please report it with the wall file",
    )
}
