//! What a virtual panel answers when it is asked how it is.

use std::net::SocketAddr;
use std::time::{Duration, Instant};

use glowloom_wire::patch::PanelPatch;
use glowloom_wire::status::{self, Status};
use glowloom_wire::{Patch, ddp};

use super::gallery::Gallery;

/// How long another sender is told of after its last packet.
const OTHER_FOR: Duration = Duration::from_secs(10);

/// Answers for one panel.
#[derive(Debug)]
pub(super) struct Telling {
    status: Status,
    /// Its place in the list of health.
    place: usize,
    start: Instant,
    last: Option<Duration>,
}

impl Telling {
    pub fn new(patch: &Patch, panel: &PanelPatch, place: usize) -> Self {
        let status = Status {
            maker: Some("Glowloom".into()),
            model: Some("virtual".into()),
            version: Some(env!("CARGO_PKG_VERSION").into()),
            wall: Some(patch.wall().into()).filter(|wall: &String| !wall.is_empty()),
            panel: Some(panel.name.clone()),
            print: Some(status::print(patch.common(), panel)),
            ..Status::default()
        };
        Self { status, place, start: Instant::now(), last: None }
    }

    /// Whether these bytes are a question; if so, hands the answer to `send`, unless it was asked a moment ago.
    pub fn answer(
        &mut self,
        now: Duration,
        bytes: &[u8],
        gallery: &Gallery,
        send: impl FnOnce(&[u8]),
    ) -> bool {
        if bytes.len() != ddp::HEADER || !status::is_question(bytes) {
            return false;
        }
        let gap = Duration::from_millis(status::LEAST_GAP_MILLIS);
        if self.last.is_some_and(|last| now.saturating_sub(last) < gap) {
            return true;
        }
        self.last = Some(now);
        let Some((health, shown)) = gallery.of(self.place) else { return true };
        let counts = health.counts;
        let other = health.other.filter(|other| now.saturating_sub(other.at) < OTHER_FOR);
        let named = other.and_then(|other| other.named);
        let ip = |at: SocketAddr| at.ip().to_string();
        let status = Status {
            up: Some(self.start.elapsed().as_secs()),
            shown: Some(counts.shown),
            lost: Some(counts.lost),
            late: Some(counts.late),
            wrong: Some(counts.wrong),
            ago: health
                .from
                .and(shown)
                .map(|shown| u64::try_from(shown.elapsed().as_micros()).unwrap_or(u64::MAX)),
            from: health.from.map(ip),
            other: other.map(|other| ip(other.from)),
            other_name: named.map(|(name, _)| name.as_str().into()),
            other_priority: named.map(|(_, priority)| priority.get()),
            ..self.status.clone()
        };
        if let Ok(packet) = status.packet() {
            send(&packet);
        }
        true
    }
}
